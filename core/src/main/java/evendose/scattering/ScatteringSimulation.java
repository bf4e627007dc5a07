package evendose.scattering;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianBeam;
import evendose.scattering.BatchSums.Quantity;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.IntStream;
import org.apache.commons.rng.JumpableUniformRandomProvider;
import org.apache.commons.rng.UniformRandomProvider;
import org.apache.commons.rng.simple.RandomSource;

/**
 * Monte Carlo simulation of a beam that falls onto a stack, by single elastic collisions
 * ({@link ElasticScattering}), continuous loss ({@link StoppingPower}) and, if asked for, hard collisions that set fast
 * secondaries free ({@link MollerScattering}).
 *
 * <p>Electrons come in batches whose number and sizes depend on the settings only; each has a random stream of its own, 2^128
 * draws from the next (XoShiRo256++ with jumps), and batches are summed in order: results are the same to the last bit
 * for any number of threads. Statistical errors come from the scatter between batches.
 *
 * <p>Left out: slow secondaries (they move energy by a few nm), straggling of the continuous loss, binding of the electrons that
 * are set free, bremsstrahlung, charging, crystal structure, fields.
 *
 * <p>Rings: the disc within 0.1 nm, then 20 to the decade to three ranges of the most transparent material. Checked against
 * published values in ScatteringReferenceTest.
 */
public final class ScatteringSimulation {
    /** Batches of a round, after which the error is looked at; also the parts of the data for replicate profiles. */
    private static final int ROUND = 20;

    private static final int BATCH_ELECTRONS = 1000;
    private static final double FIRST_EDGE_UM = 1e-4;
    private static final int PER_DECADE = 20;
    private static final double RANGES = 3;

    private final LayerStack stack;
    private final ScatteringSettings settings;
    private final double hardCutoffKev;
    private final double[] top;
    private final double[] bottom;
    private final double[][] tables;
    private final double depthUm;
    private final double[] edgesUm;

    private ScatteringSimulation(LayerStack stack, ScatteringSettings settings) {
        this.stack = stack;
        this.settings = settings;
        hardCutoffKev = settings.fastSecondaries() ? settings.hardCutoffKev() : Double.POSITIVE_INFINITY;
        int n = stack.layers().size();
        top = new double[n];
        bottom = new double[n];
        tables = new double[n][];
        Map<Material, double[]> made = new HashMap<>();
        double z = 0;
        double longest = 0;
        for (int i = 0; i < n; i++) {
            LayerStack.Layer layer = stack.layers().get(i);
            top[i] = z;
            z += layer.thicknessNm() * 1e-3;
            bottom[i] = z;
            tables[i] = made.computeIfAbsent(
                    layer.material(),
                    m -> TransportTable.of(m, settings.cutoffKev(), settings.energyKev(), hardCutoffKev));
            longest = Math.max(longest, StoppingPower.rangeUm(layer.material(), settings.energyKev()));
        }
        LayerStack.Layer resist = stack.layers().get(stack.resistIndex());
        depthUm = Double.isInfinite(resist.thicknessNm())
                ? StoppingPower.rangeUm(resist.material(), settings.energyKev())
                : resist.thicknessNm() * 1e-3;
        double outer = RANGES * longest + 3 * GaussianBeam.rangeUm(settings.beamFwhmNm());
        int rings = 1 + (int) Math.ceil(PER_DECADE * Math.log10(outer / FIRST_EDGE_UM));
        edgesUm = new double[rings + 1];
        for (int i = 0; i < rings; i++) {
            edgesUm[i + 1] = FIRST_EDGE_UM * Math.pow(10, i / (double) PER_DECADE);
        }
    }

    /**
     * {@return the simulation of a beam on a stack}
     *
     * @param stack the layers of the sample
     * @param settings beam, number of electrons and what to count
     */
    public static ScatteringSimulation of(LayerStack stack, ScatteringSettings settings) {
        return new ScatteringSimulation(stack, settings);
    }

    /**
     * Follows the electrons.
     *
     * @param workers threads to compute on
     * @param progress counts electrons
     * @return what the electrons did
     */
    public ScatteringResult run(Workers workers, Progress progress) {
        int electrons = settings.electrons();
        int batches = ROUND * (int) Math.ceil(electrons / (double) (ROUND * BATCH_ELECTRONS));
        progress.begin("electrons", electrons);
        JumpableUniformRandomProvider source =
                (JumpableUniformRandomProvider) RandomSource.XO_SHI_RO_256_PP.create(settings.seed());
        Tally[] tallies = new Tally[ROUND];
        for (int i = 0; i < ROUND; i++) {
            tallies[i] = tally();
        }
        BatchSums sums = new BatchSums(edgesUm, settings.farRadiusUm(), settings.depthSlices(), top.length, ROUND);
        UniformRandomProvider[] streams = new UniformRandomProvider[ROUND];
        for (int first = 0; first < batches; first += ROUND) {
            int round = first;
            for (int i = 0; i < ROUND; i++) {
                streams[i] = source.jump();
            }
            workers.run(ROUND, i -> {
                int from = (int) ((long) electrons * (round + i) / batches);
                int to = (int) ((long) electrons * (round + i + 1) / batches);
                tallies[i].clear();
                kernel(null).run(streams[i], to - from, tallies[i]);
                progress.advance(to - from);
            });
            for (int i = 0; i < ROUND; i++) {
                sums.add(tallies[i], i);
            }
            Estimate returning = sums.perElectron(Quantity.RETURNING_KEV);
            if (returning.standardError() <= settings.relativeError() * returning.value()
                    && settings.relativeError() > 0) {
                break;
            }
        }
        return result(sums);
    }

    private ScatteringResult result(BatchSums sums) {
        return new ScatteringResult(
                stack,
                settings,
                sums.electrons(),
                sums.profile(),
                sums.forward(),
                sums.returning(),
                depthUm,
                IntStream.range(0, settings.depthSlices()).mapToObj(sums::slice).toList(),
                IntStream.range(0, settings.depthSlices())
                        .mapToObj(sums::profileOfSlice)
                        .toList(),
                sums.perElectron(Quantity.BEYOND_KEV).value(),
                sums.ratio(Quantity.RETURNING_KEV, Quantity.FORWARD_KEV),
                sums.farShare(),
                sums.ratio(Quantity.FAR_KEV, Quantity.FORWARD_KEV),
                sums.perElectron(Quantity.BACKSCATTERED),
                sums.perElectron(Quantity.TRANSMITTED),
                sums.perElectron(Quantity.FAST_SECONDARIES_UP),
                sums.ratio(Quantity.BACKSCATTERED_PRIMARY_KEV, Quantity.BACKSCATTERED),
                sums.ratio(Quantity.TRANSMITTED_PRIMARY_KEV, Quantity.TRANSMITTED),
                IntStream.range(0, top.length).mapToObj(sums::layer).toList(),
                sums.perElectron(Quantity.BACKSCATTERED_PRIMARY_KEV),
                sums.perElectron(Quantity.UP_SECONDARY_KEV),
                sums.perElectron(Quantity.TRANSMITTED_PRIMARY_KEV),
                sums.perElectron(Quantity.DOWN_SECONDARY_KEV),
                sums.perElectron(Quantity.REST_KEV),
                sums.leavingUp(settings.energyKev()),
                sums.elasticCollisions(),
                sums.hardCollisions());
    }

    /**
     * {@return paths of a few electrons and of what they set free, for pictures}
     *
     * @param count number of electrons of the beam, 1 to 10,000
     */
    public List<Trajectory> trajectories(int count) {
        if (count < 1 || count > 10_000) {
            throw new IllegalArgumentException("number of trajectories must be 1 to 10000, got " + count);
        }
        TrajectoryRecorder recorder = new TrajectoryRecorder();
        kernel(recorder).run(RandomSource.XO_SHI_RO_256_PP.create(settings.seed()), count, tally());
        return recorder.trajectories();
    }

    /** A kernel for one thread. */
    TransportKernel kernel(TransportKernel.PathRecorder recorder) {
        return new TransportKernel(
                top,
                bottom,
                tables,
                stack.resistIndex(),
                settings.energyKev(),
                settings.cutoffKev(),
                hardCutoffKev,
                GaussianBeam.rangeUm(settings.beamFwhmNm()),
                settings.tiltDeg(),
                depthUm,
                settings.depthSlices(),
                recorder);
    }

    /** An empty tally that fits the kernel. */
    Tally tally() {
        return new Tally(top.length, settings.depthSlices(), edgesUm.length, FIRST_EDGE_UM, PER_DECADE);
    }
}
