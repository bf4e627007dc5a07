package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import java.util.Arrays;
import java.util.SplittableRandom;

/** Layouts for benchmarks. */
final class BenchmarkLayout {
    private BenchmarkLayout() {}

    /**
     * A square array of units, row after row: rectangles with sides of 0.1 to 0.77 of their distance; with
     * {@code slanted}, every unit is two parallelograms instead.
     */
    static Pieces pieces(int units, double distanceUm, boolean slanted) {
        SplittableRandom random = new SplittableRandom(7);
        int perRow = (int) Math.round(Math.sqrt(units));
        int perUnit = slanted ? 2 : 1;
        double[][] c = new double[6][units * perUnit];
        int[] first = new int[units + 1];
        for (int u = 0; u < units; u++) {
            double w = distanceUm * (0.1 + 0.67 * random.nextDouble());
            double h = distanceUm * (0.1 + 0.67 * random.nextDouble());
            double x = distanceUm * (u % perRow) + random.nextDouble() * (distanceUm - w);
            double y = distanceUm * (u / perRow) + random.nextDouble() * (distanceUm - h);
            first[u] = u * perUnit;
            if (slanted) {
                set(c, 2 * u, y, y + h / 2, x, x + w / 2, x + w / 2, x + w);
                set(c, 2 * u + 1, y + h / 2, y + h, x + w / 2, x + w, x, x + w / 2);
            } else {
                set(c, u, y, y + h, x, x + w, x, x + w);
            }
        }
        first[units] = units * perUnit;
        return new Pieces(c, first, new int[] {0, units}, new int[] {0});
    }

    private static void set(double[][] c, int i, double... v) {
        for (int k = 0; k < 6; k++) {
            c[k][i] = v[k];
        }
    }

    /** Twelve samples on the sides of each unit's outline. */
    static Samples samples(Pieces p) {
        int units = p.units();
        double[] x = new double[12 * units];
        double[] y = new double[12 * units];
        float[] w = new float[12 * units];
        int[] first = new int[units + 1];
        for (int u = 0; u < units; u++) {
            first[u] = 12 * u;
            int a = p.unitFirst(u);
            int b = p.unitFirst(u + 1) - 1;
            for (int k = 0; k < 3; k++) {
                double t = (k + 0.5) / 3;
                int j = 12 * u + 4 * k;
                x[j] = mix(p.fromLowUm()[a], p.toLowUm()[a], t);
                y[j] = p.lowUm()[a];
                x[j + 1] = mix(p.fromHighUm()[b], p.toHighUm()[b], t);
                y[j + 1] = p.highUm()[b];
                x[j + 2] = mix(p.fromLowUm()[a], p.fromHighUm()[a], t);
                y[j + 2] = mix(p.lowUm()[a], p.highUm()[a], t);
                x[j + 3] = mix(p.toLowUm()[b], p.toHighUm()[b], t);
                y[j + 3] = mix(p.lowUm()[b], p.highUm()[b], t);
            }
        }
        Arrays.fill(w, 1f / 12);
        first[units] = 12 * units;
        return new Samples(x, y, w, first, new boolean[units]);
    }

    private static double mix(double a, double b, double t) {
        return a + t * (b - a);
    }
}
