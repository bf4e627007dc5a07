package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.util.List;
import org.junit.jupiter.api.Test;

class WritePlannerTest {
    /** 1 mm^2 at factor 1 and a small square at 1.6. */
    private static DosedPieces pieces() {
        return new TestDoses()
                .rectangle(0, 0, 0, 1000, 1000, 1, 0)
                .rectangle(1, 1100, 0, 1100.05, 0.05, 1.6, 3)
                .build();
    }

    private static double[] values(double... v) {
        return v;
    }

    @Test
    void timesAddUp() {
        WriterSettings settings = WriterSettings.builder(100)
                .fieldUm(500)
                .settlePerPieceUs(10)
                .settlePerFieldS(0.2)
                .stageMoveS(0.5)
                .copies(3)
                .slotS(4000)
                .build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(1), values(10));
        PlanChoice choice = plan.choice();
        double area = 1e6 + 0.05 * 0.05;
        assertEquals(3 * area, plan.exposedAreaUm2(), 1e-6);
        assertEquals(3 * (1e6 + 1.6 * 0.0025) * 1e-6, plan.chargeUc(), 1e-12);
        assertEquals(3 * 1000.000004, choice.beamOnS(), 1e-6);
        // Extent 1100.05 x 1000: a grid of 3 x 2 fields from -199.975 on; the large square fills four of six fully or
        // in part.
        WritingFields fields = plan.fields().orElseThrow();
        assertEquals(6, fields.count());
        assertEquals(7, fields.parts());
        double settling = 3 * 7 * 10e-6;
        assertEquals(settling, plan.pieceSettlingS(), 1e-12);
        assertEquals(3 * 6 * 0.2, plan.fieldSettlingS(), 1e-12);
        assertEquals(3 * 6 * 0.5, plan.stageMovesS(), 1e-12);
        assertEquals(900 + choice.beamOnS() + settling + 18 * 0.7, choice.totalS(), 1e-9);
        assertEquals(4000 - choice.totalS(), plan.slotLeftS().orElseThrow(), 1e-9);
        assertEquals(3, plan.copiesInSlot().orElseThrow());
    }

    @Test
    void levelsThatBreakTheClockAreNamedAndTheHighestCurrentKeepsToIt() {
        // Factor 1 at 100 uC/cm^2, 10 nm: 10 MHz per nA; factor 1.6: 6.25 MHz per nA.
        WriterSettings settings = WriterSettings.builder(100).clockMhz(20).build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(2.5), values(10));
        assertEquals(25, plan.choice().highestFrequencyMhz(), 1e-9);
        assertEquals(1, plan.choice().brokenLevels());
        assertFalse(plan.choice().feasible());
        assertTrue(plan.levels().get(0).breaksClock());
        assertFalse(plan.levels().get(1).breaksClock());
        assertEquals(40, plan.levels().get(0).dwellNs(), 1e-9);
        assertEquals(64, plan.levels().get(1).dwellNs(), 1e-9);
        assertEquals(2, plan.choice().highestCurrentNa(), 1e-12);
        assertEquals(3.2, plan.levels().get(1).highestCurrentNa(), 1e-12);
        double highest = plan.choice().highestCurrentNa();
        assertTrue(WritePlanner.plan(pieces(), settings, values(highest), values(10))
                .choice()
                .feasible());
    }

    @Test
    void theQuickestAllowedChoiceWinsAndThenTheFinestStep() {
        WriterSettings settings = WriterSettings.builder(100)
                .clockMhz(50)
                .beam(BeamTable.of(values(0.1, 10), values(5, 50)))
                .build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(0.5, 1, 2, 4, 8), values(4, 5, 8, 20));
        // Rates per nA: 62.5, 40, 15.6, 2.5 MHz; beam 16 nm at 1 nA, 22 nm at 2 nA, 32 nm at 4 nA, 45 nm at 8 nA.
        assertEquals(8, plan.choice().currentNa());
        assertEquals(20, plan.choice().stepNm());
        WritePlan slower = WritePlanner.plan(pieces(), settings, values(0.5, 1), values(4, 5, 8, 20));
        assertEquals(1, slower.choice().currentNa());
        assertEquals(5, slower.choice().stepNm(), "4 nm is too fast for the clock, 8 nm is coarser");
        WriterSettings narrow = WriterSettings.builder(100)
                .clockMhz(50)
                .beam(BeamTable.of(values(0.1, 10), values(5, 50)))
                .largestBeamNm(16)
                .build();
        assertEquals(
                1,
                WritePlanner.plan(pieces(), narrow, values(0.5, 1, 2, 4, 8), values(4, 5, 8, 20))
                        .choice()
                        .currentNa());
    }

    @Test
    void nothingFeasibleIsSaidNotHidden() {
        WriterSettings settings = WriterSettings.builder(100).slotS(1000).build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(1, 2), values(10));
        assertFalse(plan.choice().feasible());
        assertEquals(1, plan.choice().obstacles().size());
        assertEquals(2, plan.choice().currentNa(), "of equally bad ones the quicker");
        assertEquals(0, plan.copiesInSlot().orElseThrow());
    }

    @Test
    void theSmallestFeatureIsTheOneWithTheFewestElectrons() {
        WritePlan plan = WritePlanner.plan(pieces(), WriterSettings.builder(1).build(), values(1), values(10));
        SmallestFeature feature = plan.feature();
        assertEquals(1, feature.shape());
        assertEquals(0.05, feature.sideUm(), 1e-12);
        assertEquals(1.6 * 156.04, feature.electrons(), 0.01);
        assertEquals(5, feature.pointsPerSide(), 1e-9);
        WriterSettings given = WriterSettings.builder(1).featureUm(0.05).build();
        assertEquals(
                156.04,
                WritePlanner.plan(pieces(), given, values(1), values(10))
                        .feature()
                        .electrons(),
                0.005,
                "a given size is judged at the smallest dose");
    }

    @Test
    void theBeamTableInterpolatesPowerLawsExactlyAndClaimsNothingOutside() {
        BeamTable table = BeamTable.of(values(0.1, 1, 10), values(4, 4 * Math.sqrt(10), 40));
        for (double current : values(0.1, 0.2, 1, 3, 10)) {
            assertEquals(4 * Math.sqrt(current / 0.1), table.diameterNm(current).orElseThrow(), 1e-12);
        }
        assertTrue(table.diameterNm(0.09).isEmpty());
        assertTrue(table.diameterNm(11).isEmpty());
        assertThrows(IllegalArgumentException.class, () -> BeamTable.of(values(1, 1), values(4, 5)));
    }

    /** Common practice: 50 pA to 100 nA at 50 or 100 kV; doses of both. */
    @Test
    void allUsualCurrentsWork() {
        for (double base : values(250, 750)) {
            WriterSettings settings =
                    WriterSettings.builder(base).clockMhz(100).fieldUm(1000).build();
            WritePlan plan =
                    WritePlanner.plan(pieces(), settings, values(0.05, 0.5, 5, 50, 100), values(1, 2, 4, 8, 20));
            assertEquals(25, plan.choices().size());
            for (PlanChoice c : plan.choices()) {
                assertEquals(plan.chargeUc() / (c.currentNa() * 1e-3), c.beamOnS(), 1e-9 * c.beamOnS());
                assertEquals(c.highestFrequencyMhz() <= 100, c.feasible());
            }
            assertTrue(plan.choice().feasible());
        }
    }

    @Test
    void jsonHoldsWhatScriptsRelyOn() throws IOException {
        WriterSettings settings =
                WriterSettings.builder(100).clockMhz(20).fieldUm(500).build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(1, 2.5), values(10));
        JsonNode json = new JsonMapper().readTree(WritePlanFiles.json(plan, "doses.csv", "0"));
        assertEquals(plan.exposedAreaUm2(), json.get("exposed_area_um2").asDouble());
        assertEquals(plan.chargeUc(), json.get("charge_uc").asDouble());
        assertEquals(plan.choice().beamOnS(), json.get("beam_on_s").asDouble());
        assertEquals(plan.choice().totalS(), json.get("total_s").asDouble());
        assertEquals(10, json.get("highest_frequency_mhz").asDouble(), 1e-9);
        assertEquals(2, json.get("highest_current_na").asDouble(), 1e-9);
        assertEquals(2, json.get("choices").size());
        assertEquals(2, json.get("levels").size());
        assertEquals(6, json.get("fields").get("per_copy").asInt());
        assertEquals(4, WritePlanFiles.choicesCsv(plan).split("\n").length + 1);
        assertEquals(
                plan.fields().orElseThrow().cuts().size() + 1,
                WritePlanFiles.cutsCsv(plan).split("\n").length);
    }

    @Test
    void valuesOutOfRangeAreRefused() {
        assertThrows(
                IllegalArgumentException.class, () -> WriterSettings.builder(0).build());
        assertThrows(
                IllegalArgumentException.class,
                () -> WriterSettings.builder(1).copies(0).build());
        assertThrows(
                IllegalArgumentException.class,
                () -> WriterSettings.builder(1).largestBeamNm(5).build());
        WriterSettings settings = WriterSettings.builder(1).build();
        DosedPieces pieces = pieces();
        assertThrows(IllegalArgumentException.class, () -> WritePlanner.plan(pieces, settings, values(-1), values(10)));
        assertThrows(IllegalArgumentException.class, () -> WritePlanner.plan(pieces, settings, values(), values(10)));
    }

    private static PlanChoice only(WriterSettings settings, double currentNa, double stepNm) {
        return WritePlanner.plan(pieces(), settings, values(currentNa), values(stepNm))
                .choice();
    }

    /** 30 nm do not divide a field of 500 um, 10 nm and 20 nm do. */
    @Test
    void ofEquallyQuickStepsOneWithoutCautionsWinsAndThenTheFinest() {
        WriterSettings settings = WriterSettings.builder(100).fieldUm(500).build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(1), values(30, 3, 20, 10));
        assertEquals(10, plan.choice().stepNm());
        assertEquals(10, plan.filling().stepNm());
        assertEquals(
                10,
                WritePlanner.plan(pieces(), settings, values(1), values(30, 10))
                        .choice()
                        .stepNm());
        assertEquals(
                3,
                WritePlanner.plan(pieces(), settings, values(1), values(30, 3))
                        .choice()
                        .stepNm());
        assertEquals(1, only(settings, 1, 30).cautions().size());
        assertEquals(0, only(settings, 1, 20).cautions().size());
        assertTrue(only(settings, 1, 30).feasible());
    }

    /** Points 100 nm apart expose 0.01 of 0.014 um^2, and 0.01 as wanted. Of the large layout 1 mm^2 is right, and nothing else counts. */
    @Test
    void fillingThatPutsTheDoseOffIsACaution() {
        DosedPieces small = new TestDoses()
                .rectangle(0, 0, 0, 0.14, 0.1, 1, 0)
                .rectangle(1, 1, 0, 1.1, 0.1, 1, 0)
                .build();
        PlanChoice choice = WritePlanner.plan(small, WriterSettings.builder(100).build(), values(1), values(100))
                .choice();
        assertEquals(List.of("whole steps put the dose off by over 5 % on 58 % of the area"), choice.cautions());
        assertEquals(
                List.of(), only(WriterSettings.builder(100).build(), 1, 100).cautions());
    }

    /** Up to a limit is allowed, a millionth beyond it is not. */
    @Test
    void limitsAreMetExactly() {
        WriterSettings.Builder beams =
                WriterSettings.builder(100).beam(BeamTable.of(values(0.1, 1, 10), values(6, 24, 60)));
        assertTrue(only(beams.largestBeamNm(24).build(), 1, 5).feasible());
        assertEquals(
                List.of("beam of 24.0 nm, at most 24.0 nm wanted"),
                only(beams.largestBeamNm(24 - 24e-6).build(), 1, 5).obstacles());
        WriterSettings any = beams.largestBeamNm(60).build();
        assertTrue(only(any, 1, 12).feasible());
        assertEquals(
                List.of("step beyond half the beam of 24.0 nm leaves edges rough"),
                only(any, 1, 12.000012).obstacles());
        assertEquals(
                List.of("the beam table does not reach to this current"),
                only(any, 11, 5).obstacles());
        assertTrue(only(any, 10, 5).feasible() && only(any, 0.1, 3).feasible());
        // 1,000.000004 s with the beam on, and 800 s to load: 0.5 h.
        WriterSettings.Builder slot = WriterSettings.builder(100).loadingS(799.999996);
        assertTrue(only(slot.slotS(1800).build(), 1, 10).feasible());
        assertFalse(only(slot.slotS(1800 - 1800e-6).build(), 1, 10).feasible());
        assertEquals(
                List.of("0.5000 h exceed the slot of 0.2500 h"),
                only(slot.slotS(900).build(), 1, 10).obstacles());
        WriterSettings clock = WriterSettings.builder(100).clockMhz(10).build();
        assertTrue(only(clock, 1, 10).feasible());
        assertFalse(only(clock, 1.000001, 10).feasible());
    }

    /** Of 1 and 2 nA, with the slot too short for both: 2 nA breaks the clock too, so it is the worse one though it is quicker. */
    @Test
    void fewerObstaclesGoBeforeTime() {
        WriterSettings settings =
                WriterSettings.builder(100).slotS(1000).clockMhz(10).build();
        WritePlan plan = WritePlanner.plan(pieces(), settings, values(1, 2), values(10));
        assertEquals(1, plan.choice().currentNa());
        assertEquals(2, plan.choices().get(1).obstacles().size());
    }

    @Test
    void wholeCopiesFitInTheSlot() {
        // 900 s to load, then 1,000.000004 s a copy.
        assertEquals(3, copiesIn(900 + 3 * 1000.000004));
        assertEquals(2, copiesIn(900 + 3 * 1000));
        assertEquals(0, copiesIn(900));
        assertEquals(0, copiesIn(800));
    }

    private static long copiesIn(double slotS) {
        WriterSettings settings =
                WriterSettings.builder(100).copies(2).slotS(slotS).build();
        return WritePlanner.plan(pieces(), settings, values(1), values(10))
                .copiesInSlot()
                .orElseThrow();
    }

    /**
     * Side^2 times dose: an L of two pieces 0.09 x 2, a bar 0.04 x 1.5 = 0.06, a narrower one at a high dose 0.01 x 8, and the bar once
     * more; at positive and at negative coordinates.
     */
    @Test
    void theSmallestFeatureCountsWholeShapesAndTheirMeanDose() {
        for (double d : values(0, -100)) {
            TestDoses ell = new TestDoses()
                    .rectangle(0, d + 10, d + 20, d + 10.3, d + 20.1, 1, 0)
                    .rectangle(0, d + 10, d + 20.1, d + 10.1, d + 20.4, 3, 0);
            WriterSettings settings = WriterSettings.builder(100).build();
            WritePlan alone = WritePlanner.plan(ell.build(), settings, values(1), values(10));
            SmallestFeature feature = alone.feature();
            assertEquals(1, alone.shapes());
            assertEquals(0, feature.shape());
            assertEquals(d + 10.15, feature.xUm(), 1e-9);
            assertEquals(d + 20.2, feature.yUm(), 1e-9);
            assertEquals(0.3, feature.sideUm(), 1e-9);
            assertEquals(2, feature.factor(), 1e-9);
            assertEquals(30, feature.pointsPerSide(), 1e-6);
            // 0.09 um^2 at 200 uC/cm^2, electrons of 1.602176634e-13 uC.
            assertEquals(0.09 * 200e-8 / 1.602176634e-13, feature.electrons(), 1e-2);
            assertEquals(1 / Math.sqrt(feature.electrons()), feature.relativeSpread(), 1e-15);
            ell.rectangle(1, d + 30, d + 40, d + 30.4, d + 40.2, 1.5, 0)
                    .rectangle(2, d + 50, d + 60, d + 50.1, d + 60.5, 8, 0)
                    .rectangle(3, d + 32, d + 40, d + 32.4, d + 40.2, 1.5, 0);
            WritePlan all = WritePlanner.plan(ell.build(), settings, values(1), values(10));
            assertEquals(4, all.shapes());
            assertEquals(1, all.feature().shape());
            assertEquals(d + 30.2, all.feature().xUm(), 1e-9);
            assertEquals(d + 40.1, all.feature().yUm(), 1e-9);
            assertEquals(0.2, all.feature().sideUm(), 1e-9);
        }
    }
}
