package evendose.pieces;

import java.util.Arrays;

/** Finds pieces by values in some of their columns, which must not change for pieces that are in it: a hash table without an object a piece. */
final class SideIndex {
    private final double[][] columns;
    private final boolean[] standing;
    private final int[] keys;
    private final int[] table;

    /**
     * An empty one.
     *
     * @param columns columns of all pieces
     * @param standing whether the parallel sides of each lie along y; only those alike are found
     * @param most how many pieces it may hold
     * @param keys the columns that pieces are found by
     */
    SideIndex(double[][] columns, boolean[] standing, int most, int... keys) {
        this.columns = columns;
        this.standing = standing;
        this.keys = keys;
        this.table = new int[2 * Integer.highestOneBit(Math.max(8, 2 * most - 1))];
        Arrays.fill(table, -1);
    }

    /** Puts piece {@code i} in; of pieces with the same values the last one counts. */
    void put(int i) {
        table[slot(i, keys)] = i;
    }

    /** The piece whose values in the columns of the index are those of piece {@code i} in {@code wanted}; -1 if there is none. */
    int find(int i, int... wanted) {
        return table[slot(i, wanted)];
    }

    private int slot(int i, int[] wanted) {
        long hash = standing[i] ? 1 : 0;
        for (int column : wanted) {
            // Adding 0 makes one of the two zeros.
            hash = (hash ^ Double.doubleToRawLongBits(columns[column][i] + 0.0)) * 0x9E3779B97F4A7C15L;
            hash ^= hash >>> 32;
        }
        int mask = table.length - 1;
        int slot = (int) hash & mask;
        while (table[slot] >= 0 && !same(table[slot], i, wanted)) {
            slot = (slot + 1) & mask;
        }
        return slot;
    }

    private boolean same(int known, int i, int[] wanted) {
        if (standing[known] != standing[i]) {
            return false;
        }
        for (int k = 0; k < keys.length; k++) {
            if (columns[keys[k]][known] != columns[wanted[k]][i]) {
                return false;
            }
        }
        return true;
    }
}
