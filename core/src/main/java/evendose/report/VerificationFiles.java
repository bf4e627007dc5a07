package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.BadInputException;
import evendose.files.CsvText;
import evendose.files.OutputFolder;
import evendose.verification.ErrorBar;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.Sensitivity;
import evendose.verification.Spread;
import evendose.verification.TroubleSpot;
import evendose.verification.Uncertainty;
import evendose.verification.Verification;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;

/** What a verification found, as files: JSON and tables for scripts, plots for people. */
public final class VerificationFiles {
    private static final int NEXT_READINGS = 10;

    /** Name of the file that is always written. */
    public static final String JSON = "verification.json";

    private static final String WIDTHS = "widths.csv";
    private static final String WORST = "worst.csv";
    private static final String SENSITIVITY = "sensitivity.csv";
    private static final int MAP_PIXELS = 1200;
    private static final JsonMapper MAPPER = new JsonMapper();

    private VerificationFiles() {}

    /**
     * Writes all files. Plots for which there is nothing to show (no width measured, no recorded convergence) are left out.
     *
     * @param v what was found
     * @param exposure the doses and what they expose
     * @param residualHistory largest residual before the first dose update and after each; may be empty
     * @param output where to write
     * @throws BadInputException if a file cannot be written
     */
    public static void write(Verification v, Exposure exposure, double[] residualHistory, OutputFolder output) {
        DrawingLibraries.require();
        output.write(JSON, json(v));
        output.write(WIDTHS, widths(v));
        output.write(WORST, worst(v));
        output.write(SENSITIVITY, sensitivity(v));
        List<Picture> pictures = new ArrayList<>();
        pictures.add(DoseMap.of(exposure, MAP_PIXELS));
        pictures.add(Charts.histogram(DoseHistogram.of(exposure.pieces(), exposure.factors())));
        if (residualHistory.length > 0) {
            pictures.add(Charts.convergence(residualHistory, exposure.options().tolerance()));
        }
        if (!v.widths().isEmpty()) {
            pictures.add(
                    Charts.cut(exposure, mostTelling(v.widths()).gauge(), exposure.exact(false), exposure.exact(true)));
            pictures.add(Charts.widthErrors(v.widths()));
            pictures.add(Charts.sensitivity(v.sensitivity()));
        }
        pictures.forEach(picture -> picture.write(output));
    }

    /** The line to show: of those with a neighbour near by, or of all if there is none, the one with the largest relative error before. */
    static LineWidth mostTelling(List<LineWidth> widths) {
        List<LineWidth> beside = widths.stream()
                .filter(w -> w.gauge().gapUm() < 1.6 * w.gauge().drawnUm())
                .toList();
        return (beside.isEmpty() ? widths : beside)
                .stream()
                        .max(Comparator.comparingDouble(w -> Double.isFinite(w.uncorrectedUm())
                                ? Math.abs(w.uncorrectedErrorNm()) / w.gauge().drawnUm()
                                : 0))
                        .orElseThrow();
    }

    /**
     * The result as JSON. Areas are um^2, coordinates um, placements and widths nm; energy errors are relative to the threshold;
     * intervals reach {@code half_width_95_nm} either way; of each spread, {@code mean} has its sign, {@code p95} and {@code max} are magnitudes.
     *
     * @param v what was found
     * @return the JSON text
     */
    public static String json(Verification v) {
        ObjectNode root = MAPPER.createObjectNode();
        root.set("verdict", MAPPER.valueToTree(v.verdict().facts()));
        root.put("holds", v.holds());
        root.put("layout_area_um2", v.areas().layoutUm2());
        root.put("table_area_um2", v.areas().tableUm2());
        root.put("area_error_um2", v.areas().errorUm2());
        root.put("missing_um2", v.areas().missingUm2());
        root.put("excess_um2", v.areas().excessUm2());
        root.put("overlap_um2", v.areas().overlapUm2());
        root.put("outline_tolerance_nm", 1e3 * v.areas().toleranceUm());
        root.put("area_within_tolerance_um2", v.areas().strayedUm2());
        root.put("missing_shapes", v.areas().missingShapes());
        root.put("doses_judged", v.doses().judged());
        root.put("doses_judged_by_closed_forms", v.doses().exact());
        root.put("energy_bias", v.energyBias());
        root.put("doses_wrong", v.doses().wrong());
        root.put("dose_error_max", v.doses().largest());
        root.put("dose_error_rms", v.doses().rms());
        root.put("dose_tolerance", v.doses().tolerance());
        root.put("units_with_several_doses", v.splitUnits());
        ArrayNode contradictions = root.putArray("contradictions");
        v.contradictions().forEach(contradictions::add);
        root.put("threshold", v.threshold());
        root.put("places", v.places());
        root.put("places_near_corners", v.nearCorners());
        ObjectNode energy = root.putObject("edge_energy");
        spread(energy.putObject("before"), v.energyBefore());
        spread(energy.putObject("after"), v.energyAfter());
        ObjectNode placement = root.putObject("edge_placement_nm");
        spread(placement.putObject("before"), v.placementBefore()).put("without_edge", v.lostBefore());
        spread(placement.putObject("after"), v.placementAfter()).put("without_edge", v.lostAfter());
        ArrayNode widths = root.putArray("widths");
        for (int i = 0; i < v.widths().size(); i++) {
            LineWidth w = v.widths().get(i);
            ObjectNode node = widths.addObject();
            node.put("name", w.gauge().name());
            node.put("x_um", w.gauge().middleXUm());
            node.put("y_um", w.gauge().middleYUm());
            node.put("density", w.gauge().density());
            node.put("drawn_nm", 1e3 * w.gauge().drawnUm());
            number(node, "uncorrected_nm", 1e3 * w.uncorrectedUm());
            number(node, "corrected_nm", 1e3 * w.correctedUm());
            number(node, "contrast", w.contrast());
            number(node, "nm_per_percent_dose", w.nmPerPercent());
            number(node, "dose_down_percent", w.doseDownPercent());
            number(node, "dose_up_percent", w.doseUpPercent());
            int number = i;
            v.uncertainty().ifPresent(u -> bar(node, u.widths().get(number)));
        }
        v.uncertainty().ifPresent(u -> uncertainty(root.putObject("uncertainty"), u, v.widths()));
        ArrayNode sensitivity = root.putArray("sensitivity");
        for (Sensitivity.Effect e : v.sensitivity().effects()) {
            ObjectNode node = sensitivity.addObject();
            node.put("parameter", e.parameter()).put("percent", e.percent());
            spread(node.putObject("width_change_nm"), e.changes());
        }
        root.put("edges_scanned", v.edgesScanned());
        ArrayNode worst = root.putArray("worst");
        for (TroubleSpot spot : v.worst()) {
            worst.addObject()
                    .put("kind", spot.kind().word())
                    .put("x_um", spot.xUm())
                    .put("y_um", spot.yUm())
                    .put("size", spot.size())
                    .put("what", spot.what());
        }
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    /** An interval; {@code share}: what of its variance would go if that source were known exactly. */
    private static void bar(ObjectNode node, ErrorBar bar) {
        number(node, "calibrated_nm", bar.valueNm());
        number(node, "half_width_95_nm", bar.halfWidthNm());
        node.put("dominated_by", bar.dominatedBy());
        ArrayNode sources = node.putArray("sources");
        for (ErrorBar.Source s : bar.sources()) {
            sources.addObject()
                    .put("source", s.name())
                    .put("share", s.share())
                    .put("half_width_95_nm_if_known", bar.halfWidthWithoutNm(s));
        }
    }

    private static void uncertainty(ObjectNode node, Uncertainty u, List<LineWidth> widths) {
        node.put("written_uc_per_cm2", u.writtenUcPerCm2());
        node.put("base_dose_uc_per_cm2", u.process().baseDoseUcPerCm2());
        node.put("level_step_percent", u.levelStepPercent());
        ObjectNode errors = node.putObject("relative_standard_errors");
        u.process().names().forEach(name -> errors.put(name, u.process().relativeError(name)));
        ObjectNode edges = node.putObject("edge_placement");
        edges.put("places", u.edges().size());
        bar(edges.putObject("mean"), u.meanPlacement());
        spread(edges.putObject("calibrated_nm"), u.placements());
        spread(edges.putObject("half_width_95_nm"), u.edgeHalfWidths());
        u.worstEdge().ifPresent(e -> {
            ObjectNode worst = edges.putObject("worst");
            worst.put("x_um", e.xUm()).put("y_um", e.yUm());
            bar(worst, e.placement());
        });
        u.worstWidth().ifPresent(i -> {
            ObjectNode worst = node.putObject("worst_width");
            worst.put("name", widths.get(i).gauge().name());
            bar(worst, u.widths().get(i));
            worst.put("what_would_help", WhatHelps.most(u.widths().get(i)));
            ArrayNode readings = worst.putArray("next_readings");
            for (WhatHelps.Next next : WhatHelps.next(u.process(), u.widths().get(i), NEXT_READINGS)) {
                readings.addObject()
                        .put("figure", next.reading().label())
                        .put("from_uc_per_cm2", next.reading().fromUcPerCm2())
                        .put("to_uc_per_cm2", next.reading().toUcPerCm2())
                        .put("doses", next.reading().doses())
                        .put("charge_uc", next.reading().chargeUc())
                        .put("half_width_95_nm", next.halfWidthNm());
            }
        });
    }

    /** JSON has no word for what is not a number. */
    private static void number(ObjectNode node, String key, double value) {
        if (Double.isFinite(value)) {
            node.put(key, value);
        } else {
            node.putNull(key);
        }
    }

    private static ObjectNode spread(ObjectNode node, Spread s) {
        return node.put("count", s.count())
                .put("mean", s.mean())
                .put("rms", s.rms())
                .put("p95", s.p95())
                .put("max", s.max());
    }

    private static String widths(Verification v) {
        StringBuilder text = new StringBuilder("name,x_um,y_um,density,drawn_nm,uncorrected_nm,corrected_nm,contrast,"
                + "nm_per_percent_dose,dose_down_percent,dose_up_percent");
        text.append(v.uncertainty().isPresent() ? ",calibrated_nm,half_width_95_nm,dominated_by\n" : "\n");
        for (int i = 0; i < v.widths().size(); i++) {
            LineWidth w = v.widths().get(i);
            text.append(CsvText.quoted(w.gauge().name()));
            double[] values = {
                w.gauge().middleXUm(),
                w.gauge().middleYUm(),
                w.gauge().density(),
                1e3 * w.gauge().drawnUm(),
                1e3 * w.uncorrectedUm(),
                1e3 * w.correctedUm(),
                w.contrast(),
                w.nmPerPercent(),
                w.doseDownPercent(),
                w.doseUpPercent()
            };
            for (double value : values) {
                cell(text, value);
            }
            int number = i;
            v.uncertainty().map(u -> u.widths().get(number)).ifPresent(bar -> {
                cell(text, bar.valueNm());
                cell(text, bar.halfWidthNm());
                text.append(',').append(bar.dominatedBy());
            });
            text.append('\n');
        }
        return text.toString();
    }

    /** Empty where there is no number. */
    private static void cell(StringBuilder text, double value) {
        text.append(',').append(Double.isFinite(value) ? String.format(Locale.ROOT, "%.6f", value) : "");
    }

    private static String worst(Verification v) {
        StringBuilder text = new StringBuilder("kind,x_um,y_um,size,what\n");
        for (TroubleSpot s : v.worst()) {
            text.append(String.format(
                    Locale.ROOT,
                    "%s,%.6f,%.6f,%.6g,%s\n",
                    s.kind().word(),
                    s.xUm(),
                    s.yUm(),
                    s.size(),
                    CsvText.quoted(s.what())));
        }
        return text.toString();
    }

    private static String sensitivity(Verification v) {
        StringBuilder text = new StringBuilder("parameter,percent");
        v.widths().forEach(w -> text.append(',').append(CsvText.quoted(w.gauge().name() + "_nm")));
        text.append(",mean_nm,rms_nm,max_nm\n");
        for (Sensitivity.Effect e : v.sensitivity().effects()) {
            text.append(e.parameter()).append(String.format(Locale.ROOT, ",%+.6g", e.percent()));
            for (double change : e.changeNm()) {
                text.append(',').append(Double.isFinite(change) ? String.format(Locale.ROOT, "%.4f", change) : "");
            }
            text.append(String.format(
                    Locale.ROOT,
                    ",%.4f,%.4f,%.4f\n",
                    e.changes().mean(),
                    e.changes().rms(),
                    e.changes().max()));
        }
        return text.toString();
    }
}
