package evendose.correction;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.energy.TermChoice;
import evendose.psf.PsfFile;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * What a run did, for scripts: counts, convergence, and the options and point spread function needed to repeat it.
 *
 * @param table the result
 * @param layout the layout's name as the user gave it
 * @param cells the cells that were corrected
 * @param windowUm left, lower, right and upper side of the window that the table is limited to, um, not to be changed; empty for all
 * @param version version of the program
 * @param psfSource where the point spread function comes from; may be empty
 * @param secondsByStage time of each stage, s
 * @param verdict what will come out as drawn, as plain values by name; stands first in the file
 */
public record RunSummary(
        DoseTable table,
        String layout,
        List<String> cells,
        Optional<double[]> windowUm,
        String version,
        String psfSource,
        Map<String, Double> secondsByStage,
        Map<String, Object> verdict) {

    private static final JsonMapper MAPPER = new JsonMapper();

    /** {@return what the run was about} */
    public RunFacts facts() {
        return new RunFacts(layout, cells, windowUm, version, psfSource, secondsByStage);
    }

    /** {@return the text of {@code summary.json}} */
    public String toJson() {
        CorrectionOptions options = table.options();
        Convergence convergence = table.convergence();
        ObjectNode root = MAPPER.createObjectNode();
        root.set("verdict", MAPPER.valueToTree(verdict));
        root.put("program", "evendose").put("version", version);
        root.put("layout", layout);
        ArrayNode cellNames = root.putArray("cells");
        cells.forEach(cellNames::add);
        putWindow(root, windowUm);
        root.put("pieces", table.pieces().size());
        root.put("units", table.counts().units());
        root.put("pieces_cut", table.counts().pieces());
        root.put("thin_pieces", table.pieces().thinner(options.rules().smallestUm()));
        root.put("shapes", table.pieces().shapes());
        root.put("area_um2", table.areaUm2());
        root.put("dosed_area_um2", table.dosedAreaUm2());
        root.put("iterations", convergence.iterations());
        root.put("converged", convergence.converged());
        root.put("max_residual", convergence.maxResidual());
        root.put("rms_residual", convergence.rmsResidual());
        root.put("held_max_residual", convergence.heldMaxResidual());
        root.put("uncorrected_max_residual", convergence.uncorrectedMaxResidual());
        putOutlineError(root, table.outlineError());
        ArrayNode history = root.putArray("residual_history");
        for (double r : convergence.history()) {
            history.add(r);
        }
        root.put("min_factor", table.minFactor());
        root.put("max_factor", table.maxFactor());
        ObjectNode statuses = root.putObject("pieces_by_status");
        for (DoseStatus status : DoseStatus.values()) {
            statuses.put(status.word(), table.pieces(status));
        }
        root.put("levels", table.levelsUsed());
        table.levelCost().ifPresent(cost -> {
            ObjectNode node = root.putObject("level_cost");
            node.put("added_max_error", cost.max()).put("added_rms_error", cost.rms());
            node.put("added_max_width_nm", cost.maxWidthNm()).put("added_rms_width_nm", cost.rmsWidthNm());
        });
        putOptions(root.putObject("options"), options, table.roles());
        root.set("psf", psf(options, psfSource));
        ArrayNode evaluators = root.putArray("evaluators");
        for (TermChoice choice : table.evaluators()) {
            ObjectNode node = evaluators.addObject();
            ArrayNode ranges = node.putArray("ranges_um");
            options.longRange().with(options.psf()).terms().stream()
                    .skip(choice.terms().first())
                    .limit(choice.terms().end() - choice.terms().first())
                    .forEach(t -> ranges.add(t.rangeUm()));
            node.put(
                            "table",
                            choice.terms().end()
                                    > options.longRange()
                                            .with(options.psf())
                                            .terms()
                                            .size())
                    .put("evaluator", choice.terms().evaluator().name().toLowerCase(java.util.Locale.ROOT))
                    .put("grid_columns", choice.columns())
                    .put("grid_rows", choice.rows())
                    .put("matrix_entries", choice.entries())
                    .put("bytes", choice.bytes());
        }
        return text(root, secondsByStage);
    }

    static void putWindow(ObjectNode root, Optional<double[]> windowUm) {
        windowUm.ifPresent(w -> {
            ArrayNode sides = root.putArray("window_um");
            for (double side : w) {
                sides.add(side);
            }
        });
    }

    /** A summary as text, with what stands last in any. */
    static String text(ObjectNode root, Map<String, Double> secondsByStage) {
        ObjectNode seconds = root.putObject("seconds_by_stage");
        secondsByStage.forEach((stage, s) -> seconds.put(stage, Math.round(s * 1e3) / 1e3));
        root.put("caution", "Computed doses never replace a dose test on your own tool and process.");
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    /** The point spread function as its file has it. */
    static JsonNode psf(CorrectionOptions options, String source) {
        return parsed(
                PsfFile.of(options.psf(), OptionalDouble.empty(), "", source).toJson());
    }

    private static JsonNode parsed(String json) {
        try {
            return MAPPER.readTree(json);
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("what was written here can be read", e);
        }
    }

    /** How far energies along the outline are off, if that was measured. */
    static void putOutlineError(ObjectNode root, OutlineError outline) {
        if (outline.points() > 0) {
            ObjectNode node = root.putObject("edge_error");
            node.put("points", outline.points()).put("rms", outline.rms());
            node.put("p95", outline.p95()).put("max", outline.max());
            ArrayNode places = node.putArray("places");
            for (OutlineError.Place place : outline.places()) {
                places.addObject()
                        .put("x_um", place.xUm())
                        .put("y_um", place.yUm())
                        .put("error", place.off());
            }
        }
    }

    /** What repeats a run, but for the point spread function. */
    static void putOptions(ObjectNode node, CorrectionOptions options, List<LayerRole> roles) {
        node.put("criterion", options.criterion().name().toLowerCase(java.util.Locale.ROOT));
        node.put("reference_density", options.referenceDensity());
        node.put("max_piece_um", options.maxPieceUm());
        node.put("allowed_edge_percent", 100 * options.allowedEdgeError());
        node.put("outline_tolerance_nm", 1e3 * options.rules().outlineToleranceUm());
        node.put("grid_nm", 1e3 * options.rules().gridUm());
        node.put("smallest_piece_nm", 1e3 * options.rules().smallestUm());
        node.put("tolerance", options.tolerance());
        node.put("max_iterations", options.maxIterations());
        node.put("min_factor", options.minFactor());
        node.put("max_factor", options.maxFactor());
        options.levels().ifPresent(rule -> {
            ObjectNode levels = node.putObject("levels");
            levels.put("spacing", rule.spacing().name().toLowerCase(java.util.Locale.ROOT));
            if (rule.spacing() == LevelRule.Spacing.STEP) {
                levels.put("step_percent", rule.stepPercent());
            } else {
                levels.put("count", rule.count());
            }
        });
        if (options.biasUm() != 0) {
            node.put("bias_nm", 1e3 * options.biasUm());
        }
        if (!options.moves().isEmpty()) {
            node.put("moved_edges_file", EdgeMoves.FILE);
        }
        node.put("one_dose_per_shape", options.oneDosePerShape());
        options.longRange().put(node);
        options.baseDoseUcPerCm2().ifPresent(q -> node.put("base_dose_uc_per_cm2", q));
        ArrayNode layers = node.putArray("layers");
        for (LayerRole role : roles) {
            ObjectNode layer = layers.addObject()
                    .put("layer", role.layer().number())
                    .put("datatype", role.layer().datatype());
            if (role.fixedDose().isPresent()) {
                layer.put("fixed_dose_factor", role.fixedDose().getAsDouble());
            } else {
                layer.put("target", role.target());
            }
        }
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {table, layout, cells, windowUm.orElse(null), version, psfSource, secondsByStage, verdict};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof RunSummary o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
