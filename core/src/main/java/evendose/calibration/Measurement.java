package evendose.calibration;

import evendose.files.NumberText;
import evendose.units.Range;
import java.util.OptionalDouble;

/**
 * One measured value of a dose test.
 *
 * @param kind what was measured
 * @param figure where: a ring or disc for a clearing dose, lines for a width
 * @param doseUcPerCm2 dose that lines were written with, uC/cm^2; NaN for a clearing dose
 * @param value the clearing dose, uC/cm^2, or the width of the middle line, um
 * @param standardError its standard error in the same unit, if it is known
 * @param line line of the file it was read from, or a running number
 */
public record Measurement(
        Kind kind, TestFigure figure, double doseUcPerCm2, double value, OptionalDouble standardError, long line) {
    /** What can be measured. */
    public enum Kind {
        /** The smallest dose at which the resist in the centre of a ring or disc is gone (or stays, for a negative one). */
        CLEARING,
        /** The width of a line. */
        WIDTH
    }

    public Measurement {
        boolean fits = kind == Kind.CLEARING ? figure instanceof TestFigure.Ring : figure instanceof TestFigure.Lines;
        if (!fits) {
            throw new IllegalArgumentException("clearing doses belong to rings and discs, widths to lines");
        }
        Range.positive("the measured value", value);
        if (kind == Kind.WIDTH && (!(doseUcPerCm2 > 0) || Double.isInfinite(doseUcPerCm2))) {
            throw new IllegalArgumentException("a width needs the dose it was written with, got " + doseUcPerCm2);
        }
        if (standardError.isPresent() && (!(standardError.getAsDouble() > 0) || standardError.getAsDouble() > value)) {
            throw new IllegalArgumentException(
                    "the standard error must be positive and below the value, got " + standardError.getAsDouble());
        }
    }

    /** A clearing dose, uC/cm^2. */
    public static Measurement clearing(TestFigure.Ring ring, double dose, OptionalDouble standardError, long line) {
        return new Measurement(Kind.CLEARING, ring, Double.NaN, dose, standardError, line);
    }

    /** A width, um, of lines written with a dose, uC/cm^2. */
    public static Measurement width(
            TestFigure.Lines lines, double dose, double widthUm, OptionalDouble standardError, long line) {
        return new Measurement(Kind.WIDTH, lines, dose, widthUm, standardError, line);
    }

    /** What it is, in a few words. */
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
