package evendose.energy;

import evendose.benchmark.Machine;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

/**
 * One evaluation of the energy model, step by step, beside what the machine does at best: memory read at full speed. A
 * million units, 1 um apart for the matrix (terms of 0.012 and 0.4 um) and 10 um apart for the grid (31 um). Then the two ways to
 * convolve a grid, sums and transform, side by side on the same grid, and terms that share a grid beside a grid each.
 *
 * <pre>java -Xmx6g -cp core/target/benchmarks.jar evendose.energy.EngineYardsticks</pre>
 */
public final class EngineYardsticks {
    private static final int UNITS = 1_000_000;
    private static final int TRIES = 30;

    private EngineYardsticks() {}

    /** Takes no arguments. */
    public static void main(String[] args) throws IOException {
        try (Workers workers = Workers.of(Runtime.getRuntime().availableProcessors())) {
            double bandwidth = Machine.readingMemory(workers);
            System.out.printf(
                    Locale.ROOT, "%d threads; memory read: %.1f GB/s%n%n", workers.threads(), bandwidth * 1e-9);
            System.out.println("| step | ms | MB | GB/s | at best, ms | ratio |");
            System.out.println("|---|---|---|---|---|---|");
            double[] dose = new double[UNITS];
            Arrays.fill(dose, 1.1);
            double[] criterion = new double[UNITS];
            matrix(dose, criterion, bandwidth, workers);
            grid(dose, criterion, bandwidth, workers);
            filters(workers);
            groups(dose, criterion, workers);
        }
    }

    private static void matrix(double[] dose, double[] criterion, double bandwidth, Workers workers)
            throws IOException {
        Pieces pieces = BenchmarkLayout.pieces(UNITS, 1, false);
        Samples samples = BenchmarkLayout.samples(pieces);
        List<GaussianTerm> terms = List.of(new GaussianTerm(0.5, 0.012), new GaussianTerm(0.1, 0.4));
        SparseMatrix matrix = NearField.assemble(
                pieces,
                samples,
                new PieceIndex(pieces),
                UnitCopies.of(pieces, samples, workers),
                terms,
                1,
                0.5,
                workers,
                Progress.NONE);
        double time = Machine.fastest(TRIES, () -> matrix.multiply(dose, criterion, workers));
        row(
                String.format(Locale.ROOT, "sparse product, %.1f entries a row", 1.0 * matrix.entries() / UNITS),
                time,
                matrix.bytes() + 16.0 * UNITS,
                bandwidth);
    }

    private static void grid(double[] dose, double[] criterion, double bandwidth, Workers workers) throws IOException {
        Pieces pieces = BenchmarkLayout.pieces(UNITS, 10, false);
        Samples samples = BenchmarkLayout.samples(pieces);
        FarTerms one = terms(31);
        FarField far = new FarField(pieces, samples, pieces.boundsUm(), one, false, workers, Progress.NONE);
        double nodes = far.grid().nodes();
        double[] coverage = new double[far.grid().nodes()];
        double[] blurred = new double[far.grid().nodes()];
        double weights = (far.bytes() - FarField.BYTES_PER_NODE * nodes) / 2;
        row(
                "spreading",
                Machine.fastest(TRIES, () -> far.spread(dose, coverage, workers)),
                weights + 8.0 * UNITS + 16 * nodes,
                bandwidth);
        row(
                String.format(
                        Locale.ROOT,
                        "convolution of %,d x %,d nodes",
                        far.grid().columns(),
                        far.grid().rows()),
                Machine.fastest(TRIES, () -> far.blur(coverage, blurred, workers)),
                82 * nodes,
                bandwidth);
        row(
                "gathering",
                Machine.fastest(TRIES, () -> far.gather(blurred, criterion, workers)),
                weights + 16.0 * UNITS + 8 * nodes,
                bandwidth);
    }

    private static FarTerms terms(double... rangesUm) {
        return new FarTerms(
                Arrays.stream(rangesUm)
                        .mapToObj(r -> new GaussianTerm(1.0 / rangesUm.length, r))
                        .toList(),
                Optional.empty(),
                0);
    }

    /** Sums and transform on the same grid, for one Gaussian: the limit beyond which sums are taken rests on this. */
    private static void filters(Workers workers) throws IOException {
        System.out.println("\n| nodes | sums, ms | transform, ms | ratio |\n|---|---|---|---|");
        for (int side : new int[] {600, 1_300, 2_500, 4_000, 6_000, 8_000, 12_000}) {
            FarTerms one = terms(4);
            FarGrid grid = FarGrid.over(new double[] {0, 0, side, side}, one.pitchUm(), one.reachUm());
            double[] in = new double[grid.nodes()];
            double[] out = new double[grid.nodes()];
            Arrays.setAll(in, i -> (i * 7L % 13) / 13.0);
            FourierFilter transform = new FourierFilter(grid, one, workers);
            int tries = side < 3000 ? TRIES : 3;
            double[] best = {Double.MAX_VALUE, Double.MAX_VALUE};
            for (int k = 0; k < tries; k++) {
                best[0] = Math.min(
                        best[0],
                        Machine.fastest(
                                1, () -> GaussianFilter.apply(in, 1, out, grid.columns(), grid.rows(), workers)));
                best[1] = Math.min(best[1], Machine.fastest(1, () -> transform.apply(in, out, workers)));
            }
            System.out.printf(
                    Locale.ROOT,
                    "| %,d x %,d | %.1f | %.1f | %.2f |%n",
                    grid.columns(),
                    grid.rows(),
                    1e3 * best[0],
                    1e3 * best[1],
                    best[1] / best[0]);
        }
    }

    /** Terms that share a grid beside as many grids: the first as it is done, the second with a transform or sums each. */
    private static void groups(double[] dose, double[] criterion, Workers workers) throws IOException {
        Pieces pieces = BenchmarkLayout.pieces(UNITS, 10, false);
        Samples samples = BenchmarkLayout.samples(pieces);
        System.out.println(
                "\n| terms | weights, a grid each, ms | a round by sums, ms | MB | weights, one grid, ms | a round, ms | MB |\n"
                        + "|---|---|---|---|---|---|---|");
        for (double[] ranges : new double[][] {{31}, {31, 45}, {31, 40, 60}, {31, 34, 38, 42, 47, 52, 58, 65}}) {
            List<FarField> each = new ArrayList<>();
            double eachBuilt = Machine.fastest(1, () -> {
                for (double range : ranges) {
                    each.add(new FarField(
                            pieces, samples, pieces.boundsUm(), terms(range), false, workers, Progress.NONE));
                }
            });
            double eachRound =
                    Machine.fastest(TRIES / 3, () -> each.forEach(far -> round(far, true, dose, criterion, workers)));
            FarField[] all = new FarField[1];
            double allBuilt = Machine.fastest(
                    1,
                    () -> all[0] = new FarField(
                            pieces, samples, pieces.boundsUm(), terms(ranges), false, workers, Progress.NONE));
            double allRound = Machine.fastest(TRIES / 3, () -> round(all[0], false, dose, criterion, workers));
            System.out.printf(
                    Locale.ROOT,
                    "| %d | %.0f | %.1f | %.0f | %.0f | %.1f | %.0f |%n",
                    ranges.length,
                    1e3 * eachBuilt,
                    1e3 * eachRound,
                    1e-6 * each.stream().mapToLong(FarField::bytes).sum(),
                    1e3 * allBuilt,
                    1e3 * allRound,
                    1e-6 * all[0].bytes());
        }
    }

    private static final Map<Integer, double[][]> GRIDS = new HashMap<>();

    private static void round(FarField far, boolean bySums, double[] dose, double[] criterion, Workers workers) {
        int nodes = far.grid().nodes();
        double[][] grids = GRIDS.computeIfAbsent(nodes, n -> new double[2][n]);
        far.spread(dose, grids[0], workers);
        if (bySums) {
            GaussianFilter.apply(
                    grids[0], 1, grids[1], far.grid().columns(), far.grid().rows(), workers);
        } else {
            far.blur(grids[0], grids[1], workers);
        }
        far.gather(grids[1], criterion, workers);
    }

    private static void row(String step, double seconds, double bytes, double bandwidth) {
        System.out.printf(
                Locale.ROOT,
                "| %s | %.1f | %.0f | %.1f | %.1f | %.1f |%n",
                step,
                1e3 * seconds,
                bytes * 1e-6,
                bytes / seconds * 1e-9,
                1e3 * bytes / bandwidth,
                seconds * bandwidth / bytes);
    }
}
