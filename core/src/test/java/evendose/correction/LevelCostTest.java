package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.psf.PointSpreadFunction;
import org.junit.jupiter.api.Test;

/**
 * What one level for two doses costs, from closed forms. Without backscattering wide lines get their targets as factors, 1 and 0.8; their
 * edges have half of that as energy and a slope of the factor over alpha sqrt(pi).
 */
class LevelCostTest {
    @Test
    void oneLevelForTwoDoses() {
        double alphaUm = 0.02;
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.5, 3);
        Corrections.box(polygons, 1, 5, 0, 5.5, 3);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(alphaUm, 9, 0))
                        .tolerance(1e-6)
                        .levels(LevelRule.geometric(1))
                        .build(),
                Corrections.LINES,
                LayerRole.corrected(new Layer(2, 0), 0.8));
        LevelTrial cost = table.levelCost().orElseThrow();
        double level = Math.sqrt(0.8);
        assertEquals(1, cost.levels());
        assertEquals(1, table.levels().size());
        assertEquals(level, table.factor(0), 1e-4);
        // Energy errors over the targets: level - 1 and level / 0.8 - 1; both lines have as much outline.
        double low = 1 - level;
        double high = level / 0.8 - 1;
        assertEquals(high, cost.max(), 2e-4);
        assertEquals(Math.sqrt((low * low + high * high) / 2), cost.rms(), 2e-4);
        assertEquals(cost.max(), cost.snappedMax(), 1e-12, "one level leaves no choice");
        assertEquals(cost.rms(), cost.snappedRms(), 1e-12);
        // Widths: twice the energy error over the slope, here alpha sqrt(pi) times the relative error.
        double perError = 1e3 * alphaUm * Math.sqrt(Math.PI);
        assertEquals(high * perError, cost.maxWidthNm(), 0.01);
        assertEquals(Math.sqrt((low * low + high * high) / 2) * perError, cost.rmsWidthNm(), 0.01);
    }

    /**
     * Errors count by outline: of lines 30 and 10 um long the longer one counts three times as much. Their ends count a little less than
     * their sides, by 6 alpha of 20 um at most.
     */
    @Test
    void errorsCountByOutline() {
        double alphaUm = 0.02;
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 0.5, 30);
        Corrections.box(polygons, 1, 5, 0, 5.5, 10);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(alphaUm, 9, 0))
                        .tolerance(1e-6)
                        .levels(LevelRule.geometric(1))
                        .build(),
                Corrections.LINES,
                LayerRole.corrected(new Layer(2, 0), 0.8));
        LevelTrial cost = table.levelCost().orElseThrow();
        double low = 1 - Math.sqrt(0.8);
        double high = Math.sqrt(0.8) / 0.8 - 1;
        double rms = Math.sqrt((3 * low * low + high * high) / 4);
        assertEquals(rms, cost.rms(), 0.005 * rms);
        double rmsNm = 1e3 * alphaUm * Math.sqrt(Math.PI) * rms;
        assertEquals(rmsNm, cost.rmsWidthNm(), 0.005 * rmsNm);
    }
}
