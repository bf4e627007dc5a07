package evendose.energy;

import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * Compressed sparse rows in blocks: entries of row {@code r} of a block are {@code value[start[r]]} to before {@code start[r + 1]},
 * their columns likewise and rising. A block is filled row by row by one thread and then never changes.
 */
final class SparseMatrix {
    private final Block[] blocks;

    SparseMatrix(Block[] blocks) {
        this.blocks = blocks;
    }

    /** The rows {@code from} to {@code to - 1}. */
    static final class Block {
        private final int from;
        private final int[] start;
        private int row;
        private int size;
        private int[] column;
        private float[] value;

        Block(int from, int to) {
            this.from = from;
            this.start = new int[to - from + 1];
            this.column = new int[4 * (to - from)];
            this.value = new float[4 * (to - from)];
        }

        /** Appends an entry to the row being filled. */
        void add(int toColumn, double entry) {
            if (size == column.length) {
                column = Arrays.copyOf(column, 2 * size + 16);
                value = Arrays.copyOf(value, 2 * size + 16);
            }
            column[size] = toColumn;
            value[size++] = (float) entry;
        }

        /** Closes the row being filled. */
        void endRow() {
            start[++row] = size;
        }

        /** Gives back what was reserved in vain. */
        Block trim() {
            column = Arrays.copyOf(column, size);
            value = Arrays.copyOf(value, size);
            return this;
        }
    }

    /** Sets {@code y = A x}. */
    void multiply(double[] x, double[] y, Workers workers) {
        workers.run(blocks.length, b -> {
            Block block = blocks[b];
            int[] column = block.column;
            float[] value = block.value;
            int q = 0;
            for (int r = 0; r + 1 < block.start.length; r++) {
                double sum = 0;
                for (int end = block.start[r + 1]; q < end; q++) {
                    sum += value[q] * x[column[q]];
                }
                y[block.from + r] = sum;
            }
        });
    }

    /** Number of stored entries. */
    long entries() {
        long sum = 0;
        for (Block b : blocks) {
            sum += b.size;
        }
        return sum;
    }

    /** Memory taken, bytes. */
    long bytes() {
        long sum = 0;
        for (Block b : blocks) {
            sum += 4L * b.start.length + 8L * b.column.length;
        }
        return sum;
    }
}
