package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.TearDown;
import org.openjdk.jmh.annotations.Warmup;

/**
 * The engine on a chip of 10 mm at 100 kV: a million units 10 um apart, alpha 0.012 um, beta 31 um, whose grid has 1,350 x
 * 1,350 nodes. {@link #sums} is the yardstick for {@link #blur}: the same grid convolved by sums.
 */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 3, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(
        value = 1,
        jvmArgsAppend = {"-Xmx6g"})
public class EnergyModelBenchmark {
    @Param("1000000")
    public int units;

    @Param({"1", "2"})
    public int threads;

    @Param({"false", "true"})
    public boolean slanted;

    private Workers workers;
    private Pieces pieces;
    private Samples samples;
    private PointSpreadFunction psf;
    private PieceIndex index;
    private SparseMatrix near;
    private FarField far;
    private EnergyModel model;
    private double[] dose;
    private double[] criterion;
    private double[] coverage;
    private double[] blurred;
    private double[] pictureX;
    private double[] pictureY;

    @Setup(Level.Trial)
    public void setUp() {
        workers = Workers.of(threads);
        pieces = BenchmarkLayout.pieces(units, 10, slanted);
        samples = BenchmarkLayout.samples(pieces);
        psf = PointSpreadFunction.doubleGaussian(0.012, 31, 0.6);
        index = buildIndex();
        near = assembleNearField();
        far = farWeights();
        model = EnergyModel.build(
                EnginePlan.with(pieces, samples, psf, TermGroup.each(Evaluator.NEAR, Evaluator.FAR)),
                workers,
                Progress.NONE);
        dose = new double[units];
        Arrays.fill(dose, 1.1);
        criterion = new double[units];
        coverage = new double[far.grid().nodes()];
        blurred = new double[far.grid().nodes()];
        far.spread(dose, coverage, workers);
        int side = 2000;
        pictureX = new double[side * side];
        pictureY = new double[side * side];
        for (int i = 0; i < side * side; i++) {
            pictureX[i] = 1000 + 0.1 * (i % side);
            pictureY[i] = 1000 + 0.1 * (i / side);
        }
    }

    @TearDown(Level.Trial)
    public void tearDown() {
        workers.close();
    }

    @Benchmark
    public PieceIndex buildIndex() {
        return new PieceIndex(pieces);
    }

    @Benchmark
    public SparseMatrix assembleNearField() {
        return NearField.assemble(
                pieces,
                samples,
                index,
                UnitCopies.of(pieces, samples, workers),
                List.of(psf.direct()),
                1,
                psf.direct().weight(),
                workers,
                Progress.NONE);
    }

    @Benchmark
    public FarField farWeights() {
        return new FarField(
                pieces,
                samples,
                pieces.boundsUm(),
                FarTerms.of(psf, new TermGroup(Evaluator.FAR, 1, 2), 0),
                false,
                workers,
                Progress.NONE);
    }

    @Benchmark
    public double[] apply() {
        model.apply(dose, criterion);
        return criterion;
    }

    @Benchmark
    public double[] nearProduct() {
        near.multiply(dose, criterion, workers);
        return criterion;
    }

    @Benchmark
    public double[] spread() {
        far.spread(dose, coverage, workers);
        return coverage;
    }

    @Benchmark
    public double[] blur() {
        far.blur(coverage, blurred, workers);
        return blurred;
    }

    @Benchmark
    public double[] gather() {
        far.gather(blurred, criterion, workers);
        return criterion;
    }

    @Benchmark
    public double[] picture() {
        return model.field(dose).at(pictureX, pictureY, workers);
    }

    @Benchmark
    public double[] sums() {
        GaussianFilter.apply(
                coverage,
                psf.main().weight(),
                blurred,
                far.grid().columns(),
                far.grid().rows(),
                workers);
        return blurred;
    }
}
