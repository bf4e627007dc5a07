package evendose.scattering;

import java.util.concurrent.TimeUnit;
import org.apache.commons.rng.UniformRandomProvider;
import org.apache.commons.rng.simple.RandomSource;
import org.openjdk.jmh.annotations.AuxCounters;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;

/** Collisions per second and core at 100 keV in 300 nm PMMA on Si. Run with {@code -prof gc}: nothing is allocated. */
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 3, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(1)
@State(Scope.Thread)
public class TransportBenchmark {
    private TransportKernel kernel;
    private Tally tally;
    private UniformRandomProvider rng;

    /** Counts collisions beside electrons. */
    @AuxCounters(AuxCounters.Type.OPERATIONS)
    @State(Scope.Thread)
    public static class Collisions {
        public long collisions;
    }

    @Setup
    public void setUp() {
        ScatteringSimulation simulation = ScatteringSimulation.of(
                LayerStack.of(Materials.of("PMMA"), 300, Materials.of("Si")), ScatteringSettings.of(100));
        kernel = simulation.kernel(null);
        tally = simulation.tally();
        rng = RandomSource.XO_SHI_RO_256_PP.create(1);
    }

    @Benchmark
    public double electron(Collisions counter) {
        long before = tally.elasticCollisions + tally.hardCollisions;
        kernel.run(rng, 1, tally);
        counter.collisions += tally.elasticCollisions + tally.hardCollisions - before;
        return tally.backscatteredKev;
    }
}
