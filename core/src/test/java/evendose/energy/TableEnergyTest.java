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
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;

/** Point spread functions whose long part is a table: the exact evaluator against a slow oracle, the engine against the exact one. */
class TableEnergyTest {
    private static final double RANGE = 3;
    /** Never closed, as a mutation run asks the class again and again; its threads are daemons. */
    private static final Workers WORKERS = Workers.of(2);

    private static final PointSpreadFunction EXPONENTIAL = withTable(r -> Math.exp(-r / RANGE), 20 * RANGE);

    private static PointSpreadFunction withTable(DoubleUnaryOperator density, double toUm) {
        int n = 140;
        double[] r = new double[n];
        Arrays.setAll(r, i -> 0.003 * Math.pow(toUm / 0.003, i / (n - 1.0)));
        RadialTable table = RadialTable.of(r, Arrays.stream(r).map(density).toArray());
        return PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.05)), Optional.of(new TableTerm(0.4, table)));
    }

    /**
     * Slow and independent: the integral of a radial density over a rectangle, ring by ring, each with the angle that lies within the
     * rectangle; from the formula of the density, not from a table. Between radii at which a ring begins to touch or leave a side,
     * squares of sines take the steepness off the ends.
     */
    private static double overRectangle(DoubleUnaryOperator density, double x0, double y0, double x1, double y1) {
        double[] breaks = {
            0,
            Math.abs(x0),
            Math.abs(x1),
            Math.abs(y0),
            Math.abs(y1),
            Math.hypot(x0, y0),
            Math.hypot(x0, y1),
            Math.hypot(x1, y0),
            Math.hypot(x1, y1)
        };
        Arrays.sort(breaks);
        double sum = 0;
        for (int b = 0; b + 1 < breaks.length; b++) {
            double width = breaks[b + 1] - breaks[b];
            int steps = 400;
            for (int i = 0; i < steps && width > 0; i++) {
                double phase = 0.5 * Math.PI * (i + 0.5) / steps;
                double r = breaks[b] + width * Math.sin(phase) * Math.sin(phase);
                double dr = width * Math.sin(2 * phase) * 0.5 * Math.PI / steps;
                sum += density.applyAsDouble(r) * r * angleWithin(r, x0, y0, x1, y1) * dr;
            }
        }
        return sum;
    }

    private static double angleWithin(double r, double x0, double y0, double x1, double y1) {
        double[] angles = new double[10];
        int n = 0;
        angles[n++] = -Math.PI;
        angles[n++] = Math.PI;
        for (double x : new double[] {x0, x1}) {
            if (Math.abs(x) < r) {
                angles[n++] = Math.acos(x / r);
                angles[n++] = -Math.acos(x / r);
            }
        }
        for (double y : new double[] {y0, y1}) {
            if (Math.abs(y) < r) {
                double a = Math.asin(y / r);
                angles[n++] = a;
                angles[n++] = a > 0 ? Math.PI - a : -Math.PI - a;
            }
        }
        Arrays.sort(angles, 0, n);
        double within = 0;
        for (int i = 0; i + 1 < n; i++) {
            double middle = 0.5 * (angles[i] + angles[i + 1]);
            double x = r * Math.cos(middle);
            double y = r * Math.sin(middle);
            if (x > x0 && x < x1 && y > y0 && y < y1) {
                within += angles[i + 1] - angles[i];
            }
        }
        return within;
    }

    @Test
    void theOracleKnowsAGaussian() {
        DoubleUnaryOperator f = r -> Math.exp(-r * r) / Math.PI;
        assertEquals(GaussianKernel.EXACT.rectangle(-0.3, 1.2, 0.1, 2), overRectangle(f, -0.3, 0.1, 1.2, 2), 1e-6);
        assertEquals(1, overRectangle(f, -9, -9, 9, 9), 1e-6);
    }

    /** Points inside, outside, near and on sides and corners of rectangles from far smaller to far larger than the range. */
    @Test
    void exactEnergyOfRectangles() {
        DoubleUnaryOperator density = r -> Math.exp(-r / RANGE) / (2 * Math.PI * RANGE * RANGE);
        SplittableRandom random = new SplittableRandom(1);
        for (int k = 0; k < 60; k++) {
            double w = RANGE * Math.pow(10, random.nextDouble(-2, 1));
            double h = RANGE * Math.pow(10, random.nextDouble(-2, 1));
            ExactEnergy exact =
                    ExactEnergy.ofUnits(new TestPieces().rectangle(0, 0, w, h).build(), new double[] {1}, EXPONENTIAL);
            double x = k % 5 == 0 ? 0 : random.nextDouble(-0.5, 1.5) * w;
            double y = k % 7 == 0 ? h : random.nextDouble(-0.5, 1.5) * h;
            double expected = 0.4 * overRectangle(density, -x, -y, w - x, h - y);
            assertEquals(expected, exact.termsAt(1, 2, x, y), 2e-6, w + " x " + h + " at " + x + ", " + y);
        }
    }

    /** A Gaussian in a table is that Gaussian, over slanted pieces of both kinds, too; slopes likewise. */
    @Test
    void aGaussianInATable() {
        PointSpreadFunction table = withTable(r -> Math.exp(-r * r / (RANGE * RANGE)), 5 * RANGE);
        PointSpreadFunction formula =
                PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.05), new GaussianTerm(0.4, RANGE)));
        Pieces pieces = pieces(14);
        double[] dose = dose(pieces);
        ExactEnergy a = ExactEnergy.ofUnits(pieces, dose, table);
        ExactEnergy b = ExactEnergy.ofUnits(pieces, dose, formula);
        SplittableRandom random = new SplittableRandom(2);
        for (int k = 0; k < 200; k++) {
            double x = random.nextDouble(-5, 35);
            double y = random.nextDouble(-5, 35);
            assertEquals(b.at(x, y), a.at(x, y), 5e-6);
            assertEquals(b.slopeAt(x, y, 0.6, 0.8), a.slopeAt(x, y, 0.6, 0.8), 1e-5);
        }
    }

    private static Pieces pieces(int perSide) {
        SplittableRandom random = new SplittableRandom(3);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < perSide; i++) {
            for (int j = 0; j < perSide; j++) {
                double x = 2 * i + random.nextDouble();
                double y = 2 * j + random.nextDouble();
                double[] xy = {x, y, x + 0.9, y + 0.2, x + 0.7, y + 0.8, x + 0.1, y + 0.5};
                switch (random.nextInt(3)) {
                    case 0 -> builder.polygon(xy);
                    case 1 -> builder.polygonStanding(xy);
                    default -> builder.rectangle(x, y, x + 0.9, y + 0.2 + 0.7 * random.nextDouble());
                }
            }
        }
        return builder.build();
    }

    private static double[] dose(Pieces pieces) {
        return new SplittableRandom(4).doubles(pieces.units(), 0.7, 2).toArray();
    }

    /** The whole chain, planned: the table on a grid by its Hankel transform, within 2e-5 of the clearing energy (1.3e-5 measured). */
    @Test
    void engineAgreesWithTheExactEnergy() {
        Pieces pieces = pieces(25);
        double[] dose = dose(pieces);
        Samples samples = TestPieces.sideSamples(pieces, 1, new boolean[pieces.units()]);
        EnginePlan plan = EnginePlan.of(pieces, samples, EXPONENTIAL, Workers.of(1));
        TermGroup last = plan.groups().get(plan.groups().size() - 1);
        assertEquals(new TermGroup(Evaluator.FAR, 1, 2), last);
        EnergyModel model = EnergyModel.build(plan, WORKERS, Progress.NONE);
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, EXPONENTIAL);
        double[] criterion = new double[pieces.units()];
        model.apply(dose, criterion);
        for (int u = 0; u < pieces.units(); u += 5) {
            double expected = 0;
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                expected += samples.weight(j) * exact.at(samples.xUm(j), samples.yUm(j));
            }
            assertEquals(expected, criterion[u], 1e-5);
        }
        EnergyField field = model.field(dose);
        SplittableRandom random = new SplittableRandom(5);
        for (int k = 0; k < 300; k++) {
            double x = random.nextDouble(-20, 70);
            double y = random.nextDouble(-20, 70);
            assertEquals(exact.at(x, y), field.at(x, y), 1e-5);
        }
    }

    /** Stretched and weighed anew over the grid that was made for it. */
    @Test
    void otherTablesOnTheSameGrid() {
        Pieces pieces = pieces(12);
        double[] dose = dose(pieces);
        EnginePlan plan = EnginePlan.forPoints(pieces, EXPONENTIAL, 1e5, 9, 0.1);
        EnergyModel.Exposed exposed =
                EnergyModel.build(plan, WORKERS, Progress.NONE).exposed(dose);
        for (double stretch : new double[] {0.9, 1, 1.1}) {
            TableTerm table = EXPONENTIAL.table().orElseThrow();
            PointSpreadFunction other = PointSpreadFunction.from(
                    EXPONENTIAL.terms(),
                    Optional.of(new TableTerm(0.3, table.table().stretched(stretch))));
            ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, other);
            EnergyField field = exposed.field(other);
            double[] x = {3, 11, 30, -2};
            double[] y = {5, 23.5, 7, 12};
            assertArrayEquals(exact.at(x, y, WORKERS), field.at(x, y, WORKERS), 0.5e-5);
        }
        PointSpreadFunction tooWide = PointSpreadFunction.from(
                EXPONENTIAL.terms(),
                Optional.of(new TableTerm(
                        0.3, EXPONENTIAL.table().orElseThrow().table().stretched(1.2))));
        assertThrows(IllegalArgumentException.class, () -> exposed.field(tooWide));
    }

    @Test
    void aTableNeedsAGrid() {
        Pieces pieces = pieces(3);
        Samples samples = TestPieces.sideSamples(pieces, 1, new boolean[pieces.units()]);
        List<TermGroup> near = TermGroup.each(Evaluator.NEAR, Evaluator.NEAR);
        String message = assertThrows(
                        IllegalArgumentException.class, () -> EnginePlan.with(pieces, samples, EXPONENTIAL, near))
                .getMessage();
        assertTrue(message.contains("table"), message);
    }
}
