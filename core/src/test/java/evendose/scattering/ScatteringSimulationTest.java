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
                ScatteringFits.of(one).profileTable().toCsv(),
                ScatteringFits.of(three).profileTable().toCsv());
        assertEquals(
                ScatteringFits.of(one).leavingTable().toJson(),
                ScatteringFits.of(three).leavingTable().toJson());
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
    }

    /** A mean over nothing is no number: of 100 electrons at 200 keV none comes back from so thin a film, of 2,000 at 5 keV some do. */
    @Test
    void aMeanOverNoElectronsIsNoNumber() {
        LayerStack film = new LayerStack(java.util.List.of(new LayerStack.Layer(Materials.of("PMMA"), 100, true)));
        ScatteringResult none = run(film, ScatteringSettings.of(200).withElectrons(100), 1, Progress.NONE);
        assertEquals(0, none.backscatteredFraction().value());
        assertTrue(Double.isNaN(none.meanBackscatteredKev().value()));
        ScatteringResult some = run(film, ScatteringSettings.of(5).withElectrons(2_000), 1, Progress.NONE);
        assertTrue(some.backscatteredFraction().value() > 0);
        double mean = some.meanBackscatteredKev().value();
        assertTrue(mean > 0 && mean < 5, "mean " + mean);
        assertEquals(some.upPrimaryKev().value() / some.backscatteredFraction().value(), mean, 1e-9 * mean);
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
        assertThrows(IllegalArgumentException.class, () -> s.withTiltDeg(86));
        assertThrows(IllegalArgumentException.class, () -> s.withFarRadiusUm(0));
        // One model at all energies: a switch at some energy shows as a jump in a sweep.
        assertTrue(s.fastSecondaries());
        assertTrue(ScatteringSettings.of(5).fastSecondaries());
    }

    /** Energy beyond a radius against a sum over rings of the profile; a radius within a ring takes its share of the area. */
    @Test
    void energyBeyondARadius() {
        ScatteringResult r = run(ScatteringSettings.of(20).withElectrons(1_000));
        RadialProfile p = r.profile();
        int ring = 0;
        while (p.edgeUm(ring) < 1 - 1e-9) {
            ring++;
        }
        assertEquals(1, p.edgeUm(ring), 1e-9);
        double beyond = r.beyondKev();
        for (int i = ring; i < p.size(); i++) {
            beyond += p.energy(i);
        }
        double all = p.total() + r.beyondKev();
        assertEquals(beyond / all, r.farShare().value(), 1e-9);
        assertEquals(beyond / r.forward().total(), r.farRatio().value(), 1e-9);
        assertTrue(r.farRatio().standardError() > 0);
        double half = Math.sqrt((1 + Math.pow(p.edgeUm(ring + 1), 2)) / 2);
        ScatteringResult within =
                run(ScatteringSettings.of(20).withElectrons(1_000).withFarRadiusUm(half));
        assertEquals((beyond - p.energy(ring) / 2) / all, within.farShare().value(), 1e-9);
    }

    /** Spectrum and angles count every electron that leaves through the surface once, at its energy. */
    @Test
    void spectrumAndAnglesHoldWhatLeaves() {
        ScatteringResult r = run(ScatteringSettings.of(30).withElectrons(4_000));
        LeavingElectrons leaving = r.leaving();
        assertEquals(r.backscatteredFraction().value(), sum(leaving.primariesByEnergy()), 1e-12);
        assertEquals(r.backscatteredFraction().value(), sum(leaving.primariesByAngle()), 1e-12);
        assertEquals(r.fastSecondaryFraction().value(), sum(leaving.secondariesByEnergy()), 1e-12);
        assertEquals(r.fastSecondaryFraction().value(), sum(leaving.secondariesByAngle()), 1e-12);
        double energy = 0;
        for (int i = 0; i < leaving.primariesByEnergy().size(); i++) {
            energy +=
                    leaving.primariesByEnergy().get(i).value() * (leaving.energyKev(i) + leaving.energyKev(i + 1)) / 2;
        }
        double width = leaving.energyKev(1);
        assertEquals(
                r.upPrimaryKev().value(),
                energy,
                width / 2 * r.backscatteredFraction().value());
        assertEquals(
                2 * Math.PI,
                java.util.stream.IntStream.range(0, leaving.primariesByAngle().size())
                        .mapToDouble(leaving::solidAngleSr)
                        .sum(),
                1e-12);
    }

    /** Batches of a second round begin from nothing: energy and electrons balance as in one round. */
    @Test
    void roundsDoNotCountTheOneBefore() {
        ScatteringResult r = run(ScatteringSettings.of(5).withElectrons(20_100));
        double left = sum(r.layerKev())
                + r.upPrimaryKev().value()
                + r.upSecondaryKev().value()
                + r.downPrimaryKev().value()
                + r.downSecondaryKev().value();
        assertEquals(5, left, 1e-9);
        assertEquals(r.layerKev().get(0).value(), sum(r.slices()), 1e-9);
        assertEquals(r.backscatteredFraction().value(), sum(r.leaving().primariesByEnergy()), 1e-12);
        assertEquals(r.backscatteredFraction().value(), sum(r.leaving().primariesByAngle()), 1e-12);
    }

    private static double sum(java.util.List<Estimate> estimates) {
        return estimates.stream().mapToDouble(Estimate::value).sum();
    }

    /** A tilted beam loses 1/cos of the angle more in a thin film, and is at depth times tan of it when it leaves. */
    @Test
    void tiltedBeamGoesTheLongerWay() {
        LayerStack film = new LayerStack(java.util.List.of(new LayerStack.Layer(Materials.of("PMMA"), 100, true)));
        ScatteringSettings settings = ScatteringSettings.of(200)
                .withElectrons(2_000)
                .withBeamFwhmNm(0)
                .withTiltDeg(60);
        ScatteringResult r = run(film, settings.withFastSecondaries(false), 2, Progress.NONE);
        double loss = StoppingPower.kevPerUm(Materials.of("PMMA"), 200) * 0.2;
        assertEquals(loss, r.layerKev().get(0).value(), 0.03 * loss);
        // Even in depth, so even in radius up to tan(60 degrees) times the thickness.
        assertEquals(0.05 * Math.sqrt(3), r.profile().radiusHoldingUm(0.5), 0.005);
    }

    @Test
    void fewElectronsAndMissedErrorsAreTold() {
        ScatteringResult few = run(ScatteringSettings.of(100).withElectrons(1_000));
        assertTrue(
                ScatteringFits.of(few).notes().stream().anyMatch(n -> n.startsWith("few electrons: ")),
                ScatteringFits.of(few).notes().toString());
        ScatteringResult missed =
                run(ScatteringSettings.of(20).withElectrons(1_000).withRelativeError(0.001));
        assertTrue(
                ScatteringFits.of(missed).notes().stream().anyMatch(n -> n.contains("not to the 0.001 asked for")),
                ScatteringFits.of(missed).notes().toString());
        ScatteringResult enough = run(ScatteringSettings.of(10).withElectrons(20_000));
        assertEquals(java.util.List.of(), ScatteringFits.of(enough).notes());
    }

    /** Without a substrate no form has a backscatter range, whatever a fit would call so; the profile is there all the same. */
    @Test
    void formsWithoutMeaningAreNotGivenOut() {
        Material pmma = Materials.of("PMMA");
        LayerStack membrane = new LayerStack(java.util.List.of(
                new LayerStack.Layer(pmma, 100, true), new LayerStack.Layer(Materials.of("Si3N4"), 50, false)));
        LayerStack film = new LayerStack(java.util.List.of(new LayerStack.Layer(pmma, 10, true)));
        LayerStack thick = LayerStack.of(pmma, 3000, Materials.of("Si"));
        for (ScatteringResult r : java.util.List.of(
                run(membrane, ScatteringSettings.of(100).withElectrons(4_000), 2, Progress.NONE),
                run(film, ScatteringSettings.of(100).withElectrons(2_000), 2, Progress.NONE),
                run(thick, ScatteringSettings.of(10).withElectrons(2_000), 2, Progress.NONE))) {
            ScatteringFits fits = ScatteringFits.of(r);
            assertTrue(!fits.doubleGaussian().doubt().isEmpty(), r.stack().describe());
            assertTrue(fits.file(fits.doubleGaussian()).isEmpty());
            assertTrue(fits.file(fits.ladder()).isPresent());
            assertTrue(fits.summaryJson("1").contains("\"beta_um\" : null"));
            assertTrue(
                    fits.notes().get(0).contains(fits.doubleGaussian().doubt()),
                    fits.notes().toString());
        }
        ScatteringFits bulk = ScatteringFits.of(run(ScatteringSettings.of(50).withElectrons(4_000)));
        assertEquals("", bulk.doubleGaussian().doubt());
        assertTrue(bulk.file(bulk.doubleGaussian()).isPresent());
    }
}
