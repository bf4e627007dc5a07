package evendose.calibration;

import java.util.function.DoubleBinaryOperator;
import org.apache.commons.numbers.gamma.Erf;
import org.apache.commons.numbers.gamma.ErfDifference;

/** Energies of test figures at dose 1, for point spread functions given as arrays of weights and ranges. Checks nothing. */
final class FigureEnergy {
    /** Lines further away than this many ranges give nothing. */
    private static final double REACH = 6;

    private static final double CLOSE_ENOUGH_UM = 1e-13;
    private static final int MOST_STEPS = 100;

    private FigureEnergy() {}

    /** Energy in the centre of a ring. */
    static double ring(TestFigure.Ring ring, double[] weight, double[] rangeUm) {
        double sum = 0;
        for (int k = 0; k < weight.length; k++) {
            double a = ring.innerRadiusUm() / rangeUm[k];
            double b = ring.outerRadiusUm() / rangeUm[k];
            sum += weight[k] * (Math.exp(-a * a) - Math.exp(-b * b));
        }
        return sum;
    }

    /** Energy at a distance from the axis of the middle line. */
    static double lines(TestFigure.Lines lines, double xUm, double[] weight, double[] rangeUm) {
        double sum = 0;
        for (int k = 0; k < weight.length; k++) {
            double s = rangeUm[k];
            sum += weight[k] * 0.5 * across(lines, xUm, s, ErfDifference::value) * along(lines, s);
        }
        return sum;
    }

    /** Derivative of {@link #lines} with the distance, 1/um. */
    static double slope(TestFigure.Lines lines, double xUm, double[] weight, double[] rangeUm) {
        double sum = 0;
        for (int k = 0; k < weight.length; k++) {
            double s = rangeUm[k];
            double across = across(lines, xUm, s, (a, b) -> Math.exp(-b * b) - Math.exp(-a * a));
            sum += weight[k] * across * along(lines, s) / (s * Math.sqrt(Math.PI));
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
            sum += one.applyAsDouble((x - half) / s, (x + half) / s);
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
