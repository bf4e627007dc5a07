package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.correction.BeamSeam;
import evendose.correction.DoseTable;
import evendose.correction.TwoBeamCorrection;
import evendose.psf.PsfFile;
import evendose.verification.SeamCheck;
import java.util.OptionalDouble;

/**
 * What a run with two beams adds to that of the fine one: the coarse exposure, and how both meet.
 *
 * @param both the doses, as they are written
 * @param seam how even the seam is
 * @param bulkSource where the coarse beam's point spread function comes from; may be empty
 */
public record TwoBeamRun(TwoBeamCorrection both, SeamCheck seam, String bulkSource) {
    private static final JsonMapper MAPPER = new JsonMapper();

    /**
     * {@return the text of {@code summary.json} with {@code two_beams} at its end}
     *
     * @param fineSummary the text for the fine exposure, with the verdict on both
     */
    public String addedTo(String fineSummary) {
        try {
            ObjectNode root = (ObjectNode) MAPPER.readTree(fineSummary);
            ObjectNode node = root.putObject("two_beams");
            BeamSeam plan = both.seam();
            DoseTable bulk = both.bulk();
            node.put("rim_um", plan.rimUm());
            node.put("sensible_rim_um", plan.sensibleRimUm());
            node.put("bulk_pieces", bulk.pieces().size());
            node.put("bulk_units", bulk.counts().units());
            node.put("bulk_shapes", bulk.pieces().shapes());
            node.put("bulk_area_um2", bulk.areaUm2());
            node.put("bulk_dosed_area_um2", bulk.dosedAreaUm2());
            node.put("bulk_min_factor", bulk.minFactor());
            node.put("bulk_max_factor", bulk.maxFactor());
            node.put("bulk_max_residual", bulk.convergence().maxResidual());
            node.set("bulk_psf", (JsonNode)
                    MAPPER.readTree(PsfFile.of(bulk.options().psf(), OptionalDouble.empty(), "", bulkSource)
                            .toJson()));
            ObjectNode at = node.putObject("seam");
            ArrayNode edges = at.putArray("step_edges_um");
            for (double e : plan.edgesUm()) {
                edges.add(e);
            }
            ArrayNode shares = at.putArray("step_shares");
            for (double s : plan.shares()) {
                shares.add(s);
            }
            at.put("overlap_um", plan.overlapUm());
            at.put("planned_deviation_percent", 100 * plan.deviation());
            at.put("places", seam.places());
            place(at, "deviation_percent", 100 * seam.offBy(), seam.offXUm(), seam.offYUm());
            place(at, "lowest_over_clearing", seam.lowest(), seam.lowestXUm(), seam.lowestYUm());
            at.put("overlay_error_nm", 1e3 * seam.shiftUm());
            place(at, "overlay_change_percent_of_clearing", 100 * seam.shifted(), seam.shiftedXUm(), seam.shiftedYUm());
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("what was written here can be read", e);
        }
    }

    /** A value and where it was found; what was looked for nowhere is null. */
    private static void place(ObjectNode node, String name, double value, double xUm, double yUm) {
        if (Double.isNaN(xUm)) {
            node.putNull(name);
            return;
        }
        node.put(name, value);
        node.putArray(name + "_at_um").add(xUm).add(yUm);
    }
}
