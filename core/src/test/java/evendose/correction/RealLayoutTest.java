package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Merge;
import evendose.geometry.Outline;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Real layouts (see testdata/layouts): what the exact evaluator says on their outlines before and after correction. */
class RealLayoutTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
    private static final double TARGET = 0.5;
    private static final int MOST_EDGES = 300;

    @ParameterizedTest
    @CsvSource({"cd-500nm.gds", "bragg-gratings.gds"})
    @Tag("slow")
    void energiesOnOutlineEdgesMeetTheTarget(String name) {
        DrawnLayer drawn = DrawnLayer.of(name);
        try (Workers workers = Workers.of(2)) {
            DoseTable table = drawn.correctExactly(PSF, workers);
            assertTrue(table.convergence().converged());
            assertTrue(
                    table.convergence().iterations() <= 10,
                    "rounds: " + table.convergence().iterations());

            double[][] points =
                    midpoints(Merge.of(drawn.polygons(), 1, workers, Progress.NONE), drawn.dbuUm(), 4 * 0.02);
            double[] ones = new double[table.pieces().units()];
            Arrays.fill(ones, 1);
            double[] before = ExactEnergy.ofUnits(table.pieces(), ones, PSF).at(points[0], points[1], workers);
            double[] after =
                    ExactEnergy.ofUnits(table.pieces(), table.factors(), PSF).at(points[0], points[1], workers);
            double offBefore = quantile(before, 0.95);
            double offAfter = quantile(after, 0.95);
            System.out.printf(
                    "%s: %d edges, p95 off before %.1f %%, p95 off after %.2f %%, %d rounds%n",
                    name,
                    before.length,
                    100 * offBefore,
                    100 * offAfter,
                    table.convergence().iterations());
            assertTrue(offBefore > 0.3, "an uncorrected layout is far off: " + offBefore);
            assertEquals(0, offAfter, 0.02, "95 % of the edges within 2 %");
        }
    }

    /** Midpoints of outline edges of at least the given length; every n-th if there are very many. */
    private static double[][] midpoints(Trapezoids merged, double dbuUm, double lengthUm) {
        Outline outline = Outline.of(merged);
        int[] long4 = new int[outline.size()];
        int n = 0;
        for (int e = 0; e < outline.size(); e++) {
            if (outline.length(e) * dbuUm >= lengthUm) {
                long4[n++] = e;
            }
        }
        int step = (n + MOST_EDGES - 1) / MOST_EDGES;
        double[][] points = new double[2][(n + step - 1) / step];
        for (int k = 0; k * step < n; k++) {
            int e = long4[k * step];
            points[0][k] = 0.5 * (outline.x0(e) + outline.x1(e)) * dbuUm;
            points[1][k] = 0.5 * (outline.y0(e) + outline.y1(e)) * dbuUm;
        }
        return points;
    }

    private static double quantile(double[] energy, double share) {
        double[] off = Arrays.stream(energy)
                .map(e -> Math.abs(e / TARGET - 1))
                .sorted()
                .toArray();
        return off[(int) Math.ceil(share * off.length) - 1];
    }
}
