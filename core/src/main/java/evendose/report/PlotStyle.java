package evendose.report;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Dimension;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.image.BufferedImage;
import java.io.StringWriter;
import java.io.UncheckedIOException;
import java.util.List;
import java.util.Locale;
import javax.xml.parsers.DocumentBuilderFactory;
import javax.xml.parsers.ParserConfigurationException;
import org.apache.batik.svggen.SVGGeneratorContext;
import org.apache.batik.svggen.SVGGraphics2D;
import org.apache.batik.svggen.SVGGraphics2DIOException;
import org.apache.batik.svggen.SVGIDGenerator;
import org.knowm.xchart.CategoryChart;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYChartBuilder;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.internal.chartpart.Chart;
import org.knowm.xchart.style.AxesChartStyler;
import org.knowm.xchart.style.Styler;
import org.knowm.xchart.style.markers.Marker;
import org.knowm.xchart.style.markers.SeriesMarkers;
import org.w3c.dom.Document;

/** How line plots look: one size, one set of inks that colour-blind people can tell apart also by lightness, no ornament. */
final class PlotStyle {
    static final Color BLUE = new Color(0x1f5a96);
    static final Color ORANGE = new Color(0xc26a00);
    static final Color INK = new Color(0x20262c);
    static final Color QUIET = new Color(0x8a949e);

    /** For series without an order: dark and light alternate. */
    static final List<Color> SERIES =
            List.of(BLUE, ORANGE, new Color(0x4d9e8f), new Color(0x7a3e6d), new Color(0x6fa8dc), new Color(0x5b6470));

    /** For series of points without an order. */
    static final List<Marker> MARKERS =
            List.of(SeriesMarkers.CIRCLE, SeriesMarkers.DIAMOND, SeriesMarkers.SQUARE, SeriesMarkers.TRIANGLE_UP);

    private static final Color GRID = new Color(0xdfe4e8);
    static final int WIDTH = 860;
    static final int HEIGHT = 380;
    private static final int PNG_SCALE = 2;

    private PlotStyle() {}

    static XYChart plot(String title, String x, String y) {
        XYChart chart = new XYChartBuilder()
                .width(WIDTH)
                .height(HEIGHT)
                .title(title)
                .xAxisTitle(x)
                .yAxisTitle(y)
                .build();
        apply(chart.getStyler());
        return chart;
    }

    /** The look of any chart with axes. */
    static void apply(AxesChartStyler styler) {
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

    static XYSeries line(XYChart chart, String name, double[] x, double[] y, Color colour, float width) {
        XYSeries series = chart.addSeries(name, x, y);
        series.setLineColor(colour);
        series.setLineStyle(new BasicStroke(width));
        series.setMarker(SeriesMarkers.NONE);
        return series;
    }

    static XYSeries dashed(XYChart chart, String name, double[] x, double[] y, Color colour, float width) {
        XYSeries series = line(chart, name, x, y, colour, width);
        series.setLineStyle(
                new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_ROUND, 10, new float[] {6, 4}, 0));
        return series;
    }

    static XYSeries points(XYChart chart, String name, double[] x, double[] y, Color colour, Marker marker) {
        XYSeries series = chart.addSeries(name, x, y);
        series.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        series.setMarker(marker);
        series.setMarkerColor(colour);
        return series;
    }

    /**
     * Ends of a logarithmic axis that holds all values: whole decades if they span many, else just beyond the values.
     */
    static double[] decades(double least, double most) {
        return new double[] {
            Math.pow(10, Math.floor(Math.log10(least) + 1e-9)), Math.pow(10, Math.ceil(Math.log10(most) - 1e-9))
        };
    }

    /** Makes both axes logarithmic, between the ends given. */
    static void logarithmic(XYChart chart, double[] x, double[] y) {
        chart.getStyler().setXAxisLogarithmic(true).setYAxisLogarithmic(true);
        chart.getStyler().setXAxisMin(x[0]).setXAxisMax(x[1]).setYAxisMin(y[0]).setYAxisMax(y[1]);
        chart.getStyler().setXAxisDecimalPattern(pattern(x)).setYAxisDecimalPattern(pattern(y));
    }

    /** How the numbers on a logarithmic axis are written: all in full or all as powers of ten; left alone, XChart changes over at 1,000. */
    static String pattern(double... ends) {
        return ends[0] < 0.9e-4 || ends[1] > 1.1e5 ? "0.#E0" : "0.####";
    }

    static Picture picture(String name, String caption, XYChart chart) {
        return anyPicture(name, caption, chart);
    }

    static Picture picture(String name, String caption, CategoryChart chart) {
        return anyPicture(name, caption, chart);
    }

    private static Picture anyPicture(String name, String caption, Chart<?, ?> chart) {
        return new Picture(name, caption, () -> png(chart), svg(name, chart));
    }

    private static byte[] png(Chart<?, ?> chart) {
        BufferedImage image = new BufferedImage(PNG_SCALE * WIDTH, PNG_SCALE * HEIGHT, BufferedImage.TYPE_INT_RGB);
        Graphics2D graphics = image.createGraphics();
        graphics.setRenderingHint(RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
        graphics.scale(PNG_SCALE, PNG_SCALE);
        chart.paint(graphics, WIDTH, HEIGHT);
        graphics.dispose();
        return Picture.png(image);
    }

    private static String svg(String name, Chart<?, ?> chart) {
        SVGGeneratorContext context = SVGGeneratorContext.createDefault(emptySvg());
        context.setComment(null);
        context.setPrecision(2);
        // Several pictures stand in one page, so what one refers to must have a name of its own.
        context.setIDGenerator(new SVGIDGenerator() {
            @Override
            public String generateID(String prefix) {
                return name + "-" + super.generateID(prefix);
            }
        });
        SVGGraphics2D graphics = new SVGGraphics2D(context, false);
        graphics.setSVGCanvasSize(new Dimension(WIDTH, HEIGHT));
        chart.paint(graphics, WIDTH, HEIGHT);
        StringWriter out = new StringWriter();
        try {
            graphics.stream(out, true);
        } catch (SVGGraphics2DIOException e) {
            throw new UncheckedIOException("memory can always be written to", e);
        }
        return out.toString();
    }

    private static Document emptySvg() {
        try {
            return DocumentBuilderFactory.newDefaultNSInstance()
                    .newDocumentBuilder()
                    .getDOMImplementation()
                    .createDocument(SVGGraphics2D.SVG_NAMESPACE_URI, "svg", null);
        } catch (ParserConfigurationException e) {
            throw new IllegalStateException("every Java has a parser with default settings", e);
        }
    }
}
