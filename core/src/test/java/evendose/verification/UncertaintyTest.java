package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.LayerRole;
import evendose.energy.ExactEnergy;
import evendose.files.BadInputException;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.math3.distribution.PoissonDistribution;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.CholeskyDecomposition;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.random.Well19937c;
import org.apache.commons.math3.stat.descriptive.moment.Variance;
import org.junit.jupiter.api.Test;

/** Intervals against drawn processes, drawn electrons and closed forms. */
class UncertaintyTest {
    private static final double ALPHA = 0.02;
    private static final double BETA = 9.5;
    private static final double ETA = 0.62;
    private static final double BASE = 300;

    /** A base dose so high that no shot noise shows, uC/cm^2. */
    private static final double HUGE = 3e11;

    /** Standard errors of the logarithms of alpha, beta, eta and the clearing dose, and their correlations. */
    private static final double[] ERROR = {0.08, 0.02, 0.03, 0.012};

    private static final double[][] CORRELATION = {
        {1, 0.1, 0.3, 0.4}, {0.1, 1, 0.35, 0.1}, {0.3, 0.35, 1, 0.7}, {0.4, 0.1, 0.7, 1}
    };

    /** 97.5 % points of the normal distribution and of Student's with 4 degrees of freedom, from printed tables (from memory). */
    private static final double NORMAL = 1.959964;

    private static final double STUDENT_4 = 2.776445;

    private static double[][] covariance(double[] error, double[][] correlation) {
        double[][] c = new double[error.length][error.length];
        for (int a = 0; a < c.length; a++) {
            for (int b = 0; b < c.length; b++) {
                c[a][b] = correlation[a][b] * error[a] * error[b];
            }
        }
        return c;
    }

    private static double[][] alone(double... error) {
        double[][] c = new double[error.length][error.length];
        for (int a = 0; a < c.length; a++) {
            c[a][a] = error[a] * error[a];
        }
        return c;
    }

    private static String text(String fitted, double[][] covariance, String scatter) {
        return String.format(
                Locale.ROOT, """
                {"parameters": [{"name": "alpha", "value": %s}, {"name": "beta", "value": %s}, {"name": "eta", "value": %s}],
                 "base_dose": {"value": %s},
                 "covariance": {"parameters": [%s], "matrix": %s, "from_scatter": [%s]}}
                """, ALPHA, BETA, ETA, BASE, fitted, Arrays.deepToString(covariance), scatter);
    }

    private static final String FOUR = "\"alpha\", \"beta\", \"eta\", \"clearing dose\"";

    private static CalibratedProcess process(double[][] covariance) {
        return process(covariance, BASE);
    }

    private static CalibratedProcess process(double[][] covariance, double baseDose) {
        return CalibratedProcess.parse(
                "fit.json", text(FOUR, covariance, "").replace("{\"value\": " + BASE, "{\"value\": " + baseDose));
    }

    /** A lone line, a grating and a pad, with doses near those that they need; 1.5 % less is written than the calibration asks for. */
    private static Exposure exposure(double writtenUcPerCm2) throws IOException {
        TestExposure layout =
                new TestExposure().rectangle(-60, -15, -59.7, 15, 1.58).rectangle(40, -4, 48, 4, 1.33);
        for (int k = -4; k <= 4; k++) {
            layout.rectangle(0.6 * k, -3, 0.6 * k + 0.3, 3, 1.53);
        }
        return layout.build(PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA), writtenUcPerCm2);
    }

    private static final double[][] CUTS = {{-60, -59.7}, {2.4, 2.7}, {40, 48}};

    private static List<WidthGauge> gauges() {
        return Arrays.stream(CUTS)
                .map(c -> new WidthGauge("g", c[0], 0, 1, 0, c[1] - c[0], Double.POSITIVE_INFINITY, 0, 0))
                .toList();
    }

    private static Uncertainty uncertainty(Exposure exposure, boolean areLevels, CalibratedProcess process) {
        // The outline alone is read from this one: no dose.
        OutlineEdges edges = new TestExposure()
                .rectangle(-60, -15, -59.7, 15, 1)
                .rectangle(40, -4, 48, 4, 1)
                .edges();
        EdgeGauges places = EdgeGauges.random(edges, exposure, 12, EdgeGauges.Region.ALL, 3);
        try (Workers workers = Workers.of(2)) {
            return Uncertainty.of(exposure, areLevels, process, gauges(), edges, places, 1e-6, workers, Progress.NONE);
        }
    }

    /** Where a function falls through 0 between a place inside and one outside. */
    private static double crossing(DoubleUnaryOperator f, double inside, double outside) {
        double in = inside;
        double out = outside;
        for (int k = 0; k < 34; k++) {
            double middle = 0.5 * (in + out);
            if (f.applyAsDouble(middle) > 0) {
                in = middle;
            } else {
                out = middle;
            }
        }
        return 0.5 * (in + out);
    }

    /**
     * 500 processes drawn from the covariance, each evaluated exactly: in 93 to 97 % of them each width, and the placement of each edge
     * looked at, lies in its interval. The number is binomial, so with 95 % a quantity is outside by chance for 3 of 100 seeds, and any of the
     * five for at most 15; the seed is fixed, so that the test fails or not for good. Doses are so high that no shot noise shows, and are levels.
     */
    @Test
    void intervalsHoldTheWidthsOfDrawnProcesses() throws IOException {
        double written = 0.985 * HUGE;
        double[][] covariance = covariance(ERROR, CORRELATION);
        CalibratedProcess process = process(covariance, HUGE);
        Exposure exposure = exposure(written);
        Uncertainty found = uncertainty(exposure, true, process);
        Uncertainty.Edge lineSide = edge(found, -59.7);
        Uncertainty.Edge padSide = edge(found, 48);
        List<ErrorBar> bars = new ArrayList<>(found.widths());
        bars.add(lineSide.placement());
        bars.add(padSide.placement());

        RealMatrix root = new CholeskyDecomposition(new Array2DRowRealMatrix(covariance)).getL();
        Random random = new Random(20);
        int draws = 500;
        int[] inside = new int[bars.size()];
        for (int t = 0; t < draws; t++) {
            double[] normal = new double[ERROR.length];
            Arrays.setAll(normal, a -> random.nextGaussian());
            double[] off = root.operate(normal);
            PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(
                    ALPHA * Math.exp(off[0]), BETA * Math.exp(off[1]), ETA * Math.exp(off[2]));
            ExactEnergy energy = ExactEnergy.ofUnits(exposure.pieces(), exposure.factors(), psf);
            double level = HUGE * Math.exp(off[3]) / 2 / written;
            List<Double> seen = new ArrayList<>();
            for (double[] cut : CUTS) {
                DoubleUnaryOperator above = x -> energy.at(x, 0) - level;
                double middle = (cut[0] + cut[1]) / 2;
                seen.add(crossing(above, Math.max(middle, cut[1] - 0.14), cut[1] + 0.14)
                        - crossing(above, Math.min(middle, cut[0] + 0.14), cut[0] - 0.14));
            }
            seen.add(crossing(x -> energy.at(x, lineSide.yUm()) - level, -59.85, -59.5) + 59.7);
            seen.add(crossing(x -> energy.at(x, padSide.yUm()) - level, 47.8, 48.2) - 48);
            for (int q = 0; q < inside.length; q++) {
                ErrorBar bar = bars.get(q);
                inside[q] += Math.abs(1e3 * seen.get(q) - bar.valueNm()) <= bar.halfWidthNm() ? 1 : 0;
            }
        }
        System.out.println("uncertainty: of " + draws + " processes inside the intervals: " + Arrays.toString(inside));
        for (int q = 0; q < inside.length; q++) {
            assertTrue(inside[q] >= 0.93 * draws && inside[q] <= 0.97 * draws, q + ": " + inside[q]);
        }
    }

    private static Uncertainty.Edge edge(Uncertainty found, double xUm) {
        return found.edges().stream()
                .filter(e -> Math.abs(e.xUm() - xUm) < 1e-9 && Math.abs(e.yUm()) < 14)
                .findFirst()
                .orElseThrow();
    }

    /**
     * The edge of a wide pad moves by {@code 1 / (2 sqrt(n))} um whatever alpha is, n being electrons/um^2: the noise {@code w / alpha sqrt(n / 4
     * pi)} over the slope {@code n w / (alpha sqrt(pi))}. 1 uC/cm^2 are 62,415 electrons/um^2. A width has two such edges. Where
     * backscattering falls off beside the edge, the slope is steeper by a few parts in a thousand.
     */
    @Test
    void shotNoiseMovesAnEdgeByOneOverTwiceTheRootOfTheElectrons() throws IOException {
        CalibratedProcess sure = process(alone(1e-7, 1e-7, 1e-7, 1e-7), 1);
        Uncertainty found = uncertainty(exposure(1), true, sure);
        double edge = 1e3 / (2 * Math.sqrt(1.33 * 62_415.0907));
        assertEquals(NORMAL * edge, edge(found, 48).placement().halfWidthNm(), 0.02 * edge);
        assertEquals(NORMAL * edge * Math.sqrt(2), found.widths().get(2).halfWidthNm(), 0.02 * edge);
        assertEquals("shot noise", found.widths().get(2).dominatedBy());
        assertEquals(
                0,
                found.widths()
                        .get(2)
                        .halfWidthWithoutNm(found.widths().get(2).sources().get(0)),
                0.01);
    }

    /**
     * Electrons thrown at a half plane at random, energies added up at its edge. Of 4,000 trials the variance is known to 2.2 % (root of
     * 2 / 4,000); five of these fail by chance in 6e-7.
     */
    @Test
    void thrownElectronsScatterAsShotNoiseSays() {
        double alpha = 0.03;
        double weight = 0.7;
        double factor = 1.5;
        double perUm2 = 20_000;
        double reach = 4 * alpha;
        Well19937c random = new Well19937c(5);
        PoissonDistribution count =
                new PoissonDistribution(random, factor * perUm2 * 2 * reach * reach, 1e-12, 10_000_000);
        double[] energy = new double[4000];
        for (int t = 0; t < energy.length; t++) {
            int electrons = count.sample();
            double sum = 0;
            for (int k = 0; k < electrons; k++) {
                double x = reach * random.nextDouble();
                double y = reach * (2 * random.nextDouble() - 1);
                sum += Math.exp(-(x * x + y * y) / (alpha * alpha));
            }
            energy[t] = weight * sum / (Math.PI * alpha * alpha) / perUm2;
        }
        double seen = new Variance().evaluate(energy);
        double said = Math.pow(Uncertainty.shotNoise(factor, perUm2, weight, alpha), 2);
        assertEquals(1, seen / said, 5 * Math.sqrt(2.0 / energy.length));
    }

    /** Free doses have a 255th of the logarithm of their range as step, over which rounding spreads evenly; levels have none to come. */
    @Test
    void roundingCountsUntilDosesAreLevels() throws IOException {
        double error = 1e-3;
        CalibratedProcess process = process(alone(1e-9, 1e-9, 1e-9, error), HUGE);
        Exposure exposure = exposure(HUGE);
        ErrorBar free = uncertainty(exposure, false, process).widths().get(0);
        double step = Math.log(1.58 / 1.33) / 255;
        double ratio = step * step / 12 / (error * error);
        assertEquals(ratio / (1 + ratio), share(free, "rounding to levels"), 1e-4);
        assertEquals(1 / (1 + ratio), share(free, "base dose"), 1e-4);
        ErrorBar levels = uncertainty(exposure, true, process).widths().get(0);
        assertEquals(0, share(levels, "rounding to levels"), 0);
        assertEquals(levels.halfWidthNm(), free.halfWidthWithoutNm(source(free, "rounding to levels")), 1e-5);
    }

    /** If a single parameter moves all edges the same way, the mean moves by the mean of what they move by. */
    @Test
    void theMeanOfEdgesMovesByTheMean() throws IOException {
        Uncertainty found = uncertainty(exposure(HUGE), true, process(alone(1e-9, 1e-9, 1e-9, 0.01), HUGE));
        double value = 0;
        double half = 0;
        for (Uncertainty.Edge e : found.edges()) {
            value += e.placement().valueNm() / found.edges().size();
            half += e.placement().halfWidthNm() / found.edges().size();
        }
        assertTrue(found.edges().size() > 5 && half > 0.1);
        assertEquals(value, found.meanPlacement().valueNm(), 1e-9);
        assertEquals(half, found.meanPlacement().halfWidthNm(), 1e-5);
    }

    /** A dose that is not known is taken such that the threshold is where the correction has it: at (1 + 2 eta) / (2 + 2 eta) for density 1. */
    @Test
    void anUnknownDoseIsTakenToBeRight() throws IOException {
        TestExposure layout =
                new TestExposure().rectangle(-60, -15, -59.7, 15, 1.58).rectangle(40, -4, 48, 4, 1);
        Exposure unknown = layout.build(CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA))
                .referenceDensity(1)
                .build());
        double written = uncertainty(unknown, true, process(alone(ERROR))).writtenUcPerCm2();
        assertEquals(BASE / 2 / ((1 + 2 * ETA) / (2 + 2 * ETA)), written, 1e-9);
    }

    /** Half the target for a base dose twice as high is the same process: shot noise and all. */
    @Test
    void layersOfTheirOwnTargetHaveTheirOwnThreshold() throws IOException {
        TestExposure layout = new TestExposure()
                .rectangle(-60, -15, -59.7, 15, 1.58)
                .rectangle(2.4, -3, 2.7, 3, 1.58)
                .rectangle(40, -4, 48, 4, 1.33);
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA);
        Exposure half = layout.build(
                CorrectionOptions.builder(psf).baseDoseUcPerCm2(1).build(), LayerRole.corrected(new Layer(1, 0), 0.5));
        Uncertainty one = uncertainty(layout.build(psf, 1), true, process(alone(ERROR), 1));
        Uncertainty other = uncertainty(half, true, process(alone(ERROR), 2));
        for (int i = 0; i < CUTS.length; i++) {
            assertEquals(one.widths().get(i).valueNm(), other.widths().get(i).valueNm(), 1e-4);
            assertEquals(
                    one.widths().get(i).halfWidthNm(), other.widths().get(i).halfWidthNm(), 1e-4);
        }
    }

    private static ErrorBar.Source source(ErrorBar bar, String name) {
        return bar.sources().stream()
                .filter(s -> s.name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    private static double share(ErrorBar bar, String name) {
        return bar.sources().stream()
                .filter(s -> s.name().equals(name))
                .mapToDouble(ErrorBar.Source::share)
                .sum();
    }

    /** What goes if a parameter is known is what regression on it explains: here by hand for two of them. */
    @Test
    void sharesAreWhatKnowingAParameterTakesAway() {
        double[][] c = alone(1e-6, 0.02, 0.03, 1e-6);
        c[1][2] = 0.5 * 0.02 * 0.03;
        c[2][1] = c[1][2];
        ErrorBar bar = ErrorBar.of(300, new double[] {0, 100, 50, 0}, process(c), 3, 1);
        // 100^2 0.02^2 + 50^2 0.03^2 + 2 100 50 0.0003 = 4 + 2.25 + 3, noise 9 and 1
        assertEquals(NORMAL * Math.sqrt(19.25), bar.halfWidthNm(), 1e-4);
        // (100 0.0004 + 50 0.0003)^2 / 0.0004 and (100 0.0003 + 50 0.0009)^2 / 0.0009
        assertEquals(7.5625 / 19.25, share(bar, "beta"), 1e-9);
        assertEquals(6.25 / 19.25, share(bar, "eta"), 1e-9);
        assertEquals(9 / 19.25, share(bar, "shot noise"), 1e-9);
        assertEquals(
                List.of("shot noise", "beta", "eta", "rounding to levels"),
                bar.sources().stream().map(ErrorBar.Source::name).toList());
        assertEquals("shot noise", bar.dominatedBy());
        assertEquals(
                NORMAL * Math.sqrt(10.25), bar.halfWidthWithoutNm(bar.sources().get(0)), 1e-4);
    }

    @Test
    void fewMeasurementsWidenIntervals() {
        double[][] c = alone(1e-9, 0.02, 1e-9, 1e-9);
        double[] slope = {0, 100, 0, 0};
        String part = "{\"degrees_of_freedom\": 4, \"matrix\": " + Arrays.deepToString(c) + "}";
        CalibratedProcess few = CalibratedProcess.parse("fit.json", text(FOUR, c, part));
        assertEquals(2 * STUDENT_4, ErrorBar.of(300, slope, few, 0, 0).halfWidthNm(), 1e-5);
        // Half of the variance is known: four times as many degrees of freedom, and 2.119905 for 16.
        assertEquals(2.119905 * Math.sqrt(8), ErrorBar.of(300, slope, few, 2, 0).halfWidthNm(), 1e-5);
    }

    @Test
    void whatIsLostHasNoInterval() {
        CalibratedProcess process = process(alone(ERROR));
        ErrorBar lost = ErrorBar.of(Double.NaN, new double[4], process, 0, 0);
        assertTrue(!lost.isKnown()
                && lost.sources().isEmpty()
                && lost.dominatedBy().isEmpty());
        assertTrue(!ErrorBar.of(300, new double[] {0, 0, 0, Double.NaN}, process, 0, 0)
                .isKnown());
    }

    /** A threshold of its own adds to the clearing dose; the offset of widths is the microscope's; what was given has no error. */
    @Test
    void baseDoseGathersItsTwoFactors() {
        double[][] c = {{4e-4, 0, 1e-4, 0}, {0, 9e-4, -2e-4, 5e-3}, {1e-4, -2e-4, 1e-4, 0}, {0, 5e-3, 0, 0.25}};
        CalibratedProcess process = CalibratedProcess.parse(
                "fit.json", text("\"beta\", \"clearing dose\", \"tau\", \"width offset\"", c, ""));
        assertEquals(List.of("beta", "base dose"), process.names());
        assertEquals(9e-4 + 1e-4 - 4e-4, process.covariance()[1][1], 1e-18);
        assertEquals(1e-4, process.covariance()[0][1], 1e-18);
        assertEquals(0.02, process.relativeError("beta"), 1e-15);
    }

    @Test
    void thirdTermIsPartOfTheFunction() {
        String three = text(FOUR, alone(ERROR), "")
                .replace(
                        "\"parameters\": [{",
                        "\"parameters\": [{\"name\": \"gamma\", \"value\": 0.5}, {\"name\": \"nu\", \"value\": 0.3}, {");
        PointSpreadFunction psf = CalibratedProcess.parse("fit.json", three).psf("gamma", 2);
        assertEquals(3, psf.terms().size());
        assertEquals(1, psf.terms().get(1).rangeUm(), 1e-12);
        assertEquals(0.3 / 1.92, psf.terms().get(1).weight(), 1e-12);
        assertEquals(1 / 1.92, CalibratedProcess.parse("fit.json", three).directWeight(), 1e-12);
    }

    @Test
    void otherFilesAreRefused() {
        refused("{\"terms\": []}", "fit.json: holds no covariance of a calibration");
        refused(text(FOUR, alone(0.1, 0.1, 0.1), ""), "covariance.matrix: must have a row and a column");
        refused(text("\"alpha\"", alone(0.1), ""), "covariance.parameters: must hold \"clearing dose\"");
        refused(text(FOUR, alone(0, 0.1, 0.1, 0.1), ""), "gives alpha no variance above 0");
        double[][] skew = alone(ERROR);
        skew[0][1] = 1e-4;
        refused(text(FOUR, skew, ""), "is no covariance: look at beta and alpha");
        double[][] more = alone(ERROR);
        more[0][1] = 0.0017;
        more[1][0] = 0.0017;
        refused(text(FOUR, more, ""), "is no covariance: look at beta and alpha");
        refused(
                text(FOUR, alone(ERROR), "").replace("\"eta\", \"value\"", "\"zeta\", \"value\""),
                "parameters: has no eta");
    }

    private static void refused(String text, String message) {
        BadInputException e = assertThrows(BadInputException.class, () -> CalibratedProcess.parse("fit.json", text));
        assertTrue(e.getMessage().contains(message), e.getMessage());
    }

    private static ErrorBar bar(double valueNm, double halfWidthNm) {
        return new ErrorBar(valueNm, halfWidthNm, halfWidthNm / 2, List.of(), List.of());
    }

    /** The widest of those known, and spreads by hand. */
    @Test
    void theWorstIsTheWidestThatIsKnown() {
        List<ErrorBar> widths = List.of(bar(100, 3), bar(200, 7), bar(300, Double.NaN), bar(400, 5));
        List<Uncertainty.Edge> edges = List.of(
                new Uncertainty.Edge(1, 2, bar(-2, 3)),
                new Uncertainty.Edge(3, 4, bar(4, 5)),
                new Uncertainty.Edge(5, 6, bar(1, 1)));
        Uncertainty found = new Uncertainty(process(alone(ERROR)), BASE, 0, widths, edges, bar(1, 1));
        assertEquals(1, found.worstWidth().orElseThrow());
        assertEquals(3, found.worstEdge().orElseThrow().xUm());
        assertEquals(3, found.edgeHalfWidths().mean(), 1e-12);
        assertEquals(5, found.edgeHalfWidths().max());
        assertEquals(1, found.placements().mean(), 1e-12);
        assertEquals(4, found.placements().max());
        Uncertainty none =
                new Uncertainty(process(alone(ERROR)), BASE, 0, List.of(bar(1, Double.NaN)), List.of(), bar(1, 1));
        assertTrue(none.worstWidth().isEmpty() && none.worstEdge().isEmpty());
    }

    /** A lone line, a gauge across it and a place on its far side; {@code turned} exchanges x and y. */
    private static Uncertainty ofALine(boolean turned) throws IOException {
        double[] box = turned ? new double[] {-15, -60, 15, -59.7} : new double[] {-60, -15, -59.7, 15};
        TestExposure line = new TestExposure().rectangle(box[0], box[1], box[2], box[3], 1.58);
        Exposure exposure = line.build(PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA), BASE);
        OutlineEdges edges = line.edges();
        int far = 0;
        for (int e = 1; e < 4; e++) {
            boolean further = turned ? edges.outY(e) > edges.outY(far) : edges.outX(e) > edges.outX(far);
            far = further ? e : far;
        }
        double[] place = turned ? new double[] {3, -59.7} : new double[] {-59.7, 3};
        EdgeGauges places =
                EdgeGauges.at(edges, exposure, new int[] {far}, new double[] {place[0]}, new double[] {place[1]});
        WidthGauge gauge = turned
                ? new WidthGauge("g", 0, -60, 0, 1, 0.3, Double.POSITIVE_INFINITY, 0, 0)
                : new WidthGauge("g", -60, 0, 1, 0, 0.3, Double.POSITIVE_INFINITY, 0, 0);
        try (Workers one = Workers.of(1)) {
            return Uncertainty.of(
                    exposure, false, process(alone(ERROR)), List.of(gauge), edges, places, 0, one, Progress.NONE);
        }
    }

    /** Shot noise counts on both edges of a width, on one of an edge, whichever way they face. */
    @Test
    void turningTheLayoutChangesNoInterval() throws IOException {
        Uncertainty upright = ofALine(false);
        Uncertainty level = ofALine(true);
        ErrorBar width = upright.widths().get(0);
        assertTrue(width.isKnown() && upright.edges().get(0).placement().isKnown());
        assertTrue(width.sources().stream().anyMatch(s -> s.name().equals(ErrorBar.SHOT_NOISE)));
        assertEquals(width.halfWidthNm(), level.widths().get(0).halfWidthNm(), 1e-4);
        assertEquals(width.valueNm(), level.widths().get(0).valueNm(), 1e-4);
        ErrorBar edge = upright.edges().get(0).placement();
        assertEquals(edge.halfWidthNm(), level.edges().get(0).placement().halfWidthNm(), 1e-4);
        assertEquals(edge.valueNm(), level.edges().get(0).placement().valueNm(), 1e-4);
        // Both edges of the line are alike: the width's variance from noise is twice that of an edge.
        assertEquals(2 * noiseNm2(edge), noiseNm2(width), 1e-3 * noiseNm2(width));
        assertEquals(1, upright.edges().size());
        // One place is its own mean.
        assertEquals(edge.valueNm(), upright.meanPlacement().valueNm(), 1e-9);
    }

    private static double noiseNm2(ErrorBar bar) {
        double share = bar.sources().stream()
                .filter(s -> s.name().equals(ErrorBar.SHOT_NOISE))
                .findFirst()
                .orElseThrow()
                .share();
        return share * bar.standardErrorNm() * bar.standardErrorNm();
    }
}
