package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.correction.ComplementExposure;
import evendose.correction.DoseTable;
import evendose.correction.EqualisingSpot;
import evendose.psf.GaussianTerm;
import evendose.verification.BackgroundComparison;
import evendose.verification.EdgeQuality;
import evendose.verification.Spread;
import evendose.writing.ExposureArithmetic;
import java.util.Locale;
import java.util.OptionalDouble;

/**
 * The exposure of a complement and what it does, for scripts.
 *
 * @param complement pattern and complement
 * @param table the same pattern with a dose for every piece
 * @param comparison what either does to edges
 * @param allowedNm how far an edge may be off in the dose window, nm
 */
public record EqualisationFile(
        ComplementExposure complement, DoseTable table, BackgroundComparison comparison, double allowedNm) {
    private static final JsonMapper MAPPER = new JsonMapper();

    /** {@return area times dose factor of pattern and complement, um^2} */
    public double dosedAreaUm2() {
        return complement.patternAreaUm2() * complement.patternFactor()
                + complement.complementAreaUm2() * complement.complementFactor();
    }

    /** {@return area times dose factor if all pieces have the same, um^2} */
    public double singleDosedAreaUm2() {
        return complement.patternAreaUm2() * comparison.singleFactor();
    }

    /**
     * {@return the text of {@code equalise.json}: lengths um and nm, areas um^2, energies relative to the threshold, slopes relative to the
     * energy, dose windows as half their width over their middle}
     *
     * @param layout name of the layout as the user gave it
     * @param version version of the program
     * @param psfSource where the point spread function comes from
     */
    public String json(String layout, String version, String psfSource) {
        ObjectNode root = MAPPER.createObjectNode();
        root.put("program", "evendose").put("version", version).put("layout", layout);
        ArrayNode layers = root.putArray("layers");
        table.roles().forEach(role -> layers.add(role.layer().toString()));
        root.put("complement_layer", complement.complementLayer().toString());
        ArrayNode frame = root.putArray("frame_um");
        for (double side : complement.frameUm()) {
            frame.add(side);
        }
        EqualisingSpot spot = complement.spot();
        root.putObject("spot")
                .put("origin", spot.origin().name().toLowerCase(Locale.ROOT))
                .put("range_um", spot.rangeUm())
                .put("diameter_um", 2 * spot.rangeUm())
                .put("fwhm_um", spot.fwhmUm())
                .put(
                        "published_range_um",
                        EqualisingSpot.publishedUm(table.options().psf()))
                .put("background_off", spot.unevenness());
        root.put("complement_over_pattern_dose", spot.dose());
        OptionalDouble base = table.options().baseDoseUcPerCm2();
        exposed(root.putObject("pattern"), complement.patternAreaUm2(), complement.patternFactor(), base);
        exposed(root.putObject("complement"), complement.complementAreaUm2(), complement.complementFactor(), base)
                .put("pieces", complement.complement().size());
        ObjectNode comparing = root.putObject("comparison");
        comparing.put("places", comparison.places()).put("allowed_edge_nm", allowedNm);
        way(comparing.putObject("single_dose"), singleDosedAreaUm2(), comparison.single(), base)
                .put("dose_factor", comparison.singleFactor());
        way(comparing.putObject("dose_correction"), table.dosedAreaUm2(), comparison.corrected(), base)
                .put("min_factor", table.minFactor())
                .put("max_factor", table.maxFactor())
                .put("converged", table.convergence().converged());
        way(comparing.putObject("equalised"), dosedAreaUm2(), comparison.equalised(), base);
        ObjectNode psf = root.putObject("psf");
        ArrayNode terms = psf.putArray("terms");
        for (GaussianTerm term : table.options().psf().terms()) {
            terms.addObject().put("weight", term.weight()).put("range_um", term.rangeUm());
        }
        psf.put("source", psfSource);
        root.put("caution", "Computed doses never replace a dose test on your own tool and process.");
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    private static ObjectNode exposed(ObjectNode node, double areaUm2, double factor, OptionalDouble base) {
        node.put("area_um2", areaUm2).put("dose_factor", factor);
        base.ifPresent(q -> node.put("dose_uc_per_cm2", factor * q));
        return node;
    }

    private static ObjectNode way(ObjectNode node, double dosedAreaUm2, EdgeQuality quality, OptionalDouble base) {
        spread(node.putObject("edge_energy"), quality.energyError());
        spread(node.putObject("edge_placement_nm"), quality.placementNm());
        node.put("lost", quality.lost());
        node.put("edge_slope_per_um", quality.slopePerUm());
        node.put("edge_slope_95_percent_reach_per_um", quality.leastSlopePerUm());
        node.put("dose_window", quality.doseWindow());
        node.put("dosed_area_um2", dosedAreaUm2);
        base.ifPresent(q -> node.put("charge_uc", ExposureArithmetic.chargeUc(q, dosedAreaUm2)));
        return node;
    }

    private static void spread(ObjectNode node, Spread s) {
        node.put("mean", s.mean()).put("rms", s.rms()).put("p95", s.p95()).put("max", s.max());
    }
}
