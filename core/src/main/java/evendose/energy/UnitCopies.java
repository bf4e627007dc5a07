package evendose.energy;

import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import java.util.Arrays;

/**
 * Which units are copies of each other, moved but not turned: arrays of dots, gratings and crystals consist of few different units, and
 * what one unit adds to another depends on the way between them alone. Samples and pieces of a unit are compared separately, since
 * edges covered by neighbours are not judged.
 */
final class UnitCopies {
    /** Lengths that differ by less are equal, um: far below any grid, far above rounding. */
    static final double SAME_UM = 0x1p-30;

    private static final int UNITS_PER_PART = 4096;

    private final Pieces pieces;
    private final Samples samples;
    private final int[] ofSamples;
    private final int[] ofPieces;

    private UnitCopies(Pieces pieces, Samples samples) {
        this.pieces = pieces;
        this.samples = samples;
        this.ofSamples = new int[pieces.units()];
        this.ofPieces = new int[pieces.units()];
    }

    /** Finds all copies. */
    static UnitCopies of(Pieces pieces, Samples samples, Workers workers) {
        UnitCopies copies = new UnitCopies(pieces, samples);
        copies.findFirst(copies.new OfSamples(), copies.ofSamples, workers);
        copies.findFirst(copies.new OfPieces(), copies.ofPieces, workers);
        return copies;
    }

    /** Takes no unit for a copy of another. */
    static UnitCopies none(Pieces pieces, Samples samples) {
        UnitCopies copies = new UnitCopies(pieces, samples);
        Arrays.fill(copies.ofSamples, -1);
        Arrays.fill(copies.ofPieces, -1);
        return copies;
    }

    /** Number of the first unit with the samples of unit {@code u}, moved; -1 if no other has them. */
    int ofSamples(int u) {
        return ofSamples[u];
    }

    /** Number of the first unit with the pieces of unit {@code v}, moved; -1 if no other has them. */
    int ofPieces(int v) {
        return ofPieces[v];
    }

    /** How far the pieces of unit {@code v} lie to the right of the samples of unit {@code u}, in {@link #SAME_UM}. */
    long right(int u, int v) {
        return whole(pieces.leftUm(pieces.unitFirst(v)) - samples.xUm(samples.first(u)));
    }

    /** How far the pieces of unit {@code v} lie above the samples of unit {@code u}, in {@link #SAME_UM}. */
    long above(int u, int v) {
        return whole(pieces.bottomUm(pieces.unitFirst(v)) - samples.yUm(samples.first(u)));
    }

    private static long whole(double um) {
        return Math.round(um / SAME_UM);
    }

    private static boolean same(double a, double b) {
        return Math.abs(a - b) < SAME_UM;
    }

    /** Sixty-four bits to which each bit of both contributes. */
    static long mix(long hash, long more) {
        long h = (hash ^ more) * 0x9E3779B97F4A7C15L;
        return h ^ h >>> 29;
    }

    /** What units are compared by. */
    private interface Likeness {
        long hash(int unit);

        boolean areCopies(int a, int b);
    }

    /** A unit with the hash of an earlier one that differs all the same counts as one without copies: that costs time and nothing else. */
    private void findFirst(Likeness likeness, int[] first, Workers workers) {
        int units = pieces.units();
        long[] hash = new long[units];
        workers.runRanges(units, UNITS_PER_PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                hash[u] = likeness.hash(u);
            }
        });
        findFirstWithHash(hash, first);
        workers.runRanges(units, UNITS_PER_PART, (from, to, part) -> {
            for (int u = from; u < to; u++) {
                if (!likeness.areCopies(first[u], u)) {
                    first[u] = -1;
                }
            }
        });
        boolean[] hasCopies = new boolean[units];
        for (int u = 0; u < units; u++) {
            if (first[u] >= 0 && first[u] != u) {
                hasCopies[first[u]] = true;
            }
        }
        for (int u = 0; u < units; u++) {
            if (first[u] == u && !hasCopies[u]) {
                first[u] = -1;
            }
        }
    }

    private static void findFirstWithHash(long[] hash, int[] first) {
        int mask = Math.max(2, Integer.highestOneBit(hash.length) << 2) - 1;
        int[] unitAfter = new int[mask + 1];
        for (int u = 0; u < hash.length; u++) {
            int slot = (int) hash[u] & mask;
            while (unitAfter[slot] != 0 && hash[unitAfter[slot] - 1] != hash[u]) {
                slot = slot + 1 & mask;
            }
            if (unitAfter[slot] == 0) {
                unitAfter[slot] = u + 1;
            }
            first[u] = unitAfter[slot] - 1;
        }
    }

    private final class OfSamples implements Likeness {
        @Override
        public long hash(int u) {
            int from = samples.first(u);
            int to = samples.first(u + 1);
            long h = samples.interior(u) ? 1 : 0;
            for (int j = from; j < to; j++) {
                h = mix(h, whole(samples.xUm(j) - samples.xUm(from)));
                h = mix(h, whole(samples.yUm(j) - samples.yUm(from)));
                h = mix(h, Float.floatToIntBits(samples.weight(j)));
            }
            return h;
        }

        @Override
        public boolean areCopies(int a, int b) {
            int from = samples.first(a);
            int other = samples.first(b);
            int size = samples.first(a + 1) - from;
            if (size != samples.first(b + 1) - other || samples.interior(a) != samples.interior(b)) {
                return false;
            }
            for (int k = 1; k < size; k++) {
                if (samples.weight(from + k) != samples.weight(other + k)
                        || !same(samples.xUm(from + k) - samples.xUm(from), samples.xUm(other + k) - samples.xUm(other))
                        || !same(
                                samples.yUm(from + k) - samples.yUm(from),
                                samples.yUm(other + k) - samples.yUm(other))) {
                    return false;
                }
            }
            return size == 0 || samples.weight(from) == samples.weight(other);
        }
    }

    private final class OfPieces implements Likeness {
        @Override
        public long hash(int u) {
            int from = pieces.unitFirst(u);
            int to = pieces.unitFirst(u + 1);
            if (from == to) {
                return 0;
            }
            double x = pieces.leftUm(from);
            double y = pieces.bottomUm(from);
            long h = to - from;
            for (int i = from; i < to; i++) {
                h = mix(h, pieces.standing(i) ? 1 : 0);
                double along = pieces.standing(i) ? y : x;
                double across = pieces.standing(i) ? x : y;
                h = mix(h, whole(pieces.lowUm()[i] - across));
                h = mix(h, whole(pieces.highUm()[i] - across));
                h = mix(h, whole(pieces.fromLowUm()[i] - along));
                h = mix(h, whole(pieces.toLowUm()[i] - along));
                h = mix(h, whole(pieces.fromHighUm()[i] - along));
                h = mix(h, whole(pieces.toHighUm()[i] - along));
            }
            return h;
        }

        @Override
        public boolean areCopies(int a, int b) {
            int from = pieces.unitFirst(a);
            int other = pieces.unitFirst(b);
            int size = pieces.unitFirst(a + 1) - from;
            if (size != pieces.unitFirst(b + 1) - other) {
                return false;
            }
            if (size == 0) {
                return true;
            }
            double right = pieces.leftUm(other) - pieces.leftUm(from);
            double above = pieces.bottomUm(other) - pieces.bottomUm(from);
            for (int k = 0; k < size; k++) {
                int i = from + k;
                int j = other + k;
                boolean standing = pieces.standing(i);
                double along = standing ? above : right;
                double across = standing ? right : above;
                if (standing != pieces.standing(j)
                        || !same(pieces.lowUm()[i] + across, pieces.lowUm()[j])
                        || !same(pieces.highUm()[i] + across, pieces.highUm()[j])
                        || !same(pieces.fromLowUm()[i] + along, pieces.fromLowUm()[j])
                        || !same(pieces.toLowUm()[i] + along, pieces.toLowUm()[j])
                        || !same(pieces.fromHighUm()[i] + along, pieces.fromHighUm()[j])
                        || !same(pieces.toHighUm()[i] + along, pieces.toHighUm()[j])) {
                    return false;
                }
            }
            return true;
        }
    }
}
