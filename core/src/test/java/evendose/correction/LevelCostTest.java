package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.layout.Layer;
import org.junit.jupiter.api.Test;

/**
 * What one level for two doses costs, from closed forms. Without backscattering wide lines get their targets as factors, 1 and 0.8; their
 * edges have half of that as energy and a slope of the factor over alpha sqrt(pi).
 */
class LevelCostTest {
    /** One level for a line of target 1 and one of target 0.8. */
    private static DoseTable oneLevel(double lengthUm, double lengthOfPaleUm) {
        return Corrections.correct(
                Corrections.lines(lengthUm, lengthOfPaleUm),
                Corrections.linesAlone().levels(LevelRule.geometric(1)).build(),
                Corrections.LINES,
                LayerRole.corrected(new Layer(2, 0), 0.8));
    }

    @Test
    void oneLevelForTwoDoses() {
        DoseTable table = oneLevel(3, 3);
        LevelTrial cost = table.levelCost().orElseThrow();
        double level = Math.sqrt(0.8);
        assertEquals(1, cost.levels());
        assertEquals(1, table.levels().size());
        assertEquals(level * Corrections.raisedByEnds(3), table.factor(0), 5e-6);
        // Energy errors over the targets: level - 1 and level / 0.8 - 1; both lines have as much outline.
        double low = 1 - level;
        double high = level / 0.8 - 1;
        assertEquals(high, cost.max(), 5e-6);
        assertEquals(Math.sqrt((low * low + high * high) / 2), cost.rms(), 5e-6);
        assertEquals(cost.max(), cost.snappedMax(), 1e-12, "one level leaves no choice");
        assertEquals(cost.rms(), cost.snappedRms(), 1e-12);
        // Widths: twice the energy error over the slope, here alpha sqrt(pi) times the relative error.
        double perError = 1e3 * Corrections.LINE_ALPHA_UM * Math.sqrt(Math.PI);
        assertEquals(high * perError, cost.maxWidthNm(), 0.01);
        assertEquals(Math.sqrt((low * low + high * high) / 2) * perError, cost.rmsWidthNm(), 0.01);
    }

    /**
     * Errors count by outline: of lines 30 and 10 um long the longer one counts three times as much. Their ends count a little less than
     * their sides, by 6 alpha of 20 um at most.
     */
    @Test
    void errorsCountByOutline() {
        LevelTrial cost = oneLevel(30, 10).levelCost().orElseThrow();
        double low = 1 - Math.sqrt(0.8);
        double high = Math.sqrt(0.8) / 0.8 - 1;
        double rms = Math.sqrt((3 * low * low + high * high) / 4);
        assertEquals(rms, cost.rms(), 0.005 * rms);
        double rmsNm = 1e3 * Corrections.LINE_ALPHA_UM * Math.sqrt(Math.PI) * rms;
        assertEquals(rmsNm, cost.rmsWidthNm(), 0.005 * rmsNm);
    }
}
