package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What the summary tells, key by key, and that a run comes back from it. */
class RunSummaryTest {
    @TempDir
    private Path folder;

    private static RunSummary of(DoseTable table) {
        return new RunSummary(
                table,
                "chip.gds",
                List.of("A", "B"),
                Optional.of(new double[] {0, 1, 2, 3}),
                "1.2",
                "measured",
                Map.of("cutting", 1.23449),
                Map.of("good", true));
    }

    private static JsonNode json(DoseTable table) throws IOException {
        return new JsonMapper().readTree(of(table).toJson());
    }

    private static HandMadeDoses doses() {
        HandMadeDoses doses = HandMadeDoses.squares(3);
        doses.options = doses.options.toBuilder()
                .allowedEdgeError(0.02)
                .baseDoseUcPerCm2(250)
                .maxFactor(9)
                .build();
        return doses;
    }

    @Test
    void countsAndResiduals() throws IOException {
        HandMadeDoses doses = doses();
        doses.factor = new double[] {0.5, 1, 2};
        doses.level = new int[] {0, 1, 1};
        doses.status[2] = DoseStatus.BACKGROUND;
        JsonNode root = json(doses.build());
        assertEquals("verdict", root.fieldNames().next());
        assertEquals(
                "evendose 1.2",
                root.get("program").asText() + " " + root.get("version").asText());
        assertEquals("[\"A\",\"B\"]", root.get("cells").toString());
        assertEquals("[0.0,1.0,2.0,3.0]", root.get("window_um").toString());
        assertEquals(3, root.get("pieces").asInt());
        assertEquals(3, root.get("area_um2").asDouble(), 1e-12);
        assertEquals(3.5, root.get("dosed_area_um2").asDouble(), 1e-12);
        assertEquals(2, root.get("levels").asInt());
        assertEquals(2, root.get("pieces_by_status").get("ok").asInt());
        assertEquals(1, root.get("pieces_by_status").get("background-alone").asInt());
        assertEquals("[0.5,0.01,0.001,1.0E-4]", root.get("residual_history").toString());
        assertEquals(1.234, root.get("seconds_by_stage").get("cutting").asDouble(), 0);
        JsonNode options = root.get("options");
        assertEquals(2, options.get("allowed_edge_percent").asDouble(), 1e-12);
        assertEquals(250, options.get("base_dose_uc_per_cm2").asDouble());
        for (String absent : List.of("levels", "bias_nm", "loading", "fogging_percent")) {
            assertFalse(options.has(absent), absent);
        }
        assertFalse(root.has("edge_error") || root.has("level_cost"));
        assertTrue(root.get("caution").asText().contains("never replace a dose test"));
    }

    @Test
    void whatIsThereOnlySometimes() throws IOException {
        HandMadeDoses doses = doses();
        doses.outline = new OutlineError(1, 0.1, 0.2, 0.3, List.of(new OutlineError.Place(4, 5, -0.3)));
        doses.levelCost = Optional.of(new LevelTrial(LevelRule.geometric(3), 3, 0.5, 0.4, 0.3, 0.2, 7, 6));
        JsonNode root = json(doses.build());
        assertEquals(
                "{\"points\":1,\"rms\":0.1,\"p95\":0.2,\"max\":0.3,\"places\":[{\"x_um\":4.0,\"y_um\":5.0,\"error\":-0.3}]}",
                root.get("edge_error").toString());
        assertEquals(
                "{\"added_max_error\":0.3,\"added_rms_error\":0.2,\"added_max_width_nm\":7.0,\"added_rms_width_nm\":6.0}",
                root.get("level_cost").toString());
    }

    /** Two Gaussians, the far one with fogging on one grid: each choice names the ranges of its terms. */
    @Test
    void evaluatorsNameTheirRanges() throws IOException {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 1, 1);
        DoseTable table = Corrections.correct(
                polygons,
                CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                        .longRange(new LongRange(Optional.of(new Fogging(5, 1)), Optional.empty()))
                        .build());
        List<Double> ranges = new ArrayList<>();
        for (JsonNode choice : json(table).get("evaluators")) {
            choice.get("ranges_um").forEach(r -> ranges.add(r.asDouble()));
            assertFalse(choice.get("table").asBoolean());
            assertTrue(List.of("near", "far").contains(choice.get("evaluator").asText()), choice.toString());
        }
        assertEquals(List.of(0.02, 9.5, 1000.0), ranges);
    }

    private RecordedRun read(DoseTable table) throws IOException {
        return RecordedRun.read(
                Files.writeString(folder.resolve("summary.json"), of(table).toJson()));
    }

    @Test
    void allOptionsComeBack() throws IOException {
        HandMadeDoses doses = doses();
        doses.roles = List.of(LayerRole.corrected(new Layer(1, 2), 0.8), LayerRole.fixed(new Layer(3, 4), 1.5));
        CorrectionOptions usual = doses.options;
        LongRange far =
                new LongRange(Optional.of(new Fogging(5, 10)), Optional.of(DevelopmentLoading.linear(10, 100, 0.5)));
        for (CorrectionOptions options : List.of(
                usual,
                usual.toBuilder()
                        .criterion(Criterion.MEAN)
                        .referenceDensity(0.3)
                        .build(),
                usual.toBuilder().levels(LevelRule.optimal(12)).build(),
                usual.toBuilder().levels(LevelRule.geometric(13)).build(),
                usual.toBuilder().levels(LevelRule.step(2.5)).build(),
                usual.toBuilder().biasUm(-0.0125).oneDosePerShape(true).build(),
                usual.toBuilder().longRange(far).maxIterations(9).build())) {
            doses.options = options;
            RecordedRun run = read(doses.build());
            assertEquals(options, run.options());
            assertEquals(doses.roles, run.roles());
            assertEquals("measured", run.psfSource());
            assertEquals(List.of("A", "B"), run.cells());
        }
    }

    @Test
    void aSourceThatIsNotKnownIsEmpty() throws IOException {
        RunSummary unknown = new RunSummary(
                doses().build(), "chip.gds", List.of("A"), Optional.empty(), "1.2", "", Map.of(), Map.of());
        RecordedRun run = RecordedRun.read(Files.writeString(folder.resolve("a.json"), unknown.toJson()));
        assertEquals("", run.psfSource());
        assertTrue(run.windowUm().isEmpty());
    }

    @Test
    void spacingsThatAreNoneAreRefused() throws IOException {
        HandMadeDoses doses = doses();
        doses.options = doses.options.toBuilder().levels(LevelRule.optimal(12)).build();
        Path file = Files.writeString(
                folder.resolve("summary.json"), of(doses.build()).toJson().replace("\"optimal\"", "\"even\""));
        String message = assertThrows(BadInputException.class, () -> RecordedRun.read(file))
                .getMessage();
        assertTrue(message.endsWith("is optimal, geometric or step"), message);
    }

    @Test
    void arraysCompareByWhatTheyHold() throws IOException {
        DoseTable table = doses().build();
        RunSummary one = of(table);
        assertEquals(one, of(table));
        assertEquals(one.hashCode(), of(table).hashCode());
        assertNotEquals(0, one.hashCode());
        assertNotEquals(one, of(doses().build()), "another table");
        assertNotEquals(one, new Object());
        RecordedRun run = read(table);
        assertEquals(run, read(table));
        assertEquals(run.hashCode(), read(table).hashCode());
        assertNotEquals(0, run.hashCode());
        assertNotEquals(run, new Object());
        HandMadeDoses other = doses();
        other.convergence = new Convergence(true, 3, 0.5, 1e-4, 5e-5, 0, new double[] {0.4});
        assertNotEquals(run, read(other.build()));
    }
}
