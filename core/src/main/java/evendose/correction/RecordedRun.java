package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.JsonInput;
import evendose.layout.Layer;
import evendose.pieces.PieceRules;
import evendose.psf.PsfFile;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * What {@code summary.json} tells about a run: enough to repeat it or to check it.
 *
 * @param options the options, the point spread function among them
 * @param roles the layers and what each does
 * @param cells the cells that were corrected
 * @param windowUm left, lower, right and upper side of the window that doses were written for, um, not to be changed; empty for all
 * @param psfSource where the point spread function comes from; may be empty
 * @param residualHistory largest residual before the first update and after each; not to be changed
 */
public record RecordedRun(
        CorrectionOptions options,
        List<LayerRole> roles,
        List<String> cells,
        Optional<double[]> windowUm,
        String psfSource,
        double[] residualHistory) {
    /** The file's usual name. */
    public static final String FILE = "summary.json";

    /**
     * Reads the file.
     *
     * @param file a {@code summary.json}
     * @return what the file tells
     * @throws BadInputException naming file and place if it cannot be read or a value is missing or out of range
     */
    public static RecordedRun read(Path file) {
        JsonInput root = JsonInput.read(file);
        JsonInput o = root.get("options");
        try {
            PsfFile psf = PsfFile.from(root.get("psf"));
            CorrectionOptions.Builder builder = CorrectionOptions.builder(psf.psf())
                    .criterion("mean".equals(o.get("criterion").text()) ? Criterion.MEAN : Criterion.EDGE)
                    .referenceDensity(o.get("reference_density").number())
                    .maxPieceUm(o.get("max_piece_um").positive())
                    .tolerance(o.get("tolerance").positive())
                    .maxIterations((int) o.get("max_iterations").positive())
                    .minFactor(o.get("min_factor").positive())
                    .maxFactor(o.get("max_factor").positive())
                    .oneDosePerShape(o.get("one_dose_per_shape").truth())
                    .rules(new PieceRules(
                            1e-3 * o.get("outline_tolerance_nm").number(),
                            1e-3 * o.get("grid_nm").number(),
                            1e-3 * o.get("smallest_piece_nm").number()));
            if (o.has("levels")) {
                builder.levels(levelRule(o.get("levels")));
            }
            if (o.has("allowed_edge_percent")) {
                builder.allowedEdgeError(0.01 * o.get("allowed_edge_percent").positive());
            }
            if (o.has("bias_nm")) {
                builder.biasUm(1e-3 * o.get("bias_nm").number());
            }
            if (o.has("moved_edges_file")) {
                builder.moves(EdgeMoves.read(
                        file.resolveSibling(o.get("moved_edges_file").text())));
            }
            if (o.has("base_dose_uc_per_cm2")) {
                builder.baseDoseUcPerCm2(o.get("base_dose_uc_per_cm2").positive());
            }
            builder.longRange(LongRange.from(o));
            List<LayerRole> roles = new ArrayList<>();
            for (JsonInput layer : o.get("layers").elements()) {
                roles.add(role(layer));
            }
            List<String> cells = new ArrayList<>();
            for (JsonInput cell : root.get("cells").elements()) {
                cells.add(cell.text());
            }
            double[] history = root.has("residual_history") ? numbers(root.get("residual_history")) : new double[0];
            return new RecordedRun(
                    builder.build(),
                    List.copyOf(roles),
                    List.copyOf(cells),
                    root.has("window_um") ? Optional.of(numbers(root.get("window_um"))) : Optional.empty(),
                    psf.source(),
                    history);
        } catch (IllegalArgumentException e) {
            throw new BadInputException(file.toString(), "options", e.getMessage(), e);
        }
    }

    private static LevelRule levelRule(JsonInput levels) {
        return switch (levels.get("spacing").text()) {
            case "optimal" -> LevelRule.optimal((int) levels.get("count").positive());
            case "geometric" -> LevelRule.geometric((int) levels.get("count").positive());
            case "step" -> LevelRule.step(levels.get("step_percent").positive());
            default -> throw levels.get("spacing").error("is optimal, geometric or step");
        };
    }

    private static double[] numbers(JsonInput list) {
        return list.elements().stream().mapToDouble(JsonInput::number).toArray();
    }

    private static LayerRole role(JsonInput layer) {
        Layer which = new Layer(
                (int) layer.get("layer").number(), (int) layer.get("datatype").number());
        return layer.has("fixed_dose_factor")
                ? LayerRole.fixed(which, layer.get("fixed_dose_factor").positive())
                : LayerRole.corrected(which, layer.get("target").positive());
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {options, roles, cells, windowUm.orElse(null), psfSource, residualHistory};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof RecordedRun o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
