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
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class EnergyModelTest {
    /** 1e-4 of the clearing energy 1/2. */
    private static final double ENGINE_TOLERANCE = 0.5e-4;

    private static final PointSpreadFunction TRIPLE = PointSpreadFunction.from(
            List.of(new GaussianTerm(0.5, 0.05), new GaussianTerm(0.1, 0.4), new GaussianTerm(0.4, 5)));
    private static final List<TermGroup> NEAR_NEAR_FAR = TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.FAR);
    /** Never closed, as a mutation run asks the class again and again; its threads are daemons. */
    private static final Workers WORKERS = Workers.of(2);

    /** Cells 2 um wide with a rectangle or a unit of two slanted pieces in each. */
    private static Pieces scattered(long seed, int perSide) {
        SplittableRandom random = new SplittableRandom(seed);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < perSide; i++) {
            for (int j = 0; j < perSide; j++) {
                double x = 2 * i + random.nextDouble();
                double y = 2 * j + random.nextDouble();
                if (random.nextInt(3) == 0) {
                    builder.unit()
                            .trapezoid(y, y + 0.5, x, x + 0.6, x + 0.3, x + 0.9)
                            .trapezoid(y + 0.5, y + 0.6, x + 0.3, x + 0.9, x + 0.4, x + 0.4);
                } else {
                    builder.rectangle(x, y, x + 0.2 + 0.7 * random.nextDouble(), y + 0.2 + 0.7 * random.nextDouble());
                }
            }
        }
        return builder.build();
    }

    private static double[] doses(int n, long seed) {
        return new SplittableRandom(seed).doubles(n, 0.7, 2).toArray();
    }

    private static Samples samples(Pieces pieces) {
        return TestPieces.sideSamples(pieces, 3, new boolean[pieces.units()]);
    }

    private static EnergyModel model(Pieces pieces, PointSpreadFunction psf, List<TermGroup> evaluators) {
        EnginePlan plan = evaluators == null
                ? EnginePlan.of(pieces, samples(pieces), psf, Workers.of(1))
                : EnginePlan.with(pieces, samples(pieces), psf, evaluators);
        return EnergyModel.build(plan, WORKERS, Progress.NONE);
    }

    private static double[] apply(EnergyModel model, double[] dose) {
        double[] criterion = new double[dose.length];
        model.apply(dose, criterion);
        return criterion;
    }

    private static double[] exactCriterion(Pieces pieces, Samples samples, PointSpreadFunction psf, double[] dose) {
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, psf);
        double[] criterion = new double[pieces.units()];
        for (int u = 0; u < pieces.units(); u++) {
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                criterion[u] += samples.weight(j) * exact.at(samples.xUm(j), samples.yUm(j));
            }
        }
        return criterion;
    }

    @Test
    void agreesWithTheExactEnergy() {
        Pieces pieces = scattered(1, 25);
        double[] dose = doses(pieces.units(), 2);
        double[] expected = exactCriterion(pieces, samples(pieces), TRIPLE, dose);
        assertArrayEquals(expected, apply(model(pieces, TRIPLE, NEAR_NEAR_FAR), dose), ENGINE_TOLERANCE);
        assertArrayEquals(
                expected,
                apply(model(pieces, TRIPLE, TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR)), dose),
                1e-7);
        assertArrayEquals(
                expected,
                apply(model(pieces, TRIPLE, TermGroup.each(Evaluator.NEAR, Evaluator.FAR, Evaluator.FAR)), dose),
                ENGINE_TOLERANCE);
        assertArrayEquals(expected, apply(model(pieces, TRIPLE, null), dose), ENGINE_TOLERANCE);
    }

    /** Even the direct term may go on a grid if that is asked for; each term then adds its error. */
    @Test
    void allTermsOnGrids() {
        Pieces pieces = scattered(1, 8);
        double[] dose = doses(pieces.units(), 2);
        assertArrayEquals(
                exactCriterion(pieces, samples(pieces), TRIPLE, dose),
                apply(model(pieces, TRIPLE, TermGroup.each(Evaluator.FAR, Evaluator.FAR, Evaluator.FAR)), dose),
                2 * ENGINE_TOLERANCE);
    }

    @Test
    void fieldAgreesWithTheExactEnergyAnywhere() {
        Pieces pieces = scattered(3, 25);
        double[] dose = doses(pieces.units(), 4);
        EnergyField field = model(pieces, TRIPLE, NEAR_NEAR_FAR).field(dose);
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, TRIPLE);
        SplittableRandom random = new SplittableRandom(5);
        // Points also outside the layout, out to where nothing arrives.
        double[] x = random.doubles(2000, -30, 80).toArray();
        double[] y = random.doubles(2000, -30, 80).toArray();
        double[] energy = field.at(x, y, WORKERS);
        assertArrayEquals(exact.at(x, y, WORKERS), energy, ENGINE_TOLERANCE);
        for (int j = 0; j < 50; j++) {
            assertEquals(energy[j], field.at(x[j], y[j]), 0);
            assertEquals(exact.termsAt(2, 3, x[j], y[j]), field.farAt(x[j], y[j]), ENGINE_TOLERANCE);
        }
    }

    /**
     * 3,000 rectangles, error of the far energy at 400 points against the closed form, relative to its mean: what each pitch is worth, and
     * that a weak term is given one that loses no more than 1.2e-5 of the energy of a plane.
     */
    @ParameterizedTest
    @CsvSource({"1, 4, 6e-5", "0.07, 4, 6e-5", "0.066, 3, 1.8e-4", "0.024, 2.5, 5e-4", "0.006, 2, 2e-3"})
    void weakTermsTakeCoarserGrids(double weight, double nodesPerRange, double relativeError) {
        SplittableRandom random = new SplittableRandom(6);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < 3000; i++) {
            double x = 600 * random.nextDouble();
            double y = 600 * random.nextDouble();
            builder.rectangle(x, y, x + 0.5 + 7 * random.nextDouble(), y + 0.5 + 7 * random.nextDouble());
        }
        Pieces pieces = builder.build();
        GaussianTerm far = new GaussianTerm(weight, 31);
        PointSpreadFunction psf =
                PointSpreadFunction.from(weight == 1 ? List.of(far) : List.of(new GaussianTerm(1 - weight, 0.01), far));
        int term = psf.terms().size() - 1;
        List<TermGroup> groups =
                term == 0 ? TermGroup.each(Evaluator.FAR) : TermGroup.each(Evaluator.NEAR, Evaluator.FAR);
        double[] dose = TestPieces.ones(pieces.units());
        EnergyModel model = model(pieces, psf, groups);
        int expectedColumns = (int) (600 / 31.0 * nodesPerRange + 2 * 4.5 * nodesPerRange);
        int columns = model.choices().get(term).columns();
        // A few nodes for the splines, and up to the next handy number.
        assertTrue(columns >= expectedColumns && columns < 1.2 * expectedColumns, columns + " columns");
        EnergyField field = model.field(dose);
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, psf);
        double mean = 0;
        double worst = 0;
        for (int j = 0; j < 400; j++) {
            double x = 600 * random.nextDouble();
            double y = 600 * random.nextDouble();
            double e = exact.termsAt(term, term + 1, x, y);
            mean += e / 400;
            worst = Math.max(worst, Math.abs(e - field.farAt(x, y)));
        }
        assertTrue(worst < relativeError * mean, worst / mean + " of the mean");
    }

    /** What a grid could take for something else: gratings whose period is close to its pitch, 1.25 um. */
    @Test
    void gratingsNearTheGridPitch() {
        PointSpreadFunction far = PointSpreadFunction.from(List.of(new GaussianTerm(1, 5)));
        SplittableRandom random = new SplittableRandom(17);
        for (double period = 0.9; period < 1.7; period += 0.05) {
            TestPieces builder = new TestPieces();
            for (int i = 0; i < 40; i++) {
                builder.rectangle(i * period, 0, (i + 0.5) * period, 40);
            }
            Pieces pieces = builder.build();
            double[] dose = TestPieces.ones(pieces.units());
            EnergyField field =
                    model(pieces, far, TermGroup.each(Evaluator.FAR)).field(dose);
            ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, far);
            for (int j = 0; j < 100; j++) {
                double x = 40 * period * random.nextDouble();
                double y = 40 * random.nextDouble();
                assertEquals(exact.at(x, y), field.at(x, y), ENGINE_TOLERANCE, "period " + period);
            }
        }
    }

    @Test
    void isLinear() {
        Pieces pieces = scattered(7, 12);
        EnergyModel model = model(pieces, TRIPLE, NEAR_NEAR_FAR);
        double[] a = doses(pieces.units(), 8);
        double[] b = doses(pieces.units(), 9);
        double[] both = new double[a.length];
        double[] expected = new double[a.length];
        double[] ca = apply(model, a);
        double[] cb = apply(model, b);
        for (int u = 0; u < a.length; u++) {
            both[u] = 3 * a[u] - 0.5 * b[u];
            expected[u] = 3 * ca[u] - 0.5 * cb[u];
        }
        assertArrayEquals(expected, apply(model, both), 1e-13);
    }

    private interface Move {
        double[] corner(double x, double y);
    }

    private static Pieces moved(double[][] rectangles, Move move) {
        TestPieces builder = new TestPieces();
        for (double[] r : rectangles) {
            double[] p = move.corner(r[0], r[1]);
            double[] q = move.corner(r[2], r[3]);
            builder.rectangle(Math.min(p[0], q[0]), Math.min(p[1], q[1]), Math.max(p[0], q[0]), Math.max(p[1], q[1]));
        }
        return builder.build();
    }

    @Test
    void translationMirrorAndRotationChangeNothing() {
        SplittableRandom random = new SplittableRandom(10);
        double[][] rectangles = new double[300][];
        for (int i = 0; i < rectangles.length; i++) {
            double x = 40 * random.nextDouble();
            double y = 55 * random.nextDouble();
            rectangles[i] = new double[] {x, y, x + 0.1 + random.nextDouble(), y + 0.1 + random.nextDouble()};
        }
        double[] dose = doses(rectangles.length, 11);
        Pieces still = moved(rectangles, (x, y) -> new double[] {x, y});
        double[] expected = apply(model(still, TRIPLE, NEAR_NEAR_FAR), dose);
        double[] exact = exactCriterion(still, samples(still), TRIPLE, dose);
        Pieces translated = moved(rectangles, (x, y) -> new double[] {x + 512, y - 8192});
        assertArrayEquals(expected, apply(model(translated, TRIPLE, NEAR_NEAR_FAR), dose), 1e-9, "grids move along");
        for (Move move : List.<Move>of(
                (x, y) -> new double[] {-x, y},
                (x, y) -> new double[] {x, -y},
                (x, y) -> new double[] {-y, x},
                (x, y) -> new double[] {y, x})) {
            Pieces pieces = moved(rectangles, move);
            assertArrayEquals(exact, exactCriterion(pieces, samples(pieces), TRIPLE, dose), 1e-13);
            assertArrayEquals(expected, apply(model(pieces, TRIPLE, NEAR_NEAR_FAR), dose), ENGINE_TOLERANCE);
        }
    }

    @Test
    void cuttingAPieceChangesNothing() {
        Pieces whole = new TestPieces()
                .rectangle(0, 0, 3, 1)
                .unit()
                .trapezoid(1, 3, 0, 2, 1, 1.5)
                .build();
        Pieces cut = new TestPieces()
                .unit()
                .trapezoid(0, 0.25, 0, 3, 0, 3)
                .trapezoid(0.25, 1, 0, 1.7, 0, 1.7)
                .trapezoid(0.25, 1, 1.7, 3, 1.7, 3)
                .unit()
                .trapezoid(1, 2, 0, 2, 0.5, 1.75)
                .trapezoid(2, 3, 0.5, 1.2, 1, 1.2)
                .trapezoid(2, 3, 1.2, 1.75, 1.2, 1.5)
                .build();
        double[] dose = {1.5, 0.8};
        ExactEnergy a = ExactEnergy.ofUnits(whole, dose, TRIPLE);
        ExactEnergy b = ExactEnergy.ofUnits(cut, dose, TRIPLE);
        EnergyField fieldA = model(whole, TRIPLE, NEAR_NEAR_FAR).field(dose);
        EnergyField fieldB = model(cut, TRIPLE, NEAR_NEAR_FAR).field(dose);
        SplittableRandom random = new SplittableRandom(12);
        for (int j = 0; j < 300; j++) {
            double x = -1 + 5 * random.nextDouble();
            double y = -1 + 5 * random.nextDouble();
            assertEquals(a.at(x, y), b.at(x, y), 1e-13);
            assertEquals(a.slopeAt(x, y, 0.6, 0.8), b.slopeAt(x, y, 0.6, 0.8), 1e-12);
            assertEquals(fieldA.at(x, y), fieldB.at(x, y), 1e-8, "weights are floats");
        }
    }

    /** The integral of the energy equals that of the dose: summed on a lattice much finer than the shortest range. */
    @Test
    void energyIsConserved() {
        PointSpreadFunction psf =
                PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.5), new GaussianTerm(0.4, 3)));
        Pieces pieces = new TestPieces()
                .rectangle(0, 0, 2, 1)
                .unit()
                .trapezoid(2, 4, 0, 2, 1, 1.5)
                .build();
        double[] dose = {1.2, 0.7};
        EnergyField field = model(pieces, psf, TermGroup.each(Evaluator.NEAR, Evaluator.FAR))
                .field(dose);
        double step = 0.15;
        double sum = 0;
        for (double x = -15; x < 17; x += step) {
            for (double y = -15; y < 19; y += step) {
                sum += field.at(x, y) * step * step;
            }
        }
        assertEquals(1.2 * pieces.areaUm2(0) + 0.7 * pieces.areaUm2(1), sum, 1e-6);
    }

    @Test
    void threadsDoNotChangeABit() {
        Pieces pieces = scattered(13, 70);
        double[] dose = doses(pieces.units(), 14);
        double[] x = {3, 50, 77.7};
        double[] y = {5, 60, 111};
        double[][] criterion = new double[3][];
        double[][] energy = new double[3][];
        for (int threads = 1; threads <= 3; threads++) {
            try (Workers workers = Workers.of(threads)) {
                EnergyModel model = EnergyModel.build(pieces, samples(pieces), TRIPLE, workers, Progress.NONE);
                criterion[threads - 1] = apply(model, dose);
                energy[threads - 1] = model.field(dose).at(x, y, workers);
            }
        }
        for (int t = 1; t < 3; t++) {
            assertArrayEquals(criterion[0], criterion[t]);
            assertArrayEquals(energy[0], energy[t]);
        }
    }

    @Test
    void interiorUnitsTakeHalfTheirDirectTerm() {
        Pieces pieces =
                new TestPieces().rectangle(-2, -2, 2, 2).rectangle(2, -2, 6, 2).build();
        Samples samples = new Samples(
                new double[] {0, 6}, new double[] {0, 0}, new float[] {1, 1}, new int[] {0, 1, 2}, new boolean[] {
                    true, false
                });
        double[] dose = {1.3, 0.9};
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, TRIPLE);
        double expected = 0.5 * 0.5 * 1.3 + exact.termsAt(1, 2, 0, 0) + exact.termsAt(2, 3, 0, 0);
        for (List<TermGroup> evaluators : List.of(
                TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR),
                NEAR_NEAR_FAR,
                TermGroup.each(Evaluator.FAR, Evaluator.FAR, Evaluator.FAR))) {
            EnergyModel model =
                    EnergyModel.build(EnginePlan.with(pieces, samples, TRIPLE, evaluators), WORKERS, Progress.NONE);
            double[] criterion = apply(model, dose);
            assertEquals(expected, criterion[0], ENGINE_TOLERANCE);
            assertEquals(exact.at(6, 0), criterion[1], 2 * ENGINE_TOLERANCE);
        }
    }

    /** A pad of many ranges, a frame around it as one unit, and dots: windows from 4 nodes to the whole grid. */
    @Test
    void unitsOfAllSizesTogether() {
        TestPieces builder = new TestPieces()
                .rectangle(0, 0, 150, 120)
                .unit()
                .trapezoid(-30, -25, -30, 180, -30, 180)
                .trapezoid(-25, 145, -30, -25, -30, -25)
                .trapezoid(-25, 145, 175, 180, 175, 180)
                .trapezoid(145, 150, -30, 180, -30, 180)
                .polygon(-20, 0, -10, 60, -20, 120);
        for (int i = 0; i < 40; i++) {
            builder.rectangle(155 + 0.2 * i, 3 * i, 155.1 + 0.2 * i, 3 * i + 0.1);
        }
        Pieces pieces = builder.build();
        double[] dose = doses(pieces.units(), 15);
        double[] expected = exactCriterion(pieces, samples(pieces), TRIPLE, dose);
        assertArrayEquals(expected, apply(model(pieces, TRIPLE, NEAR_NEAR_FAR), dose), ENGINE_TOLERANCE);
        assertArrayEquals(
                expected,
                apply(model(pieces, TRIPLE, TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR)), dose),
                1e-7);
    }

    @Test
    void choosesByCostAndSaysSo() {
        Pieces pieces = scattered(16, 60);
        List<TermChoice> choices = model(pieces, TRIPLE, null).choices();
        assertEquals(3, choices.size());
        assertEquals(Evaluator.NEAR, choices.get(0).terms().evaluator());
        assertEquals(Evaluator.FAR, choices.get(2).terms().evaluator());
        assertTrue(choices.get(0).entries() >= pieces.units());
        assertTrue(choices.get(2).columns() > 120 / 1.25 && choices.get(2).bytes() > 0);
        Pieces two = new TestPieces()
                .rectangle(0, 0, 0.1, 1)
                .rectangle(900, 900, 901, 901)
                .build();
        assertEquals(
                Evaluator.NEAR,
                model(two, TRIPLE, null).choices().get(2).terms().evaluator());
    }

    @Test
    void refusesWhatDoesNotFit() {
        Pieces pieces = new TestPieces().rectangle(0, 0, 1, 1).build();
        Samples none = new Samples(new double[0], new double[0], new float[0], new int[] {0}, new boolean[0]);
        assertThrows(
                IllegalArgumentException.class, () -> EnergyModel.build(pieces, none, TRIPLE, WORKERS, Progress.NONE));
        assertThrows(IllegalArgumentException.class, () -> model(pieces, TRIPLE, TermGroup.each(Evaluator.NEAR)));
        EnergyModel model = model(pieces, TRIPLE, null);
        assertThrows(IllegalArgumentException.class, () -> model.apply(new double[2], new double[1]));
        assertThrows(IllegalArgumentException.class, () -> model.field(new double[] {Double.NaN}));
        Pieces huge = new TestPieces()
                .rectangle(0, 0, 1, 1)
                .rectangle(1e5, 1e5, 1e5 + 1, 1e5 + 1)
                .build();
        assertThrows(
                IllegalArgumentException.class,
                () -> model(huge, TRIPLE, TermGroup.each(Evaluator.FAR, Evaluator.FAR, Evaluator.FAR)));
    }

    @Test
    void nothingExposedIsNoEnergy() {
        Pieces pieces = new TestPieces().build();
        EnergyModel model = model(pieces, TRIPLE, null);
        model.apply(new double[0], new double[0]);
        assertEquals(0, model.field(new double[0]).at(1, 2), 0);
        assertEquals(0, ExactEnergy.ofUnits(pieces, new double[0], TRIPLE).at(1, 2), 0);
    }
}
