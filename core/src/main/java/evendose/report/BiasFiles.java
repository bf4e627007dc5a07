package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.CsvText;
import evendose.verification.BiasStudy;
import evendose.verification.BiasStudy.Trial;
import java.util.List;
import java.util.Locale;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** What biases do to the dose window, as a table, for scripts and as a plot. */
public final class BiasFiles {
    private static final JsonMapper MAPPER = new JsonMapper();

    private BiasFiles() {}

    /**
     * {@return the text of {@code bias-study.csv}: a row a bias; windows and factors are empty where shapes cannot be exposed}
     *
     * @param study what was found
     */
    public static String csv(BiasStudy study) {
        StringBuilder text = new StringBuilder("bias_nm,dose_window_percent,edge_slope_percent_per_nm,edge_rms_nm,"
                + "edge_p95_nm,min_factor,max_factor,dosed_area_um2,chosen,why_not\n");
        for (Trial t : study.trials()) {
            boolean known = !Double.isNaN(t.doseWindow());
            text.append(String.format(
                    Locale.ROOT,
                    "%s,%s,%s,%s,%s,%s,%s,%s,%d,%s\n",
                    number(t.biasNm()),
                    number(100 * t.doseWindow()),
                    number(0.1 * t.slopePerUm()),
                    known ? number(t.placementNm().rms()) : "",
                    known ? number(t.placementNm().p95()) : "",
                    number(t.minFactor()),
                    number(t.maxFactor()),
                    number(t.dosedAreaUm2()),
                    isBest(study, t) ? 1 : 0,
                    t.counts() ? "" : CsvText.quoted(t.why())));
        }
        return text.toString();
    }

    private static String number(double value) {
        return Double.isNaN(value) ? "" : String.format(Locale.ROOT, "%.6g", value);
    }

    private static boolean isBest(BiasStudy study, Trial t) {
        return study.best().filter(t::equals).isPresent();
    }

    /**
     * {@return the text of {@code bias-study.json}}
     *
     * @param study what was found
     */
    public static String json(BiasStudy study) {
        ObjectNode root = MAPPER.createObjectNode();
        root.put(
                "dose_window",
                "how far all doses together may be off either way from the middle of their range, %, so that 95 % of drawn edges"
                        + " off corners stay within allowed_edge_nm");
        root.put("allowed_edge_nm", study.allowedNm()).put("places", study.places());
        study.best().ifPresentOrElse(t -> root.put("bias_nm", t.biasNm()), () -> root.putNull("bias_nm"));
        ArrayNode trials = root.putArray("trials");
        for (Trial t : study.trials()) {
            ObjectNode node = trials.addObject().put("bias_nm", t.biasNm());
            if (!Double.isNaN(t.doseWindow())) {
                node.put("dose_window_percent", 100 * t.doseWindow())
                        .put("edge_slope_percent_per_nm", 0.1 * t.slopePerUm())
                        .put("edge_rms_nm", t.placementNm().rms())
                        .put("edge_p95_nm", t.placementNm().p95())
                        .put("min_factor", t.minFactor())
                        .put("max_factor", t.maxFactor())
                        .put("dosed_area_um2", t.dosedAreaUm2());
            }
            if (!t.counts()) {
                node.put("why_not", t.why());
            }
        }
        root.put("caution", "Computed doses never replace a dose test on your own tool and process.");
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    /**
     * {@return the dose window against the bias}
     *
     * @param study what was found, with at least one bias that can be exposed
     */
    public static Picture picture(BiasStudy study) {
        DrawingLibraries.require();
        XYChart chart =
                PlotStyle.plot("Dose window against bias", "bias, nm (negative: exposed smaller)", "dose window, +- %");
        List<Trial> known = study.trials().stream()
                .filter(t -> !Double.isNaN(t.doseWindow()))
                .toList();
        List<Trial> within = known.stream().filter(Trial::counts).toList();
        PlotStyle.line(chart, "doses found", biases(known), windows(known), PlotStyle.QUIET, 1);
        if (!within.isEmpty()) {
            PlotStyle.points(
                    chart,
                    "doses within their bounds",
                    biases(within),
                    windows(within),
                    PlotStyle.BLUE,
                    SeriesMarkers.CIRCLE);
        }
        study.best().ifPresent(t -> {
            XYSeries chosen = PlotStyle.points(
                    chart, "chosen", biases(List.of(t)), windows(List.of(t)), PlotStyle.ORANGE, SeriesMarkers.DIAMOND);
            chosen.setMarkerColor(PlotStyle.ORANGE);
        });
        return PlotStyle.picture(
                "bias-study",
                String.format(
                        Locale.ROOT,
                        "How far all doses may be off so that 95 %% of drawn edges off corners stay within %.3g nm.",
                        study.allowedNm()),
                chart);
    }

    private static double[] biases(List<Trial> trials) {
        return trials.stream().mapToDouble(Trial::biasNm).toArray();
    }

    private static double[] windows(List<Trial> trials) {
        return trials.stream().mapToDouble(t -> 100 * t.doseWindow()).toArray();
    }
}
