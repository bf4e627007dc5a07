package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import java.util.stream.DoubleStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Measured profiles: fits find what they were made of, with honest errors, and refuse what the points leave open. */
class MeasuredFitsTest {
    private static final PointSpreadFunction TRUTH = PointSpreadFunction.doubleGaussian(0.03, 9.5, 0.7);

    private static double[] radii(double from, double to, double ratio) {
        return DoubleStream.iterate(from, r -> r < to, r -> r * ratio).toArray();
    }

    private static MeasuredProfile exact(DoubleUnaryOperator density, double from, double to) {
        double[] r = radii(from, to, 1.1);
        return MeasuredProfile.of(r, Arrays.stream(r).map(density).toArray(), new double[0]);
    }

    /** With errors of {@code relative} of the density and an absolute {@code noise}. */
    private static MeasuredProfile noisy(
            DoubleUnaryOperator density, double relative, double noise, long seed, boolean stated) {
        Random random = new Random(seed);
        double[] r = radii(0.003, 60, 1.12);
        double[] error = Arrays.stream(r)
                .map(x -> Math.hypot(relative * density.applyAsDouble(x), noise))
                .toArray();
        double[] y = new double[r.length];
        for (int i = 0; i < y.length; i++) {
            y[i] = density.applyAsDouble(r[i]) + error[i] * random.nextGaussian();
        }
        return MeasuredProfile.of(r, y, stated ? error : new double[0]);
    }

    private static double value(MeasuredFit fit, String name) {
        return parameter(fit, name).value();
    }

    private static ProfileFit.Parameter parameter(MeasuredFit fit, String name) {
        return fit.parameters().stream()
                .filter(p -> p.name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    @Test
    void findsTheDoubleGaussianOnAnyScale() {
        MeasuredFit fit = MeasuredFits.doubleGaussian(exact(r -> 7 * TRUTH.density(r), 0.002, 30));
        assertEquals(0.03, value(fit, "alpha_um"), 1e-5 * 0.03);
        assertEquals(9.5, value(fit, "beta_um"), 1e-5 * 9.5);
        assertEquals(0.7, value(fit, "eta"), 1e-5 * 0.7);
        assertEquals(7, fit.scale(), 1e-4);
        assertEquals(0, fit.background());
        assertEquals(7 * TRUTH.density(1), fit.expected(1), 1e-4 * TRUTH.density(1));
        assertTrue(fit.rmsMisfit() < 1e-4);
        assertEquals(0, fit.notes().size(), fit.notes().toString());
    }

    @Test
    void findsTheTripleGaussian() {
        PointSpreadFunction psf = PointSpreadFunction.from(
                java.util.List.of(new GaussianTerm(1, 0.01), new GaussianTerm(0.3, 0.4), new GaussianTerm(0.6, 25)));
        MeasuredFit fit = MeasuredFits.tripleGaussian(exact(psf::density, 0.002, 80));
        assertEquals(0.01, value(fit, "alpha_um"), 1e-6);
        assertEquals(25, value(fit, "beta_um"), 1e-2);
        assertEquals(0.6 / 1.3, value(fit, "eta"), 1e-3);
        assertEquals(0.4, value(fit, "gamma_um"), 1e-3);
        assertEquals(0.3, value(fit, "nu"), 1e-3);
    }

    @Test
    void ladderFollowsTheProfileAndHoldsItsWeights() {
        MeasuredFit fit = MeasuredFits.ladder(exact(TRUTH::density, 0.002, 30));
        assertTrue(fit.rmsMisfit() < 0.08, "misfit " + fit.rmsMisfit());
        assertEquals(0.7 / 1.7, fit.psf().shareBeyond(0.3), 0.01);
        assertTrue(fit.parameters().stream()
                .filter(p -> p.name().startsWith("weight"))
                .allMatch(p -> p.standardError() > 0));
    }

    /**
     * Errors stated or not, 5 % of the density and noise as large as the far tail, so that about a tenth of the points lie below 0:
     * 40 fits are right on average to 4 standard errors of the mean, and scatter as they say to 45 % (four times 11 %).
     */
    @ParameterizedTest
    @CsvSource({"true", "false"})
    void negativeValuesDoNotBiasAndErrorsAreTheScatter(boolean stated) {
        double noise = TRUTH.density(14);
        int repeats = 40;
        int below = 0;
        for (String name : new String[] {"alpha_um", "beta_um", "eta"}) {
            double truth = name.equals("alpha_um") ? 0.03 : name.equals("beta_um") ? 9.5 : 0.7;
            double[] found = new double[repeats];
            double error = 0;
            for (int k = 0; k < repeats; k++) {
                MeasuredProfile profile = noisy(TRUTH::density, 0.05, noise, 40 + k, stated);
                for (int i = 0; i < profile.size(); i++) {
                    below += profile.density(i) < 0 ? 1 : 0;
                }
                MeasuredFit fit = MeasuredFits.doubleGaussian(profile);
                found[k] = value(fit, name);
                error += parameter(fit, name).standardError() / repeats;
            }
            double mean = Arrays.stream(found).average().orElseThrow();
            double scatter = Math.sqrt(
                    Arrays.stream(found).map(v -> (v - mean) * (v - mean)).sum() / (repeats - 1));
            assertEquals(truth, mean, 4 * scatter / Math.sqrt(repeats), name);
            assertEquals(1, error / scatter, 0.45, name);
        }
        assertTrue(below > 3 * repeats, below + " values below 0");
    }

    /** A profile from 50 nm on still rises inward, and no weight of its direct term is to be had from it. */
    @Test
    void aProfileThatDoesNotReachItsDirectTermIsRefused() {
        PointSpreadFunction psf = PointSpreadFunction.from(java.util.List.of(
                new GaussianTerm(0.5, 0.01), new GaussianTerm(0.15, 0.1), new GaussianTerm(0.35, 9.5)));
        MeasuredProfile profile = exact(psf::density, 0.08, 40);
        String told = assertThrows(IllegalArgumentException.class, () -> MeasuredFits.doubleGaussian(profile))
                .getMessage();
        assertTrue(told.contains("still rises inward"), told);
        assertThrows(IllegalArgumentException.class, () -> MeasuredFits.ladder(profile));
    }

    /** From 200 nm on nothing but the far Gaussian is left: two terms are refused, and one is told to miss a direct one. */
    @Test
    void aTermThatIsNotThereIsRefused() {
        MeasuredProfile profile = exact(TRUTH::density, 0.2, 40);
        String told = assertThrows(IllegalArgumentException.class, () -> MeasuredFits.doubleGaussian(profile))
                .getMessage();
        assertTrue(told.contains("determine") || told.contains("fewer terms"), told);
        MeasuredFit ladder = MeasuredFits.ladder(profile);
        assertTrue(
                ladder.notes().get(0).startsWith("the profile begins at 0.2 um"),
                ladder.notes().toString());
    }

    /** Noise as large as the far plateau leaves eta open to more than 30 %: refused with the number that is missing. */
    @Test
    void aNumberThatNoiseLeavesOpenIsRefused() {
        MeasuredProfile profile = noisy(TRUTH::density, 0.05, 1.5 * TRUTH.density(1), 5, true);
        String told = assertThrows(IllegalArgumentException.class, () -> MeasuredFits.doubleGaussian(profile))
                .getMessage();
        assertTrue(told.startsWith("it does not determine "), told);
    }

    /** A level under the profile is told, and moves neither range nor ratio; it does not become a term of a hundred micrometres. */
    @Test
    void aLevelUnderTheProfileIsNoTerm() {
        double level = TRUTH.density(11);
        for (boolean stated : new boolean[] {true, false}) {
            MeasuredProfile profile = noisy(r -> TRUTH.density(r) + level, 0.02, 0.05 * level, 3, stated);
            MeasuredFit fit = MeasuredFits.doubleGaussian(profile);
            assertEquals(level, fit.background(), 0.1 * level);
            assertEquals(
                    9.5, value(fit, "beta_um"), 4 * parameter(fit, "beta_um").standardError());
            assertEquals(0.7, value(fit, "eta"), 4 * parameter(fit, "eta").standardError());
            assertTrue(
                    fit.notes().stream().anyMatch(n -> n.startsWith("a level of ")),
                    fit.notes().toString());
            MeasuredFit ladder = MeasuredFits.ladder(profile);
            // A free sum of Gaussians tells its widest terms from a level to about a tenth of the energy with this
            // noise.
            assertEquals(0.7 / 1.7, ladder.psf().shareBeyond(0.3), 0.1);
            assertTrue(ladder.psf().terms().stream().allMatch(t -> t.rangeUm() < 24));
        }
    }

    /**
     * A power law between two humps, which no double Gaussian describes: the numbers hold the energy, here to 10 % what they hold of the
     * exact profile, and the fit says that the form does not describe the points.
     */
    @Test
    void aFormThatDoesNotDescribeThePointsHoldsTheEnergy() {
        PointSpreadFunction psf = PointSpreadFunction.from(java.util.List.of(
                new GaussianTerm(0.55, 0.01),
                new GaussianTerm(0.05, 0.03),
                new GaussianTerm(0.04, 0.1),
                new GaussianTerm(0.03, 0.3),
                new GaussianTerm(0.33, 9.5)));
        MeasuredFit fit = MeasuredFits.doubleGaussian(noisy(psf::density, 0.05, psf.density(20), 9, true));
        assertEquals(9.5, value(fit, "beta_um"), 0.1 * 9.5, fit.parameters().toString());
        assertEquals(0.33 / 0.67, value(fit, "eta"), 0.1, fit.parameters().toString());
        assertTrue(parameter(fit, "eta").standardError() > 0.005);
        assertTrue(fit.notes().stream().anyMatch(n -> n.contains("does not describe the points")));
    }

    @Test
    void measuredProfileIsRead(@TempDir Path dir) throws IOException {
        Path file = Files.writeString(
                dir.resolve("m.csv"),
                "# measured by nobody\nradius_um,note,density_per_um2,standard_error_per_um2\n"
                        + "0.01,x,9,1\n0.1,,8,1\n1,,3,0.5\n2,,1,0.5\n3,,-0.1,0.5\n4,,0,0\n");
        MeasuredProfile profile = MeasuredProfile.read(file);
        assertEquals(5, profile.size());
        assertEquals(-0.1, profile.density(4));
        assertEquals(0.5, profile.standardError(2));
        assertTrue(profile.hasErrors());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "radius,density_per_um2\\n1,2 | line 1: the column radius_um is missing from the header row",
                "radius_um,density_per_um2\\n1,2\\n2,x\\n3,1 | line 3: density_per_um2 is 'x', not a number",
                "radius_um,density_per_um2\\n1,2\\n1,2\\n3,1 | line 3: radii must be above 0 and rise, got 1.0",
                "radius_um,density_per_um2,standard_error_per_um2\\n1,2,1\\n2,2,-1 | line 3: the standard error must be above 0",
                "radius_um,density_per_um2\\n1,2\\n2,-2\\n3,1 | needs at least 5 rows, and a density above 0",
                "radius_um,density_per_um2\\n1,-2\\n2,-2\\n3,-1\\n4,-1\\n5,0 | needs at least 5 rows, and a density above 0",
                "radius_um,density_per_um2\\n1,2\\n2\\n3,1 | line 3: density_per_um2 is missing",
            })
    void slipsInProfilesAreToldWithTheirPlace(String text, String message, @TempDir Path dir) throws IOException {
        Path file = Files.writeString(dir.resolve("m.csv"), text.replace("\\n", "\n"));
        String told = assertThrows(BadInputException.class, () -> MeasuredProfile.read(file))
                .getMessage();
        assertTrue(told.contains(message), told);
    }
}
