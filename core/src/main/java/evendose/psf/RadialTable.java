package evendose.psf;

import evendose.Supported;
import java.io.Serializable;
import java.util.Arrays;
import org.apache.commons.math3.analysis.interpolation.SplineInterpolator;
import org.apache.commons.math3.analysis.polynomials.PolynomialSplineFunction;

/**
 * A normalised radial density given at some radii: a measured or simulated profile as it is. Between the radii the logarithm of the
 * density is a natural cubic spline in the logarithm of the radius; within the first radius the density is that of the
 * first, beyond the last it is 0.
 *
 * <p>Densities are scaled so that the whole energy is 1. Share and density are good to 1e-7 of the whole and the local value,
 * the transform to 1e-6 (held by {@code RadialTableTest} for profiles with known transforms).
 *
 * @serial exclude
 */
@Supported
public final class RadialTable implements RadialModel, Serializable {
    private static final long serialVersionUID = 1L;

    /** Most ratio of neighbouring radii: beyond, a spline would be a guess. */
    private static final double MOST_RATIO = 4;

    /** Whole energies this close to 1 are left alone, so that a table read back is the same. */
    private static final double NORMALISED = 1e-12;

    private final double[] radiiUm;
    private final double[] density;
    private final transient FineTable fine;
    private transient volatile HankelTransform transform;

    private RadialTable(double[] radiiUm, double[] density, FineTable fine) {
        this.radiiUm = radiiUm;
        this.density = density;
        this.fine = fine;
    }

    /**
     * {@return a table}
     *
     * @param radiiUm at least 4 rising radii, um, positive, each at most 4 times the one before
     * @param density density at each, any unit, positive
     * @throws IllegalArgumentException if a value is out of range
     */
    public static RadialTable of(double[] radiiUm, double[] density) {
        int n = radiiUm.length;
        if (n < 4 || density.length != n) {
            throw new IllegalArgumentException("a table needs at least 4 radii with a density each");
        }
        for (int i = 0; i < n; i++) {
            if (!(radiiUm[i] > 0) || !(radiiUm[i] < Double.POSITIVE_INFINITY)) {
                throw new IllegalArgumentException("radii must be positive and finite, got " + radiiUm[i] + " um");
            }
            if (i > 0 && !(radiiUm[i] > radiiUm[i - 1] && radiiUm[i] <= MOST_RATIO * radiiUm[i - 1])) {
                throw new IllegalArgumentException("radii must rise by less than " + MOST_RATIO + " times, got "
                        + radiiUm[i] + " um after " + radiiUm[i - 1] + " um");
            }
            if (!(density[i] > 0 && density[i] < Double.POSITIVE_INFINITY)) {
                throw new IllegalArgumentException(
                        "densities must be positive and finite, got " + density[i] + " at " + radiiUm[i] + " um");
            }
        }
        double[] copy = density.clone();
        FineTable given = FineTable.of(radiiUm, copy);
        if (Math.abs(given.whole() - 1) < NORMALISED) {
            return new RadialTable(radiiUm.clone(), copy, given);
        }
        // Scaled twice: the first sum may lie far from 1.
        double most = Arrays.stream(copy).max().orElseThrow();
        double area = radiiUm[n - 1] * radiiUm[n - 1];
        Arrays.setAll(copy, i -> copy[i] / most / area);
        double whole = FineTable.of(radiiUm, copy).whole();
        Arrays.setAll(copy, i -> copy[i] / whole);
        return new RadialTable(radiiUm.clone(), copy, FineTable.of(radiiUm, copy));
    }

    private Object readResolve() {
        return new RadialTable(radiiUm, density, FineTable.of(radiiUm, density));
    }

    /** {@return the radii, um; a copy} */
    public double[] radiiUm() {
        return radiiUm.clone();
    }

    /** {@return the densities at the radii, 1/um^2, scaled to a whole energy of 1; a copy} */
    public double[] densities() {
        return density.clone();
    }

    /**
     * {@return the same with all radii multiplied by a positive factor}
     *
     * @param factor what radii are multiplied by, positive
     */
    public RadialTable stretched(double factor) {
        return of(Arrays.stream(radiiUm).map(r -> r * factor).toArray(), density);
    }

    /** {@return radius beyond which there is nothing, um} */
    public double reachUm() {
        return radiiUm[radiiUm.length - 1];
    }

    /** {@return root of the mean squared distance of the energy, um; a Gaussian's is its range} */
    public double rmsRadiusUm() {
        return Math.sqrt(fine.secondMoment());
    }

    /** {@return range of the Gaussian that a grid carries as well as this table, um; see {@link HankelTransform#smoothnessUm}} */
    public double smoothnessUm() {
        return transform().smoothnessUm();
    }

    @Override
    public double density(double rUm) {
        return fine.density(rUm);
    }

    @Override
    public double shareBeyond(double rUm) {
        return Math.max(0, 1 - fine.shareWithin(rUm));
    }

    /**
     * {@return share of the energy within radius {@code rUm} (um)}
     *
     * @param rUm radius, um
     */
    public double shareWithin(double rUm) {
        return fine.shareWithin(rUm);
    }

    /**
     * {@return Hankel transform, {@code 2 pi int f(r) J0(k r) r dr}: 1 at 0}
     *
     * @param k wave number, 1/um, at least 0
     */
    public double transform(double k) {
        return transform().at(k);
    }

    private HankelTransform transform() {
        if (transform == null) {
            transform = HankelTransform.of(this);
        }
        return transform;
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof RadialTable table
                && Arrays.equals(radiiUm, table.radiiUm)
                && Arrays.equals(density, table.density);
    }

    @Override
    public int hashCode() {
        return 31 * Arrays.hashCode(radiiUm) + Arrays.hashCode(density);
    }

    @Override
    public String toString() {
        return "RadialTable of " + radiiUm.length + " radii to " + reachUm() + " um";
    }

    /** Density and share on even steps of the logarithm of the radius, with their derivatives: quick to look up. */
    private record FineTable(
            double first, double start, double perStep, double[] density, double[] slope, double[] within) {
        private static final int STEPS_PER_UNIT = 128;
        private static final double[] NODE = {0.1127016653792583, 0.5, 0.8872983346207417};
        private static final double[] WEIGHT = {5.0 / 18, 8.0 / 18, 5.0 / 18};

        static FineTable of(double[] radii, double[] density) {
            double[] x = Arrays.stream(radii).map(Math::log).toArray();
            double[] y = Arrays.stream(density).map(Math::log).toArray();
            PolynomialSplineFunction spline = new SplineInterpolator().interpolate(x, y);
            double start = x[0];
            double end = x[x.length - 1];
            int steps = (int) Math.ceil((end - start) * STEPS_PER_UNIT);
            double step = (end - start) / steps;
            double[] d = new double[steps + 1];
            double[] slope = new double[steps + 1];
            double[] within = new double[steps + 1];
            within[0] = Math.PI * radii[0] * radii[0] * density[0];
            for (int i = 0; i <= steps; i++) {
                double at = i == steps ? end : start + i * step;
                d[i] = Math.exp(spline.value(at));
                slope[i] = d[i] * spline.derivative().value(at) * step;
                for (int g = 0; g < NODE.length && i > 0; g++) {
                    double u = Math.min(end, at - step + NODE[g] * step);
                    within[i] += WEIGHT[g] * step * 2 * Math.PI * Math.exp(2 * u + spline.value(u));
                }
                within[i] += i > 0 ? within[i - 1] : 0;
            }
            return new FineTable(radii[0], start, 1 / step, d, slope, within);
        }

        double whole() {
            return within[within.length - 1];
        }

        double density(double r) {
            if (!(r > first)) {
                return density[0];
            }
            double x = (Math.log(r) - start) * perStep;
            int i = (int) x;
            if (i >= density.length - 1) {
                return i == density.length - 1 && x == i ? density[i] : 0;
            }
            return cubic(density[i], slope[i], density[i + 1], slope[i + 1], x - i);
        }

        double shareWithin(double r) {
            if (!(r > first)) {
                return Math.PI * r * r * density[0];
            }
            double x = (Math.log(r) - start) * perStep;
            int i = (int) x;
            if (i >= within.length - 1) {
                return whole();
            }
            return cubic(within[i], growth(i), within[i + 1], growth(i + 1), x - i);
        }

        /** Derivative of the share by steps. */
        private double growth(int i) {
            return 2 * Math.PI * Math.exp(2 * (start + i / perStep)) * density[i] / perStep;
        }

        double secondMoment() {
            double sum = 0.5 * first * first * within[0];
            for (int i = 1; i < within.length; i++) {
                sum += Math.exp(2 * (start + (i - 0.5) / perStep)) * (within[i] - within[i - 1]);
            }
            return sum;
        }

        /** The cubic with values {@code a} and {@code b} and slopes {@code da} and {@code db} at 0 and 1. */
        private static double cubic(double a, double da, double b, double db, double t) {
            double u = 1 - t;
            return u * u * (a * (1 + 2 * t) + da * t) + t * t * (b * (1 + 2 * u) - db * u);
        }
    }
}
