package evendose.report;

import evendose.pieces.Pieces;
import java.io.Serializable;
import java.util.Arrays;

/**
 * Exposed area by dose factor.
 *
 * @serial exclude
 */
public final class DoseHistogram implements Serializable {
    private static final long serialVersionUID = 1L;
    static final int BINS = 60;

    final double low;
    final double high;

    /** Where the bins begin, and how wide each is. */
    final double from;

    final double bin;
    final double[] areaUm2 = new double[BINS];
    double totalUm2;

    /**
     * Of nothing.
     *
     * @param low smallest factor of the layout
     * @param high largest
     */
    public DoseHistogram(double low, double high) {
        this.low = low;
        this.high = high;
        double step = Ticks.step(Math.max(high - low, 0.01 * high), 8);
        from = Math.floor(low / step) * step;
        bin = (Math.ceil(high / step) * step - from) / BINS;
    }

    /** All of a layout. */
    static DoseHistogram of(Pieces p, double[] factors) {
        DoseHistogram all = new DoseHistogram(
                Arrays.stream(factors).min().orElse(1),
                Arrays.stream(factors).max().orElse(1));
        all.add(p, factors);
        return all;
    }

    /**
     * Adds pieces.
     *
     * @param p the pieces
     * @param factors dose factor of each of their units
     */
    public void add(Pieces p, double[] factors) {
        for (int u = 0; u < p.units(); u++) {
            int k = (int) Math.max(0, Math.min(BINS - 1, (factors[u] - from) / bin));
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                areaUm2[k] += p.areaUm2(i);
                totalUm2 += p.areaUm2(i);
            }
        }
    }

    /**
     * Adds what another part of the same layout told.
     *
     * @param part its histogram
     */
    public void add(DoseHistogram part) {
        for (int k = 0; k < BINS; k++) {
            areaUm2[k] += part.areaUm2[k];
        }
        totalUm2 += part.totalUm2;
    }
}
