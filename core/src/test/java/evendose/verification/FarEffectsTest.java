package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertSame;

import evendose.correction.CorrectionOptions;
import evendose.correction.DevelopmentLoading;
import evendose.correction.Fogging;
import evendose.correction.LongRange;
import evendose.energy.PixelGrid;
import evendose.parallel.Workers;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Optional;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** Fogging and loading of two pads against products of error functions. */
class FarEffectsTest {
    private static final double[][] PADS = {{0, 0, 60, 40}, {100, -20, 130, 70}};
    private static final Pieces PIECES = HandMadePieces.rectangles(PADS);
    private static final double[] CORRECTED = {1.3, 1.7};
    private static final double[] UNCORRECTED = {1, 1.1};
    private static final double FOG_UM = 200;
    private static final double LOADING_UM = 30;

    /** What an average over bins may be off, in energies of a plane. */
    private static final double ERROR = 2e-5;

    private static double average(double x, double y, double rangeUm, double[] dose) {
        double sum = 0;
        for (int k = 0; k < PADS.length; k++) {
            double[] p = PADS[k];
            sum += 0.25
                    * dose[k]
                    * (Erf.value((x - p[0]) / rangeUm) - Erf.value((x - p[2]) / rangeUm))
                    * (Erf.value((y - p[1]) / rangeUm) - Erf.value((y - p[3]) / rangeUm));
        }
        return sum;
    }

    private static CorrectionOptions options(boolean fogging, boolean loading) {
        return CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .longRange(new LongRange(
                        fogging ? Optional.of(new Fogging(5, 1e-3 * FOG_UM)) : Optional.empty(),
                        loading ? Optional.of(DevelopmentLoading.linear(8, LOADING_UM, 0.5)) : Optional.empty()))
                .build();
    }

    @Test
    void fogIsAShareOfTheDirectEnergy() {
        FarEffects effects = FarEffects.of(PIECES, CORRECTED, UNCORRECTED, options(true, false));
        PointEnergy base = (x, y) -> 10 + x;
        // Percent of the direct term, which has 1 of 1.6.
        double weight = 0.05 / 1.6;
        PixelGrid grid = new PixelGrid(-20, -30, 13, 9, 7);
        for (boolean withDoses : new boolean[] {false, true}) {
            double[] dose = withDoses ? CORRECTED : UNCORRECTED;
            PointEnergy with = effects.with(withDoses, base);
            try (Workers workers = Workers.of(1)) {
                float[] pixels = with.at(grid, workers);
                for (int r = 0; r < 7; r++) {
                    for (int c = 0; c < 9; c++) {
                        double x = grid.xUm(c);
                        double y = grid.yUm(r);
                        double expected = 10 + x + weight * average(x, y, FOG_UM, dose);
                        assertEquals(expected, with.at(x, y), ERROR * weight * 2);
                        assertEquals(expected, pixels[9 * r + c], 1e-5);
                        // On a short line by a parabola, on a long one point by point.
                        for (double half : new double[] {0.5, 1.9, 50}) {
                            PointEnergy line = with.onLine(x, y, 0.6, 0.8, -half, 0.5 * half);
                            for (double t = -half; t <= 0.5 * half; t += 0.25 * half) {
                                double fog = weight * average(x + 0.6 * t, y + 0.8 * t, FOG_UM, dose);
                                assertEquals(
                                        10 + x + 0.6 * t + fog, line.at(x + 0.6 * t, y + 0.8 * t), 2 * ERROR * weight);
                            }
                        }
                    }
                }
            }
        }
        assertEquals(1, effects.wanted(30, 20));
        assertEquals(0, effects.density(30, 20));
        assertSame(base, effects.overWanted(base));
    }

    @Test
    void loadingAsksForMoreEnergyByTheDensityOfShapes() {
        FarEffects effects = FarEffects.of(PIECES, CORRECTED, UNCORRECTED, options(false, true));
        PointEnergy base = (x, y) -> 10 + x;
        assertSame(base, effects.with(true, base));
        PointEnergy over = effects.overWanted(base);
        PixelGrid grid = new PixelGrid(-20, -30, 13, 9, 7);
        double[] one = {1, 1};
        DevelopmentLoading law = DevelopmentLoading.linear(8, LOADING_UM, 0.5);
        try (Workers workers = Workers.of(1)) {
            float[] pixels = over.at(grid, workers);
            PointEnergy line = over.onLine(0, 0, 1, 0, -1, 1);
            PointEnergy about = over.about(new double[] {0}, new double[] {0}, 5, workers);
            assertNotSame(base, line);
            for (int r = 0; r < 7; r++) {
                for (int c = 0; c < 9; c++) {
                    double x = grid.xUm(c);
                    double y = grid.yUm(r);
                    double density = average(x, y, LOADING_UM, one);
                    double wanted = law.factor(density);
                    assertEquals(density, effects.density(x, y), ERROR);
                    assertEquals(wanted, effects.wanted(x, y), ERROR);
                    assertEquals((10 + x) / wanted, over.at(x, y), 2e-3);
                    assertEquals((10 + x) / wanted, line.at(x, y), 2e-3);
                    assertEquals((10 + x) / wanted, about.at(x, y), 2e-3);
                    assertEquals((10 + x) / wanted, pixels[9 * r + c], 2e-3);
                }
            }
        }
    }
}
