package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.RadialProfile;
import java.util.concurrent.atomic.AtomicLong;
import org.junit.jupiter.api.Test;

class ScatteringSimulationTest {
    private static final LayerStack STACK = LayerStack.of(Materials.of("PMMA"), 200, Materials.of("Si"));

    private static ScatteringResult run(LayerStack stack, ScatteringSettings settings, int threads, Progress progress) {
        try (Workers workers = Workers.of(threads)) {
            return ScatteringSimulation.of(stack, settings).run(workers, progress);
        }
    }

    private static ScatteringResult run(ScatteringSettings settings) {
        return run(STACK, settings, 2, Progress.NONE);
    }

    @Test
    void threadsDoNotChangeABit() {
        ScatteringSettings settings = ScatteringSettings.of(40).withElectrons(1_500);
        ScatteringResult one = run(STACK, settings, 1, Progress.NONE);
        ScatteringResult three = run(STACK, settings, 3, Progress.NONE);
        assertEquals(
                ScatteringFits.of(one).profileCsv(), ScatteringFits.of(three).profileCsv());
        assertEquals(
                ScatteringFits.of(one).summaryJson("1"),
                ScatteringFits.of(three).summaryJson("1"));
        for (int i = 0; i < one.profile().size(); i++) {
            assertEquals(one.profile().energy(i), three.profile().energy(i), 0.0);
        }
        ScatteringResult other = run(STACK, settings.withSeed(2), 1, Progress.NONE);
        assertNotEquals(one.profile().total(), other.profile().total());
    }

    @Test
    void countsEveryElectronOnce() {
        AtomicLong done = new AtomicLong();
        long[] total = new long[1];
        ScatteringResult result = run(STACK, ScatteringSettings.of(10).withElectrons(1_234), 2, new Progress() {
            @Override
            public void begin(String stage, long steps) {
                total[0] = steps;
            }

            @Override
            public void advance(long steps) {
                done.addAndGet(steps);
            }
        });
        assertEquals(1_234, result.electrons());
        assertEquals(1_234, done.get());
        assertEquals(1_234, total[0]);
    }

    /** The error of a fraction from batches against the binomial one; the former scatters by 10 % at 60 batches: 4 of these. */
    @Test
    void batchErrorsAreBinomialForFractions() {
        ScatteringResult result = run(
                LayerStack.bulk(Materials.of("Au")), ScatteringSettings.of(5).withElectrons(60_000), 2, Progress.NONE);
        Estimate f = result.backscatteredFraction();
        double binomial = Math.sqrt(f.value() * (1 - f.value()) / result.electrons());
        assertEquals(1, f.standardError() / binomial, 0.4);
    }

    @Test
    void stopsAtTheErrorAskedFor() {
        ScatteringResult result =
                run(ScatteringSettings.of(20).withElectrons(200_000).withRelativeError(0.05));
        assertTrue(result.electrons() < 200_000, "followed " + result.electrons());
        assertEquals(0, result.electrons() % 20_000);
    }

    @Test
    void partsAndSlicesAddUp() {
        ScatteringResult r = run(ScatteringSettings.of(50).withElectrons(2_000));
        double slices = r.slices().stream().mapToDouble(Estimate::value).sum();
        assertEquals(r.layerKev().get(0).value(), slices, 1e-9 * slices);
        for (int i = 0; i < r.profile().size(); i++) {
            int ring = i;
            double sum =
                    r.sliceProfiles().stream().mapToDouble(p -> p.energy(ring)).sum();
            assertEquals(r.profile().energy(i), sum, 1e-12 + 1e-9 * sum);
            assertEquals(
                    r.profile().energy(i), r.forward().energy(i) + r.returning().energy(i), 1e-12);
        }
        RadialProfile p = r.profile();
        assertEquals(1e-4, p.edgeUm(1), 1e-12);
        assertEquals(Math.pow(10, 1.0 / 20), p.edgeUm(3) / p.edgeUm(2), 1e-9);
        assertTrue(p.edgeUm(p.size()) > 3 * StoppingPower.rangeUm(Materials.of("Si"), 50));
    }

    /** Without anything below nothing returns; a thin film lets nearly all through at about the loss its thickness makes. */
    @Test
    void freeFilmTransmits() {
        LayerStack film = new LayerStack(java.util.List.of(new LayerStack.Layer(Materials.of("PMMA"), 100, true)));
        ScatteringResult r = run(film, ScatteringSettings.of(100).withElectrons(2_000), 2, Progress.NONE);
        assertEquals(0, r.returning().total());
        assertTrue(r.transmittedFraction().value() > 0.998);
        double loss = StoppingPower.kevPerUm(Materials.of("PMMA"), 100) * 0.1;
        assertEquals(
                100 - loss,
                r.meanTransmittedKev().value(),
                4 * r.meanTransmittedKev().standardError() + 0.005);
        assertTrue(Double.isNaN(run(film, ScatteringSettings.of(200).withElectrons(100), 1, Progress.NONE)
                        .meanBackscatteredKev()
                        .value())
                || r.backscatteredFraction().value() >= 0);
    }

    /** A beam of a given diameter: of electrons that go straight through a thin film half lie within FWHM/2. */
    @Test
    void beamHasItsDiameter() {
        LayerStack film = new LayerStack(java.util.List.of(new LayerStack.Layer(Materials.of("PMMA"), 1, true)));
        ScatteringResult r = run(
                film,
                ScatteringSettings.of(200)
                        .withElectrons(20_000)
                        .withBeamFwhmNm(100)
                        .withFastSecondaries(false),
                2,
                Progress.NONE);
        // 20,000 electrons: standard error 0.7 % of a median radius; 4 of these.
        assertEquals(0.05, r.profile().radiusHoldingUm(0.5), 4 * 0.007 * 0.05);
    }

    @Test
    void trajectoriesStartAtTheBeamAndEndSomewhere() {
        ScatteringSimulation simulation = ScatteringSimulation.of(STACK, ScatteringSettings.of(50));
        var paths = simulation.trajectories(5);
        assertEquals(5, paths.stream().filter(Trajectory::primary).count());
        assertTrue(paths.stream().anyMatch(p -> !p.primary()), "fast secondaries are there at 50 keV");
        assertEquals(0, paths.get(0).zUm(0));
        assertThrows(IllegalArgumentException.class, () -> simulation.trajectories(0));
    }

    @Test
    void settingsAreChecked() {
        assertThrows(IllegalArgumentException.class, () -> ScatteringSettings.of(4.9));
        assertThrows(IllegalArgumentException.class, () -> ScatteringSettings.of(201));
        assertThrows(IllegalArgumentException.class, () -> ScatteringSettings.of(Double.NaN));
        ScatteringSettings s = ScatteringSettings.of(100);
        assertThrows(IllegalArgumentException.class, () -> s.withElectrons(99));
        assertThrows(IllegalArgumentException.class, () -> s.withBeamFwhmNm(-1));
        assertThrows(IllegalArgumentException.class, () -> s.withRelativeError(-0.1));
        assertThrows(IllegalArgumentException.class, () -> s.withDepthSlices(0));
        assertTrue(s.fastSecondaries());
        assertTrue(!ScatteringSettings.of(30).fastSecondaries());
    }
}
