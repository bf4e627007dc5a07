package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.Layer;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/**
 * Levels where doses are known: without backscattering, wide lines of one unit each get their targets as factors, here 1 and 0.8, beside
 * a third whose dose is given; and by how much the ends of the lines raise doses is known.
 */
class LevelTrialsTest {
    private static final double LENGTH_UM = 2;

    /** The dose of the line of target 1. */
    private static final double ONE = Corrections.raisedByEnds(LENGTH_UM);

    /** Sums over a few points in place of the outline, and a residual of 1e-6. */
    private static final double CLOSE = 5e-6;

    private static final double GIVEN = 1.7;
    private static final LayerRole PALE = LayerRole.corrected(new Layer(2, 0), 0.8);

    private static DoseTable lines(LevelRule rule, boolean study, LayerRole... roles) {
        double[] lengths = new double[roles.length];
        Arrays.fill(lengths, LENGTH_UM);
        CorrectionOptions.Builder options = Corrections.linesAlone().levelStudy(study);
        if (rule != null) {
            options.levels(rule);
        }
        return Corrections.correct(Corrections.lines(lengths), options.build(), roles);
    }

    private static DoseTable withGiven(LevelRule rule) {
        return lines(rule, false, Corrections.LINES, PALE, LayerRole.fixed(new Layer(3, 0), GIVEN));
    }

    /** Of 0.8, 0.8 + a quarter of the way (in ratio) and so on to 1 nobody takes those between. */
    @Test
    void levelsThatNobodyTakesAreDropped() {
        DoseTable table = lines(LevelRule.geometric(5), false, Corrections.LINES, PALE);
        assertArrayEquals(new double[] {0.8 * ONE, ONE}, table.levels().factors(), CLOSE);
        assertEquals(1, table.level(0));
        assertEquals(0, table.level(1));
        LevelTrial cost = table.levelCost().orElseThrow();
        assertEquals(2, cost.levels());
        assertEquals(0, cost.max(), 1e-5);
        assertEquals(0, cost.maxWidthNm(), 1e-3);
    }

    @Test
    void aGivenDoseTakesALevelOfItsOwn() {
        DoseTable table = withGiven(LevelRule.geometric(3));
        assertArrayEquals(new double[] {0.8 * ONE, ONE, GIVEN}, table.levels().factors(), CLOSE);
        assertEquals(GIVEN, table.levels().factor(2), "exactly what it was given");
        assertEquals(GIVEN, table.factor(2));
        // With two, one is left for the two others: their geometric mean.
        DoseTable two = withGiven(LevelRule.geometric(2));
        assertArrayEquals(
                new double[] {Math.sqrt(0.8) * ONE, GIVEN}, two.levels().factors(), CLOSE);
        assertEquals(GIVEN, two.factor(2));
    }

    @Test
    void stepsCountFromOneBesideAGivenDose() {
        DoseTable table = withGiven(LevelRule.step(10));
        // 1.1^-2 = 0.826 is the nearest to 0.8; 1.1^-1 is taken by nobody.
        assertArrayEquals(
                new double[] {Math.pow(1.1, -2), 1, GIVEN}, table.levels().factors(), 1e-12);
    }

    @Test
    void tooFewLevelsForGivenDosesAreRefused() {
        String message = assertThrows(IllegalArgumentException.class, () -> withGiven(LevelRule.geometric(1)))
                .getMessage();
        assertTrue(message.contains("1 dose levels are too few: 1 are taken by fixed doses"), message);
    }

    @Test
    void givenDosesAloneKeepTheirs() {
        DoseTable table = lines(
                LevelRule.geometric(4),
                false,
                LayerRole.fixed(new Layer(1, 0), 0.6),
                LayerRole.fixed(new Layer(2, 0), GIVEN));
        assertArrayEquals(new double[] {0.6, GIVEN}, table.levels().factors());
    }

    /** Two doses can be divided into one and two levels; with both spacings that makes four trials, whose costs are known. */
    @Test
    void aStudyTriesAsManyLevelsAsThereAreDoses() {
        List<LevelTrial> study = lines(null, true, Corrections.LINES, PALE).levelStudy();
        assertEquals(
                List.of(LevelRule.optimal(1), LevelRule.geometric(1), LevelRule.optimal(2), LevelRule.geometric(2)),
                study.stream().map(LevelTrial::rule).toList());
        double low = 1 - Math.sqrt(0.8);
        double high = Math.sqrt(0.8) / 0.8 - 1;
        double rms = Math.sqrt((low * low + high * high) / 2);
        assertEquals(rms, study.get(1).rms(), CLOSE);
        assertTrue(study.get(0).rms() <= study.get(1).rms(), "optimal ones are no worse");
        assertEquals(1, study.get(0).levels());
        for (LevelTrial two : study.subList(2, 4)) {
            assertEquals(2, two.levels());
            assertEquals(0, two.max(), 1e-5);
        }
    }

    @Test
    void aStudyCountsGivenDosesAsLevelsTaken() {
        List<LevelTrial> study = lines(null, true, Corrections.LINES, PALE, LayerRole.fixed(new Layer(3, 0), GIVEN))
                .levelStudy();
        assertEquals(
                List.of(LevelRule.optimal(2), LevelRule.geometric(2)),
                study.stream().map(LevelTrial::rule).toList());
    }
}
