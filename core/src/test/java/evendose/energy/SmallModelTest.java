package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The whole engine on a few units of all kinds against closed forms: what {@code EnergyModelTest} does at length, in a moment. */
class SmallModelTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.from(
            List.of(new GaussianTerm(0.5, 0.1), new GaussianTerm(0.2, 0.5), new GaussianTerm(0.3, 3)));
    private static final List<List<TermGroup>> GROUPS = List.of(
            TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR),
            TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.FAR),
            TermGroup.each(Evaluator.NEAR, Evaluator.FAR, Evaluator.FAR),
            List.of(new TermGroup(Evaluator.NEAR, 0, 1), new TermGroup(Evaluator.FAR, 1, 3)));
    private static final Workers ONE = Workers.of(1);
    private static final Pieces PIECES = pieces();
    private static final double[] DOSE =
            new SplittableRandom(3).doubles(PIECES.units(), 0.6, 1.8).toArray();
    private static final boolean[] INTERIOR = interior();
    private static final Samples SAMPLES = TestPieces.sideSamples(PIECES, 2, INTERIOR);
    private static final ExactEnergy EXACT = ExactEnergy.ofUnits(PIECES, DOSE, PSF);

    /** Rectangles, slanted and standing pieces, triangles, units of several pieces; sizes from 0.05 to 2 um. */
    private static Pieces pieces() {
        SplittableRandom random = new SplittableRandom(2);
        TestPieces builder = new TestPieces();
        for (int k = 0; k < 30; k++) {
            double x = 2.2 * (k % 6) + random.nextDouble();
            double y = 2.2 * (k / 6) + random.nextDouble();
            double w = 0.05 + 1.5 * random.nextDouble() * random.nextDouble();
            double h = 0.05 + 1.5 * random.nextDouble() * random.nextDouble();
            switch (k % 5) {
                case 0 -> builder.rectangle(x, y, x + w, y + h);
                case 1 -> builder.unit().trapezoid(y, y + h, x, x + w, x + 0.3 * w, x + 1.1 * w);
                case 2 -> builder.unit().standing(x, x + w, y, y + h, y - 0.2, y - 0.1 + h);
                case 3 ->
                    builder.unit()
                            .trapezoid(y, y + h, x, x + w, x, x + w)
                            .trapezoid(y + h, y + 1.5 * h, x, x + w, x + 0.4 * w, x + 0.4 * w)
                            .standing(x + w, x + 1.2 * w, y, y + h, y + 0.2 * h, y + 0.7 * h);
                default -> builder.polygonStanding(x, y, x + w, y + 0.1, x + 0.6 * w, y + h, x + 0.1, y + 0.8 * h);
            }
        }
        return builder.build();
    }

    private static boolean[] interior() {
        boolean[] interior = new boolean[PIECES.units()];
        interior[4] = interior[10] = interior[29] = true;
        return interior;
    }

    private static EnergyModel model(List<TermGroup> groups) {
        return EnergyModel.build(EnginePlan.with(PIECES, SAMPLES, PSF, groups), ONE, Progress.NONE);
    }

    private static double[] exactCriterion() {
        double[] criterion = new double[PIECES.units()];
        for (int u = 0; u < criterion.length; u++) {
            criterion[u] = INTERIOR[u] ? 0.5 * 0.5 * DOSE[u] : 0;
            for (int j = SAMPLES.first(u); j < SAMPLES.first(u + 1); j++) {
                double x = SAMPLES.xUm(j);
                double y = SAMPLES.yUm(j);
                criterion[u] += SAMPLES.weight(j) * EXACT.termsAt(INTERIOR[u] ? 1 : 0, 3, x, y);
            }
        }
        return criterion;
    }

    private static double tolerance(int groups) {
        return groups == 0 ? 1e-7 : 5e-5;
    }

    @ParameterizedTest
    @ValueSource(ints = {0, 1, 2, 3})
    void criteriaAreThoseOfClosedForms(int groups) {
        EnergyModel model = model(GROUPS.get(groups));
        double[] criterion = new double[PIECES.units()];
        model.apply(DOSE, criterion);
        assertArrayEquals(exactCriterion(), criterion, tolerance(groups));
        // Once more, as nothing may be left over from the first time.
        model.apply(DOSE, criterion);
        assertArrayEquals(exactCriterion(), criterion, tolerance(groups));
        assertEquals(PIECES.units(), model.units());
    }

    @ParameterizedTest
    @ValueSource(ints = {0, 1, 2, 3})
    void energiesAtPointsAreThoseOfClosedForms(int groups) {
        EnergyModel model = model(GROUPS.get(groups));
        EnergyField field = model.field(DOSE);
        SplittableRandom random = new SplittableRandom(8);
        double[] x = random.doubles(60, -6, 20).toArray();
        double[] y = random.doubles(60, -6, 18).toArray();
        double[] found = field.at(x, y, ONE);
        for (int j = 0; j < x.length; j++) {
            assertEquals(EXACT.at(x[j], y[j]), found[j], tolerance(groups));
            assertEquals(found[j], field.at(x[j], y[j]), 0);
        }
    }

    /** Weights and ranges other than those that the grids were made for; what is proportional is convolved once. */
    @Test
    void otherFunctionsOverTheSameDoses() {
        EnergyModel.Exposed exposed = model(GROUPS.get(3)).exposed(DOSE);
        for (PointSpreadFunction other : List.of(
                PSF,
                PointSpreadFunction.from(
                        List.of(new GaussianTerm(0.7, 0.1), new GaussianTerm(0.12, 0.5), new GaussianTerm(0.18, 3))),
                PointSpreadFunction.from(
                        List.of(new GaussianTerm(0.6, 0.08), new GaussianTerm(0.1, 0.6), new GaussianTerm(0.3, 2))),
                PointSpreadFunction.from(List.of(new GaussianTerm(0.4, 0.1), new GaussianTerm(0.6, 3))))) {
            ExactEnergy exact = ExactEnergy.ofUnits(PIECES, DOSE, other);
            EnergyField field = exposed.field(other);
            for (int k = 0; k < 20; k++) {
                double x = 0.6 * k;
                double y = 10 - 0.4 * k;
                assertEquals(exact.at(x, y), field.at(x, y), 5e-5, other + " at " + k);
            }
        }
    }

    /** Two tiles that own every other unit: what both add is the whole, and each gets the criterion of the whole, also after travelling. */
    @Test
    void tilesShareTheGridsOfTheLongTerms() throws Exception {
        SharedGrids shared = SharedGrids.of(PSF, PIECES.boundsUm(), 0);
        assertEquals(2.25, shared.ownReachUm() / 0.2, 1e-12, "the shortest term is each tile's own");
        boolean[] odd = new boolean[DOSE.length];
        boolean[] even = new boolean[DOSE.length];
        for (int u = 0; u < DOSE.length; u++) {
            (u % 2 == 0 ? even : odd)[u] = true;
        }
        List<TileModel> tiles = List.of(
                sent(TileModel.build(PIECES, SAMPLES, odd, shared, ONE, Progress.NONE)),
                sent(TileModel.build(PIECES, SAMPLES, even, shared, ONE, Progress.NONE)));
        List<List<GridPart>> added =
                tiles.stream().map(t -> t.contribution(DOSE, ONE)).toList();
        double[][] energy = shared.blur(shared.sum(added), ONE);
        for (int t = 0; t < 2; t++) {
            double[] criterion = new double[DOSE.length];
            tiles.get(t).apply(DOSE, shared.parts(energy, added.get(t)), criterion, ONE);
            assertArrayEquals(exactCriterion(), criterion, 5e-5);
            // Developed edges are looked for up to 2.5 um, 25 ranges, beyond the outermost drawn ones.
            EnergyField field = tiles.get(t).field(PIECES, DOSE, shared.parts(energy, added.get(t)), ONE);
            double[] b = PIECES.boundsUm();
            for (double beyond = -1; beyond < 2.5; beyond += 0.1) {
                assertEquals(EXACT.at(b[2] + beyond, 5), field.at(b[2] + beyond, 5), 5e-5, "right, " + beyond);
                assertEquals(EXACT.at(b[0] - beyond, 5), field.at(b[0] - beyond, 5), 5e-5, "left, " + beyond);
                assertEquals(EXACT.at(6, b[3] + beyond), field.at(6, b[3] + beyond), 5e-5, "above, " + beyond);
                assertEquals(EXACT.at(6, b[1] - beyond), field.at(6, b[1] - beyond), 5e-5, "below, " + beyond);
            }
        }
    }

    /** Terms that ask for too large a grid stay with the tiles, whose surroundings then reach as far. */
    @Test
    void longTermsOnWideLayoutsStayWithTheTiles() {
        double[] wide = {0, 0, 1500, 1500};
        assertEquals(4.5 * 0.5, SharedGrids.of(PSF, wide, 0).ownReachUm(), 1e-12);
        assertTrue(SharedGrids.of(PSF, wide, 0).nodes() > 0);
        double[] wider = {0, 0, 30_000, 30_000};
        assertEquals(4.5 * 3, SharedGrids.of(PSF, wider, 0).ownReachUm(), 1e-12);
        assertEquals(0, SharedGrids.of(PSF, wider, 0).nodes());
    }

    private static TileModel sent(TileModel model) throws IOException, ClassNotFoundException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new ObjectOutputStream(bytes)) {
            out.writeObject(model);
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes.toByteArray()))) {
            return (TileModel) in.readObject();
        }
    }

    /** Columns of a row of the matrix are the units within reach; bytes are 4 a row and block and 8 an entry. */
    @Test
    void choicesTellWhatWasBuilt() {
        EnergyModel model = model(GROUPS.get(1));
        List<TermChoice> choices = model.choices();
        assertEquals(3, choices.size());
        long pairs = 0;
        for (int u = 0; u < PIECES.units(); u++) {
            for (int v = 0; v < PIECES.units(); v++) {
                double[] row = new double[PIECES.units()];
                row[v] = 1;
                double entry = 0;
                ExactEnergy one = ExactEnergy.ofUnits(PIECES, row, PSF);
                for (int j = SAMPLES.first(u); j < SAMPLES.first(u + 1); j++) {
                    entry += SAMPLES.weight(j) * one.termsAt(INTERIOR[u] ? 1 : 0, 2, SAMPLES.xUm(j), SAMPLES.yUm(j));
                }
                pairs += entry > 1e-9 || (INTERIOR[u] && u == v) ? 1 : 0;
            }
        }
        assertEquals(pairs, choices.get(0).entries(), 3, "entries near the limit of 1e-9 may differ");
        assertEquals(choices.get(0).entries(), choices.get(1).entries());
        assertEquals(
                4 * (PIECES.units() + 1) + 8 * choices.get(0).entries(),
                choices.get(0).bytes());
        assertEquals(0, choices.get(0).columns());
        TermChoice far = choices.get(2);
        assertEquals(0, far.entries());
        // Extent and at least 4.5 ranges on either side, in quarters of the range.
        double[] bounds = PIECES.boundsUm();
        double columns = (bounds[2] - bounds[0] + 9 * 3) / 0.75;
        double rows = (bounds[3] - bounds[1] + 9 * 3) / 0.75;
        assertTrue(far.columns() >= columns && far.columns() < 1.25 * columns, far.columns() + " for " + columns);
        assertTrue(far.rows() >= rows && far.rows() < 1.25 * rows, far.rows() + " for " + rows);
        assertTrue(far.bytes() > 16.0 * far.columns() * far.rows(), "bytes " + far.bytes());
    }

    /** As planned by cost: for a correction, and for points with ranges that may change. */
    @Test
    void plansByCostAreAsGood() {
        EnginePlan plan = EnginePlan.of(PIECES, SAMPLES, PSF, Workers.of(1));
        EnergyModel model = EnergyModel.build(plan, ONE, Progress.NONE);
        double[] criterion = new double[PIECES.units()];
        model.apply(DOSE, criterion);
        assertArrayEquals(exactCriterion(), criterion, 5e-5);
        long bytes = 0;
        long matrix = 0;
        for (TermChoice choice : model.choices()) {
            if (choice.terms().evaluator() == Evaluator.NEAR) {
                matrix = choice.bytes();
            } else {
                bytes += choice.bytes();
            }
        }
        assertEquals(1, plan.bytes() / (matrix + bytes), 0.5, plan.bytes() + " for " + (matrix + bytes));
        EnginePlan forPoints = EnginePlan.forPoints(PIECES, PSF, 1e7, 9, 0.1);
        assertTrue(forPoints.groups().stream().anyMatch(g -> g.evaluator() == Evaluator.FAR));
        PointSpreadFunction wider = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.1), new GaussianTerm(0.2, 0.52), new GaussianTerm(0.3, 3.25)));
        EnergyField field =
                EnergyModel.build(forPoints, ONE, Progress.NONE).exposed(DOSE).field(wider);
        ExactEnergy exact = ExactEnergy.ofUnits(PIECES, DOSE, wider);
        for (int k = 0; k < 20; k++) {
            assertEquals(exact.at(0.6 * k, 8 - 0.4 * k), field.at(0.6 * k, 8 - 0.4 * k), 1e-4);
        }
    }

    /** Every stage is told with as many steps as then come. */
    @Test
    void stagesAndStepsAreHeard() {
        java.util.Map<String, long[]> stages = new java.util.LinkedHashMap<>();
        Progress heard = new Progress() {
            private long[] now;

            @Override
            public void begin(String stage, long steps) {
                now = stages.computeIfAbsent(stage, s -> new long[2]);
                now[0] += steps;
            }

            @Override
            public void advance(long steps) {
                now[1] += steps;
            }
        };
        EnergyModel.build(EnginePlan.with(PIECES, SAMPLES, PSF, GROUPS.get(1)), ONE, heard);
        assertTrue(stages.size() >= 2, stages.keySet().toString());
        stages.forEach((stage, steps) -> {
            assertTrue(steps[0] > 0, stage);
            assertEquals(steps[0], steps[1], stage);
        });
    }

    @Test
    void whatDoesNotFitIsRefused() {
        EnergyModel model = model(GROUPS.get(0));
        double[] right = new double[DOSE.length];
        assertThrows(IllegalArgumentException.class, () -> model.apply(new double[2], right));
        assertThrows(IllegalArgumentException.class, () -> model.apply(DOSE, new double[2]));
        assertThrows(IllegalArgumentException.class, () -> model.apply(right, right));
        assertThrows(IllegalArgumentException.class, () -> model.field(new double[1]));
        double[] bad = DOSE.clone();
        bad[3] = Double.NaN;
        assertThrows(IllegalArgumentException.class, () -> model.field(bad));
        for (List<TermGroup> groups : List.of(
                TermGroup.each(Evaluator.NEAR, Evaluator.NEAR),
                TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR),
                List.of(new TermGroup(Evaluator.NEAR, 0, 1), new TermGroup(Evaluator.NEAR, 2, 3)),
                List.of(new TermGroup(Evaluator.FAR, 0, 2), new TermGroup(Evaluator.NEAR, 2, 3)))) {
            assertThrows(IllegalArgumentException.class, () -> EnginePlan.with(PIECES, SAMPLES, PSF, groups));
        }
        assertThrows(IllegalArgumentException.class, () -> new TermGroup(Evaluator.NEAR, 2, 2));
        assertThrows(IllegalArgumentException.class, () -> new TermGroup(Evaluator.NEAR, -1, 2));
        Samples fewer = SAMPLES.ofUnits(new boolean[PIECES.units()]);
        assertThrows(IllegalArgumentException.class, () -> EnginePlan.of(PIECES, fewer, PSF, Workers.of(1)));
    }
}
