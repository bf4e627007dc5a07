package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.OutlinePoints;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/** Borders against a search through all of them: those that take away most of the sum of squares, by length of outline. */
class BestBorderTest {
    private static final double SHORTEST_UM = 0.1;
    private static final double BESIDE_UM = SHORTEST_UM / 2 * (1 - 1e-6);

    /** Points along the four sides of a rectangle of 4 um by 1 um, of different lengths. */
    private static OutlinePoints points(SplittableRandom random, int perSide) {
        OutlinePoints points = OutlinePoints.ofSize(4 * perSide);
        double[][] sides = {{0, 0, 4, 0}, {4, 0, 4, 1}, {4, 1, 0, 1}, {0, 1, 0, 0}};
        for (int k = 0; k < points.size(); k++) {
            double[] s = sides[k / perSide];
            double t = (k % perSide + random.nextDouble(0.1, 0.9)) / perSide;
            put(points, k, s[0] + t * (s[2] - s[0]), s[1] + t * (s[3] - s[1]), random.nextDouble(0.05, 0.3));
        }
        return points;
    }

    private static void put(OutlinePoints points, int k, double x, double y, double lengthUm) {
        points.inCellXUm()[k] = x;
        points.inCellYUm()[k] = y;
        points.lengthUm()[k] = (float) lengthUm;
    }

    private static int[] all(OutlinePoints points) {
        return IntStream.range(0, points.size()).toArray();
    }

    private static double squares(OutlinePoints points, double[] off, int[] in) {
        double length = length(points, in);
        double mean = Arrays.stream(in)
                        .mapToDouble(p -> points.lengthUm()[p] * off[p])
                        .sum()
                / length;
        return Arrays.stream(in)
                .mapToDouble(p -> points.lengthUm()[p] * (off[p] - mean) * (off[p] - mean))
                .sum();
    }

    private static double length(OutlinePoints points, int[] in) {
        return Arrays.stream(in).mapToDouble(p -> points.lengthUm()[p]).sum();
    }

    private static double beside(OutlinePoints points, int[] in, double[] along, double at) {
        return length(
                points,
                Arrays.stream(in)
                        .filter(p -> Math.abs(along[p] - at) < BESIDE_UM)
                        .toArray());
    }

    /** What a border takes off the squares; 0 where a part would have too little outline, or most of it beside the border. */
    private static double worth(OutlinePoints points, double[] off, int[] in, boolean alongY, double at) {
        double[] along = alongY ? points.inCellYUm() : points.inCellXUm();
        int[] low = Arrays.stream(in).filter(p -> along[p] < at).toArray();
        int[] high = Arrays.stream(in).filter(p -> along[p] > at).toArray();
        double shorter = Math.min(length(points, low), length(points, high));
        double severed = Math.abs(beside(points, low, along, at) - beside(points, high, along, at));
        return shorter < 0.4 * SHORTEST_UM || severed > 0.2 * shorter
                ? 0
                : squares(points, off, in) - squares(points, off, low) - squares(points, off, high);
    }

    @Test
    void theBestBordersAreFoundInTheirOrder() {
        SplittableRandom random = new SplittableRandom(9);
        int divided = 0;
        for (int trial = 0; trial < 60; trial++) {
            OutlinePoints points = points(random, 12);
            double[] off = new double[points.size()];
            double step = random.nextDouble(4);
            for (int p = 0; p < off.length; p++) {
                double place = trial % 2 == 0 ? points.inCellXUm()[p] : 4 * points.inCellYUm()[p];
                off[p] = 1e-4 * Math.rint(1e4 * ((place > step ? 0.05 : 0) + random.nextDouble(0.02)));
            }
            double right = trial % 3 == 0 ? 2.5 : 4;
            int[] in = Arrays.stream(all(points))
                    .filter(p -> points.inCellXUm()[p] <= right)
                    .toArray();
            double best = 0;
            for (boolean alongY : new boolean[] {false, true}) {
                double to = alongY ? 1 : right;
                double[] place = Arrays.stream(in)
                        .mapToDouble(p -> alongY ? points.inCellYUm()[p] : points.inCellXUm()[p])
                        .sorted()
                        .toArray();
                for (int k = 0; k + 1 < place.length; k++) {
                    double at = Math.max(BESIDE_UM, Math.min(to - BESIDE_UM, 0.5 * (place[k] + place[k + 1])));
                    if (at > place[k] && at < place[k + 1]) {
                        best = Math.max(best, worth(points, off, in, alongY, at));
                    }
                }
            }
            List<BestBorder.Found> found = new BestBorder(points, off, SHORTEST_UM).of(in, 1e-4, 9, 0, 0, right, 1);
            assertEquals(best >= 1e-4, !found.isEmpty(), "trial " + trial);
            if (found.isEmpty()) {
                continue;
            }
            divided++;
            assertEquals(best, found.get(0).worth(), 1e-9, "trial " + trial);
            assertTrue(found.size() <= 6);
            for (int k = 0; k < found.size(); k++) {
                BestBorder.Found f = found.get(k);
                assertEquals(worth(points, off, in, f.alongY(), f.at()), f.worth(), 1e-9, "what it is worth");
                assertTrue(f.worth() >= 1e-4);
                for (int i = 0; i < k; i++) {
                    assertTrue(f.worth() <= found.get(i).worth() + 1e-9);
                    assertTrue(found.get(i).alongY() != f.alongY()
                            || Math.abs(found.get(i).at() - f.at()) >= BESIDE_UM);
                }
            }
        }
        assertTrue(divided > 40, "divided " + divided);
    }

    /** A bar along x, its two sides and its ends, from x = 0 on. */
    private static OutlinePoints bar(double lengthUm, double widthUm, int perSide) {
        OutlinePoints points = OutlinePoints.ofSize(2 * perSide);
        for (int k = 0; k < perSide; k++) {
            double x = lengthUm * (k + 0.5) / perSide;
            put(points, k, x, 0, lengthUm / perSide);
            put(points, 2 * perSide - 1 - k, x, widthUm, lengthUm / perSide);
        }
        return points;
    }

    /** A part of a bar that goes on at both ends: cut across, its parts have two sides each, which are at least as long as the shortest. */
    @Test
    void straightOutlineIsCutIntoPartsOfTheShortestLength() {
        for (double lengthUm : new double[] {0.19, 0.2}) {
            OutlinePoints points = bar(lengthUm, 1, 10);
            double[] off = new double[20];
            for (int p = 0; p < 20; p++) {
                off[p] = points.inCellXUm()[p] < lengthUm / 2 ? 0.03 : 0;
            }
            List<BestBorder.Found> found =
                    new BestBorder(points, off, SHORTEST_UM).of(all(points), 1e-5, 9, 0, 0, lengthUm, 1);
            assertEquals(lengthUm == 0.2, found.stream().anyMatch(f -> !f.alongY()), "length " + lengthUm);
        }
    }

    /** Between the sides of a bar there is a border from a width of the shortest length on. */
    @Test
    void bothSidesOfABarComeApart() {
        for (double widthUm : new double[] {0.099, 0.1}) {
            OutlinePoints points = bar(2, widthUm, 20);
            double[] off = new double[40];
            Arrays.fill(off, 20, 40, 0.02);
            List<BestBorder.Found> found =
                    new BestBorder(points, off, SHORTEST_UM).of(all(points), 1e-5, 9, 0, 0, 2, widthUm);
            if (widthUm < 0.1) {
                assertTrue(found.isEmpty());
            } else {
                assertTrue(found.get(0).alongY());
                assertEquals(0.05, found.get(0).at(), 1e-6);
                assertEquals(
                        2 * 2 / 4.0 * 0.02 * 0.02, found.get(0).worth(), 1e-9, "half of 4 um by the square of 1 %");
            }
        }
    }

    private static BestBorder.Found finger(OutlinePoints points, double[] off) {
        return new BestBorder(points, off, SHORTEST_UM)
                .of(all(points), 1e-6, 9, 0, 0, 0.2, 0.9)
                .get(0);
    }

    /**
     * The end of a finger, 0.06 um long and 0.2 um wide, with a side each and the tip: no side is as long as the shortest, but the outline
     * round it is.
     */
    @Test
    void theEndOfAFingerIsOutlineThatGoesOn() {
        OutlinePoints points = OutlinePoints.ofSize(10);
        for (int k = 0; k < 4; k++) {
            put(points, k, 0.2, 0.1 + 0.2 * k, 0.2);
            put(points, 9 - k, 0, 0.1 + 0.2 * k, 0.2);
        }
        put(points, 4, 0.2, 0.86, 0.02);
        put(points, 5, 0, 0.86, 0.02);
        double[] off = new double[10];
        off[4] = 0.05;
        off[5] = 0.05;
        BestBorder.Found best = finger(points, off);
        assertTrue(best.alongY() && best.at() > 0.7 && best.at() <= 0.85, best.toString());
        // The same finger the other way up.
        OutlinePoints down = OutlinePoints.ofSize(10);
        for (int k = 0; k < 10; k++) {
            put(down, k, points.inCellXUm()[k], 0.9 - points.inCellYUm()[k], points.lengthUm()[k]);
        }
        best = finger(down, off);
        assertTrue(best.alongY() && best.at() < 0.2 && best.at() >= 0.05, best.toString());
        // Less of it counts where units are judged than a part must have.
        points.lengthUm()[4] = 0.0195f;
        best = finger(points, off);
        assertTrue(best.at() < 0.7, best.toString());
        points.lengthUm()[4] = 0.02f;
        // Without the outline round its tip it would be too short.
        OutlinePoints apart = OutlinePoints.ofSize(11);
        for (int k = 0; k < 11; k++) {
            int from = k < 5 ? k : k == 5 ? 0 : k - 1;
            put(apart, k, points.inCellXUm()[from], points.inCellYUm()[from], points.lengthUm()[from]);
        }
        double[] offApart = new double[11];
        offApart[4] = 0.05;
        offApart[6] = 0.05;
        int[] withoutNeighbours = {0, 1, 2, 3, 4, 6, 7, 8, 9, 10};
        assertFalse(new BestBorder(apart, offApart, SHORTEST_UM)
                .of(withoutNeighbours, 1e-6, 9, 0, 0, 0.2, 0.9).stream().anyMatch(f -> f.alongY() && f.at() > 0.75));
    }

    /**
     * A straight edge beside holes, which are off otherwise. Where they are 40 nm apart, a border between them would leave the edge with the
     * holes, as the cutter leaves what reaches across by so little. The cell is divided elsewhere.
     */
    @Test
    void outlineBesideABorderIsNotSevered() {
        for (double gapUm : new double[] {0.04, 0.2}) {
            int n = 80;
            OutlinePoints points = OutlinePoints.ofSize(n);
            double[] off = new double[n];
            for (int p = 0; p < n; p++) {
                boolean isEdge = p < 40;
                put(points, p, 0.1 * (p % 40 + 0.5), isEdge ? 0.7 : 0.7 - gapUm - 0.1 * (p % 3), 0.1);
                off[p] = isEdge ? -0.05 : 0.01 * points.inCellXUm()[p];
            }
            BestBorder.Found border = new BestBorder(points, off, SHORTEST_UM)
                    .of(all(points), 1e-5, 9, 0, 0, 4, 1)
                    .get(0);
            // With the wider gap between edge and holes, with the narrower one below the first row of them.
            assertTrue(border.alongY() && border.at() <= 0.7 - 0.05, border.toString());
        }
    }

    /** Little outline that is far off: not worth much, but parts that differ by more than asked for are told as well. */
    @Test
    void partsThatDifferMuchAreToldWhateverTheyAreWorth() {
        OutlinePoints points = bar(4, 1, 40);
        double[] off = new double[80];
        off[0] = 0.02;
        off[79] = 0.02;
        BestBorder borders = new BestBorder(points, off, SHORTEST_UM);
        // 0.2 um of 8 off by 0.02: worth 0.195 um times the square.
        assertTrue(borders.of(all(points), 0.2 * 4e-4, 9, 0, 0, 4, 1).isEmpty());
        assertTrue(borders.of(all(points), 1, 0.0201, 0, 0, 4, 1).isEmpty());
        BestBorder.Found found = borders.of(all(points), 1, 0.0199, 0, 0, 4, 1).get(0);
        assertFalse(found.alongY());
        assertEquals(0.1, found.at(), 1e-9);
        assertEquals(0.02, found.apart(), 1e-12);
        assertEquals(0.2 * 7.8 / 8 * 4e-4, found.worth(), 1e-9);
    }

    /** Differences of less than a grain are none: rounding must not decide. */
    @Test
    void grainsAreNotTold() {
        SplittableRandom random = new SplittableRandom(3);
        OutlinePoints points = points(random, 12);
        double[] off = random.doubles(points.size(), 0.00996, 0.01004).toArray();
        assertTrue(new BestBorder(points, off, SHORTEST_UM)
                .of(all(points), 1e-12, 9, 0, 0, 4, 1)
                .isEmpty());
    }
}
