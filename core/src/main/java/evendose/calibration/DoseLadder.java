package evendose.calibration;

import evendose.files.NumberText;
import java.util.List;

/**
 * Whether doses lie on a ladder: whether their ratios are powers of one.
 *
 * @param ratio ratio of neighbouring doses of the ladder; 1 if there is none
 */
record DoseLadder(double ratio) {
    /** So few doses lie on some ladder by chance. */
    private static final int FEWEST = 5;

    /** The smallest distance of the doses may be so many steps. */
    private static final int MOST_STEPS = 4;

    private static final double SMALLEST_STEP = 0.005;

    /** How far off its place a dose may lie, in steps: what rounding to three digits does to a step of 5 %. */
    private static final double OFF = 0.05;

    /** The ladder of what values of bounds and intervals tell; the chance that five random doses lie on one is 1 in 250. */
    static DoseLadder of(List<Measurement> measurements) {
        double[] log = measurements.stream()
                .mapToDouble(m -> Math.log(m.value()))
                .sorted()
                .distinct()
                .toArray();
        double smallest = Double.POSITIVE_INFINITY;
        for (int k = 1; k < log.length; k++) {
            double difference = log[k] - log[k - 1];
            smallest = difference > SMALLEST_STEP ? Math.min(smallest, difference) : smallest;
        }
        if (log.length >= FEWEST && Double.isFinite(smallest)) {
            for (int parts = 1; parts <= MOST_STEPS; parts++) {
                double step = refined(log, smallest / parts);
                if (step > SMALLEST_STEP && holds(log, step)) {
                    return new DoseLadder(Math.exp(step));
                }
            }
        }
        return new DoseLadder(1);
    }

    /** The step that suits all distances best, from the nearest to the farthest: rounding of the smallest adds up else. */
    private static double refined(double[] log, double guess) {
        double step = guess;
        for (double l : log) {
            double steps = Math.rint((l - log[0]) / step);
            step = steps > 0 && Math.abs((l - log[0]) / step - steps) < 3 * OFF ? (l - log[0]) / steps : step;
        }
        return step;
    }

    private static boolean holds(double[] log, double step) {
        for (double l : log) {
            double steps = (l - log[0]) / step;
            if (Math.abs(steps - Math.rint(steps)) > OFF) {
                return false;
            }
        }
        return true;
    }

    /** The step in percent as a text of three digits. */
    String stepPercent() {
        return NumberText.plain(100 * (ratio - 1), 3);
    }

    boolean found() {
        return ratio > 1;
    }
}
