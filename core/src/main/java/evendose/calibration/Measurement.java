package evendose.calibration;

import evendose.files.NumberText;
import evendose.units.Range;
import java.util.OptionalDouble;

/**
 * One measured value of a dose test, or the interval it is known to lie in.
 *
 * @param kind what was measured
 * @param figure where: a ring or disc for a clearing dose, lines for a width
 * @param doseUcPerCm2 dose that lines were written with, uC/cm^2; NaN for a clearing dose
 * @param low the clearing dose, uC/cm^2, or the width of the middle line, um; of a clearing dose known as an interval its lower end, the
 *     last dose that did not clear, 0 if there was none
 * @param high the same value again, or the upper end of the interval, the first dose that cleared, infinite if there was none
 * @param standardError standard error of the value in the same unit, if it is known; beside an interval what scatters beyond it
 * @param line line of the file it was read from, or a running number
 */
public record Measurement(
        Kind kind,
        TestFigure figure,
        double doseUcPerCm2,
        double low,
        double high,
        OptionalDouble standardError,
        long line) {
    /** What can be measured. */
    public enum Kind {
        /** The smallest dose at which the resist in the centre of a ring or disc is gone (or stays, for a negative one). */
        CLEARING,
        /** The width of a line. */
        WIDTH
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Measurement {
        boolean fits = kind == Kind.CLEARING ? figure instanceof TestFigure.Ring : figure instanceof TestFigure.Lines;
        if (!fits) {
            throw new IllegalArgumentException("clearing doses belong to rings and discs, widths to lines");
        }
        Range.require(
                low >= 0 && high > 0 && low <= high,
                "the last dose that did not clear must lie below the first" + " that did"
                        + (Double.isFinite(high) ? " (" + brief(high) + ")" : ""),
                low);
        Range.require(low > 0 || Double.isFinite(high), "a measurement needs a value or one end of an interval", low);
        Range.require(kind == Kind.CLEARING || low == high, "a width is a value, not an interval", low);
        if (kind == Kind.WIDTH && (!(doseUcPerCm2 > 0) || Double.isInfinite(doseUcPerCm2))) {
            throw new IllegalArgumentException("a width needs the dose it was written with, got " + doseUcPerCm2);
        }
        double most = low > 0 ? low : high;
        if (standardError.isPresent() && (!(standardError.getAsDouble() > 0) || standardError.getAsDouble() > most)) {
            throw new IllegalArgumentException(
                    "the standard error must be positive and below the value, got " + standardError.getAsDouble());
        }
    }

    /** A clearing dose, uC/cm^2. */
    static Measurement clearing(TestFigure.Ring ring, double dose, OptionalDouble standardError, long line) {
        Range.positive("the measured value", dose);
        return clearing(ring, dose, dose, standardError, line);
    }

    /** A clearing dose between the last dose that did not clear (0 if none) and the first that did (infinite if none), uC/cm^2. */
    static Measurement clearing(
            TestFigure.Ring ring, double low, double high, OptionalDouble standardError, long line) {
        return new Measurement(Kind.CLEARING, ring, Double.NaN, low, high, standardError, line);
    }

    /** A width, um, of lines written with a dose, uC/cm^2. */
    static Measurement width(
            TestFigure.Lines lines, double dose, double widthUm, OptionalDouble standardError, long line) {
        Range.positive("the measured value", widthUm);
        return new Measurement(Kind.WIDTH, lines, dose, widthUm, widthUm, standardError, line);
    }

    /** {@return whether it is a value, not an interval or a bound} */
    public boolean exact() {
        return low == high;
    }

    /** {@return whether only one end of the interval is known} */
    public boolean bound() {
        return low == 0 || Double.isInfinite(high);
    }

    /** {@return the value; the middle of an interval (of the logarithms); the end that is known of a bound} */
    public double value() {
        return exact() || Double.isInfinite(high) ? low : low == 0 ? high : Math.sqrt(low) * Math.sqrt(high);
    }

    /** {@return what it is, in a few words} */
    public String label() {
        if (figure instanceof TestFigure.Ring ring) {
            return ring.innerRadiusUm() == 0
                    ? "disc " + brief(ring.outerRadiusUm()) + " um"
                    : "ring " + brief(ring.innerRadiusUm()) + "-" + brief(ring.outerRadiusUm()) + " um";
        }
        TestFigure.Lines lines = (TestFigure.Lines) figure;
        return lines.lines() == 1
                ? "lone line " + brief(lines.widthUm()) + " um"
                : "lines " + brief(lines.widthUm()) + "/" + brief(lines.pitchUm()) + " um";
    }

    /** Four digits at most, no zeros at the end. */
    static String brief(double value) {
        return NumberText.plain(value, 4);
    }
}
