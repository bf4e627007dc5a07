package evendose.calibration;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import java.util.SplittableRandom;

/** Dose tests made up from a known point spread function, with or without noise. */
final class MadeUpMeasurements {
    private final PointSpreadFunction psf;
    private final double clearingDose;
    private final double tau;
    private final SplittableRandom random;
    private final double relativeError;
    private final double widthErrorUm;
    private final boolean errorsGiven;
    private final List<Measurement> measurements = new ArrayList<>();

    private MadeUpMeasurements(
            PointSpreadFunction psf,
            double clearingDose,
            double tau,
            SplittableRandom random,
            double relativeError,
            double widthErrorUm,
            boolean errorsGiven) {
        this.psf = psf;
        this.clearingDose = clearingDose;
        this.tau = tau;
        this.random = random;
        this.relativeError = relativeError;
        this.widthErrorUm = widthErrorUm;
        this.errorsGiven = errorsGiven;
    }

    static MadeUpMeasurements exact(PointSpreadFunction psf, double clearingDose) {
        return exact(psf, clearingDose, 1);
    }

    static MadeUpMeasurements exact(PointSpreadFunction psf, double clearingDose, double tau) {
        return new MadeUpMeasurements(psf, clearingDose, tau, null, 0, 0, false);
    }

    /** Errors are normal; they are told to the fit if {@code given}. */
    static MadeUpMeasurements noisy(
            PointSpreadFunction psf,
            double clearingDose,
            long seed,
            double relativeError,
            double widthErrorUm,
            boolean given) {
        return new MadeUpMeasurements(
                psf, clearingDose, 1, new SplittableRandom(seed), relativeError, widthErrorUm, given);
    }

    /** Box and Muller's normal deviate. */
    private double normal() {
        if (random == null) {
            return 0;
        }
        double u = 1 - random.nextDouble();
        return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * random.nextDouble());
    }

    private double[] weights() {
        return psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray();
    }

    private double[] ranges() {
        return psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
    }

    MadeUpMeasurements ring(double inner, double outer) {
        TestFigure.Ring ring = new TestFigure.Ring(inner, outer);
        double dose = clearingDose / FigureEnergy.ring(ring, weights(), ranges()) * Math.exp(relativeError * normal());
        measurements.add(Measurement.clearing(
                ring,
                dose,
                errorsGiven ? OptionalDouble.of(relativeError * dose) : OptionalDouble.empty(),
                measurements.size() + 2));
        return this;
    }

    MadeUpMeasurements lines(double width, double pitch, int count, double length, double dose) {
        TestFigure.Lines lines = new TestFigure.Lines(width, pitch, count, length);
        double measured = FigureEnergy.width(lines, tau * clearingDose / dose, width / 2, weights(), ranges())
                + widthErrorUm * normal();
        measurements.add(Measurement.width(
                lines,
                dose,
                measured,
                errorsGiven ? OptionalDouble.of(widthErrorUm) : OptionalDouble.empty(),
                measurements.size() + 2));
        return this;
    }

    /** Rings and discs sized by beta. */
    MadeUpMeasurements clearing(double beta) {
        for (double r : new double[] {0.25, 0.4, 0.55, 0.7, 0.85, 1}) {
            ring(r * beta, 3 * beta);
        }
        for (double r : new double[] {0.1, 0.25, 0.5, 1, 3}) {
            ring(0, r * beta);
        }
        return this;
    }

    /** Lone lines and gratings at several doses. */
    MadeUpMeasurements widths(double alpha, double beta) {
        for (double w : new double[] {4 * alpha, 10 * alpha, 25 * alpha}) {
            for (double q : new double[] {0.85, 1, 1.2}) {
                lines(w, Double.POSITIVE_INFINITY, 1, 2 * beta, 3.2 * q * clearingDose);
            }
        }
        for (double density : new double[] {0.25, 0.5, 0.75}) {
            double width = 25 * alpha;
            double pitch = width / density;
            int count = 2 * (int) Math.round(beta / pitch) + 1;
            double size = 3.2 / (1 + 1.2 * density);
            for (double q : new double[] {0.9, 1.1}) {
                lines(width, pitch, count, 2 * beta, size * q * clearingDose);
            }
        }
        return this;
    }

    MadeUpMeasurements replace(int index, double factor) {
        Measurement m = measurements.get(index);
        measurements.set(
                index,
                new Measurement(
                        m.kind(),
                        m.figure(),
                        m.doseUcPerCm2(),
                        m.low() * factor,
                        m.high() * factor,
                        m.standardError(),
                        m.line()));
        return this;
    }

    List<Measurement> build() {
        return List.copyOf(measurements);
    }
}
