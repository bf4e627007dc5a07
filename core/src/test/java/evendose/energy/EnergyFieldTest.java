package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Pictures of the energy against the exact evaluator, pixel by pixel. */
class EnergyFieldTest {
    private static final PointSpreadFunction FOUR = PointSpreadFunction.from(List.of(
            new GaussianTerm(0.5, 0.05),
            new GaussianTerm(0.1, 0.15),
            new GaussianTerm(0.1, 0.6),
            new GaussianTerm(0.3, 6)));
    private static final List<TermGroup> THREE_NEAR =
            TermGroup.each(Evaluator.NEAR, Evaluator.NEAR, Evaluator.NEAR, Evaluator.FAR);
    /** Never closed, as a mutation run asks the class again and again; its threads are daemons. */
    private static final Workers WORKERS = Workers.of(2);

    private static Pieces pieces() {
        SplittableRandom random = new SplittableRandom(31);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < 12; i++) {
            for (int j = 0; j < 12; j++) {
                double x = 2 * i + random.nextDouble();
                double y = 2 * j + random.nextDouble();
                if (random.nextInt(2) == 0) {
                    builder.polygon(x, y, x + 0.9, y + 0.2, x + 0.7, y + 0.8, x + 0.1, y + 0.5);
                } else {
                    builder.rectangle(x, y, x + 0.1 + 0.8 * random.nextDouble(), y + 0.1 + 0.8 * random.nextDouble());
                }
            }
        }
        return builder.build();
    }

    private static EnergyModel model(Pieces pieces, PointSpreadFunction psf, List<TermGroup> evaluators) {
        return EnergyModel.build(
                EnginePlan.with(
                        pieces, TestPieces.sideSamples(pieces, 3, new boolean[pieces.units()]), psf, evaluators),
                WORKERS,
                Progress.NONE);
    }

    private static double worst(PixelGrid pixels, PointSpreadFunction psf, List<TermGroup> evaluators) {
        Pieces pieces = pieces();
        double[] dose =
                new SplittableRandom(32).doubles(pieces.units(), 0.7, 1.6).toArray();
        EnergyModel model = model(pieces, psf, evaluators);
        float[] picture = model.field(dose).at(pixels, WORKERS);
        try (Workers one = Workers.of(1)) {
            assertArrayEquals(picture, model.field(dose).at(pixels, one), "threads change nothing");
        }
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, psf);
        double worst = 0;
        for (int r = 0; r < pixels.rows(); r++) {
            for (int c = 0; c < pixels.columns(); c++) {
                double off = picture[r * pixels.columns() + c] - exact.at(pixels.xUm(c), pixels.yUm(r));
                worst = Math.max(worst, Math.abs(off));
            }
        }
        return worst;
    }

    /** Fine pixels interpolate the wider near terms, coarse ones none; windows beyond the layout and a single row or column. */
    @ParameterizedTest
    @CsvSource({
        "8, 8, 0.002, 301, 307",
        "8, 8, 0.02, 130, 70",
        "-3, 11, 0.01, 500, 37",
        "-20, -20, 0.7, 90, 90",
        "5, 5, 0.005, 1, 400",
        "5, 5, 0.005, 400, 1",
        "60, 60, 0.1, 10, 10",
    })
    void agreesWithTheExactEnergyAtEveryPixel(double x0, double y0, double pixel, int columns, int rows) {
        double worst = worst(new PixelGrid(x0, y0, pixel, columns, rows), FOUR, THREE_NEAR);
        assertTrue(worst < 0.5e-4, "off by " + worst);
    }

    /** The documented loss of interpolation: one near term alone, at pixels far finer than its range. */
    @Test
    void interpolationLosesLittle() {
        PointSpreadFunction one = PointSpreadFunction.from(List.of(new GaussianTerm(1, 0.3)));
        double worst = worst(new PixelGrid(8, 8, 0.01, 200, 200), one, TermGroup.each(Evaluator.NEAR));
        // Doses of up to 1.6.
        assertTrue(worst < 2e-5 * 1.6 && worst > 1e-7, "off by " + worst);
    }

    /** Others go over the grids that suit them, or in closed form: wider, as wide and narrower than what the model has. */
    @Test
    void takesOtherPointSpreadFunctions() {
        Pieces pieces = pieces();
        double[] dose =
                new SplittableRandom(33).doubles(pieces.units(), 0.7, 1.6).toArray();
        EnergyModel model = model(pieces, FOUR, THREE_NEAR);
        PointSpreadFunction other = PointSpreadFunction.from(List.of(
                new GaussianTerm(0.3, 6),
                new GaussianTerm(0.2, 0.05),
                new GaussianTerm(0.1, 0.07),
                new GaussianTerm(0.2, 5),
                new GaussianTerm(0.2, 7)));
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, other);
        EnergyField field = model.exposed(dose).field(other);
        SplittableRandom random = new SplittableRandom(34);
        for (int k = 0; k < 300; k++) {
            double x = random.nextDouble(-5, 30);
            double y = random.nextDouble(-5, 30);
            assertEquals(exact.at(x, y), field.at(x, y), 0.5e-4);
        }
    }

    @Test
    void pixelsMustExist() {
        assertThrows(IllegalArgumentException.class, () -> new PixelGrid(0, 0, 0, 1, 1));
        assertThrows(IllegalArgumentException.class, () -> new PixelGrid(0, 0, 1, 0, 1));
        assertThrows(ArithmeticException.class, () -> new PixelGrid(0, 0, 1, 1 << 17, 1 << 17));
    }
}
