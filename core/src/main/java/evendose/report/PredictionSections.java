package evendose.report;

import static evendose.report.ReportText.format;

import evendose.correction.LayerDepth;
import evendose.parallel.Workers;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.PointEnergy;
import evendose.verification.Prediction;
import evendose.verification.Sensitivity;
import evendose.verification.Spread;
import evendose.verification.TroubleSpot;
import evendose.verification.WholePrediction;
import evendose.verification.WidthGauge;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/** The report's sections on what will develop: edges, widths, places of concern, and what calibration matters. */
final class PredictionSections {
    private static final int ENERGY_MAP_PIXELS = 420;
    private static final double TERMS_AT_FULL_DETAIL = 6;
    private static final int WIDTH_ROWS = 24;

    private final Prediction p;
    private final String sampled;

    /**
     * Of a prediction.
     *
     * @param sampled how much of the outline was looked at, a sentence
     */
    PredictionSections(Prediction prediction, String sampled) {
        this.p = prediction;
        this.sampled = sampled;
    }

    /** Of a prediction for a layout that is known as a whole and has so many polygons. */
    static PredictionSections of(WholePrediction whole, long polygons) {
        return new PredictionSections(
                whole.found(),
                whole.windows() == 0
                        ? "The whole outline was sampled."
                        : format(
                                "The layout has %,d polygons, so %d windows spread over it were looked at.",
                                polygons, whole.windows()));
    }

    /** Tells of depths, in place of edges and widths. */
    static void depths(HtmlPage page, List<LayerDepth> depths, Picture picture) {
        page.heading("depths", "Depths")
                .text(
                        "Depth that each layer develops to, from its mean energy and the contrast curve: least to most over its"
                                + " dose units, and the root mean square of the error by area. Before: each layer at the dose of a wide"
                                + " area.")
                .numbers("layer", "wanted nm", "dose uC/cm^2", "before nm", "rms error", "after nm", "rms error");
        for (LayerDepth d : depths) {
            page.row(
                    d.layer().toString(),
                    format("%.1f", d.wantedNm()),
                    format("%.4g", d.doseUcPerCm2()),
                    format("%.1f to %.1f", d.before().min(), d.before().max()),
                    format("%.1f", d.before().rmsError()),
                    format("%.1f to %.1f", d.after().min(), d.after().max()),
                    format("%.1f", d.after().rmsError()));
        }
        page.endRows().picture(picture);
    }

    void edges(HtmlPage page) {
        page.heading("edges", "Edges").text(sampling()).numbers("", "mean", "rms", "95 %", "largest");
        spread(page, "energy error, %, uncorrected", p.energyBefore(), 100);
        spread(page, "energy error, %, corrected", p.energyAfter(), 100);
        spread(page, "edge placement, nm, uncorrected", p.placementBefore(), 1);
        spread(page, "edge placement, nm, corrected", p.placementAfter(), 1);
        page.endRows();
        if (p.lostBefore() + p.lostAfter() > 0) {
            page.text(format(
                    "Places without any developed edge: %d uncorrected, %d corrected.", p.lostBefore(), p.lostAfter()));
        }
    }

    private String sampling() {
        return format(
                "Distance from the drawn to the developed edge at %,d random places on the outline, corners left out;"
                        + " positive is outside. %s Energies are the engine's (error below 0.005 %% of the energy of a"
                        + " uniformly exposed plane); 'evendose verify' checks with closed forms.",
                p.places(), sampled);
    }

    private static void spread(HtmlPage page, String name, Spread s, double scale) {
        page.row(
                name,
                format("%.3f", scale * s.mean()),
                format("%.3f", scale * s.rms()),
                format("%.3f", scale * s.p95()),
                format("%.3f", scale * s.max()));
    }

    void widths(HtmlPage page) {
        if (p.widths().isEmpty()) {
            return;
        }
        page.heading("widths", "Line widths")
                .text("The worst first, by error relative to the width. Widths in nm.")
                .numbers(
                        "at x, y um",
                        "density",
                        "drawn nm",
                        "uncorrected nm",
                        "corrected nm",
                        "contrast",
                        "nm per % dose");
        List<LineWidth> rows = p.widths().stream()
                .sorted(Comparator.comparingDouble(PredictionSections::relativeError)
                        .reversed())
                .limit(WIDTH_ROWS)
                .toList();
        for (LineWidth w : rows) {
            WidthGauge g = w.gauge();
            page.row(
                    format("%.2f, %.2f", g.middleXUm(), g.middleYUm()),
                    format("%.2f", g.density()),
                    format("%.1f", 1e3 * g.drawnUm()),
                    width(w.uncorrectedUm()),
                    width(w.correctedUm()),
                    format("%.3f", w.contrast()),
                    Double.isNaN(w.nmPerPercent()) ? "-" : format("%.2f", w.nmPerPercent()));
        }
        page.endRows();
        if (rows.size() < p.widths().size()) {
            page.note(format(
                    "The worst %d of %d measured lines are listed; the plot shows all.",
                    rows.size(), p.widths().size()));
        }
        page.picture(Charts.widthErrors(p.widths()));
    }

    /** Shows the energy about the line that tells most; nothing where no line was measured. */
    static void energies(HtmlPage page, Exposure exposure, WholePrediction whole, Workers workers) {
        if (!whole.found().widths().isEmpty()) {
            WidthGauge telling =
                    VerificationFiles.mostTelling(whole.found().widths()).gauge();
            page.picture(Charts.cut(exposure, telling, whole.before(), whole.after()));
            maps(page, exposure, whole, telling, workers);
        }
    }

    private static String width(double um) {
        return Double.isNaN(um) ? "no line" : format("%.2f", 1e3 * um);
    }

    /** Error of the corrected width over the drawn one; a line that is gone is the worst. */
    private static double relativeError(LineWidth w) {
        return Double.isNaN(w.correctedUm())
                ? Double.MAX_VALUE
                : Math.abs(w.correctedErrorNm()) / (1e3 * w.gauge().drawnUm());
    }

    /** The same window twice, at one scale of colours. */
    private static void maps(HtmlPage page, Exposure exposure, WholePrediction whole, WidthGauge g, Workers workers) {
        double side = Math.min(
                30 * g.drawnUm(),
                Math.max(4 * g.drawnUm(), 60 * exposure.psf().direct().rangeUm()));
        double x = g.xUm();
        double y = g.yUm();
        double[] window = {x - side / 2, y - side / 2, x + side / 2, y + side / 2};
        double threshold = exposure.threshold(g.layer(), x, y);
        DrawnOutline drawn = DrawnOutline.of(exposure, window, workers);
        // Each term costs about the same at each pixel: many terms get a coarser map, not a late page.
        int terms = exposure.psf().terms().size();
        double pixel = side / ENERGY_MAP_PIXELS * Math.max(1, terms / TERMS_AT_FULL_DETAIL);
        EnergyRaster before = raster(whole.before(), window, pixel, workers);
        EnergyRaster after = raster(whole.after(), window, pixel, workers);
        double high = Math.max(before.highest(), after.highest());
        page.pair(
                EnergyMap.of(
                        before,
                        "energy-uncorrected",
                        "Uncorrected",
                        threshold,
                        high,
                        Contours.trace(before, whole.before(), threshold, workers),
                        drawn.rings(),
                        EnergyMap.IN_A_PAIR),
                EnergyMap.of(
                        after,
                        "energy-corrected",
                        "Corrected",
                        threshold,
                        high,
                        Contours.trace(after, whole.after(), threshold, workers),
                        drawn.rings(),
                        EnergyMap.IN_A_PAIR));
    }

    private static EnergyRaster raster(PointEnergy energy, double[] w, double pixel, Workers workers) {
        return EnergyRaster.of(energy, w[0], w[1], w[2], w[3], pixel, workers);
    }

    void places(HtmlPage page) {
        page.heading("places", "Places of concern")
                .text(format(
                        "Of %,d edges looked at for lines that do not develop, gaps that close, and edges that lie far off.",
                        p.edgesScanned()));
        if (p.worst().isEmpty()) {
            page.text("None found.");
        } else {
            page.words("at x, y um", "what");
            for (TroubleSpot spot : p.worst()) {
                page.place(spot.xUm(), spot.yUm(), spot.what());
            }
            page.endRows();
        }
        List<String> cautions = new ArrayList<>(List.of(
                "Computed doses never replace a dose test on your own tool and process.",
                "Corners round by about the direct range; doses cannot prevent that.",
                "The prediction assumes one threshold of energy: above it a positive resist clears and a negative one stays."
                        + " \"Develops\" stands for both."));
        page.cautions(cautions);
    }

    static void sensitivity(HtmlPage page, WholePrediction whole) {
        if (whole.found().widths().isEmpty()) {
            return;
        }
        page.heading("sensitivity", "What calibration matters")
                .text("Change of the measured widths if the process differs from what was corrected for,"
                        + " while the doses stay. The base dose is taken to be found anew for each, except in its own"
                        + " rows.")
                .numbers("if ...", "mean nm", "rms nm", "largest nm");
        for (Sensitivity.Effect e : whole.sensitivity().effects()) {
            page.row(
                    e.words(),
                    format("%.2f", e.changes().mean()),
                    format("%.2f", e.changes().rms()),
                    format("%.2f", e.changes().max()));
        }
        page.endRows();
        page.picture(Charts.sensitivity(whole.sensitivity()));
    }
}
