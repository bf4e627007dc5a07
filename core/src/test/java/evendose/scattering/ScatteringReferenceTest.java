package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.ProfileFits;
import java.util.List;
import org.apache.commons.rng.simple.RandomSource;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Whole simulations against published values. Seeds are fixed, so a test cannot fail by chance unless the code changes; a new
 * seed would fail a comparison within its tolerance plus 4 standard errors with a chance below 3.2e-5 (one-sided) if
 * the true difference is within the tolerance.
 */
@Tag("slow")
class ScatteringReferenceTest {
    private static ScatteringResult run(LayerStack stack, ScatteringSettings settings) {
        try (Workers workers = Workers.of(2)) {
            return ScatteringSimulation.of(stack, settings).run(workers, Progress.NONE);
        }
    }

    /** Bulk whose energy is asked for in the topmost 1 nm only: what goes on below is followed as far as it can come back. */
    private static LayerStack bulk(String name) {
        return LayerStack.of(Materials.of(name), 1, Materials.of(name));
    }

    /**
     * Backscattered fractions of bulk material at 10, 20, 30, 40 keV: fit of H. J. Hunger, L. Kuechler, phys. stat. sol. (a) 56, K45
     * (1979), from memory; tolerance 0.02, for Ag and Au 0.03.
     *
     * <p>Found with 16,000 to 40,000 electrons (standard errors 0.001-0.004): C .070 .060 .057 .059, Al .172 .166 .153 .154,
     * Si .182 .176 .167 .168, Cu .333 .322 .313 .315, Ag .410 .411 .410 .408, Au .492 .492 .500 .509. All are high; copper
     * stands at the edge of its tolerance (+.024, +.020, +.015, +.020), as the empirical cross-section's transport value exceeds that of
     * partial waves by 6 % in Si and 13 % in Au at 10 keV.
     */
    @ParameterizedTest
    @CsvSource({
        "carbon, .069, .058, .053, .049, .02",
        "Al, .165, .152, .145, .140, .02",
        "Si, .177, .164, .157, .152, .02",
        "Cu, .309, .302, .298, .295, .02",
        "Ag, .398, .399, .399, .400, .03",
        "Au, .473, .484, .491, .496, .03"
    })
    void backscatteredFractions(String name, double at10, double at20, double at30, double at40, double tolerance) {
        double[] published = {at10, at20, at30, at40};
        for (int i = 0; i < 4; i++) {
            Estimate found = run(bulk(name), ScatteringSettings.of(10 * (i + 1)).withElectrons(8_000))
                    .backscatteredFraction();
            assertEquals(
                    published[i], found.value(), tolerance + 4 * found.standardError(), name + " at " + 10 * (i + 1));
        }
    }

    /** The same source: C and Al fall by 15-30 % from 10 to 40 keV, Au does not fall. One model at both energies. */
    @Test
    void backscatteringFallsInLightElementsOnly() {
        for (String name : List.of("carbon", "Al", "Au")) {
            int electrons = name.equals("Au") ? 6_000 : 20_000;
            Estimate low = run(bulk(name), ScatteringSettings.of(10).withElectrons(electrons))
                    .backscatteredFraction();
            Estimate high = run(bulk(name), ScatteringSettings.of(40).withElectrons(electrons))
                    .backscatteredFraction();
            double fall = 1 - high.value() / low.value();
            double error = Math.hypot(low.standardError() / low.value(), high.standardError() / high.value())
                    * high.value()
                    / low.value();
            if (name.equals("Au")) {
                assertTrue(fall < 4 * error, "Au falls by " + fall);
            } else {
                assertTrue(
                        fall > 0.15 - 4 * error && fall < 0.30 + 4 * error, name + " falls by " + fall + "+-" + error);
                assertTrue(fall > 4 * error, name + " does not fall: " + fall + "+-" + error);
            }
        }
    }

    /**
     * Depth dose in Si at 10 and 20 keV: T. E. Everhart, P. H. Hoff, J. Appl. Phys. 42, 5837 (1971), from memory: with y the depth over
     * the Gruen range, {@code 0.60 + 6.21 y - 12.40 y^2 + 5.69 y^3}, normalised to the energy that stays: a peak of 1.50 at y = 0.32, 1.09
     * at 0.6, 0.55 at 0.8, 0.10 at 1; mean depth 0.408.
     *
     * <p>Two constants of the range are about, both from memory: 0.0457 E^1.75/rho um (A. E. Gruen, Z. Naturforsch. 12a, 89 (1957)) and
     * 0.0398 E^1.75/rho um. The curve agrees with the first. Found at 20 keV with 0.0457: peak 1.49 at 0.30, 1.03, 0.51, 0.15, mean
     * depth 0.413; with 0.0398: 1.30 at 0.34, 1.07, 0.68, 0.31, 0.474. What else was tried against the latter: the stopping power below
     * 10 keV (joined at 1 to 2 keV: height +2 %), fast secondaries (less than 1 %; without them the tail at y = 1 is 0.09 of 0.15), elastic
     * scattering x 1.1 (+4 %) and x 1.3 (+13 %, but a backscattered fraction of .22 against .16), stopping power x 1.1 (+6 %, but 50 times
     * the disagreement that NIST's tables leave). The extrapolated range, which 0.0398 puts 12 % below {@link #extrapolatedRange}'s, speaks
     * for the first as well. The tail beyond y = 0.9 stays above the polynomial, which ends at y = 1.05, while a hundredth of the energy lies
     * deeper here.
     */
    @ParameterizedTest
    @CsvSource({"10", "20"})
    void depthDoseInSilicon(double energyKev) {
        int slices = 60;
        ScatteringResult result = run(
                LayerStack.bulk(Materials.of("Si")),
                ScatteringSettings.of(energyKev).withElectrons(20_000).withDepthSlices(slices));
        double deposited = result.layerKev().get(0).value();
        double range = 0.0457 / 2.33 * Math.pow(energyKev, 1.75);
        double sliceUm = result.depthUm() / slices;
        // A parabola through the slices between y = 0.1 and 0.5 finds the peak through the noise.
        var points = new org.apache.commons.math3.fitting.WeightedObservedPoints();
        double mean = 0;
        double squares = 0;
        int count = 0;
        for (int i = 0; i < slices; i++) {
            double y = (i + 0.5) * sliceUm / range;
            double share = result.slices().get(i).value() / deposited;
            double dose = share / sliceUm * range;
            mean += y * share;
            if (y > 0.1 && y < 0.5) {
                points.add(y, dose);
            }
            if (y > 0.05 && y < 0.9) {
                double d = dose - (0.60 + y * (6.21 + y * (-12.40 + y * 5.69)));
                squares += d * d;
                count++;
            }
        }
        double[] c =
                org.apache.commons.math3.fitting.PolynomialCurveFitter.create(3).fit(points.toList());
        double place = 0;
        double height = 0;
        for (double y = 0.15; y < 0.5; y += 0.001) {
            double value = c[0] + y * (c[1] + y * (c[2] + y * c[3]));
            if (value > height) {
                height = value;
                place = y;
            }
        }
        assertEquals(0.32, place, 0.05);
        assertEquals(1.50, height, 0.05 * 1.50);
        assertEquals(0.408, mean, 0.04 * 0.408);
        double rms = Math.sqrt(squares / count);
        assertTrue(rms < 0.07, "from the published curve by " + rms + " root mean square");
    }

    /**
     * Extrapolated range, where the tangent to the transmitted share of electrons against thickness meets zero: T. Tabata, R. Ito, S.
     * Okabe, Nucl. Instrum. Methods 103, 85 (1972), from memory, {@code R = a1 [ln(1 + a2 tau)/a2 - a3 tau/(1 + a4 tau^a5)]} g/cm^2, a1 =
     * 0.2335 A/Z^1.209, a2 = 1.78e-4 Z, a3 = 0.9891 - 3.01e-4 Z, a4 = 1.468 - 1.18e-2 Z, a5 = 1.232/Z^0.109. Tolerance 10 % (Al, Si).
     *
     * <p>Found with 4,000 electrons at 10, 20, 50, 100 keV, ours over theirs: Al .94 .99 1.02 1.02, Si .92 .97 .99 1.03. Not as good,
     * and not held here: Cu .81 .87 .92 .97, Ge .78 .85 .91 .98, Au .92 1.07 1.17 1.30.
     */
    @ParameterizedTest
    @CsvSource({"Al, 20", "Si, 20", "Si, 50"})
    void extrapolatedRange(String name, double energyKev) {
        Material m = Materials.of(name);
        int z = m.components().get(0).element().atomicNumber();
        double tau = energyKev / 511;
        double published = 0.2335
                * m.meanA()
                / Math.pow(z, 1.209)
                * (Math.log1p(1.78e-4 * z * tau) / (1.78e-4 * z)
                        - (0.9891 - 3.01e-4 * z)
                                * tau
                                / (1 + (1.468 - 1.18e-2 * z) * Math.pow(tau, 1.232 / Math.pow(z, 0.109))));
        var line = new org.apache.commons.math3.stat.regression.SimpleRegression();
        for (double share = 0.35; share < 0.66; share += 0.05) {
            double um = share * StoppingPower.rangeUm(m, energyKev);
            LayerStack film = new LayerStack(List.of(new LayerStack.Layer(m, um * 1e3, true)));
            double transmitted = run(film, ScatteringSettings.of(energyKev).withElectrons(2_000))
                    .transmittedFraction()
                    .value();
            if (transmitted > 0.2 && transmitted < 0.7) {
                line.addData(um * 1e-4 * m.densityGPerCm3(), transmitted);
            }
        }
        assertEquals(published, -line.getIntercept() / line.getSlope(), 0.1 * published);
    }

    /**
     * Backscattering of a tilted beam: F. Arnal, P. Verdier, P.-D. Vincensini, C. R. Acad. Sci. Paris B 268, 1526 (1969), from memory:
     * {@code (1 + cos(tilt))^(-9/sqrt(Z))}. Tolerance 0.05. Without the tilt in the kernel 60 degrees would give .18 instead of .38.
     */
    @ParameterizedTest
    @CsvSource({"Al, 45", "Si, 60", "Au, 60"})
    void tiltedBeamBackscattersMore(String name, double tiltDeg) {
        int z = Materials.of(name).components().get(0).element().atomicNumber();
        double published = Math.pow(1 + Math.cos(Math.toRadians(tiltDeg)), -9 / Math.sqrt(z));
        Estimate found = run(
                        bulk(name),
                        ScatteringSettings.of(20).withElectrons(4_000).withTiltDeg(tiltDeg))
                .backscatteredFraction();
        assertEquals(published, found.value(), 0.05 + 4 * found.standardError());
    }

    /**
     * A beam that falls in straight comes back by the cosine of the angle (L. Reimer, Scanning Electron Microscopy, from memory:
     * Lambert's law holds well at normal incidence): the mean cosine of those that leave is 2/3, within 0.03.
     */
    @Test
    void backscatteredElectronsLeaveByTheCosineLaw() {
        LeavingElectrons leaving =
                run(bulk("Au"), ScatteringSettings.of(20).withElectrons(6_000)).leaving();
        double sum = 0;
        double cosines = 0;
        for (int i = 0; i < leaving.primariesByAngle().size(); i++) {
            double n = leaving.primariesByAngle().get(i).value();
            sum += n;
            cosines += n * Math.cos(Math.toRadians((leaving.angleDeg(i) + leaving.angleDeg(i + 1)) / 2));
        }
        assertEquals(2 / 3.0, cosines / sum, 0.03);
    }

    /**
     * Backscatter range in Si from 20 to 100 keV: exponent 1.72 +- 0.12 (L. D. Jackel et al., Appl. Phys. Lett. 45, 698 (1984),
     * from memory: 1.7), over the CSDA range 0.33-0.42, at 100 keV 26-33 um +- 20 % (literature, from memory; 26: Yale
     * nanofabrication pages).
     */
    @Test
    void backscatterRangeInSilicon() {
        LayerStack stack = LayerStack.of(Materials.of("PMMA"), 300, Materials.of("Si"));
        List<ScatteringStudy.Run> runs = java.util.stream.DoubleStream.of(20, 30, 50, 100)
                .mapToObj(e -> new ScatteringStudy.Run(
                        "Si",
                        ScatteringFits.of(run(stack, ScatteringSettings.of(e).withElectrons(20_000)))))
                .toList();
        Estimate exponent = ScatteringStudy.exponent(runs).orElseThrow();
        assertEquals(1.72, exponent.value(), 0.12, "exponent");
        assertTrue(exponent.standardError() < 0.04, "exponent is known to " + exponent.standardError());
        for (ScatteringStudy.Run r : runs) {
            double share = ScatteringStudy.Quantity.BETA.of(r.fits()).value()
                    / StoppingPower.rangeUm(Materials.of("Si"), r.energyKev());
            assertTrue(share > 0.33 && share < 0.42, "beta over range at " + r.energyKev() + ": " + share);
        }
        double beta = ScatteringStudy.Quantity.BETA.of(runs.get(3).fits()).value();
        assertTrue(beta > 0.8 * 26 && beta < 1.2 * 33, "beta at 100 keV " + beta);
    }

    /** Energy balance to 1e-9, with secondaries, escape above and below, and every layer in play. */
    @Test
    void energyBalance() {
        LayerStack membrane = new LayerStack(List.of(
                new LayerStack.Layer(Materials.of("Al"), 20, false),
                new LayerStack.Layer(Materials.of("PMMA"), 100, true),
                new LayerStack.Layer(Materials.of("Si3N4"), 50, false)));
        for (double energy : new double[] {5, 30, 100, 200}) {
            for (LayerStack stack : List.of(membrane, LayerStack.of(Materials.of("HSQ"), 50, Materials.of("GaAs")))) {
                ScatteringResult r = run(
                        stack,
                        ScatteringSettings.of(energy).withElectrons(1_000).withFastSecondaries(true));
                assertEquals(0, r.energyImbalance(), 1e-9);
                double inResist = r.layerKev().get(stack.resistIndex()).value();
                assertEquals(inResist, r.profile().total() + r.beyondKev(), 1e-9 * inResist);
            }
        }
    }

    /**
     * A substrate cut into sublayers changes nothing beyond 4 standard errors: backscattered fraction, returning energy and beta. 3
     * comparisons, false failure 2e-4 in all for a new seed.
     */
    @Test
    void sublayersChangeNothing() {
        Material si = Materials.of("Si");
        Material pmma = Materials.of("PMMA");
        ScatteringSettings settings = ScatteringSettings.of(50).withElectrons(20_000);
        ScatteringResult whole = run(LayerStack.of(pmma, 300, si), settings);
        ScatteringResult cut = run(
                new LayerStack(List.of(
                        new LayerStack.Layer(pmma, 300, true),
                        new LayerStack.Layer(si, 7, false),
                        new LayerStack.Layer(si, 300, false),
                        new LayerStack.Layer(si, 2_000, false),
                        new LayerStack.Layer(si, 5_000, false),
                        new LayerStack.Layer(si, Double.POSITIVE_INFINITY, false))),
                settings.withSeed(2));
        assertSame(whole.backscatteredFraction(), cut.backscatteredFraction());
        assertSame(whole.energyRatio(), cut.energyRatio());
        var a = ProfileFits.doubleGaussian(whole.profile()).parameter("beta_um");
        var b = ProfileFits.doubleGaussian(cut.profile()).parameter("beta_um");
        assertSame(new Estimate(a.value(), a.standardError()), new Estimate(b.value(), b.standardError()));
    }

    private static void assertSame(Estimate a, Estimate b) {
        assertEquals(a.value(), b.value(), 4 * Math.hypot(a.standardError(), b.standardError()));
    }

    /**
     * Putting electrons to rest that cannot leave their layer is exact: the kernel with it and the one that follows everything (it
     * does when paths are recorded) leave the same energy in the resist and let the same share escape, within 4 standard
     * errors; and the latter makes as many collisions as derived: 1,600-2,200 for a 100 keV electron in Si.
     */
    @Test
    void restingElectronsEarlyIsExactAndSaves() {
        ScatteringSimulation simulation = ScatteringSimulation.of(
                LayerStack.of(Materials.of("PMMA"), 100, Materials.of("Si")),
                ScatteringSettings.of(100).withFastSecondaries(false));
        int batches = 40;
        int electrons = 100;
        double[] early = new double[batches];
        double[] full = new double[batches];
        double[] count = new double[batches];
        long fullCollisions = 0;
        long stopped = 0;
        for (int i = 0; i < batches; i++) {
            Tally a = simulation.tally();
            simulation.kernel(null).run(RandomSource.XO_SHI_RO_256_PP.create(i), electrons, a);
            Tally b = simulation.tally();
            simulation.kernel(new Silent()).run(RandomSource.XO_SHI_RO_256_PP.create(1000 + i), electrons, b);
            early[i] = a.backscattered + a.layerKev[0];
            full[i] = b.backscattered + b.layerKev[0];
            count[i] = electrons;
            fullCollisions += b.elasticCollisions;
            stopped += electrons - b.backscattered;
        }
        assertSame(Estimate.ofRatio(early, count), Estimate.ofRatio(full, count));
        double each = (double) fullCollisions / (batches * electrons);
        double perStopped = (double) fullCollisions / stopped;
        assertTrue(each > 1400 && perStopped > 1600 && each < 2200, "collisions " + each + ", " + perStopped);
    }

    private static final class Silent implements TransportKernel.PathRecorder {
        @Override
        public void begin(boolean primary, double xUm, double yUm, double zUm) {}

        @Override
        public void to(double xUm, double yUm, double zUm) {}
    }
}
