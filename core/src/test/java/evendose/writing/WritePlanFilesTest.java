package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** One plan worked out by hand, in all its files. */
class WritePlanFilesTest {
    /** Electrons of 1e-6 uC: the charge of one is 1.602176634e-19 C by definition. */
    private static final double PER_1E_6_UC = 1e-6 / 1.602176634e-13;

    /**
     * Two copies of 5,000 um^2 at 200 uC/cm^2 and 0.125 um^2 at twice that: 0.0100005 uC each. At 10 nm and 1 nA a point at factor 1
     * takes 200 ns; 10 nm are half the beam at 1 nA, and 30 nm do not divide the field.
     */
    private static WriterSettings.Builder settings() {
        return WriterSettings.builder(200)
                .clockMhz(12)
                .fieldUm(100)
                .settlePerPieceUs(1000)
                .settlePerFieldS(0.25)
                .stageMoveS(0.5)
                .loadingS(600)
                .copies(2)
                .slotS(700)
                .beam(BeamTable.of(new double[] {1, 4}, new double[] {20, 80}))
                .largestBeamNm(60);
    }

    private static DosedPieces pieces() {
        return new TestDoses()
                .rectangle(0, 10, 20, 110, 70, 1, 0)
                .rectangle(1, 200, 20, 200.5, 20.25, 2, 1)
                .build();
    }

    private static WritePlan plan(WriterSettings settings) {
        return WritePlanner.plan(pieces(), settings, new double[] {1, 4}, new double[] {10, 30});
    }

    private static JsonNode json(WritePlan plan) throws IOException {
        return new JsonMapper().readTree(WritePlanFiles.json(plan, "my doses.csv", "1.2"));
    }

    /** Asserts numbers under keys: {@code key=value ...}. */
    private static void holds(JsonNode node, String numbers) {
        for (String pair : numbers.trim().split("\\s+")) {
            String[] part = pair.split("=");
            double value = Double.parseDouble(part[1]);
            assertTrue(node.path(part[0]).isNumber(), part[0]);
            assertEquals(value, node.get(part[0]).asDouble(), 1e-9 * Math.abs(value), part[0]);
        }
    }

    @Test
    void totalsAreOfAllCopies() throws IOException {
        JsonNode json = json(plan(settings().build()));
        assertEquals("evendose", json.get("program").asText());
        assertEquals("1.2", json.get("version").asText());
        assertEquals("my doses.csv", json.get("doses").asText());
        assertTrue(json.get("feasible").asBoolean());
        assertTrue(json.get("caution").asText().contains("compare"));
        holds(json, """
                current_na=1 step_nm=10 copies=2 pieces=2 pieces_written=6 shapes=2 exposed_area_um2=10000.25
                charge_uc=0.020001 beam_on_s=20.001 piece_settling_s=0.006 field_settling_s=1 stage_moves_s=2
                loading_s=600 total_s=623.007 highest_frequency_mhz=5 highest_current_na=2.4 beam_nm=20 slot_s=700
                slot_left_s=76.993 copies_in_slot=8""");
        assertEquals(0, json.get("obstacles").size());
        assertEquals(0, json.get("cautions").size());
        // Extent 190.5 x 50 from (10, 20) on: two fields, with their border at x = 105.25.
        holds(json.get("fields"), """
                side_um=100 per_copy=2 columns=2 rows=1 left_um=5.25 bottom_um=-5 shapes_cut=1 cuts=1
                pieces_by_field=3""");
    }

    @Test
    void theSmallestFeatureIsDescribed() throws IOException {
        double electrons = 0.0625 * 400e-8 * 1e6 * PER_1E_6_UC;
        JsonNode found = json(plan(settings().build())).get("smallest_feature");
        holds(found, "side_um=0.25 shape=1 x_um=200.25 y_um=20.125 dose_uc_per_cm2=400 points_per_side=25");
        assertEquals(electrons, found.get("electrons").asDouble(), 1e-6);
        assertEquals(
                100 / Math.sqrt(electrons),
                found.get("dose_spread_1_sigma_percent").asDouble(),
                1e-12);
        // A given size is judged at the smallest dose, and is nowhere.
        JsonNode given = json(plan(settings().featureUm(0.25).build())).get("smallest_feature");
        assertEquals(electrons / 2, given.get("electrons").asDouble(), 1e-6);
        assertFalse(given.has("shape") || given.has("x_um") || given.has("y_um"));
        // The smallest shape may be the first of all.
        DosedPieces only = new TestDoses().rectangle(0, 1, 2, 3, 5, 1, 0).build();
        WritePlan first = WritePlanner.plan(only, settings().build(), new double[] {1}, new double[] {10});
        holds(json(first).get("smallest_feature"), "shape=0 side_um=2 x_um=2 y_um=3.5");
    }

    @Test
    void levelsHaveTheirRates() throws IOException {
        WritePlan plan = plan(settings().build());
        JsonNode levels = json(plan).get("levels");
        assertEquals(2, levels.size());
        holds(levels.get(0), """
                level=0 pieces=1 area_um2=5000 dose_factor=1 dose_factor_min=1 dose_factor_max=1 dose_uc_per_cm2=200
                dwell_ns=200 highest_frequency_mhz=5 highest_current_na=2.4 electrons_per_point=""" + 200e-12 * 1e6 * PER_1E_6_UC);
        holds(levels.get(1), """
                level=1 pieces=1 area_um2=0.125 dose_factor=2 dose_factor_min=2 dose_factor_max=2 dose_uc_per_cm2=400
                dwell_ns=400 highest_frequency_mhz=2.5 highest_current_na=4.8 electrons_per_point=""" + 400e-12 * 1e6 * PER_1E_6_UC);
        assertFalse(levels.get(0).get("breaks_clock").asBoolean());
        List<String[]> rows = rows(WritePlanFiles.levelsCsv(plan));
        assertEquals(3, rows.size());
        assertNumbers(rows.get(1), 0, 1, 5000, 1, 200, 200, 5, Double.NaN, 200e-12 * 1e6 * PER_1E_6_UC, 2.4);
        assertNumbers(rows.get(2), 1, 1, 0.125, 2, 400, 400, 2.5, Double.NaN, 400e-12 * 1e6 * PER_1E_6_UC, 4.8);
        assertEquals("no", rows.get(1)[7]);
        // At a clock of 4 MHz the first level breaks it and the second does not.
        WritePlan slow = plan(settings().clockMhz(4).build());
        List<String[]> broken = rows(WritePlanFiles.levelsCsv(
                WritePlanner.plan(pieces(), slow.settings(), new double[] {1}, new double[] {10})));
        assertEquals("yes", broken.get(1)[7]);
        assertEquals("no", broken.get(2)[7]);
    }

    @Test
    void choicesSayWhatSpeaksAgainstThem() throws IOException {
        WritePlan plan = plan(settings().build());
        JsonNode choices = json(plan).get("choices");
        assertEquals(4, choices.size());
        holds(choices.get(3), """
                current_na=4 step_nm=30 beam_nm=80 levels_above_clock=0 highest_current_na=21.6 beam_on_s=5.00025
                total_s=608.00625""");
        assertFalse(choices.get(3).get("feasible").asBoolean());
        assertTrue(choices.get(0).get("feasible").asBoolean());
        assertTrue(choices.get(3).at("/obstacles/0").asText().contains("80.0 nm, at most 60"));
        assertTrue(choices.get(3).at("/cautions/0").asText().contains("divide"));
        JsonNode coarse = json(WritePlanner.plan(pieces(), plan.settings(), new double[] {1}, new double[] {30}));
        assertEquals(1, coarse.get("obstacles").size());
        assertEquals(1, coarse.get("cautions").size());
        List<String[]> rows = rows(WritePlanFiles.choicesCsv(plan));
        assertNumbers(rows.get(1), 1, 10, 20, 5, 0, 2.4, 20.001, 623.007);
        assertEquals("[yes, yes, \"\"]", Arrays.toString(Arrays.copyOfRange(rows.get(1), 8, 11)));
        assertNumbers(rows.get(2), 1, 30, 20, 5 / 9.0, 0, 21.6, 20.001, 623.007);
        assertEquals("no", rows.get(2)[8]);
        assertEquals("no", rows.get(2)[9]);
        assertEquals(
                "\"step beyond half the beam of 20.0 nm leaves edges rough; the step does not divide the field\"",
                WritePlanFiles.choicesCsv(plan).split("\n")[2].split(",", 11)[10]);
        assertNumbers(rows.get(3), 4, 10, 80, 20, 1, 2.4, 5.00025, 608.00625);
        String two = WritePlanFiles.choicesCsv(plan).split("\n")[3].split(",", 11)[10];
        assertEquals(
                "\"1 of 2 levels need up to 20.00 MHz, the clock gives 12.00 MHz; beam of 80.0 nm, at most 60.0 nm wanted\"",
                two);
    }

    @Test
    void optionsAreEchoed() throws IOException {
        JsonNode options = json(plan(settings().featureUm(0.1).build())).get("options");
        holds(options, """
                base_dose_uc_per_cm2=200 clock_mhz=12 field_um=100 settle_per_piece_us=1000 settle_per_field_s=0.25
                stage_move_s=0.5 loading_s=600 slot_s=700 feature_um=0.1 largest_beam_nm=60""");
        assertEquals(2, options.get("beam").size());
        holds(options.at("/beam/1"), "current_na=4 beam_nm=80");
    }

    @Test
    void whatIsNotKnownIsNullOrEmpty() throws IOException {
        WritePlan plan = plan(WriterSettings.builder(200).build());
        JsonNode json = json(plan);
        for (String key : List.of("fields", "beam_nm", "highest_current_na", "slot_s", "slot_left_s")) {
            assertTrue(json.path(key).isNull(), key);
        }
        assertFalse(json.has("copies_in_slot"));
        for (String key : List.of("clock_mhz", "field_um", "slot_s", "feature_um", "largest_beam_nm")) {
            assertTrue(json.get("options").path(key).isNull(), key);
        }
        assertFalse(json.get("options").has("beam"));
        String[] row = WritePlanFiles.choicesCsv(plan).split("\n")[1].split(",", -1);
        assertEquals("", row[2]);
        assertEquals("", row[5]);
        assertEquals(1, WritePlanFiles.cutsCsv(plan).split("\n").length);
    }

    @Test
    void cutsHaveTheirPlace() {
        String[] lines = WritePlanFiles.cutsCsv(plan(settings().build())).split("\n");
        assertEquals(2, lines.length);
        assertEquals("0,x,105.250000,20.000000,70.000000,105.250000,45.000000,50.000000", lines[1]);
        // A wide field border that lies level: extent 20 x 150, border at y = 75.
        WritePlan tall = WritePlanner.plan(
                new TestDoses().rectangle(0, 30, 0, 50, 150, 1, 0).build(),
                settings().build(),
                new double[] {1},
                new double[] {10});
        assertEquals(
                "0,y,75.000000,30.000000,50.000000,40.000000,75.000000,20.000000",
                WritePlanFiles.cutsCsv(tall).split("\n")[1]);
    }

    /** 250 nm x 130 nm at a step of 100 nm: one row of three points, 0.03 um^2 for 0.0325. */
    @Test
    void whatWholeStepsDoIsListed() throws IOException {
        TestDoses doses = new TestDoses();
        for (int shape = 0; shape < 3; shape++) {
            doses.rectangle(shape, 10, 20, 10.25, 20.13, 1.5, 0);
        }
        doses.rectangle(3, 30, 40, 30.2, 40.09, 1.5, 0); // thinner than a step: 0.02 um^2 for 0.018
        WritePlan plan = WritePlanner.plan(
                doses.build(), WriterSettings.builder(200).build(), new double[] {1}, new double[] {100});
        double points = 3 * 3 + 2;
        double area = 3 * 0.0325 + 0.018;
        double small = 0.03 / 0.0325 - 1;
        double large = 0.02 / 0.018 - 1;
        double rms = Math.sqrt((3 * 0.0325 * small * small + 0.018 * large * large) / area);
        double charge = points * 0.01 / area - 1;
        JsonNode filling = json(plan).at("/filling/0");
        assertEquals(100 * rms, filling.get("rms_dose_error_percent").asDouble(), 1e-9);
        assertEquals(100 * charge, filling.get("charge_error_percent").asDouble(), 1e-9);
        holds(
                filling,
                "step_nm=100 points=11 area_share_off_by_over_1_percent=1 area_share_off_by_over_5_percent=1 pieces_thinner_than_a_step=1");
        String[] row = WritePlanFiles.fillingCsv(plan).split("\n")[1].split(",");
        assertEquals(11, Integer.parseInt(row[1]));
        assertEquals(100 * charge, Double.parseDouble(row[2]), 1e-5);
        assertEquals(100 * rms, Double.parseDouble(row[3]), 1e-5);
        String[] lines = WritePlanFiles.piecesCsv(plan).split("\n");
        assertEquals("100,3,30.100000,40.045000,200,90,1,2,11.1111", lines[1]);
        // Equal errors in the order of the table.
        for (int k = 0; k < 3; k++) {
            assertEquals("100," + k + ",10.125000,20.065000,250,130,1,3,-7.69231", lines[2 + k]);
        }
    }

    @Test
    void plansAreEqualByWhatTheyHold() {
        WritePlan plan = plan(settings().build());
        WritePlan again = plan(settings().build());
        assertEquals(plan, again);
        assertEquals(plan.hashCode(), again.hashCode());
        assertNotEquals(plan, plan(settings().copies(1).build()));
        assertNotEquals(plan.hashCode(), plan(settings().copies(1).build()).hashCode());
        assertNotEquals(plan, (Object) "a plan");
    }

    private static List<String[]> rows(String csv) {
        return csv.lines().map(line -> line.split(",")).toList();
    }

    /** Compares the first cells with numbers; NaN stands for a cell that is none. */
    private static void assertNumbers(String[] row, double... expected) {
        for (int k = 0; k < expected.length; k++) {
            if (!Double.isNaN(expected[k])) {
                assertEquals(expected[k], Double.parseDouble(row[k]), 1e-5 * Math.abs(expected[k]), "cell " + k);
            }
        }
    }
}
