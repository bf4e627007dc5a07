package evendose.correction;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.util.ArrayList;
import java.util.List;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.numbers.gamma.Erf;

/**
 * The wide spot with which the complement of a pattern is exposed so that the background is the same everywhere, after G. Owen and
 * P. Rissman, J. Appl. Phys. 54, 3573 (1983).
 *
 * <p>Let {@code q} be the weight of all terms but the direct ones, {@code eta / (1 + eta)}. A pattern exposed at factor 1 has the background
 * {@code sum_long w_k G_k}, {@code G_k} the pattern blurred by term {@code k}. The complement, exposed at factor {@code c} with a Gaussian spot
 * of range {@code d} (ranges of Gaussians add in squares), adds {@code c sum_all w_k (1 - H_k)}, {@code H_k} the pattern blurred by
 * {@code sqrt(s_k^2 + d^2)}. Background that depends on the pattern is thus the pattern blurred by
 *
 * <pre>R = sum_long w_k g(s_k) - c sum_all w_k g(sqrt(s_k^2 + d^2)),      g(s) = exp(-r^2 / s^2) / (pi s^2)</pre>
 *
 * <p><b>Dose.</b> Inside anything wide only the integral of {@code R} counts. It is {@code q - c}, so {@code c = q}: large areas of any density
 * then have the background of a large pad, {@code q}.
 *
 * <p><b>Spot.</b> For a double Gaussian the background at a small lone feature depends on {@code R(0)}, which with {@code alpha} far below
 * {@code d} and {@code s = d^2 / beta^2} is 0 if {@code 1 = (1 - q) / s + q / (1 + s)}, that is {@code s^2 = 1 - q}:
 *
 * <pre>d = beta / (1 + eta)^(1/4)</pre>
 *
 * <p>which is the published diameter {@code 2 d} (formulas of the publication from memory; this derivation stands on its own).
 *
 * <p><b>What is left.</b> {@code R} is not 0 in between. At the edge of a line of width {@code W}, and {@code W} inside the border of a large
 * grating (times its density), the background is off by {@code F(W)}, the integral of the line spread of {@code R} from 0 to {@code W}:
 *
 * <pre>F(W) = 1/2 [sum_long w_k erf(W / s_k) - q sum_all w_k erf(W / sqrt(s_k^2 + d^2))]</pre>
 *
 * <p>{@code F} is 0 for narrow and wide lines alike. Where there are more terms than two, no formula is published, and {@code d} makes the largest
 * {@code |F|} least, over all widths. For a double Gaussian this would give a spot 3 to 12 % smaller than the published one for eta
 * between 0.3 and 1.5, with half of its largest {@code |F|}.
 *
 * @param rangeUm range {@code d} by which the spot is wider than the focused one (1/e radius; in squares), um
 * @param dose dose of the complement over that of the pattern, {@code q}
 * @param unevenness largest {@code |F|}: how far the background at edges may be off, of the energy in a large pad. Without a complement it is
 *     {@code q / 2}
 */
public record EqualisingSpot(Origin origin, double rangeUm, double dose, double unevenness) {
    /** Where the range of a spot comes from. */
    public enum Origin {
        /** The published formula, for a double Gaussian. */
        PUBLISHED,
        /** Fitted to flatten the background, for more terms. */
        FITTED,
        /** The user. */
        GIVEN
    }

    /** Widths are tried in steps of this ratio. */
    private static final double WIDTH_RATIO = 1.02;

    /** Spots are tried in steps of this ratio before the best is closed in on. */
    private static final double SPOT_RATIO = 1.05;

    private static final double GOLDEN = (Math.sqrt(5) - 1) / 2;

    private static final double FITTED = 1e-6;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public EqualisingSpot {
        Range.positive("range of the spot", rangeUm);
    }

    /**
     * {@return the published spot for a double Gaussian, the one that fits best for more terms}
     *
     * @param psf the point spread function
     * @throws IllegalArgumentException if it has no term but direct ones, or a table
     */
    public static EqualisingSpot of(PointSpreadFunction psf) {
        requireEqualisable(psf);
        return psf.parts() == 2 ? of(psf, Origin.PUBLISHED, publishedUm(psf)) : of(psf, Origin.FITTED, fittedUm(psf));
    }

    /**
     * {@return a spot of a given range}
     *
     * @param psf the point spread function
     * @param rangeUm range by which the spot is wider than the focused one, um, positive
     * @throws IllegalArgumentException as for {@link #of(PointSpreadFunction)}, or if the range is not positive
     */
    public static EqualisingSpot of(PointSpreadFunction psf, double rangeUm) {
        requireEqualisable(psf);
        Range.positive("range of the spot", rangeUm);
        return of(psf, Origin.GIVEN, rangeUm);
    }

    private static EqualisingSpot of(PointSpreadFunction psf, Origin origin, double rangeUm) {
        return new EqualisingSpot(origin, rangeUm, dose(psf), unevenness(psf, rangeUm));
    }

    private static void requireEqualisable(PointSpreadFunction psf) {
        if (psf.table().isPresent()) {
            throw new IllegalArgumentException(
                    "a point spread function with a table cannot be blurred by a spot; give it as a sum of Gaussians");
        }
        if (psf.directTerms() == psf.parts()) {
            throw new IllegalArgumentException(
                    "a point spread function without backscattering has nothing to equalise");
        }
    }

    private static double dose(PointSpreadFunction psf) {
        return 1 - psf.direct().weight();
    }

    /**
     * {@return the published range {@code beta / (1 + eta)^(1/4)}, um; of more terms than two with the main range for beta, as a check}
     *
     * @param psf the point spread function
     */
    public static double publishedUm(PointSpreadFunction psf) {
        return psf.main().rangeUm() / Math.pow(1 + psf.eta(), 0.25);
    }

    /** The range that makes {@link #unevenness(PointSpreadFunction, double)} least, um. */
    static double fittedUm(PointSpreadFunction psf) {
        DoubleUnaryOperator worst = d -> unevenness(psf, d);
        double best = publishedUm(psf);
        double least = psf.terms().get(psf.directTerms()).rangeUm() / 4;
        for (double d = least; d < 2 * psf.longestUm(); d *= SPOT_RATIO) {
            best = worst.applyAsDouble(d) < worst.applyAsDouble(best) ? d : best;
        }
        double low = best / SPOT_RATIO;
        double high = best * SPOT_RATIO;
        while (high > low * (1 + FITTED)) {
            double left = high - GOLDEN * (high - low);
            double right = low + GOLDEN * (high - low);
            if (worst.applyAsDouble(left) < worst.applyAsDouble(right)) {
                high = right;
            } else {
                low = left;
            }
        }
        return (low + high) / 2;
    }

    /** Largest {@code |F|} for a spot of this range, um. */
    static double unevenness(PointSpreadFunction psf, double rangeUm) {
        double worst = 0;
        double most = 4 * Math.hypot(psf.longestUm(), rangeUm);
        for (double width = psf.direct().rangeUm(); width < most; width *= WIDTH_RATIO) {
            worst = Math.max(worst, Math.abs(off(psf, rangeUm, width)));
        }
        return worst;
    }

    /** {@code F}, see above. */
    private static double off(PointSpreadFunction psf, double rangeUm, double widthUm) {
        double pattern = 0;
        double complement = 0;
        for (int k = 0; k < psf.parts(); k++) {
            GaussianTerm term = psf.terms().get(k);
            pattern += k < psf.directTerms() ? 0 : term.weight() * Erf.value(widthUm / term.rangeUm());
            complement += term.weight() * Erf.value(widthUm / Math.hypot(term.rangeUm(), rangeUm));
        }
        return 0.5 * (pattern - dose(psf) * complement);
    }

    /**
     * {@return dose factor of the pattern that puts the threshold on straight edges: half of the direct energy and all of the background,
     * {@code factor ((1 - q) / 2 + q)}}
     *
     * @param threshold energy at which the resist develops
     */
    public double patternFactor(double threshold) {
        return threshold / ((1 - dose) / 2 + dose);
    }

    /** {@return diameter of the spot at half its density, um: {@code 2 sqrt(ln 2) d}} */
    public double fwhmUm() {
        return 2 * Math.sqrt(Math.log(2)) * rangeUm;
    }

    /**
     * {@return what an exposure with this spot leaves: each range with that of the spot added in squares}
     *
     * @param psf the point spread function of the focused spot
     */
    public PointSpreadFunction blurred(PointSpreadFunction psf) {
        List<GaussianTerm> terms = new ArrayList<>();
        for (GaussianTerm term : psf.terms()) {
            terms.add(new GaussianTerm(term.weight(), Math.hypot(term.rangeUm(), rangeUm)));
        }
        return PointSpreadFunction.from(terms);
    }
}
