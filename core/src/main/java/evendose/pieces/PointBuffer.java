package evendose.pieces;

import java.util.Arrays;

/** A growing list of points where the outcome is measured; their weights are lengths of outline, um. See {@link OutlinePoints}. */
final class PointBuffer extends SampleBuffer {
    boolean[] nearCorner = new boolean[64];
    double[] inCellX = new double[64];
    double[] inCellY = new double[64];

    @Override
    void add(double px, double py, double lengthUm, int u) {
        super.add(px, py, lengthUm, u);
        nearCorner[size - 1] = false;
        inCellX[size - 1] = px;
        inCellY[size - 1] = py;
    }

    /** Lets the last point stand for a side near corners. */
    void markNearCorner() {
        nearCorner[size - 1] = true;
    }

    /** Adds point {@code k} of another list. */
    void add(PointBuffer other, int k, int u) {
        add(other.x[k], other.y[k], other.weight[k], u);
        nearCorner[size - 1] = other.nearCorner[k];
    }

    /** Adds point {@code k} of some outline. */
    void add(OutlinePoints points, int k, int u) {
        add(points.xUm()[k], points.yUm()[k], points.lengthUm()[k], u);
        nearCorner[size - 1] = points.nearCorner()[k];
        inCellX[size - 1] = points.inCellXUm()[k];
        inCellY[size - 1] = points.inCellYUm()[k];
    }

    /** Brings point {@code k} into its cell for where it counts when that is divided: left, bottom, right, top, um. */
    void bringInto(int k, double... cellUm) {
        inCellX[k] = Math.max(cellUm[0], Math.min(cellUm[2], x[k]));
        inCellY[k] = Math.max(cellUm[1], Math.min(cellUm[3], y[k]));
    }

    @Override
    void grow(int length) {
        super.grow(length);
        nearCorner = Arrays.copyOf(nearCorner, length);
        inCellX = Arrays.copyOf(inCellX, length);
        inCellY = Arrays.copyOf(inCellY, length);
    }
}
