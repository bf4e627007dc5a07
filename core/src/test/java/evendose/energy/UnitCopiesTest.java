package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.function.IntFunction;
import org.junit.jupiter.api.Test;

/** Which units are copies, found here by writing each down relative to its first corner; and the matrix with and without them. */
class UnitCopiesTest {
    private static final Workers WORKERS = Workers.of(2);
    private static final List<GaussianTerm> TERMS =
            List.of(new GaussianTerm(0.5, 0.03), new GaussianTerm(0.1, 0.4), new GaussianTerm(0.2, 1.7));

    /** Squares, bars, slanted pieces lying and standing, and units of two pieces, at places that no binary number holds exactly. */
    private static Pieces mixture(int units, long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        TestPieces all = new TestPieces();
        for (int u = 0; u < units; u++) {
            double x = 0.001 * random.nextInt(40_000) + 900;
            double y = 0.001 * random.nextInt(40_000) - 700;
            switch (random.nextInt(6)) {
                case 0 -> all.rectangle(x, y, x + 0.3, y + 0.3);
                case 1 -> all.rectangle(x, y, x + 0.3, y + (random.nextInt(2) == 0 ? 0.301 : 0.9));
                case 2 -> all.unit().trapezoid(y, y + 0.3, x, x + 0.3, x + 0.1, x + 0.3);
                case 3 -> all.unit().standing(x, x + 0.3, y, y + 0.3, y + 0.1, y + 0.3);
                case 4 ->
                    all.unit()
                            .trapezoid(y, y + 0.3, x, x + 0.3, x, x + 0.3)
                            .trapezoid(y + 0.3, y + 0.5, x, x + 0.3, x, x + 0.2);
                default -> all.rectangle(x, y, x + 0.001 * (100 + u), y + 0.2);
            }
        }
        return all.build();
    }

    private static boolean[] someInterior(int units) {
        boolean[] interior = new boolean[units];
        for (int u = 0; u < units; u += 7) {
            interior[u] = true;
        }
        return interior;
    }

    private static long pm(double um) {
        return Math.round(1e6 * um);
    }

    private static String pieces(Pieces p, int u) {
        int first = p.unitFirst(u);
        StringBuilder text = new StringBuilder();
        for (int i = first; i < p.unitFirst(u + 1); i++) {
            text.append(p.standing(i) ? "standing " : "level ");
            for (int k = 0; k < 4; k++) {
                text.append(pm(p.cornerXUm(i, k) - p.leftUm(first))).append(' ');
                text.append(pm(p.cornerYUm(i, k) - p.bottomUm(first))).append(' ');
            }
        }
        return text.toString();
    }

    private static String samples(Samples s, int u) {
        int first = s.first(u);
        StringBuilder text = new StringBuilder(s.interior(u) ? "interior " : "edge ");
        for (int j = first; j < s.first(u + 1); j++) {
            text.append(pm(s.xUm(j) - s.xUm(first))).append(' ');
            text.append(pm(s.yUm(j) - s.yUm(first)))
                    .append(' ')
                    .append(s.weight(j))
                    .append(' ');
        }
        return text.toString();
    }

    private static int[] firstOfEach(int units, IntFunction<String> text) {
        TreeMap<String, Integer> first = new TreeMap<>();
        TreeMap<String, Integer> count = new TreeMap<>();
        for (int u = 0; u < units; u++) {
            first.putIfAbsent(text.apply(u), u);
            count.merge(text.apply(u), 1, Integer::sum);
        }
        int[] all = new int[units];
        for (int u = 0; u < units; u++) {
            all[u] = count.get(text.apply(u)) > 1 ? first.get(text.apply(u)) : -1;
        }
        return all;
    }

    @Test
    void copiesAreThoseThatAreEqualButForTheirPlace() {
        int units = 6000;
        Pieces p = mixture(units, 1);
        Samples s = TestPieces.sideSamples(p, 2, someInterior(units));
        UnitCopies copies = UnitCopies.of(p, s, WORKERS);
        int[] ofPieces = new int[units];
        int[] ofSamples = new int[units];
        for (int u = 0; u < units; u++) {
            ofPieces[u] = copies.ofPieces(u);
            ofSamples[u] = copies.ofSamples(u);
        }
        assertArrayEquals(firstOfEach(units, u -> pieces(p, u)), ofPieces);
        assertArrayEquals(firstOfEach(units, u -> samples(s, u)), ofSamples);
        assertTrue(Arrays.stream(ofPieces).anyMatch(v -> v < 0));
        assertTrue(Arrays.stream(ofPieces).filter(v -> v >= 0).distinct().count() >= 6);
        assertEquals(-1, UnitCopies.none(p, s).ofPieces(0));
    }

    @Test
    void theWayIsMeasuredFromTheSamplesToThePieces() {
        Pieces p = new TestPieces()
                .rectangle(10, 20, 11, 21)
                .unit()
                .standing(13.25, 14, 17, 18, 17.5, 18)
                .build();
        Samples s = TestPieces.sideSamples(p, 1, new boolean[2]);
        UnitCopies copies = UnitCopies.of(p, s, WORKERS);
        double quantum = 0x1p-30;
        // The first sample of the first unit lies in the middle of its lower side.
        assertEquals(10.5, s.xUm(0));
        assertEquals(20.0, s.yUm(0));
        assertEquals(2.75 / quantum, copies.right(0, 1));
        assertEquals(-3 / quantum, copies.above(0, 1));
    }

    private static double[] product(Pieces p, Samples s, UnitCopies copies, Workers workers) {
        SparseMatrix matrix =
                NearField.assemble(p, s, new PieceIndex(p), copies, TERMS, 1, 0.5, workers, Progress.NONE);
        double[] criterion = new double[p.units()];
        matrix.multiply(new SplittableRandom(3).doubles(p.units(), 0.5, 2).toArray(), criterion, workers);
        return criterion;
    }

    /** Lattices, whose units meet the same neighbours again and again, and a mixture, with and without memory. */
    @Test
    void whatIsRememberedIsWhatWouldBeComputed() {
        TestPieces lattice = new TestPieces();
        // Wider than the farthest terms reach, so that all neighbours there are to meet are met.
        for (int i = 0; i < 42; i++) {
            for (int j = 0; j < 42; j++) {
                double x = 0.001 * (420 * i + 210 * (j % 2));
                double y = 0.001 * 364 * j;
                if (i % 3 == 0) {
                    lattice.rectangle(x, y, x + 0.2, y + 0.2);
                } else {
                    lattice.polygon(x + 0.1, y, x + 0.2, y + 0.1, x + 0.1, y + 0.2, x, y + 0.1);
                }
            }
        }
        for (Pieces p : List.of(lattice.build(), mixture(3000, 2))) {
            Samples s = TestPieces.sideSamples(p, 2, someInterior(p.units()));
            double[] with = product(p, s, UnitCopies.of(p, s, WORKERS), WORKERS);
            double[] without = product(p, s, UnitCopies.none(p, s), WORKERS);
            assertArrayEquals(without, with, 2e-8);
            try (Workers one = Workers.of(1)) {
                assertArrayEquals(with, product(p, s, UnitCopies.of(p, s, one), one));
            }
        }
    }

    @Test
    void memoryHoldsWhatItWasGivenOrNothing() {
        PairMemory memory = new PairMemory();
        memory.clear();
        SplittableRandom random = new SplittableRandom(5);
        int pairs = 60_000;
        long[][] key = new long[pairs][];
        for (int k = 0; k < pairs; k++) {
            key[k] = new long[] {
                random.nextInt(4), random.nextInt(4), random.nextLong(-1L << 40, 1L << 40), random.nextInt(1 << 20)
            };
            memory.put((int) key[k][0], (int) key[k][1], key[k][2], key[k][3], k);
            assertEquals(k, memory.get((int) key[k][0], (int) key[k][1], key[k][2], key[k][3]));
            // All of the first thousand are there until others come.
            if (k == 999) {
                for (int i = 0; i < k; i++) {
                    assertEquals(i, memory.get((int) key[i][0], (int) key[i][1], key[i][2], key[i][3]));
                }
            }
        }
        int forgotten = 0;
        for (int k = 0; k < pairs; k++) {
            double value = memory.get((int) key[k][0], (int) key[k][1], key[k][2], key[k][3]);
            forgotten += Double.isNaN(value) ? 1 : 0;
            assertTrue(Double.isNaN(value) || value == k);
            assertTrue(Double.isNaN(memory.get((int) key[k][0], (int) key[k][1], key[k][2], key[k][3] + 1)));
            assertTrue(Double.isNaN(memory.get((int) key[k][0], (int) key[k][1] + 4, key[k][2], key[k][3])));
        }
        assertTrue(forgotten < pairs - 8000, forgotten + " of " + pairs);
        memory.clear();
        assertTrue(Double.isNaN(memory.get((int) key[9][0], (int) key[9][1], key[9][2], key[9][3])));
    }
}
