package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Points and dose errors counted by hand. */
class StepFillingTest {
    private static StepFilling fill(TestDoses doses, double stepNm) {
        return FillingKernel.fill(doses.build(), stepNm);
    }

    private static TestDoses nm(double width, double height) {
        return new TestDoses().rectangle(0, 0, 0, width / 1e3, height / 1e3, 1, 0);
    }

    @Test
    void aPieceOf105By50NmAt10Nm() {
        // 5 rows of 10.5, rounded up to 11: 55 points of 100 nm^2 on 5250 nm^2.
        StepFilling f = fill(nm(105, 50), 10);
        assertEquals(55, f.points());
        assertEquals(5500.0 / 5250 - 1, f.chargeError(), 1e-12);
        assertEquals(5500.0 / 5250 - 1, f.rmsError(), 1e-12);
        assertEquals(1, f.areaOver1Percent());
        assertEquals(0, f.areaOver5Percent());
        assertEquals(0, f.thinPieces());
        // The same upright: 11 rows of 5.
        assertEquals(11, fill(nm(50, 105), 10).worst().get(0).rows());
        assertEquals(55, fill(nm(50, 105), 10).points());
    }

    @Test
    void wholeStepsAreExact() {
        StepFilling f = fill(nm(100, 50), 10);
        assertEquals(50, f.points());
        assertEquals(0, f.rmsError(), 1e-12);
        assertEquals(0, f.areaOver1Percent());
        // 104 nm hold 10.4 steps: 50 points again, 2 nm of each 52 missing.
        assertEquals(-4.0 / 104, fill(nm(104, 50), 10).chargeError(), 1e-12);
    }

    @Test
    void whatIsThinnerThanAStepGetsARowAllTheSame() {
        StepFilling f = fill(nm(7500, 1), 10);
        assertEquals(750, f.points());
        assertEquals(9, f.chargeError(), 1e-9, "ten times the charge");
        assertEquals(1, f.thinPieces());
        assertEquals(750, fill(nm(1, 7500), 10).points());
        assertEquals(1, fill(nm(1, 7500), 10).thinPieces());
        assertEquals(1, fill(nm(3, 3), 10).points());
    }

    @Test
    void slantedSidesAreFilledRowByRow() {
        // 100 nm at the bottom, 0 at the top, 40 high: rows at 5, 15, 25, 35 nm are 87.5, 62.5, 37.5, 12.5 nm long and
        // hold 9, 6, 4, 1 points.
        TestDoses level = new TestDoses().trapezoid(0, 0, 0.04, 0, 0.1, 0.05, 0.05, 1, 0);
        assertEquals(20, fill(level, 10).points());
        assertEquals(0, fill(level, 10).chargeError(), 1e-12, "20 points of 100 nm^2 on 2000 nm^2");
        TestDoses standing = new TestDoses().standing(0, 0, 0.04, 0, 0.1, 0.05, 0.05, 1, 0);
        StepFilling f = fill(standing, 10);
        assertEquals(20, f.points());
        assertEquals(4, f.worst().get(0).rows());
        assertEquals(40, 1e3 * f.worst().get(0).widthUm(), 1e-9);
        assertEquals(100, 1e3 * f.worst().get(0).heightUm(), 1e-9);
    }

    @Test
    void meansAreWeightedByAreaAndTheChargeByDose() {
        // 1050 x 50 nm at dose 1: exact. 105 x 50 at dose 2: 4.76 % too much. 22 x 50 at dose 1: 10 of 11 points.
        StepFilling f = fill(
                new TestDoses()
                        .rectangle(0, 0, 0, 1.05, 0.05, 1, 0)
                        .rectangle(1, 2, 0, 2.105, 0.05, 2, 1)
                        .rectangle(2, 3, 1, 3.022, 1.05, 1, 0),
                10);
        assertEquals(525 + 55 + 10, f.points());
        double e1 = 5500.0 / 5250 - 1;
        double e2 = 1000.0 / 1100 - 1;
        double area = 52_500 + 5250 + 1100;
        assertEquals(Math.sqrt((5250 * e1 * e1 + 1100 * e2 * e2) / area), f.rmsError(), 1e-12);
        assertEquals((5250 + 1100) / area, f.areaOver1Percent(), 1e-12);
        assertEquals(1100 / area, f.areaOver5Percent(), 1e-12);
        assertEquals((52_500 + 2 * 5500 + 1000) / (52_500 + 2 * 5250 + 1100.0) - 1, f.chargeError(), 1e-12);
        assertEquals(
                List.of(2, 1, 0),
                f.worst().stream().map(StepFilling.FilledPiece::shape).toList());
        assertEquals(3.011, f.worst().get(0).xUm(), 1e-12);
        assertEquals(1.025, f.worst().get(0).yUm(), 1e-12);
        assertEquals(e2, f.worst().get(0).error(), 1e-12);
    }

    @Test
    void theWorstOfManyAreListedInOrder() {
        TestDoses doses = new TestDoses();
        SplittableRandom random = new SplittableRandom(3);
        for (int k = 0; k < 400; k++) {
            doses.rectangle(k, k, 0, k + 0.005 + 0.05 * random.nextDouble(), 0.05, 1, 0);
        }
        DosedPieces pieces = doses.build();
        StepFilling f = FillingKernel.fill(pieces, 10);
        assertEquals(StepFilling.MOST_LISTED, f.worst().size());
        double[] all = new double[400];
        for (int i = 0; i < 400; i++) {
            double width = 1e3 * (pieces.pieces().rightUm(i) - pieces.pieces().leftUm(i));
            all[i] = Math.abs(10 * Math.max(1, Math.round(width / 10)) / width - 1);
        }
        java.util.Arrays.sort(all);
        for (int k = 0; k < f.worst().size(); k++) {
            assertEquals(all[399 - k], Math.abs(f.worst().get(k).error()), 1e-9);
        }
    }

    @Test
    void thePlanTellsEveryStep() throws IOException {
        DosedPieces pieces = nm(105, 50).build();
        WriterSettings settings =
                WriterSettings.builder(100).settlePerPieceUs(10).copies(2).build();
        WritePlan plan = WritePlanner.plan(pieces, settings, new double[] {1}, new double[] {10, 5, 30});
        assertEquals(
                List.of(5.0, 10.0, 30.0),
                plan.fillings().stream().map(StepFilling::stepNm).toList());
        assertEquals(plan.choice().stepNm(), plan.filling().stepNm());
        JsonNode json = new JsonMapper().readTree(WritePlanFiles.json(plan, "doses.csv", "0"));
        assertEquals(2, json.get("pieces_written").asInt());
        assertEquals(55, json.get("filling").get(1).get("points").asInt());
        assertEquals(
                100 * (5500.0 / 5250 - 1),
                json.get("filling").get(1).get("rms_dose_error_percent").asDouble(),
                1e-9);
        // At 30 nm 2 rows of 4 (halves go up): 7200 nm^2 on 5250.
        assertEquals(
                "30,8,37.1429,37.1429,1,1,0", WritePlanFiles.fillingCsv(plan).split("\n")[3]);
        assertEquals(
                "30,0,0.052500,0.025000,105,50,2,8,37.1429",
                WritePlanFiles.piecesCsv(plan).split("\n")[3]);
        assertTrue(plan.choices().get(2).cautions().get(0).contains("by over 5 % on 100 % of the area"));
        assertTrue(plan.choices().get(0).cautions().isEmpty());
    }
}
