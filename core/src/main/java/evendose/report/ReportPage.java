package evendose.report;

import evendose.correction.Convergence;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.RunSummary;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.OutlineSample;
import evendose.verification.Prediction;
import evendose.verification.Sensitivity;
import evendose.verification.Spread;
import evendose.verification.TroubleSpot;
import evendose.verification.WidthGauge;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * The page that tells how a correction went: one HTML file that needs nothing else, opens offline and prints on A4. It states
 * the job, what was found, what will develop, where to be careful, and how to repeat the run.
 *
 * <p>Edges and widths come from a sample of the outline (all of it for layouts of up to
 * {@value evendose.verification.OutlineSample#MOST_POLYGONS} polygons) and the engine's energies; the page says so. The same run
 * gives the same page but for its times.
 */
public final class ReportPage {
    private static final int DOSE_MAP_PIXELS = 900;
    private static final int ENERGY_MAP_PIXELS = 420;
    private static final double TERMS_AT_FULL_DETAIL = 6;
    private static final int WIDTH_ROWS = 24;
    private static final String STYLE = "report.css";

    private ReportPage() {}

    /**
     * Writes the page.
     *
     * @param run the run
     * @param polygons what was corrected, dbu; groups are the table's layers
     * @param dbuUm size of a database unit, um
     * @param arguments the command line that repeats the run, without the program's name
     * @param file where to write
     * @throws BadInputException if the file cannot be written
     */
    public static void write(
            RunSummary run,
            Polygons polygons,
            double dbuUm,
            List<String> arguments,
            Path file,
            Workers workers,
            Progress progress) {
        progress.begin("report", 0);
        DoseTable table = run.table();
        Exposure exposure = Exposure.of(table);
        OutlineSample outline = OutlineSample.of(
                polygons, table.roles().size(), dbuUm, Prediction.reachUm(exposure.psf()), workers, Progress.NONE);
        Prediction prediction = Prediction.of(exposure, outline, workers, progress);
        String page = new ReportPage.Text(run, exposure, prediction, polygons.size(), arguments, workers).page();
        try {
            Files.writeString(file, page, StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /** Puts the page together, section by section. */
    private static final class Text {
        private final RunSummary run;
        private final DoseTable table;
        private final Exposure exposure;
        private final Prediction p;
        private final long polygons;
        private final List<String> arguments;
        private final Workers workers;
        private final StringBuilder out = new StringBuilder();

        Text(
                RunSummary run,
                Exposure exposure,
                Prediction prediction,
                long polygons,
                List<String> arguments,
                Workers workers) {
            this.run = run;
            this.table = run.table();
            this.exposure = exposure;
            this.p = prediction;
            this.polygons = polygons;
            this.arguments = arguments;
            this.workers = workers;
        }

        String page() {
            String name = Html.text(String.valueOf(Path.of(run.layout()).getFileName()));
            out.append("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
                    .append("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>")
                    .append(name)
                    .append(" - evendose</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n")
                    .append(style())
                    .append("</style>\n</head>\n<body>\n<header><p>evendose correction report</p><h1>")
                    .append(name)
                    .append("</h1></header>\n<main>\n");
            verdict();
            job();
            doses();
            edges();
            widths();
            places();
            sensitivity();
            repeat();
            out.append("</main>\n</body>\n</html>\n");
            return out.toString();
        }

        private void section(String id, String title) {
            out.append("<section id=\"")
                    .append(id)
                    .append("\"><h2>")
                    .append(title)
                    .append("</h2>\n");
        }

        private void end() {
            out.append("</section>\n");
        }

        private void verdict() {
            Convergence c = table.convergence();
            long held = table.pieces(DoseStatus.AT_MINIMUM) + table.pieces(DoseStatus.AT_MAXIMUM);
            boolean good = c.converged() && held == 0 && p.lostAfter() == 0;
            out.append("<section class=\"verdict ")
                    .append(good ? "good" : "care")
                    .append("\"><p>");
            out.append(Html.text(
                    c.converged()
                            ? format(
                                    "Converged: largest error of the criterion %s after %d updates, %s before.",
                                    percent(c.maxResidual()), c.iterations(), percent(c.uncorrectedMaxResidual()))
                            : format(
                                    "NOT converged: an error of %s is left after %d updates.",
                                    percent(c.maxResidual()), c.iterations())));
            if (held > 0) {
                out.append(' ').append(Html.text(format("%,d pieces are held at a bound of the dose factors.", held)));
            }
            out.append("</p>\n<div class=\"figures\">");
            figure(
                    format(
                            "%.1f to %.1f nm",
                            p.placementBefore().rms(), p.placementAfter().rms()),
                    "edge placement, rms, before and after");
            figure(format("%.3f - %.3f", table.minFactor(), table.maxFactor()), "dose factors");
            figure(format("%,d", table.pieces().size()), "pieces");
            figure(area(table.areaUm2()), "exposed area");
            out.append("</div></section>\n");
        }

        private void figure(String value, String name) {
            out.append("<div><b>")
                    .append(Html.text(value))
                    .append("</b><span>")
                    .append(Html.text(name))
                    .append("</span></div>");
        }

        private void job() {
            section("job", "Job");
            out.append("<table class=\"facts\">\n");
            out.append(Html.row("layout", run.layout()));
            out.append(Html.row("cells", String.join(", ", run.cells())));
            for (LayerRole role : table.roles()) {
                String what = role.fixedDose().isPresent()
                        ? "keeps dose factor " + role.fixedDose().getAsDouble()
                        : role.target() == 1
                                ? "corrected"
                                : "corrected towards " + role.target() + " times the usual energy";
                out.append(Html.row("layer " + role.layer(), what));
            }
            for (GaussianTerm term : exposure.psf().terms()) {
                out.append(Html.row(
                        "point spread, term",
                        format("range %.5g \u00b5m, weight %.5f", term.rangeUm(), term.weight())));
            }
            out.append(Html.row("ratio eta", format("%.4g", exposure.psf().eta())));
            if (!run.psfSource().isEmpty()) {
                out.append(Html.row("point spread from", run.psfSource()));
            }
            out.append(Html.row(
                    "criterion",
                    table.options().criterion().name().toLowerCase(Locale.ROOT)
                            + format(
                                    ", factor 1 for a grating of density %.3g",
                                    table.options().referenceDensity())));
            out.append(Html.row(
                    "base dose",
                    exposure.baseDoseUcPerCm2().isPresent()
                            ? format(
                                    "%.6g \u00b5C/cm\u00b2",
                                    exposure.baseDoseUcPerCm2().getAsDouble())
                            : "not given: doses are factors"));
            out.append("</table>\n");
            out.append(Html.figure(Charts.convergence(
                    table.convergence().history(), table.options().tolerance())));
            end();
        }

        private void doses() {
            section("doses", "Doses");
            double mean = table.dosedAreaUm2() / table.areaUm2();
            out.append("<table class=\"facts\">\n");
            out.append(Html.row(
                    "exposed",
                    format(
                            "%,d shapes, %,d pieces in %,d dose units, %s",
                            table.pieces().shapes(),
                            table.pieces().size(),
                            table.pieces().units(),
                            area(table.areaUm2()))));
            out.append(Html.row(
                    "factors", format("%.4f to %.4f, mean by area %.4f", table.minFactor(), table.maxFactor(), mean)));
            for (DoseStatus status : DoseStatus.values()) {
                if (table.pieces(status) > 0) {
                    out.append(Html.row("pieces " + status.word(), format("%,d", table.pieces(status))));
                }
            }
            out.append("</table>\n");
            out.append(Html.figure(DoseMap.of(exposure, DOSE_MAP_PIXELS)));
            out.append(Html.figure(Charts.histogram(exposure)));
            end();
        }

        private void edges() {
            section("edges", "Edges");
            out.append("<p>").append(Html.text(sampling())).append("</p>\n<table>\n");
            out.append(Html.heads("", "mean", "rms", "95 %", "largest"));
            spread("energy error, %, uncorrected", p.energyBefore(), 100);
            spread("energy error, %, corrected", p.energyAfter(), 100);
            spread("edge placement, nm, uncorrected", p.placementBefore(), 1);
            spread("edge placement, nm, corrected", p.placementAfter(), 1);
            out.append("</table>\n");
            if (p.lostBefore() + p.lostAfter() > 0) {
                out.append("<p>")
                        .append(Html.text(format(
                                "Places without any developed edge: %d uncorrected, %d corrected.",
                                p.lostBefore(), p.lostAfter())))
                        .append("</p>\n");
            }
            end();
        }

        private String sampling() {
            return format(
                    "Distance from the drawn to the developed edge at %,d random places on the outline, corners left out;"
                            + " positive is outside. %s Energies are the engine's (error below 0.005 %% of the energy of a"
                            + " uniformly exposed plane); 'evendose verify' checks with closed forms.",
                    p.places(),
                    p.tiles() == 0
                            ? "The whole outline was sampled."
                            : format(
                                    "The layout has %,d polygons, so %d tiles spread over it were looked at.",
                                    polygons, p.tiles()));
        }

        private void spread(String name, Spread s, double scale) {
            out.append(Html.row(
                    name,
                    format("%.3f", scale * s.mean()),
                    format("%.3f", scale * s.rms()),
                    format("%.3f", scale * s.p95()),
                    format("%.3f", scale * s.max())));
        }

        private void widths() {
            if (p.widths().isEmpty()) {
                return;
            }
            section("widths", "Line widths");
            out.append("<table>\n")
                    .append(Html.heads(
                            "at x, y \u00b5m",
                            "density",
                            "drawn nm",
                            "uncorrected nm",
                            "corrected nm",
                            "contrast",
                            "nm per % dose"));
            List<LineWidth> rows = evenly(p.widths(), WIDTH_ROWS);
            for (LineWidth w : rows) {
                WidthGauge g = w.gauge();
                out.append(Html.row(
                        format("%.2f, %.2f", g.middleXUm(), g.middleYUm()),
                        format("%.2f", g.density()),
                        format("%.1f", 1e3 * g.drawnUm()),
                        width(w.uncorrectedUm()),
                        width(w.correctedUm()),
                        format("%.3f", w.contrast()),
                        Double.isNaN(w.nmPerPercent()) ? "-" : format("%.2f", w.nmPerPercent())));
            }
            out.append("</table>\n");
            if (rows.size() < p.widths().size()) {
                out.append("<p class=\"note\">")
                        .append(Html.text(format(
                                "%d of %d measured lines are listed; the plot shows all.",
                                rows.size(), p.widths().size())))
                        .append("</p>\n");
            }
            out.append(Html.figure(Charts.widthErrors(p.widths())));
            WidthGauge telling = VerificationFiles.mostTelling(p.widths()).gauge();
            out.append(Html.figure(Charts.cut(exposure, telling, p.before(), p.after())));
            maps(telling);
            end();
        }

        /** The same window twice, at one scale of colours. */
        private void maps(WidthGauge g) {
            double side = Math.min(
                    30 * g.drawnUm(),
                    Math.max(4 * g.drawnUm(), 60 * exposure.psf().direct().rangeUm()));
            double x = g.xUm();
            double y = g.yUm();
            double[] window = {x - side / 2, y - side / 2, x + side / 2, y + side / 2};
            double threshold = exposure.threshold(g.layer());
            DrawnOutline drawn = DrawnOutline.of(exposure.pieces(), window, workers);
            // Each term costs about the same at each pixel: many terms get a coarser map, not a late page.
            int terms = exposure.psf().terms().size();
            double pixel = side / ENERGY_MAP_PIXELS * Math.max(1, terms / TERMS_AT_FULL_DETAIL);
            EnergyRaster before =
                    EnergyRaster.of(p.before(), window[0], window[1], window[2], window[3], pixel, workers);
            EnergyRaster after = EnergyRaster.of(p.after(), window[0], window[1], window[2], window[3], pixel, workers);
            double high = Math.max(before.highest(), after.highest());
            out.append("<div class=\"pair\">\n");
            out.append(Html.figure(EnergyMap.of(
                    before,
                    "energy-uncorrected",
                    "Uncorrected",
                    threshold,
                    high,
                    Contours.trace(before, p.before(), threshold),
                    drawn.rings(),
                    EnergyMap.IN_A_PAIR)));
            out.append(Html.figure(EnergyMap.of(
                    after,
                    "energy-corrected",
                    "Corrected",
                    threshold,
                    high,
                    Contours.trace(after, p.after(), threshold),
                    drawn.rings(),
                    EnergyMap.IN_A_PAIR)));
            out.append("</div>\n");
        }

        private void places() {
            section("places", "Places of concern");
            out.append("<p>")
                    .append(Html.text(format(
                            "Of %,d edges looked at for lines that do not develop, gaps that close, and edges that lie far off.",
                            p.edgesScanned())))
                    .append("</p>\n");
            if (p.worst().isEmpty()) {
                out.append("<p>None found.</p>\n");
            } else {
                out.append("<table class=\"words\">\n").append(Html.heads("at x, y \u00b5m", "what"));
                for (TroubleSpot spot : p.worst()) {
                    out.append(Html.row(format("%.3f, %.3f", spot.xUm(), spot.yUm()), spot.what()));
                }
                out.append("</table>\n");
            }
            out.append("<ul class=\"cautions\">\n");
            out.append("<li>Computed doses never replace a dose test on your own tool and process.</li>\n");
            out.append("<li>Corners round by about the direct range; doses cannot prevent that.</li>\n");
            out.append(
                    "<li>The prediction assumes that resist develops where the energy exceeds one threshold.</li>\n");
            if (!table.convergence().converged()) {
                out.append("<li>Some pieces miss the tolerance; their status is unconverged.</li>\n");
            }
            out.append("</ul>\n");
            end();
        }

        private void sensitivity() {
            Sensitivity s = p.sensitivity();
            if (p.widths().isEmpty()) {
                return;
            }
            section("sensitivity", "What calibration matters");
            out.append("<p>")
                    .append(Html.text(
                            "Change of the measured widths if the process differs from what was corrected for,"
                                    + " while the doses stay. The base dose is taken to be found anew for each, except in its own"
                                    + " rows."))
                    .append("</p>\n<table>\n");
            out.append(Html.heads("if this is off", "mean nm", "rms nm", "largest nm"));
            for (Sensitivity.Effect e : s.effects()) {
                out.append(Html.row(
                        format("%s by %+.3g %%", e.parameter(), e.percent()),
                        format("%.2f", e.changes().mean()),
                        format("%.2f", e.changes().rms()),
                        format("%.2f", e.changes().max())));
            }
            out.append("</table>\n").append(Html.figure(Charts.sensitivity(s)));
            end();
        }

        private void repeat() {
            section("repeat", "To repeat this run");
            StringBuilder command = new StringBuilder("evendose");
            for (String argument : arguments) {
                command.append(' ').append(quoted(argument));
            }
            out.append("<pre>").append(Html.text(command.toString())).append("</pre>\n<table class=\"facts\">\n");
            out.append(Html.row("version", run.version()));
            out.append(Html.row(
                    "options",
                    format(
                            "max piece %.5g \u00b5m, tolerance %.3g, at most %d updates, factors %.4g to %.4g%s%s",
                            table.options().maxPieceUm(),
                            table.options().tolerance(),
                            table.options().maxIterations(),
                            table.options().minFactor(),
                            table.options().maxFactor(),
                            table.options().levels().isPresent()
                                    ? ", " + table.levels().size() + " dose levels"
                                    : "",
                            table.options().oneDosePerShape() ? ", one dose per shape" : "")));
            double total = 0;
            for (double seconds : run.secondsByStage().values()) {
                total += seconds;
            }
            out.append(Html.row("time", format("%.1f s before this page", total)));
            out.append("</table>\n");
            end();
        }

        private static String quoted(String argument) {
            return argument.matches("[A-Za-z0-9_./:,=+-]+") ? argument : "'" + argument.replace("'", "'\\''") + "'";
        }

        private static String width(double um) {
            return Double.isNaN(um) ? "no line" : format("%.2f", 1e3 * um);
        }

        private static List<LineWidth> evenly(List<LineWidth> all, int most) {
            int step = (all.size() + most - 1) / most;
            List<LineWidth> kept = new ArrayList<>();
            for (int i = 0; i < all.size(); i += Math.max(1, step)) {
                kept.add(all.get(i));
            }
            return kept;
        }

        private static String area(double um2) {
            return um2 >= 1e6
                    ? format("%.4g mm\u00b2", um2 * 1e-6)
                    : format(um2 < 1e4 ? "%,.2f \u00b5m\u00b2" : "%,.0f \u00b5m\u00b2", um2);
        }

        private static String percent(double share) {
            double value = 100 * share;
            return format(value < 0.1 ? "%.3f %%" : value < 10 ? "%.2f %%" : "%.0f %%", value);
        }

        private static String format(String pattern, Object... values) {
            String text = String.format(Locale.ROOT, pattern, values);
            return text.matches("-0\\.0+") ? text.substring(1) : text;
        }

        private static String style() {
            try (var in = ReportPage.class.getResourceAsStream(STYLE)) {
                return new String(in.readAllBytes(), StandardCharsets.UTF_8);
            } catch (IOException e) {
                throw new IllegalStateException("the program's own " + STYLE + " cannot be read", e);
            }
        }
    }
}
