package evendose.report;

import evendose.files.NumberText;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.PointEnergy;
import evendose.verification.Sensitivity;
import evendose.verification.WidthGauge;
import java.awt.BasicStroke;
import java.awt.Color;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.knowm.xchart.CategoryChart;
import org.knowm.xchart.CategoryChartBuilder;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.markers.Marker;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** The plots, all in one style. */
final class Charts {
    private static final Color BEFORE = PlotStyle.ORANGE;
    private static final Color AFTER = PlotStyle.BLUE;
    private static final Color INK = PlotStyle.INK;
    private static final Color QUIET = PlotStyle.QUIET;
    private static final int SPREAD_POINTS = 400;
    private static final int MOST_TERMS = 4;

    private Charts() {}

    /** Energy density against distance, and the parts of a function of few terms. */
    static Picture pointSpread(PointSpreadFunction psf) {
        XYChart chart = PlotStyle.plot("Point spread function", "distance, um", "energy density, 1/um^2");
        double[] x = new double[SPREAD_POINTS];
        double from = Math.log10(psf.terms().get(0).rangeUm() / 10);
        double to = Math.log10(3 * psf.longestUm());
        Arrays.setAll(x, i -> Math.pow(10, from + (to - from) * i / (SPREAD_POINTS - 1)));
        double[] y = Arrays.stream(x).map(psf::density).toArray();
        double top = y[0];
        // What lies below shows nothing but the end of the longest term.
        double bottom = Math.max(psf.density(2 * psf.longestUm()), 1e-12 * top);
        if (psf.parts() <= MOST_TERMS) {
            for (int k = 0; psf.parts() > 1 && k < psf.terms().size(); k++) {
                GaussianTerm term = psf.terms().get(k);
                double s = term.rangeUm();
                double[] part = Arrays.stream(x)
                        .map(r -> term.weight() / (Math.PI * s * s) * Math.exp(-r * r / (s * s)))
                        .toArray();
                PlotStyle.dashed(
                        chart,
                        String.format(Locale.ROOT, "%.4g um, weight %.3f", s, term.weight()),
                        clipped(x, part, bottom, x),
                        clipped(x, part, bottom, part),
                        PlotStyle.SERIES.get((k + 1) % PlotStyle.SERIES.size()),
                        1.4f);
            }
        }
        line(chart, "all", clipped(x, y, bottom, x), clipped(x, y, bottom, y), AFTER, null, 2);
        PlotStyle.logarithmic(chart, PlotStyle.decades(x[0], x[x.length - 1]), PlotStyle.decades(bottom, top));
        return PlotStyle.picture(
                "point-spread", "Energy density at a distance from a point exposure of unit energy.", chart);
    }

    /** The values that stand where {@code y} is at least {@code least}. */
    private static double[] clipped(double[] x, double[] y, double least, double[] values) {
        return java.util.stream.IntStream.range(0, x.length)
                .filter(i -> y[i] >= least)
                .mapToDouble(i -> values[i])
                .toArray();
    }

    static Picture convergence(double[] history, double tolerance) {
        double[] x = new double[history.length];
        Arrays.setAll(x, i -> i);
        // A logarithmic axis has no place for 0.
        double[] y = Arrays.stream(history).map(r -> Math.max(r, 1e-12)).toArray();
        XYChart chart = PlotStyle.plot("Convergence", "dose updates", "largest relative error of the criterion");
        chart.getStyler().setYAxisLogarithmic(true);
        chart.getStyler().setYAxisDecimalPattern("0.#E0");
        double end = Math.max(1, history.length - 1);
        chart.getStyler().setXAxisMin(0.0).setXAxisMax(end);
        chart.getStyler()
                .setxAxisTickLabelsFormattingFunction(v -> v == Math.rint(v) ? Long.toString(v.longValue()) : " ");
        line(chart, "largest error", x, y, AFTER, SeriesMarkers.CIRCLE, 2);
        line(chart, "tolerance", new double[] {0, end}, new double[] {tolerance, tolerance}, QUIET, null, 1.2f);
        return PlotStyle.picture("convergence", "Largest error of the criterion after each dose update.", chart);
    }

    /** Area by dose factor, as a filled outline of bars. */
    static Picture histogram(DoseHistogram histogram) {
        int bins = DoseHistogram.BINS;
        double from = histogram.from;
        double bin = histogram.bin;
        double[] area = histogram.areaUm2;
        double[] x = new double[2 * bins + 2];
        double[] y = new double[x.length];
        for (int k = 0; k <= bins; k++) {
            x[2 * k] = from + k * bin;
            x[2 * k + 1] = x[2 * k];
            y[2 * k] = k == 0 ? 0 : 100 * area[k - 1] / histogram.totalUm2;
            y[2 * k + 1] = k == bins ? 0 : 100 * area[k] / histogram.totalUm2;
        }
        XYChart chart = PlotStyle.plot("Dose factors by area", "dose factor", "share of the exposed area, %");
        chart.getStyler().setLegendVisible(false);
        chart.getStyler().setXAxisMin(from).setXAxisMax(from + bins * bin).setYAxisMin(0.0);
        chart.getStyler().setXAxisDecimalPattern(histogram.high - histogram.low < 0.1 ? "0.0000" : "0.00");
        XYSeries series = line(chart, "area", x, y, AFTER, null, 1.4f);
        series.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Area);
        series.setFillColor(new Color(0x1f, 0x5a, 0x96, 90));
        return PlotStyle.picture("dose-histogram", "Share of the exposed area at each dose factor.", chart);
    }

    /** Energy along the line of a gauge and beyond. */
    static Picture cut(Exposure exposure, WidthGauge g, PointEnergy before, PointEnergy after) {
        double reach = Math.max(g.drawnUm(), 12 * exposure.psf().direct().rangeUm());
        double from = -reach;
        double to = g.drawnUm() + reach;
        int n = 601;
        double[] x = new double[n];
        double[] yBefore = new double[n];
        double[] yAfter = new double[n];
        for (int k = 0; k < n; k++) {
            double t = from + (to - from) * k / (n - 1);
            x[k] = 1e3 * t;
            yBefore[k] = before.at(g.xUm() + t * g.ux(), g.yUm() + t * g.uy());
            yAfter[k] = after.at(g.xUm() + t * g.ux(), g.yUm() + t * g.uy());
        }
        double threshold = exposure.threshold(g.layer(), g.middleXUm(), g.middleYUm());
        XYChart chart = PlotStyle.plot(
                String.format(Locale.ROOT, "Energy across the line at (%.2f, %.2f) um", g.middleXUm(), g.middleYUm()),
                "position, nm",
                "energy, 1 = plane at factor 1");
        chart.getStyler().setYAxisMin(0.0).setXAxisMin(x[0]).setXAxisMax(x[n - 1]);
        double top = 1.05
                * Math.max(
                        Arrays.stream(yBefore).max().orElse(1),
                        Arrays.stream(yAfter).max().orElse(1));
        chart.getStyler().setYAxisMax(top);
        double w = 1e3 * g.drawnUm();
        XYSeries drawn =
                line(chart, "drawn", new double[] {0, 0, w, w}, new double[] {0, top, top, 0}, QUIET, null, 0.8f);
        drawn.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Area);
        drawn.setFillColor(new Color(0x8a, 0x94, 0x9e, 46));
        line(chart, "uncorrected", x, yBefore, BEFORE, null, 2);
        line(chart, "corrected", x, yAfter, AFTER, null, 2);
        line(chart, "threshold", new double[] {x[0], x[n - 1]}, new double[] {threshold, threshold}, INK, null, 1);
        return PlotStyle.picture(
                "energy-cut", "Energy across a line before and after; the grey band is the drawn line.", chart);
    }

    static Picture widthErrors(List<LineWidth> widths) {
        XYChart chart = PlotStyle.plot("Width errors", "density of the surroundings", "developed less drawn width, nm");
        chart.getStyler().setDefaultSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        chart.getStyler().setMarkerSize(8);
        chart.getStyler().setXAxisDecimalPattern("0.0#");
        points(chart, "uncorrected", widths, false);
        points(chart, "corrected", widths, true);
        return PlotStyle.picture(
                "width-errors",
                "Error of developed widths by the density of the surroundings, before and after.",
                chart);
    }

    private static void points(XYChart chart, String name, List<LineWidth> widths, boolean corrected) {
        List<LineWidth> good = widths.stream()
                .filter(w -> Double.isFinite(corrected ? w.correctedUm() : w.uncorrectedUm()))
                .toList();
        if (good.isEmpty()) {
            return;
        }
        double[] x = good.stream().mapToDouble(w -> w.gauge().density()).toArray();
        double[] y = good.stream()
                .mapToDouble(w -> corrected ? w.correctedErrorNm() : w.uncorrectedErrorNm())
                .toArray();
        XYSeries series = chart.addSeries(name, x, y);
        series.setMarker(corrected ? SeriesMarkers.CIRCLE : SeriesMarkers.DIAMOND);
        series.setMarkerColor(corrected ? AFTER : BEFORE);
    }

    static Picture sensitivity(Sensitivity s) {
        CategoryChart chart = new CategoryChartBuilder()
                .width(PlotStyle.WIDTH)
                .height(PlotStyle.HEIGHT)
                .title("Sensitivity of widths")
                .xAxisTitle("if the true value is")
                .yAxisTitle("mean change of width, nm")
                .build();
        PlotStyle.apply(chart.getStyler());
        chart.getStyler().setAvailableSpaceFill(0.5);
        List<String> names = new ArrayList<>();
        List<Double> down = new ArrayList<>();
        List<Double> up = new ArrayList<>();
        for (Sensitivity.Effect e : s.effects()) {
            if (e.percent() < 0) {
                names.add(e.parameter());
                down.add(e.changes().mean());
            } else {
                up.add(e.changes().mean());
            }
        }
        chart.addSeries(NumberText.plain(s.percent(), 3) + " % smaller", names, down)
                .setFillColor(BEFORE);
        chart.addSeries(NumberText.plain(s.percent(), 3) + " % larger", names, up)
                .setFillColor(AFTER);
        return PlotStyle.picture("sensitivity", "Mean change of the measured widths if a parameter is off.", chart);
    }

    private static XYSeries line(
            XYChart chart, String name, double[] x, double[] y, Color colour, Marker marker, float width) {
        XYSeries series = chart.addSeries(name, x, y);
        series.setLineColor(colour);
        series.setLineStyle(new BasicStroke(width));
        series.setMarker(marker == null ? SeriesMarkers.NONE : marker);
        series.setMarkerColor(colour);
        return series;
    }
}
