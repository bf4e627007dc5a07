package evendose.calibration;

import java.util.function.DoubleBinaryOperator;
import org.apache.commons.numbers.gamma.Erf;
import org.apache.commons.numbers.gamma.ErfDifference;

/** Energies of test figures at dose 1, for point spread functions given as arrays of weights and ranges. Checks nothing. */
final class FigureEnergy {
    /** Lines further away than this many ranges give nothing. */
    private static final double REACH = 6;

    /** Above so many pitches a range no longer sees lines one by one, nor where the last one is. */
    private static final double DENSE = 30;

    /** The same where the last line is out of reach: what a sum and its integral differ by is exp(-(pi range / pitch)^2). */
    private static final double DENSE_WITHOUT_ENDS = 2;

    private static final double ROOT_PI = Math.sqrt(Math.PI);
    private static final double CLOSE_ENOUGH_UM = 1e-13;
    private static final int MOST_STEPS = 100;

    private FigureEnergy() {}

    /** Energy that a figure gives a place, at dose 1. */
    static double at(TestFigure figure, double xUm, double[] weight, double[] rangeUm) {
        double sum = 0;
        for (int k = 0; k < weight.length; k++) {
            sum += weight[k] * unit(figure, xUm, rangeUm[k]);
        }
        return sum;
    }

    /** Energy in the centre of a ring. */
    static double ring(TestFigure.Ring ring, double[] weight, double[] rangeUm) {
        return at(ring, 0, weight, rangeUm);
    }

    /** Energy at a distance from the axis of the middle line. */
    static double lines(TestFigure.Lines lines, double xUm, double[] weight, double[] rangeUm) {
        return at(lines, xUm, weight, rangeUm);
    }

    /** What one term of weight 1 gives: in the centre of a ring, or at a distance from the axis of the middle line. */
    static double unit(TestFigure figure, double xUm, double s) {
        if (figure instanceof TestFigure.Ring ring) {
            double a = ring.innerRadiusUm() / s;
            double b = ring.outerRadiusUm() / s;
            return Math.exp(-a * a) - Math.exp(-b * b);
        }
        TestFigure.Lines lines = (TestFigure.Lines) figure;
        return 0.5 * energyAcross(lines, xUm, s) * along(lines, s);
    }

    /** Derivative of {@link #unit} with the logarithm of the range. */
    static double byRange(TestFigure figure, double xUm, double s) {
        if (figure instanceof TestFigure.Ring ring) {
            return 2 * (square(ring.innerRadiusUm() / s) - square(ring.outerRadiusUm() / s));
        }
        TestFigure.Lines lines = (TestFigure.Lines) figure;
        double half = lines.lengthUm() / (2 * s);
        double lengthwise = Double.isInfinite(half) ? 0 : -half * Math.exp(-half * half);
        double crosswise = across(lines, xUm, s, (a, b) -> a * Math.exp(-a * a) - b * Math.exp(-b * b));
        double energy = energyAcross(lines, xUm, s);
        return (crosswise * along(lines, s) + energy * lengthwise) / ROOT_PI;
    }

    private static double square(double u) {
        return u * u * Math.exp(-u * u);
    }

    /** Derivative of {@link #lines} with the distance, 1/um. */
    static double slope(TestFigure.Lines lines, double xUm, double[] weight, double[] rangeUm) {
        double sum = 0;
        for (int k = 0; k < weight.length; k++) {
            double s = rangeUm[k];
            double across = dense(lines, s)
                    ? slopeAcrossDense(lines, xUm, s)
                    : across(lines, xUm, s, (a, b) -> Math.exp(-b * b) - Math.exp(-a * a));
            sum += weight[k] * across * along(lines, s) / (s * ROOT_PI);
        }
        return sum;
    }

    private static double energyAcross(TestFigure.Lines lines, double xUm, double s) {
        return dense(lines, s) ? acrossDense(lines, xUm, s) : across(lines, xUm, s, ErfDifference::value);
    }

    private static boolean dense(TestFigure.Lines lines, double s) {
        double wanted = reach(lines, s) < lines.lines() / 2 ? DENSE_WITHOUT_ENDS : DENSE;
        return lines.lines() > 1 && s >= wanted * lines.pitchUm();
    }

    /**
     * Sum of what lines of a pitch far below the range give, by Euler's and Maclaurin's formula: an integral over the lines' places and what
     * the ends add. The first term left out is of the order of (pitch / range)^6 / 300, 4e-12 at most.
     */
    private static double acrossDense(TestFigure.Lines lines, double xUm, double s) {
        double p = lines.pitchUm() / s;
        double integral = 0;
        double ends = 0;
        for (int end = -1; end <= 1; end += 2) {
            for (int edge = -1; edge <= 1; edge += 2) {
                // Here the place of the outermost line is t = -end T, and y falls with t.
                double y = (xUm + end * reach(lines, s) * lines.pitchUm() + edge * lines.widthUm() / 2) / s;
                double bell = 2 / ROOT_PI * Math.exp(-y * y);
                integral += end * edge * (y * Erf.value(y) + bell / 2);
                ends += edge * (Erf.value(y) / 2 + end * bell * (p / 12 - p * p * p / 720 * (4 * y * y - 2)));
            }
        }
        return integral / p + ends;
    }

    /** Sum of exp(-b^2) - exp(-a^2) over such lines; the first term left out is (pitch / range)^2 / 12 of it. */
    private static double slopeAcrossDense(TestFigure.Lines lines, double xUm, double s) {
        double sum = 0;
        for (int end = -1; end <= 1; end += 2) {
            for (int edge = -1; edge <= 1; edge += 2) {
                double y = (xUm + end * reach(lines, s) * lines.pitchUm() + edge * lines.widthUm() / 2) / s;
                sum += edge * (end * Erf.value(y) * ROOT_PI / 2 * s / lines.pitchUm() + Math.exp(-y * y) / 2);
            }
        }
        return sum;
    }

    /** Sum over all lines of what one gives, by the distances to its two sides in ranges {@code s}. */
    private static double across(TestFigure.Lines lines, double xUm, double s, DoubleBinaryOperator one) {
        double half = lines.widthUm() / 2;
        int side = reach(lines, s);
        double sum = 0;
        for (int j = -side; j <= side; j++) {
            double x = j == 0 ? xUm : xUm - j * lines.pitchUm();
            if (Math.abs(x) - half < REACH * s) {
                sum += one.applyAsDouble((x - half) / s, (x + half) / s);
            }
        }
        return sum;
    }

    private static int reach(TestFigure.Lines lines, double s) {
        int most = lines.lines() / 2;
        return most == 0 ? 0 : (int) Math.min(most, Math.ceil(REACH * s / lines.pitchUm()) + 1);
    }

    private static double along(TestFigure.Lines lines, double s) {
        return Double.isInfinite(lines.lengthUm()) ? 1 : Erf.value(lines.lengthUm() / (2 * s));
    }

    /**
     * Width of the middle line where the energy exceeds {@code level}, um. A line that stays below gets a negative number, one
     * that joins its neighbour more than the pitch, each the further the more it misses, so that a search can come back.
     */
    static double width(TestFigure.Lines lines, double level, double startUm, double[] weight, double[] rangeUm) {
        double low = 0;
        double atLow = lines(lines, 0, weight, rangeUm);
        if (atLow <= level) {
            return -lines.widthUm() * Math.log(level / atLow);
        }
        double high;
        if (lines.lines() > 1) {
            high = lines.pitchUm() / 2;
            double atHigh = lines(lines, high, weight, rangeUm);
            if (atHigh >= level) {
                return lines.pitchUm() + lines.widthUm() * Math.log(atHigh / level);
            }
        } else {
            high = lines.widthUm();
            while (lines(lines, high, weight, rangeUm) > level) {
                high *= 2;
            }
        }
        // Newton's steps, kept between points known to lie on either side.
        double x = startUm > low && startUm < high ? startUm : 0.5 * (low + high);
        for (int step = 0; step < MOST_STEPS; step++) {
            double off = lines(lines, x, weight, rangeUm) - level;
            if (off > 0) {
                low = x;
            } else {
                high = x;
            }
            double next = x - off / slope(lines, x, weight, rangeUm);
            if (!(next > low && next < high)) {
                next = 0.5 * (low + high);
            }
            boolean close = Math.abs(next - x) <= CLOSE_ENOUGH_UM;
            x = next;
            if (close) {
                break;
            }
        }
        return 2 * x;
    }
}
