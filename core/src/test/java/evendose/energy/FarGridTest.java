package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Grids: their size, and splines over them that reproduce straight lines and fill pixels as they answer points. */
class FarGridTest {
    private static final double[] BOUNDS = {-3, 2, 7, 6.5};

    /** The reach and two nodes more on each side, then up to a handy size. */
    @Test
    void theGridHoldsWhatTheEnergyReaches() {
        FarGrid grid = FarGrid.over(BOUNDS, 0.5, 9);
        assertEquals(0.5, grid.pitchUm());
        // 10 um are 20 pitches, 4.5 um are 9; margins of 18 + 2 on each side.
        assertEquals(FarGrid.handySize(20 + 40 + 1), grid.columns());
        assertEquals(FarGrid.handySize(9 + 40 + 1), grid.rows());
        assertEquals(64, grid.columns());
        assertEquals(50, grid.rows());
        assertEquals(20, grid.column(-3), 1e-12);
        assertEquals(20, grid.row(2), 1e-12);
        assertEquals(40, grid.column(7), 1e-12);
        assertEquals(29, grid.row(6.5), 1e-12);
        assertEquals(64 * 50, grid.nodes());
        assertEquals(64 * 50, FarGrid.nodesFor(BOUNDS, 0.5, 9));
        // Reaches that are whole numbers of pitches up to rounding ask for no more.
        assertEquals(64, FarGrid.over(BOUNDS, 0.5, 9 + 1e-12).columns());
        assertEquals(
                (double) FarGrid.handySize(40_000_000 + 40 + 1) * FarGrid.handySize(40 + 1),
                FarGrid.nodesFor(new double[] {0, 0, 2e7, 0}, 0.5, 9));
    }

    @Test
    void handySizesAreTheSmallestEvenProducts() {
        for (int n = 1; n < 3000; n++) {
            long expected = n + n % 2;
            while (!isHandy(expected)) {
                expected += 2;
            }
            assertEquals(expected, FarGrid.handySize(n), "at least " + n);
        }
    }

    private static boolean isHandy(long n) {
        long rest = n;
        for (int p : new int[] {2, 3, 5}) {
            while (rest % p == 0) {
                rest /= p;
            }
        }
        return rest == 1;
    }

    /** Splines reproduce linear functions: with their values as coefficients the surface is that function. */
    @Test
    void linesAreReproducedWithinTheGridAndNothingIsBeyond() {
        FarGrid grid = FarGrid.over(BOUNDS, 0.5, 9);
        double[] coefficients = new double[grid.nodes()];
        for (int r = 0; r < grid.rows(); r++) {
            for (int c = 0; c < grid.columns(); c++) {
                coefficients[r * grid.columns() + c] = 2 + 0.3 * c - 0.7 * r;
            }
        }
        double[] wx = new double[4];
        double[] wy = new double[4];
        SplittableRandom random = new SplittableRandom(1);
        for (int k = 0; k < 500; k++) {
            double x = random.nextDouble(-15, 22);
            double y = random.nextDouble(-10, 20);
            double c = (x + 13) / 0.5;
            double r = (y + 8) / 0.5;
            boolean within = c >= 1 && c < grid.columns() - 2 && r >= 1 && r < grid.rows() - 2;
            assertEquals(within ? 2 + 0.3 * c - 0.7 * r : 0, grid.interpolate(coefficients, x, y, wx, wy), 1e-11);
        }
    }

    /** Pixels that begin before the grid and end beyond it, in two parts. */
    @Test
    void pixelsGetWhatPointsGet() {
        FarGrid grid = FarGrid.over(BOUNDS, 0.5, 9);
        double[] coefficients =
                new SplittableRandom(6).doubles(grid.nodes(), -1, 1).toArray();
        PixelGrid pixels = new PixelGrid(-14.3, -9.1, 0.37, 105, 77);
        double[] wx = new double[4];
        double[] wy = new double[4];
        int beyond = 0;
        for (int[] part : new int[][] {{0, 30}, {30, 77}}) {
            double[] sum = new double[(part[1] - part[0]) * 105];
            java.util.Arrays.fill(sum, 0.25);
            grid.addTo(pixels, part[0], part[1], coefficients, 1.5, sum);
            for (int r = part[0]; r < part[1]; r++) {
                for (int c = 0; c < 105; c++) {
                    double expected = 1.5 * grid.interpolate(coefficients, pixels.xUm(c), pixels.yUm(r), wx, wy);
                    beyond += expected == 0 ? 1 : 0;
                    assertEquals(0.25 + expected, sum[(r - part[0]) * 105 + c], 1e-12, c + ", " + r);
                }
            }
        }
        assertTrue(beyond > 500, "beyond the grid: " + beyond);
        double[] nothing = new double[9];
        grid.addTo(new PixelGrid(500, 500, 1, 3, 3), 0, 3, coefficients, 1, nothing);
        assertEquals(0, java.util.Arrays.stream(nothing).map(Math::abs).sum());
    }

    /** exp(-(k s)^2 / 4) over the eighth power of sinc(k / 2), at a range of four pitches. */
    @Test
    void theTransferOfTheFilterByHand() {
        for (double k : new double[] {1e-6, 0.1, 0.5, 1, 3}) {
            double sinc = Math.sin(k / 2) / (k / 2);
            assertEquals(1, GaussianFilter.transfer(k) * Math.pow(sinc, 8) / Math.exp(-4 * k * k), 1e-12);
        }
    }
}
