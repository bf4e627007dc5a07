package evendose.energy;

import evendose.benchmark.Machine;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.jtransforms.fft.DoubleFFT_2D;

/**
 * One evaluation of the energy model, step by step, beside what the machine does at best: memory read at full speed, and for the
 * blur the two Fourier transforms that it would take otherwise. A million units, 1 um apart for the matrix (terms of 0.012 and
 * 0.4 um) and 10 um apart for the grid (31 um).
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
        }
    }

    private static void matrix(double[] dose, double[] criterion, double bandwidth, Workers workers)
            throws IOException {
        Pieces pieces = BenchmarkLayout.pieces(UNITS, 1, false);
        Samples samples = BenchmarkLayout.samples(pieces);
        List<GaussianTerm> terms = List.of(new GaussianTerm(0.5, 0.012), new GaussianTerm(0.1, 0.4));
        SparseMatrix matrix =
                NearField.assemble(pieces, samples, new PieceIndex(pieces), terms, 1, 0.5, workers, Progress.NONE);
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
        GaussianTerm term = PointSpreadFunction.doubleGaussian(0.012, 31, 0.6).main();
        FarField far = new FarField(pieces, samples, pieces.boundsUm(), term, false, workers, Progress.NONE);
        double nodes = far.grid().nodes();
        double[] coverage = new double[far.grid().nodes()];
        double[] blurred = new double[far.grid().nodes()];
        double weights = (far.bytes() - 16 * nodes) / 2;
        row(
                "spreading",
                Machine.fastest(TRIES, () -> far.spread(dose, coverage, workers)),
                weights + 8.0 * UNITS + 16 * nodes,
                bandwidth);
        double blur = Machine.fastest(TRIES, () -> far.blur(coverage, blurred, workers));
        row(
                String.format(
                        Locale.ROOT,
                        "blur of %,d x %,d nodes",
                        far.grid().columns(),
                        far.grid().rows()),
                blur,
                32 * nodes,
                bandwidth);
        row(
                "gathering",
                Machine.fastest(TRIES, () -> far.gather(blurred, criterion, workers)),
                weights + 16.0 * UNITS + 8 * nodes,
                bandwidth);
        DoubleFFT_2D transform = new DoubleFFT_2D(2048, 2048);
        double[] padded = new double[2048 * 2048];
        double transforms = Machine.fastest(TRIES / 3, () -> {
            transform.realForward(padded);
            transform.realInverse(padded, true);
        });
        System.out.printf(
                Locale.ROOT,
                "%nForward and inverse transform of 2,048 x 2,048 by JTransforms alone: %.1f ms; the blur takes %.2f of it%n",
                1e3 * transforms,
                blur / transforms);
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
