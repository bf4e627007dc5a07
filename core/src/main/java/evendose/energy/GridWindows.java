package evendose.energy;

import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.io.Serializable;
import java.util.Arrays;

/**
 * A sparse matrix between units and grid nodes whose rows are rectangular windows of dense weights: window {@code w} belongs to unit
 * {@code unit[w]}, its lower left node is {@code corner[w]}, it has {@code width[w]} columns and {@code height[w]} rows, and its
 * weights, row after row, follow those of window {@code w - 1}.
 *
 * @serial exclude
 */
final class GridWindows implements Serializable {
    private static final long serialVersionUID = 1L;

    private int size;
    private int[] unit;
    private int[] corner;
    private int[] width;
    private int[] height;
    private int weights;
    private transient float[] weight;

    GridWindows() {
        this(new int[64], new int[64], new int[64], new int[64], new float[1600]);
    }

    private GridWindows(int[] unit, int[] corner, int[] width, int[] height, float[] weight) {
        this.unit = unit;
        this.corner = corner;
        this.width = width;
        this.height = height;
        this.weight = weight;
    }

    /** Adds a window; {@code values} holds {@code columns * rows} weights. */
    void add(int ofUnit, int cornerNode, int columns, int rows, double[] values) {
        if (size == unit.length) {
            int longer = 2 * size;
            unit = Arrays.copyOf(unit, longer);
            corner = Arrays.copyOf(corner, longer);
            width = Arrays.copyOf(width, longer);
            height = Arrays.copyOf(height, longer);
        }
        int count = columns * rows;
        if (weights + count > weight.length) {
            weight = Arrays.copyOf(weight, Math.max(2 * weights, weights + count));
        }
        unit[size] = ofUnit;
        corner[size] = cornerNode;
        width[size] = columns;
        height[size] = rows;
        size++;
        for (int i = 0; i < count; i++) {
            weight[weights + i] = (float) values[i];
        }
        weights += count;
    }

    /** Removes all windows and keeps the room for others. */
    void clear() {
        size = 0;
        weights = 0;
    }

    /** The same windows without room for more. */
    GridWindows copy() {
        GridWindows copy = new GridWindows(
                Arrays.copyOf(unit, size),
                Arrays.copyOf(corner, size),
                Arrays.copyOf(width, size),
                Arrays.copyOf(height, size),
                Arrays.copyOf(weight, weights));
        copy.size = size;
        copy.weights = weights;
        return copy;
    }

    /** Adds {@code weight * value[unit]} to the nodes of a grid with {@code columns} columns. */
    void scatter(double[] value, double[] grid, int columns) {
        float[] a = weight;
        int p = 0;
        for (int w = 0; w < size; w++) {
            double v = value[unit[w]];
            int wide = width[w];
            int high = height[w];
            int o = corner[w];
            // A unit no larger than the pitch covers 4 or 5 nodes a row: written out, a row takes half the time.
            if (wide == 4) {
                for (int r = 0; r < high; r++) {
                    grid[o] += v * a[p];
                    grid[o + 1] += v * a[p + 1];
                    grid[o + 2] += v * a[p + 2];
                    grid[o + 3] += v * a[p + 3];
                    p += 4;
                    o += columns;
                }
            } else if (wide == 5) {
                for (int r = 0; r < high; r++) {
                    grid[o] += v * a[p];
                    grid[o + 1] += v * a[p + 1];
                    grid[o + 2] += v * a[p + 2];
                    grid[o + 3] += v * a[p + 3];
                    grid[o + 4] += v * a[p + 4];
                    p += 5;
                    o += columns;
                }
            } else {
                for (int r = 0; r < high; r++) {
                    for (int c = 0; c < wide; c++) {
                        grid[o + c] += v * a[p + c];
                    }
                    p += wide;
                    o += columns;
                }
            }
        }
    }

    /** Adds the weighted sum of the grid's nodes to {@code sum[unit]}. */
    void gather(double[] grid, int columns, double[] sum) {
        float[] a = weight;
        int p = 0;
        for (int w = 0; w < size; w++) {
            int wide = width[w];
            int high = height[w];
            int o = corner[w];
            double s = 0;
            if (wide == 4) {
                for (int r = 0; r < high; r++) {
                    s += (grid[o] * a[p] + grid[o + 1] * a[p + 1]) + (grid[o + 2] * a[p + 2] + grid[o + 3] * a[p + 3]);
                    p += 4;
                    o += columns;
                }
            } else if (wide == 5) {
                for (int r = 0; r < high; r++) {
                    s += (grid[o] * a[p] + grid[o + 1] * a[p + 1])
                            + (grid[o + 2] * a[p + 2] + grid[o + 3] * a[p + 3])
                            + grid[o + 4] * a[p + 4];
                    p += 5;
                    o += columns;
                }
            } else {
                for (int r = 0; r < high; r++) {
                    for (int c = 0; c < wide; c++) {
                        s += grid[o + c] * a[p + c];
                    }
                    p += wide;
                    o += columns;
                }
            }
            sum[unit[w]] += s;
        }
    }

    /** Memory taken, bytes. */
    long bytes() {
        return 16L * unit.length + 4L * weight.length;
    }

    private void writeObject(ObjectOutputStream out) throws IOException {
        out.defaultWriteObject();
        WindowWeights.write(weight, firstWeights(), out);
    }

    private void readObject(ObjectInputStream in) throws IOException, ClassNotFoundException {
        in.defaultReadObject();
        weight = WindowWeights.read(firstWeights(), in);
    }

    /** The first weight of each window, and their number at the end. */
    private int[] firstWeights() {
        int[] first = new int[size + 1];
        for (int w = 0; w < size; w++) {
            first[w + 1] = first[w] + width[w] * height[w];
        }
        return first;
    }
}
