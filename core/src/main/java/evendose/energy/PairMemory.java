package evendose.energy;

import java.util.Arrays;

/**
 * Remembers what units add to others, by the first copy of each ({@link UnitCopies}) and the way between them. Holds so many pairs at most
 * and forgets one when another comes.
 */
final class PairMemory {
    /** A power of two. */
    private static final int SLOTS = 1 << 14;

    /** A pair lies at most so many slots from its own. */
    private static final int PROBES = 8;

    private final int[] samples = new int[SLOTS];
    private final int[] pieces = new int[SLOTS];
    private final long[] right = new long[SLOTS];
    private final long[] above = new long[SLOTS];
    private final double[] value = new double[SLOTS];

    /** Forgets all, so that what a part finds does not depend on parts before it. */
    void clear() {
        Arrays.fill(samples, -1);
    }

    /** {@return what the pair adds, or NaN if it is not remembered} */
    double get(int ofSamples, int ofPieces, long toRight, long toAbove) {
        int slot = slot(ofSamples, ofPieces, toRight, toAbove);
        return isAt(slot, ofSamples, ofPieces, toRight, toAbove) ? value[slot] : Double.NaN;
    }

    /** Remembers what the pair adds. */
    void put(int ofSamples, int ofPieces, long toRight, long toAbove, double adds) {
        int slot = slot(ofSamples, ofPieces, toRight, toAbove);
        samples[slot] = ofSamples;
        pieces[slot] = ofPieces;
        right[slot] = toRight;
        above[slot] = toAbove;
        value[slot] = adds;
    }

    /** Where the pair is or comes to be: in the first of a few free slots, or in its own for want of one. */
    private int slot(int ofSamples, int ofPieces, long toRight, long toAbove) {
        long hash = UnitCopies.mix(UnitCopies.mix(ofSamples, ofPieces), UnitCopies.mix(toRight, toAbove));
        int home = (int) (hash >>> 40) & SLOTS - 1;
        for (int k = 0; k < PROBES; k++) {
            int slot = home + k & SLOTS - 1;
            if (samples[slot] < 0 || isAt(slot, ofSamples, ofPieces, toRight, toAbove)) {
                return slot;
            }
        }
        return home;
    }

    private boolean isAt(int slot, int ofSamples, int ofPieces, long toRight, long toAbove) {
        return samples[slot] == ofSamples
                && pieces[slot] == ofPieces
                && right[slot] == toRight
                && above[slot] == toAbove;
    }
}
