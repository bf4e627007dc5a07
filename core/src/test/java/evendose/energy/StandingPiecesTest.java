package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

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
import org.junit.jupiter.params.provider.EnumSource;

/** Whatever is computed of a layout is the same of its mirror image at x = y, in which level pieces stand. */
class StandingPiecesTest {
    private static final double TOLERANCE = 1e-15;
    private static final PointSpreadFunction TRIPLE = PointSpreadFunction.from(
            List.of(new GaussianTerm(0.5, 0.05), new GaussianTerm(0.1, 0.4), new GaussianTerm(0.4, 5)));
    /** Never closed, as a mutation run asks the class again and again; its threads are daemons. */
    private static final Workers WORKERS = Workers.of(2);

    private final Pieces pieces = pieces();
    private final Pieces exchanged = TestPieces.exchanged(pieces);
    private final double[] dose =
            new SplittableRandom(2).doubles(pieces.units(), 0.7, 1.6).toArray();

    /** Both kinds, triangles among them, in units of several, and rectangles. */
    private static Pieces pieces() {
        SplittableRandom random = new SplittableRandom(1);
        TestPieces builder = new TestPieces();
        for (int k = 0; k < 120; k++) {
            double x = 2 * (k % 11) + random.nextDouble();
            double y = 2 * (k / 11) + random.nextDouble();
            double[] xy = {x, y, x + 0.9, y + 0.2, x + 0.7, y + 0.8, x + 0.1, y + 0.5};
            switch (k % 3) {
                case 0 -> builder.polygon(xy);
                case 1 -> builder.polygonStanding(xy);
                default -> builder.rectangle(x, y, x + random.nextDouble(), y + 0.1 + random.nextDouble());
            }
        }
        return builder.build();
    }

    @Test
    void bothKindsAreThere() {
        assertFalse(pieces.areLevel());
        assertFalse(exchanged.areLevel());
        for (int i = 0; i < pieces.size(); i++) {
            assertEquals(pieces.isRectangle(i), pieces.standing(i) == exchanged.standing(i));
            assertEquals(pieces.leftUm(i), exchanged.bottomUm(i));
            assertEquals(pieces.topUm(i), exchanged.rightUm(i));
        }
    }

    @Test
    void exactEnergiesAndSlopes() {
        ExactEnergy a = ExactEnergy.ofUnits(pieces, dose, TRIPLE);
        ExactEnergy b = ExactEnergy.ofUnits(exchanged, dose, TRIPLE);
        SplittableRandom random = new SplittableRandom(3);
        for (int k = 0; k < 2000; k++) {
            double x = random.nextDouble(-2, 24);
            double y = random.nextDouble(-2, 24);
            assertEquals(a.at(x, y), b.at(y, x), TOLERANCE);
            assertEquals(a.slopeAt(x, y, 0.6, 0.8), b.slopeAt(y, x, 0.8, 0.6), 20 * TOLERANCE, "1 / um at 0.05 um");
        }
    }

    @ParameterizedTest
    @EnumSource(Evaluator.class)
    void criteriaAndFields(Evaluator evaluator) {
        PointSpreadFunction psf =
                PointSpreadFunction.from(List.of(new GaussianTerm(0.7, 0.4), new GaussianTerm(0.3, 3)));
        Samples samples = TestPieces.sideSamples(pieces, 3, new boolean[pieces.units()]);
        double[] x = samples.xUm().clone();
        double[] y = samples.yUm().clone();
        float[] weight = new float[x.length];
        int[] first = new int[pieces.units() + 1];
        for (int j = 0; j < x.length; j++) {
            weight[j] = samples.weight(j);
        }
        for (int u = 0; u <= pieces.units(); u++) {
            first[u] = samples.first(u);
        }
        Samples mirrored = new Samples(y, x, weight, first, new boolean[pieces.units()]);
        List<TermGroup> both = TermGroup.each(evaluator, evaluator);
        EnergyModel a = EnergyModel.build(EnginePlan.with(pieces, samples, psf, both), WORKERS, Progress.NONE);
        EnergyModel b = EnergyModel.build(EnginePlan.with(exchanged, mirrored, psf, both), WORKERS, Progress.NONE);
        double[] of = new double[pieces.units()];
        double[] ofExchanged = new double[pieces.units()];
        a.apply(dose, of);
        b.apply(dose, ofExchanged);
        assertArrayEquals(of, ofExchanged, TOLERANCE);
        EnergyField fieldA = a.field(dose);
        EnergyField fieldB = b.field(dose);
        for (int j = 0; j < x.length; j += 7) {
            assertEquals(fieldA.at(x[j], y[j]), fieldB.at(y[j], x[j]), TOLERANCE);
        }
    }

    /** At every pixel, and interpolated between every fourth. */
    @Test
    void pictures() {
        int columns = 90;
        int rows = 70;
        PixelGrid pixels = new PixelGrid(3, 5, 0.1, columns, rows);
        PixelGrid mirrored = new PixelGrid(5, 3, 0.1, rows, columns);
        for (double range : new double[] {0.3, 3.3}) {
            GaussianTerm term = new GaussianTerm(1, range);
            PointSpreadFunction one = PointSpreadFunction.from(List.of(term));
            double[] a = new double[columns * rows];
            double[] b = new double[columns * rows];
            ExactEnergy.ofUnits(pieces, dose, one).raster(pixels).add(term, 0, rows, a);
            ExactEnergy.ofUnits(exchanged, dose, one).raster(mirrored).add(term, 0, columns, b);
            for (int r = 0; r < rows; r++) {
                for (int c = 0; c < columns; c++) {
                    assertEquals(a[r * columns + c], b[c * rows + r], TOLERANCE);
                }
            }
        }
    }
}
