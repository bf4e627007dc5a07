package evendose.pieces;

/**
 * Places samples inside the pieces of one unit for area means, denser along borders where the direct term falls off. The mean of the direct
 * term over a square of any size is right to 5e-4 (held by {@code AreaSamplerTest}).
 */
final class AreaSampler {
    /** Rules of 1 to 4 points. */
    private static final GaussRule[] RULES = GaussRule.ofOrders(1, 2, 3, 4);

    /** Width of the layers, direct ranges: beyond it the direct term no longer changes. */
    private static final double LAYER = 3;

    final SampleBuffer samples = new SampleBuffer();

    private final double directUm;
    private final double[] at = new double[64];
    private final double[] share = new double[64];
    private final double[] across = new double[64];
    private final double[] acrossShare = new double[64];

    AreaSampler(FractureOptions options) {
        this.directUm = options.directRangeUm();
    }

    /**
     * Samples pieces {@code from} to {@code to - 1}, um, with weights proportional to area.
     *
     * @param c coordinates as in {@link Pieces}
     * @param standing which of them have their parallel sides along y
     */
    void sample(double[][] c, boolean[] standing, int from, int to) {
        samples.size = 0;
        for (int i = from; i < to; i++) {
            double height = c[1][i] - c[0][i];
            int rows = rule(height, at, share);
            for (int k = 0; k < rows; k++) {
                double f = at[k];
                double begin = c[2][i] + f * (c[4][i] - c[2][i]);
                double end = c[3][i] + f * (c[5][i] - c[3][i]);
                int columns = rule(end - begin, across, acrossShare);
                for (int m = 0; m < columns; m++) {
                    double u = begin + across[m] * (end - begin);
                    double v = c[0][i] + f * height;
                    double weight = share[k] * height * acrossShare[m] * (end - begin);
                    samples.add(standing[i] ? v : u, standing[i] ? u : v, weight, 0);
                }
            }
        }
    }

    /**
     * Nodes and weights on 0 to 1: layers of three direct ranges along both borders of a wide extent, two halves of a middling one, else one
     * panel. As many points as it takes.
     */
    private int rule(double extentUm, double[] nodes, double[] weights) {
        double ranges = extentUm / directUm;
        if (ranges < 2.7) {
            int n = ranges < 0.05 ? 1 : ranges < 0.5 ? 2 : ranges < 1.5 ? 3 : 4;
            return panel(0, 1, n, nodes, weights, 0);
        }
        if (ranges < 2 * LAYER) {
            int half = panel(0, 0.5, 4, nodes, weights, 0);
            return panel(0.5, 1, 4, nodes, weights, half);
        }
        double layer = LAYER / ranges;
        int n = ranges < 40 ? 4 : ranges < 100 ? 3 : 2;
        int count = panel(0, layer, n, nodes, weights, 0);
        count = panel(layer, 1 - layer, n, nodes, weights, count);
        return panel(1 - layer, 1, n, nodes, weights, count);
    }

    private static int panel(double from, double to, int n, double[] nodes, double[] weights, int count) {
        GaussRule rule = RULES[n - 1];
        int k = count;
        for (int g = 0; g < n; g++) {
            nodes[k] = from + (to - from) * rule.nodes()[g];
            weights[k++] = (to - from) * rule.weights()[g];
        }
        return k;
    }
}
