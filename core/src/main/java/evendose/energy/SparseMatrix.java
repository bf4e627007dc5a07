package evendose.energy;

import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.Arrays;

/**
 * Compressed sparse rows in blocks: entries of row {@code r} of a block are {@code value[start[r]]} to before {@code start[r + 1]},
 * their columns likewise and rising.
 *
 * @serial exclude
 */
final class SparseMatrix implements Serializable {
    private static final long serialVersionUID = 1L;

    private final Block[] blocks;

    SparseMatrix(Block[] blocks) {
        this.blocks = blocks;
    }

    /** Some rows, never changed. */
    static final class Block implements Serializable {
        private static final long serialVersionUID = 1L;

        private final int from;
        private final int[] start;
        private final int[] column;
        private final float[] value;

        private Block(int from, int[] start, int[] column, float[] value) {
            this.from = from;
            this.start = start;
            this.column = column;
            this.value = value;
        }
    }

    /** Collects the entries of one block after the other, row by row. */
    static final class Rows {
        private int from;
        private int row;
        private int size;
        private int[] start = new int[64];
        private int[] column = new int[1024];
        private float[] value = new float[1024];

        /** Begins the rows {@code first} to {@code end - 1}. */
        void begin(int first, int end) {
            from = first;
            row = 0;
            size = 0;
            if (start.length <= end - first) {
                start = new int[end - first + 1];
            }
        }

        /** Appends an entry to the row being filled. */
        void add(int toColumn, double entry) {
            if (size == column.length) {
                column = Arrays.copyOf(column, 2 * size);
                value = Arrays.copyOf(value, 2 * size);
            }
            column[size] = toColumn;
            value[size++] = (float) entry;
        }

        /** Closes the row being filled. */
        void endRow() {
            start[++row] = size;
        }

        /** {@return the rows that were closed} */
        Block toBlock() {
            return new Block(
                    from, Arrays.copyOf(start, row + 1), Arrays.copyOf(column, size), Arrays.copyOf(value, size));
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
            sum += b.column.length;
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
