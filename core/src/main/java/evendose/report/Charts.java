package evendose.report;

import de.erichseifert.vectorgraphics2d.Document;
import de.erichseifert.vectorgraphics2d.VectorGraphics2D;
import de.erichseifert.vectorgraphics2d.svg.SVGProcessor;
import de.erichseifert.vectorgraphics2d.util.PageSize;
import evendose.pieces.Pieces;
import evendose.verification.Exposure;
import evendose.verification.LineWidth;
import evendose.verification.PointEnergy;
import evendose.verification.Sensitivity;
import evendose.verification.WidthGauge;
import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Pattern;
import org.knowm.xchart.CategoryChart;
import org.knowm.xchart.CategoryChartBuilder;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYChartBuilder;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.internal.chartpart.Chart;
import org.knowm.xchart.style.AxesChartStyler;
import org.knowm.xchart.style.Styler;
import org.knowm.xchart.style.markers.Marker;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** The plots, all in one style. */
final class Charts {
    private static final Color BEFORE = new Color(0xc26a00);
    private static final Color AFTER = new Color(0x1f5a96);
    private static final Color INK = new Color(0x20262c);
    private static final Color GRID = new Color(0xdfe4e8);
    private static final Color QUIET = new Color(0x8a949e);
    private static final int WIDTH = 860;
    private static final int HEIGHT = 380;
    private static final int PNG_SCALE = 2;
    private static final int BINS = 60;

    private Charts() {}

    static Picture convergence(double[] history, double tolerance) {
        double[] x = new double[history.length];
        Arrays.setAll(x, i -> i);
        // A logarithmic axis has no place for 0.
        double[] y = Arrays.stream(history).map(r -> Math.max(r, 1e-12)).toArray();
        XYChart chart = xy("Convergence", "dose updates", "largest relative error of the criterion");
        chart.getStyler().setYAxisLogarithmic(true);
        chart.getStyler().setYAxisDecimalPattern("0.#E0");
        double end = Math.max(1, history.length - 1);
        chart.getStyler().setXAxisMin(0.0).setXAxisMax(end);
        chart.getStyler()
                .setxAxisTickLabelsFormattingFunction(v -> v == Math.rint(v) ? Long.toString(v.longValue()) : " ");
        line(chart, "largest error", x, y, AFTER, SeriesMarkers.CIRCLE, 2);
        line(chart, "tolerance", new double[] {0, end}, new double[] {tolerance, tolerance}, QUIET, null, 1.2f);
        return picture("convergence", "Largest error of the criterion after each dose update.", chart);
    }

    /** Area by dose factor, as a filled outline of bars. */
    static Picture histogram(Exposure exposure) {
        Pieces p = exposure.pieces();
        double low = Double.MAX_VALUE;
        double high = 0;
        for (int u = 0; u < p.units(); u++) {
            low = Math.min(low, exposure.factor(u));
            high = Math.max(high, exposure.factor(u));
        }
        double step = Ticks.step(Math.max(high - low, 0.01 * high), 8);
        double from = Math.floor(low / step) * step;
        double bin = (Math.ceil(high / step) * step - from) / BINS;
        double[] area = new double[BINS];
        double total = 0;
        for (int u = 0; u < p.units(); u++) {
            int k = (int) Math.min(BINS - 1, (exposure.factor(u) - from) / bin);
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                area[k] += p.areaUm2(i);
                total += p.areaUm2(i);
            }
        }
        double[] x = new double[2 * BINS + 2];
        double[] y = new double[x.length];
        for (int k = 0; k <= BINS; k++) {
            x[2 * k] = from + k * bin;
            x[2 * k + 1] = x[2 * k];
            y[2 * k] = k == 0 ? 0 : 100 * area[k - 1] / total;
            y[2 * k + 1] = k == BINS ? 0 : 100 * area[k] / total;
        }
        XYChart chart = xy("Dose factors by area", "dose factor", "share of the exposed area, %");
        chart.getStyler().setLegendVisible(false);
        chart.getStyler().setXAxisMin(from).setXAxisMax(from + BINS * bin).setYAxisMin(0.0);
        chart.getStyler().setXAxisDecimalPattern(high - low < 0.1 ? "0.0000" : "0.00");
        XYSeries series = line(chart, "area", x, y, AFTER, null, 1.4f);
        series.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Area);
        series.setFillColor(new Color(0x1f, 0x5a, 0x96, 90));
        return picture("dose-histogram", "Share of the exposed area at each dose factor.", chart);
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
        double threshold = exposure.threshold(g.layer());
        XYChart chart = xy(
                String.format(
                        Locale.ROOT, "Energy across the line at (%.2f, %.2f) \u00b5m", g.middleXUm(), g.middleYUm()),
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
        return picture("energy-cut", "Energy across a line before and after; the grey band is the drawn line.", chart);
    }

    static Picture widthErrors(List<LineWidth> widths) {
        XYChart chart = xy("Width errors", "density of the surroundings", "developed less drawn width, nm");
        chart.getStyler().setDefaultSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        chart.getStyler().setMarkerSize(8);
        points(chart, "uncorrected", widths, false);
        points(chart, "corrected", widths, true);
        return picture(
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
                .width(WIDTH)
                .height(HEIGHT)
                .title("Sensitivity of widths")
                .xAxisTitle("what is off")
                .yAxisTitle("mean change of width, nm")
                .build();
        style(chart.getStyler());
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
        chart.addSeries(String.format(Locale.ROOT, "%.3g %% too small", s.percent()), names, down)
                .setFillColor(BEFORE);
        chart.addSeries(String.format(Locale.ROOT, "%.3g %% too large", s.percent()), names, up)
                .setFillColor(AFTER);
        return picture("sensitivity", "Mean change of the measured widths if a parameter is off.", chart);
    }

    private static XYChart xy(String title, String x, String y) {
        XYChart chart = new XYChartBuilder()
                .width(WIDTH)
                .height(HEIGHT)
                .title(title)
                .xAxisTitle(x)
                .yAxisTitle(y)
                .build();
        style(chart.getStyler());
        return chart;
    }

    private static void style(AxesChartStyler styler) {
        styler.setChartBackgroundColor(Color.WHITE);
        styler.setPlotBackgroundColor(Color.WHITE);
        styler.setPlotBorderColor(QUIET);
        styler.setPlotGridLinesColor(GRID);
        styler.setPlotGridLinesStroke(new BasicStroke(1f));
        styler.setChartFontColor(INK);
        styler.setChartTitleFont(new Font(Font.SANS_SERIF, Font.BOLD, 15));
        styler.setChartTitleBoxVisible(false);
        styler.setAxisTitleFont(new Font(Font.SANS_SERIF, Font.PLAIN, 13));
        styler.setAxisTickLabelsFont(new Font(Font.SANS_SERIF, Font.PLAIN, 12));
        styler.setAxisTickLabelsColor(INK);
        styler.setAxisTickMarksColor(QUIET);
        styler.setLegendFont(new Font(Font.SANS_SERIF, Font.PLAIN, 12));
        styler.setLegendPosition(Styler.LegendPosition.OutsideE);
        styler.setLegendBorderColor(Color.WHITE);
        styler.setChartPadding(10);
        styler.setLocale(Locale.ROOT);
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

    /** Clip paths are named after hash codes, which differ from run to run; they are counted instead. */
    private static String withPlainNames(String svg) {
        Map<String, String> names = new LinkedHashMap<>();
        return Pattern.compile("clip-?\\d+")
                .matcher(svg)
                .replaceAll(m -> names.computeIfAbsent(m.group(), k -> "clip" + names.size()));
    }

    private static Picture picture(String name, String caption, Chart<?, ?> chart) {
        return new Picture(name, caption, () -> png(chart), svg(chart));
    }

    private static byte[] png(Chart<?, ?> chart) {
        BufferedImage image = new BufferedImage(PNG_SCALE * WIDTH, PNG_SCALE * HEIGHT, BufferedImage.TYPE_INT_RGB);
        Graphics2D graphics = image.createGraphics();
        graphics.setRenderingHint(RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
        graphics.scale(PNG_SCALE, PNG_SCALE);
        chart.paint(graphics, WIDTH, HEIGHT);
        graphics.dispose();
        return MapFrame.png(image);
    }

    private static String svg(Chart<?, ?> chart) {
        VectorGraphics2D graphics = new VectorGraphics2D();
        chart.paint(graphics, WIDTH, HEIGHT);
        Document document = new SVGProcessor().getDocument(graphics.getCommands(), new PageSize(0, 0, WIDTH, HEIGHT));
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        try {
            document.writeTo(out);
        } catch (IOException e) {
            throw new UncheckedIOException("memory can always be written to", e);
        }
        return withPlainNames(out.toString(StandardCharsets.UTF_8));
    }
}
