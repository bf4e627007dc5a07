package evendose.pieces;

import java.io.Serializable;
import java.util.Arrays;

/**
 * Where the energy of each dose unit is judged: the criterion of unit {@code u} is the sum of {@code weight[j] * E(x[j], y[j])}
 * over its samples {@code first(u)} to {@code first(u + 1) - 1}. Weights are positive and sum to 1 over a unit.
 *
 * <p>A unit without an exposed edge is <em>interior</em>: it has samples inside it, and its direct term is judged by the
 * half-plane rule (half of its own dose) instead of by its value there. Where edges are judged beside the exposed outline, another share
 * takes the place of the half.
 *
 * @serial exclude
 */
public final class Samples implements Serializable {
    private static final long serialVersionUID = 1L;

    private final double[] xUm;
    private final double[] yUm;
    private final float[] weight;
    private final int[] first;
    private final boolean[] interior;
    private final double interiorShare;

    /**
     * Takes the arrays over without copying.
     *
     * @param xUm sample x, um
     * @param yUm sample y, um
     * @param weight sample weights
     * @param first first sample of each unit and the number of samples at the end
     * @param interior whether each unit follows the half-plane rule
     * @throws IllegalArgumentException if lengths do not fit each other
     */
    public Samples(double[] xUm, double[] yUm, float[] weight, int[] first, boolean[] interior) {
        this(xUm, yUm, weight, first, interior, 0.5);
    }

    private Samples(double[] xUm, double[] yUm, float[] weight, int[] first, boolean[] interior, double interiorShare) {
        if (xUm.length != yUm.length
                || xUm.length != weight.length
                || first[first.length - 1] != xUm.length
                || interior.length != first.length - 1) {
            throw new IllegalArgumentException("sample and unit counts do not fit each other");
        }
        this.xUm = xUm;
        this.yUm = yUm;
        this.weight = weight;
        this.first = first;
        this.interior = interior;
        this.interiorShare = interiorShare;
    }

    /**
     * {@return the same samples with another rule for interior units}
     *
     * @param share what a straight judged edge sees of the direct term, above 0 and below 1
     */
    public Samples withInteriorShare(double share) {
        return new Samples(xUm, yUm, weight, first, interior, share);
    }

    /** {@return the share of its own dose that stands for the direct term of an interior unit} */
    public double interiorShare() {
        return interiorShare;
    }

    /**
     * {@return the samples of some units only, in the same order}
     *
     * @param keep for each unit whether it stays
     */
    public Samples ofUnits(boolean[] keep) {
        int newUnits = 0;
        int newSamples = 0;
        for (int u = 0; u < units(); u++) {
            if (keep[u]) {
                newUnits++;
                newSamples += first[u + 1] - first[u];
            }
        }
        double[] x = new double[newSamples];
        double[] y = new double[newSamples];
        float[] w = new float[newSamples];
        int[] starts = new int[newUnits + 1];
        boolean[] inside = new boolean[newUnits];
        int k = 0;
        int at = 0;
        for (int u = 0; u < units(); u++) {
            if (keep[u]) {
                int n = first[u + 1] - first[u];
                System.arraycopy(xUm, first[u], x, at, n);
                System.arraycopy(yUm, first[u], y, at, n);
                System.arraycopy(weight, first[u], w, at, n);
                at += n;
                inside[k] = interior[u];
                starts[++k] = at;
            }
        }
        return new Samples(x, y, w, starts, inside, interiorShare);
    }

    /** These samples and, for units after theirs, others. */
    Samples and(Samples others) {
        int n = size();
        int m = others.size();
        double[] x = Arrays.copyOf(xUm, n + m);
        double[] y = Arrays.copyOf(yUm, n + m);
        float[] w = Arrays.copyOf(weight, n + m);
        boolean[] inside = Arrays.copyOf(interior, units() + others.units());
        System.arraycopy(others.xUm, 0, x, n, m);
        System.arraycopy(others.yUm, 0, y, n, m);
        System.arraycopy(others.weight, 0, w, n, m);
        System.arraycopy(others.interior, 0, inside, units(), others.units());
        return new Samples(x, y, w, Pieces.chained(first, others.first), inside, interiorShare);
    }

    /** {@return number of samples} */
    public int size() {
        return xUm.length;
    }

    /** {@return number of units} */
    public int units() {
        return interior.length;
    }

    /**
     * {@return first sample of unit {@code u}; {@code u} may equal {@link #units()}}
     *
     * @param u number of the unit, from 0
     */
    public int first(int u) {
        return first[u];
    }

    /** {@return x of all samples, um; read-only; live, not to be changed} */
    public double[] xUm() {
        return xUm;
    }

    /** {@return y of all samples, um; read-only; live, not to be changed} */
    public double[] yUm() {
        return yUm;
    }

    /**
     * {@return x of sample {@code j}, um}
     *
     * @param j number of the sample, from 0
     */
    public double xUm(int j) {
        return xUm[j];
    }

    /**
     * {@return y of sample {@code j}, um}
     *
     * @param j number of the sample, from 0
     */
    public double yUm(int j) {
        return yUm[j];
    }

    /**
     * {@return weight of sample {@code j} within its unit}
     *
     * @param j number of the sample, from 0
     */
    public float weight(int j) {
        return weight[j];
    }

    /**
     * {@return whether unit {@code u} has no exposed edge and follows the half-plane rule}
     *
     * @param u number of the unit, from 0
     */
    public boolean interior(int u) {
        return interior[u];
    }
}
