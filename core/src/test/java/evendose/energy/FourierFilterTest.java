package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.parallel.Isolated;

/** Both ways to convolve a grid, against each other and against plain sums in real space. */
@Isolated("counts the threads of all of Java")
class FourierFilterTest {
    private static final double[] BOUNDS = {0, 0, 160, 30};

    private static FarTerms gaussians(GaussianTerm... terms) {
        return new FarTerms(List.of(terms), Optional.empty(), 0);
    }

    private static FarGrid grid(FarTerms terms) {
        return FarGrid.over(BOUNDS, terms.pitchUm(), terms.reachUm());
    }

    private static double[] random(FarGrid grid, double reachUm) {
        int margin = (int) Math.ceil(reachUm / grid.pitchUm());
        SplittableRandom random = new SplittableRandom(1);
        double[] values = new double[grid.nodes()];
        for (int r = margin; r < grid.rows() - margin; r++) {
            for (int c = margin; c < grid.columns() - margin; c++) {
                values[r * grid.columns() + c] = random.nextDouble();
            }
        }
        return values;
    }

    private static double[] filtered(FarGrid grid, FarTerms terms, double[] in, int threads) {
        double[] out = new double[in.length];
        try (Workers workers = Workers.of(threads)) {
            new FourierFilter(grid, terms, workers).apply(in, out, workers);
        }
        return out;
    }

    /** Several blocks of columns and parts of rows, none of them full. */
    @Test
    void aSingleGaussianIsTheSumsInRealSpace() {
        FarTerms one = gaussians(new GaussianTerm(0.7, 1));
        FarGrid grid = grid(one);
        assertTrue(grid.columns() > 640 && grid.rows() > 150);
        double[] in = random(grid, one.reachUm());
        double[] expected = new double[in.length];
        try (Workers workers = Workers.of(2)) {
            GaussianFilter.apply(in, 0.7, expected, grid.columns(), grid.rows(), workers);
        }
        // What differs is the cut after 4.5 ranges.
        assertArrayEquals(expected, filtered(grid, one, in, 2), 1e-8);
    }

    /**
     * The definition: smoothing the result by the splines twice gives the Gaussians' convolution of the input, both summed node by
     * node. Ranges of 4, 5.2 and 12 pitches; sums over a Gaussian sampled so finely are exact to 1e-15.
     */
    @Test
    void severalGaussiansAreTheirConvolution() {
        GaussianTerm[] terms = {new GaussianTerm(0.2, 1), new GaussianTerm(0.5, 1.3), new GaussianTerm(0.3, 3)};
        FarTerms three = gaussians(terms);
        FarGrid grid = grid(three);
        double[] in = new double[grid.nodes()];
        int at = (grid.rows() / 2) * grid.columns() + grid.columns() / 2;
        in[at] = 1;
        double[] out = filtered(grid, three, in, 1);
        double[] spline = new double[7];
        // Values of B * B at whole numbers, from the fourfold binomial of the Euler spline of degree 7: n-th over 7!.
        double[] seventh = {2416, 1191, 120, 1};
        for (int n = -3; n <= 3; n++) {
            spline[n + 3] = seventh[Math.abs(n)] / 5040;
        }
        for (int dy = -20; dy <= 20; dy += 4) {
            for (int dx = 0; dx <= 40; dx += 5) {
                double smoothed = 0;
                for (int j = -3; j <= 3; j++) {
                    for (int i = -3; i <= 3; i++) {
                        smoothed += spline[j + 3] * spline[i + 3] * out[at + (dy + j) * grid.columns() + dx + i];
                    }
                }
                double expected = 0;
                for (GaussianTerm term : terms) {
                    double s = term.rangeUm() / grid.pitchUm();
                    expected += term.weight() / (Math.PI * s * s) * Math.exp(-(dx * dx + dy * dy) / (s * s));
                }
                // The shortest one's waves beyond the grid's shortest, exp(-4 pi^2), and the cut of the longest.
                assertEquals(expected, smoothed, 3e-9, dx + ", " + dy);
            }
        }
    }

    @Test
    void threadsDoNotChangeABit() {
        FarTerms two = gaussians(new GaussianTerm(0.5, 1), new GaussianTerm(0.5, 2));
        FarGrid grid = grid(two);
        double[] in = random(grid, two.reachUm());
        double[] one = filtered(grid, two, in, 1);
        assertArrayEquals(one, filtered(grid, two, in, 2));
        assertArrayEquals(one, filtered(grid, two, in, 3));
    }

    /** JTransforms would divide rows of more than 8,192 among as many threads as the machine has. */
    @Test
    void longRowsAreTransformedByOneThread() {
        FarTerms one = gaussians(new GaussianTerm(1, 1));
        FarGrid grid = FarGrid.over(new double[] {0, 0, 4000, 0.1}, 0.25, one.reachUm());
        assertEquals(16200, grid.columns());
        double[] in = random(grid, one.reachUm());
        int before = Thread.activeCount();
        double[] out = filtered(grid, one, in, 1);
        assertEquals(before, Thread.activeCount(), "no threads but ours");
        assertArrayEquals(out, filtered(grid, one, in, 2));
    }

    @Test
    void keepsTheSum() {
        FarTerms two = gaussians(new GaussianTerm(0.5, 1), new GaussianTerm(0.25, 2));
        FarGrid grid = grid(two);
        double[] in = random(grid, two.reachUm());
        double sum = Arrays.stream(in).sum();
        assertEquals(0.75, Arrays.stream(filtered(grid, two, in, 2)).sum() / sum, 1e-13);
    }

    /** A block of what the sums give needs its neighbourhood only: computed on a window, it is the same. */
    @Test
    void sumsOnAWindowGiveTheSame() {
        int columns = 1200;
        int rows = 150;
        double[] in = new SplittableRandom(2).doubles(columns * rows).toArray();
        double[] whole = summed(in, columns, rows);
        int c0 = 500;
        int r0 = 40;
        int wide = 100;
        int high = 80;
        double[] window = new double[wide * high];
        for (int r = 0; r < high; r++) {
            System.arraycopy(in, (r0 + r) * columns + c0, window, r * wide, wide);
        }
        double[] part = summed(window, wide, high);
        int reach = GaussianFilter.REACH;
        for (int r = reach; r < high - reach; r++) {
            for (int c = reach; c < wide - reach; c++) {
                assertEquals(whole[(r0 + r) * columns + c0 + c], part[r * wide + c], 1e-15);
            }
        }
    }

    @Test
    void sumsKeepAUniformPlaneAndASmallGridsSum() {
        double[] ones = new double[80 * 80];
        Arrays.fill(ones, 1);
        assertEquals(1, summed(ones, 80, 80)[40 * 80 + 40], 1e-15);
        double[] point = new double[50 * 45];
        point[22 * 50 + 25] = 1;
        assertEquals(1, Arrays.stream(summed(point, 50, 45)).sum(), 1e-14);
        assertEquals(0, Arrays.stream(summed(new double[3], 3, 1)).sum(), 0);
    }

    private static double[] summed(double[] in, int columns, int rows) {
        double[] out = new double[in.length];
        try (Workers workers = Workers.of(2)) {
            GaussianFilter.apply(in, 1, out, columns, rows, workers);
        }
        return out;
    }

    /** Lengths that are transformed fast: next even 5-smooth number, by trial division. */
    @Test
    void handySizes() {
        for (int n = 1; n < 5000; n++) {
            int size = n + (n & 1);
            while (!onlyTwoThreeFive(size)) {
                size += 2;
            }
            assertEquals(size, FarGrid.handySize(n));
        }
    }

    private static boolean onlyTwoThreeFive(int n) {
        int rest = n;
        for (int d = 2; d <= 5; d++) {
            while (rest % d == 0) {
                rest /= d;
            }
        }
        return rest == 1;
    }
}
