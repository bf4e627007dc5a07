package evendose.calibration;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;

/**
 * Something that a dose test may write and read once: a ring or disc on a ladder of doses, or lines at one dose.
 *
 * @param reading what is read, with the value expected
 * @param doses ladder numbers it is written at
 * @param every whether each dose of the ladder is written (1), each second or each third
 * @param stepLog logarithm of the ratio of neighbouring doses of the ladder
 * @param chargeUc charge of all doses, uC
 * @param group readings of one group exclude each other
 */
record OfferedReading(
        Measurement reading, List<Integer> doses, int every, double stepLog, double chargeUc, String group) {
    /** Inner over outer radii of rings and radii of discs, over beta. */
    private static final double[] RING_INNER = {0.25, 0.4, 0.55, 0.7, 0.85, 1, 1.15};

    private static final double[] RING_OUTER = {0.75, 1, 1.5, 2};
    private static final double THINNEST_RING = 0.2;
    private static final double[] DISCS = {0.02, 0.035, 0.06, 0.1, 0.17, 0.3, 0.5, 0.75, 1, 1.4, 2, 3};

    /** Discs smaller than this many alpha answer to the beam as much as to what scatters. */
    private static final double SMALLEST_DISC = 10;

    /** Doses above this many clearing doses may do other things to a resist than expose it. */
    private static final double HIGHEST_DOSE = 8;

    /** Line widths over alpha, densities of gratings, steps of the ladder at which lines are written. */
    private static final double[] WIDTHS = {4, 10, 25};

    private static final double[] DENSITIES = {0.25, 0.5, 0.75};
    private static final int[] LINE_DOSES = {-4, -2, 0, 2, 4};
    private static final double LONE_LENGTH = 2;
    private static final double PATCH = 3;

    /** Clearing doses may be found on every, every second or every third dose of the ladder. */
    private static final int COARSEST = 3;

    /** All there are for a process: rings, discs, lone lines, gratings. */
    static List<OfferedReading> all(DoseTestPattern.Guess guess, double[][] terms) {
        Offers offers = new Offers(guess, terms, new ArrayList<>());
        offers.clearing();
        offers.lines();
        return offers.all;
    }

    /**
     * Standard error of the reading: of the logarithm of a clearing dose, or of a width, um.
     *
     * @param clearing how clearing doses scatter, relative
     * @param widthUm how widths scatter, um
     */
    double standardError(double clearing, double widthUm) {
        return reading.kind() == Measurement.Kind.WIDTH
                ? widthUm
                : 1 / Math.sqrt(Likelihood.information(clearing, every * stepLog));
    }

    private record Offers(DoseTestPattern.Guess guess, double[][] terms, List<OfferedReading> all) {
        void clearing() {
            double beta = guess.betaUm();
            for (double inner : RING_INNER) {
                for (double outer : RING_OUTER) {
                    if (outer - inner >= THINNEST_RING - 1e-9) {
                        offer(new TestFigure.Ring(nm(inner * beta), nm(outer * beta)));
                    }
                }
            }
            for (double r : DISCS) {
                if (r * beta > SMALLEST_DISC * guess.alphaUm()) {
                    offer(new TestFigure.Ring(0, nm(r * beta)));
                }
            }
        }

        void lines() {
            double beta = guess.betaUm();
            for (double w : WIDTHS) {
                offer(new TestFigure.Lines(
                        even(w * guess.alphaUm()), Double.POSITIVE_INFINITY, 1, nm(LONE_LENGTH * beta)));
            }
            double width = even(WIDTHS[WIDTHS.length - 1] * guess.alphaUm());
            for (double density : DENSITIES) {
                double pitch = nm(width / density);
                int count = 2 * (int) Math.round(PATCH * beta / pitch / 2) + 1;
                offer(new TestFigure.Lines(width, pitch, count, nm(PATCH * beta)));
            }
        }

        private void offer(TestFigure.Ring ring) {
            int middle = ladderNumber(FigureEnergy.ring(ring, terms[0], terms[1]));
            if (doseUcPerCm2(middle) > HIGHEST_DOSE * guess.clearingDoseUcPerCm2()) {
                return;
            }
            for (int every = 1; every <= COARSEST; every++) {
                int half = guess.dosesPerRing() / 2 / every;
                if (half == 0) {
                    continue;
                }
                List<Integer> doses = new ArrayList<>();
                for (int k = -half; k <= half; k++) {
                    doses.add(middle + k * every);
                }
                Measurement reading =
                        Measurement.clearing(ring, doseUcPerCm2(middle), OptionalDouble.empty(), all.size());
                add(reading, doses, every, reading.label());
            }
        }

        private void offer(TestFigure.Lines lines) {
            int middle = ladderNumber(FigureEnergy.lines(lines, lines.widthUm() / 2, terms[0], terms[1]));
            for (int k : LINE_DOSES) {
                double dose = doseUcPerCm2(middle + k);
                double width = FigureEnergy.width(
                        lines, guess.clearingDoseUcPerCm2() / dose, lines.widthUm() / 2, terms[0], terms[1]);
                if (width > lines.widthUm() / 2 && width < lines.pitchUm()) {
                    Measurement reading = Measurement.width(lines, dose, width, OptionalDouble.empty(), all.size());
                    add(reading, List.of(middle + k), 1, reading.label() + " " + k);
                }
            }
        }

        private void add(Measurement reading, List<Integer> doses, int every, String group) {
            double charge = doses.stream()
                    .mapToDouble(k -> DoseTestPattern.chargeUc(doseUcPerCm2(k), reading.figure()))
                    .sum();
            all.add(new OfferedReading(reading, doses, every, stepLog(), charge, group));
        }

        private double stepLog() {
            return Math.log1p(guess.stepPercent() / 100);
        }

        private int ladderNumber(double energy) {
            return (int) Math.round(-Math.log(energy) / stepLog());
        }

        private double doseUcPerCm2(int step) {
            return guess.doseUcPerCm2(step);
        }

        private static double nm(double um) {
            return Math.rint(um * 1e3) / 1e3;
        }

        /** Rounded to 2 nm, so that both edges lie on the grid. */
        private static double even(double um) {
            return Math.max(1, Math.rint(um * 500)) / 500;
        }
    }
}
