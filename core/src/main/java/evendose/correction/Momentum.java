package evendose.correction;

import java.io.Serializable;

/**
 * How far the next step of a shared correction goes: {@code x <- x' + omega (gamma f + x - x')}, where {@code x} is the logarithm of a
 * dose, {@code x'} the one before and {@code f = log(T / C)} the plain step. With these numbers a step needs nothing of other units, so tiles
 * step by themselves.
 *
 * <p>The plain step leaves a share between 0 and q of what is off: 0 where doses are off together over more than the long ranges, q = B / (A + B)
 * where only a unit's own direct energy A answers, B being what a full plane scatters back. For such an iteration Chebyshev's numbers are the best
 * that do not change with the layout (G. H. Golub and R. S. Varga, Numer. Math. 3, 147 (1961)): a step leaves {@code s / (1 + sqrt(1 - s^2))}, s =
 * q / (2 - q), which is 0.2 for eta = 0.6 and the edge criterion, where the plain step leaves 0.55.
 *
 * @param gamma factor of the plain step
 * @param omega factor of the whole step
 * @param sigma s as above, for the steps after this one
 * @serial exclude
 */
public record Momentum(double gamma, double omega, double sigma) implements Serializable {
    /**
     * {@return the plain step, and what follows it for a correction}
     *
     * @param options point spread function and criterion
     */
    public static Momentum plain(CorrectionOptions options) {
        double own = options.criterion().ownShare(options.psf());
        if (options.criterion() == Criterion.EDGE) {
            own *= 2 * ExposedShapes.directShare(options.psf(), options.biasUm());
        }
        double others = 1 - options.psf().direct().weight();
        double q = others / (own + others);
        return new Momentum(1, 1, q / (2 - q));
    }

    /** {@return what the step after this one takes} */
    public Momentum next() {
        // q = 2 sigma / (1 + sigma), so that gamma = 2 / (2 - q) = 1 + sigma.
        double g = 1 + sigma;
        if (gamma == 1) {
            return new Momentum(g, 1, sigma);
        }
        return new Momentum(
                g, omega == 1 ? 1 / (1 - 0.5 * sigma * sigma) : 1 / (1 - 0.25 * sigma * sigma * omega), sigma);
    }
}
