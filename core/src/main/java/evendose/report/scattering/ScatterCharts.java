package evendose.report.scattering;

import evendose.files.NumberText;
import evendose.psf.PointSpreadFunction;
import evendose.psf.ProfileFit;
import evendose.psf.RadialModel;
import evendose.psf.RadialProfile;
import evendose.report.Picture;
import evendose.scattering.EnergySweep;
import evendose.scattering.ScatteringFits;
import evendose.scattering.ScatteringResult;
import evendose.scattering.StoppingPower;
import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.function.DoubleUnaryOperator;
import org.knowm.xchart.BitmapEncoder;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYChartBuilder;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.Styler;
import org.knowm.xchart.style.XYStyler;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** Charts of profiles and point spread functions, as PNG files; colours are those of M. Okabe and K. Ito, safe for colour-blind eyes. */
public final class ScatterCharts {
    static final Color BLACK = new Color(0x000000);
    static final Color ORANGE = new Color(0xE69F00);
    static final Color SKY = new Color(0x56B4E9);
    static final Color GREEN = new Color(0x009E73);
    static final Color BLUE = new Color(0x0072B2);
    static final Color VERMILION = new Color(0xD55E00);
    static final Color PURPLE = new Color(0xCC79A7);
    static final Color GREY = new Color(0x999999);

    private static final int WIDTH = 1200;
    private static final int HEIGHT = 800;
    private static final int POINTS = 400;
    private static final float[] DASHED = {12, 6};
    private static final float[] DOTTED = {3, 5};
    private static final float[] DASH_DOT = {12, 5, 3, 5};

    private ScatterCharts() {}

    /** The simulated profile with its error band and the fits, density against radius. */
    public static byte[] profile(ScatteringFits fits) {
        ScatteringResult result = fits.result();
        RadialProfile profile = result.profile();
        XYChart chart = chart(
                String.format(
                        Locale.ROOT,
                        "%s, %s keV, %,d electrons",
                        result.stack().describe(),
                        NumberText.plain(result.settings().energyKev(), 6),
                        result.electrons()),
                "radius (um)",
                "energy density (1/um^2)",
                WIDTH);
        List<Integer> rings = new ArrayList<>();
        for (int i = 0; i < profile.size(); i++) {
            if (profile.energy(i) > 0 && profile.standardError(i) < 0.5 * profile.energy(i)) {
                rings.add(i);
            }
        }
        double total = profile.total();
        int n = rings.size();
        double[] x = new double[n];
        double[] low = new double[n];
        double[] middle = new double[n];
        double[] high = new double[n];
        for (int j = 0; j < n; j++) {
            int i = rings.get(j);
            double scale = 1 / (total * profile.areaUm2(i));
            x[j] = profile.radiusUm(i);
            middle[j] = profile.energy(i) * scale;
            low[j] = (profile.energy(i) - 2 * profile.standardError(i)) * scale;
            high[j] = (profile.energy(i) + 2 * profile.standardError(i)) * scale;
        }
        double floor = Arrays.stream(middle).min().orElse(1) / 10;
        low = Arrays.stream(low).map(v -> Math.max(v, floor)).toArray();
        line(chart, "simulated", x, middle, BLACK, 3, null);
        line(chart, "two standard errors", x, low, GREY, 1.2f, null);
        XYSeries upper = line(chart, "upper bound", x, high, GREY, 1.2f, null);
        upper.setShowInLegend(false);
        part(chart, "returning part", result.returning(), total, floor);
        Color[] colours = {VERMILION, ORANGE, SKY, BLUE};
        float[][] dashes = {DASHED, DASH_DOT, DOTTED, null};
        int k = 0;
        double from = x[0];
        double to = x[n - 1];
        for (ProfileFit fit : fits.all()) {
            XYSeries series = curve(chart, fit.form(), from, to, floor, fit.model()::density, colours[k], dashes[k]);
            if (fit == fits.ladder()) {
                // It lies on the simulated line and should leave that visible.
                series.setLineStyle(new BasicStroke(1.2f));
            }
            k++;
        }
        return png(chart);
    }

    private static void part(XYChart chart, String name, RadialProfile profile, double total, double floor) {
        int[] rings = java.util.stream.IntStream.range(0, profile.size())
                .filter(i -> profile.standardError(i) < 0.5 * profile.energy(i)
                        && profile.energy(i) / (total * profile.areaUm2(i)) > floor)
                .toArray();
        if (rings.length < 2) {
            return;
        }
        double[] x = Arrays.stream(rings).mapToDouble(profile::radiusUm).toArray();
        double[] y = Arrays.stream(rings)
                .mapToDouble(i -> profile.energy(i) / (total * profile.areaUm2(i)))
                .toArray();
        line(chart, name, x, y, GREEN, 2, DOTTED);
    }

    /** A point spread function: density, and energy beyond a radius. */
    public static byte[] psf(String title, PointSpreadFunction psf) {
        double from = psf.direct().rangeUm() / 10;
        double to = psf.longestUm() * 4;
        XYChart density = chart(title, "radius (um)", "energy density (1/um^2)", WIDTH / 2 + 100);
        double floor = psf.density(to / 1.6) / 3;
        curve(density, "sum", from, to, floor, psf::density, BLACK, null);
        for (int k = 0; k < psf.terms().size() && psf.terms().size() > 1; k++) {
            PointSpreadFunction one =
                    PointSpreadFunction.from(List.of(psf.terms().get(k)));
            double weight = psf.terms().get(k).weight();
            XYSeries series = curve(
                    density,
                    "term " + (k + 1),
                    from,
                    to,
                    floor,
                    r -> weight * one.density(r),
                    k % 2 == 0 ? BLUE : VERMILION,
                    DOTTED);
            series.setShowInLegend(psf.terms().size() <= 4);
        }
        XYChart share = chart("energy beyond a radius", "radius (um)", "share of the energy", WIDTH / 2 + 100);
        share.getStyler().setYAxisMin(1e-4);
        share.getStyler().setYAxisMax(1.0);
        share.getStyler().setLegendVisible(false);
        curve(share, "share", from, to, 1e-4, psf::shareBeyond, BLACK, null);
        BufferedImage left = BitmapEncoder.getBufferedImage(density);
        BufferedImage right = BitmapEncoder.getBufferedImage(share);
        BufferedImage both =
                new BufferedImage(left.getWidth() + right.getWidth(), left.getHeight(), BufferedImage.TYPE_INT_RGB);
        Graphics2D g = both.createGraphics();
        g.drawImage(left, 0, 0, null);
        g.drawImage(right, left.getWidth(), 0, null);
        g.dispose();
        return Picture.png(both);
    }

    /** A measured profile and the function fitted to it. */
    public static byte[] fit(String title, RadialProfile profile, RadialModel model) {
        XYChart chart = chart(title, "radius (um)", "energy density (1/um^2)", WIDTH);
        int[] rings = java.util.stream.IntStream.range(0, profile.size())
                .filter(i -> profile.energy(i) > 0)
                .toArray();
        double total = profile.total();
        double[] x = Arrays.stream(rings).mapToDouble(profile::radiusUm).toArray();
        double[] y = Arrays.stream(rings)
                .mapToDouble(i -> profile.energy(i) / (total * profile.areaUm2(i)))
                .toArray();
        XYSeries points = chart.addSeries("measured", x, y);
        points.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        points.setMarker(SeriesMarkers.CIRCLE).setMarkerColor(BLACK);
        double floor = Arrays.stream(y).min().orElse(1) / 10;
        curve(chart, "fitted", x[0], x[x.length - 1], floor, model::density, VERMILION, null);
        return png(chart);
    }

    /** Ranges against beam energy. */
    public static byte[] sweep(EnergySweep sweep) {
        int n = sweep.runs().size();
        double[] x = new double[n];
        double[] beta = new double[n];
        double[] error = new double[n];
        double[] kanaya = new double[n];
        double[] csda = new double[n];
        double meanX = 0;
        double meanY = 0;
        for (int i = 0; i < n; i++) {
            x[i] = sweep.energyKev(i);
            beta[i] = sweep.betaUm(i).value();
            error[i] = 2 * sweep.betaUm(i).standardError();
            kanaya[i] = StoppingPower.kanayaOkayamaRangeUm(sweep.substrate(), x[i]);
            csda[i] = StoppingPower.rangeUm(sweep.substrate(), x[i]);
            meanX += Math.log(x[i]) / n;
            meanY += Math.log(beta[i]) / n;
        }
        double p = sweep.exponent().value();
        double[] power = new double[n];
        for (int i = 0; i < n; i++) {
            power[i] = Math.exp(meanY + p * (Math.log(x[i]) - meanX));
        }
        XYChart chart =
                chart(sweep.runs().get(0).result().stack().describe(), "beam energy (keV)", "range (um)", WIDTH);
        chart.getStyler().setLegendPosition(Styler.LegendPosition.InsideSE);
        chart.getStyler().setXAxisMin(decade(x[0], false));
        chart.getStyler().setXAxisMax(decade(x[n - 1], true));
        chart.getStyler().setYAxisMin(decade(beta[0], false));
        chart.getStyler().setYAxisMax(decade(csda[n - 1], true));
        XYSeries points = chart.addSeries("backscatter range (double Gaussian)", x, beta, error);
        points.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        points.setMarker(SeriesMarkers.CIRCLE).setMarkerColor(BLACK);
        line(chart, String.format(Locale.ROOT, "power law, exponent %.3f", p), x, power, VERMILION, 2, null);
        line(chart, "Kanaya-Okayama range, " + sweep.substrate().name(), x, kanaya, BLUE, 2, DASHED);
        line(chart, "path length (CSDA), " + sweep.substrate().name(), x, csda, GREEN, 2, DOTTED);
        return png(chart);
    }

    /** The power of ten at or below a value, or at or above it. */
    private static double decade(double value, boolean up) {
        double log = Math.log10(value);
        return Math.pow(10, up ? Math.ceil(log - 1e-9) : Math.floor(log + 1e-9));
    }

    private static XYChart chart(String title, String xTitle, String yTitle, int width) {
        XYChart chart = new XYChartBuilder()
                .width(width)
                .height(HEIGHT)
                .title(title)
                .xAxisTitle(xTitle)
                .yAxisTitle(yTitle)
                .build();
        XYStyler style = chart.getStyler();
        style.setDefaultSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Line);
        style.setXAxisLogarithmic(true);
        style.setYAxisLogarithmic(true);
        style.setChartBackgroundColor(Color.WHITE);
        style.setPlotGridLinesColor(new Color(0xDDDDDD));
        style.setLegendPosition(Styler.LegendPosition.InsideNE);
        style.setLegendBackgroundColor(Color.WHITE);
        style.setLegendFont(new Font(Font.SANS_SERIF, Font.PLAIN, 18));
        style.setChartTitleFont(new Font(Font.SANS_SERIF, Font.BOLD, 20));
        style.setAxisTitleFont(new Font(Font.SANS_SERIF, Font.PLAIN, 20));
        style.setAxisTickLabelsFont(new Font(Font.SANS_SERIF, Font.PLAIN, 17));
        style.setLocale(Locale.ROOT);
        return chart;
    }

    private static XYSeries curve(
            XYChart chart,
            String name,
            double from,
            double to,
            double floor,
            DoubleUnaryOperator f,
            Color colour,
            float[] dash) {
        List<Double> x = new ArrayList<>();
        List<Double> y = new ArrayList<>();
        for (int i = 0; i <= POINTS; i++) {
            double r = from * Math.pow(to / from, i / (double) POINTS);
            double v = f.applyAsDouble(r);
            // A gap where the curve is below the picture.
            x.add(r);
            y.add(v > floor ? v : Double.NaN);
        }
        return line(
                chart,
                name,
                x.stream().mapToDouble(v -> v).toArray(),
                y.stream().mapToDouble(v -> v).toArray(),
                colour,
                2.2f,
                dash);
    }

    private static XYSeries line(
            XYChart chart, String name, double[] x, double[] y, Color colour, float width, float[] dash) {
        XYSeries series = chart.addSeries(name, x, y);
        series.setMarker(SeriesMarkers.NONE);
        series.setLineColor(colour);
        series.setLineStyle(
                dash == null
                        ? new BasicStroke(width, BasicStroke.CAP_ROUND, BasicStroke.JOIN_ROUND)
                        : new BasicStroke(width, BasicStroke.CAP_BUTT, BasicStroke.JOIN_ROUND, 1, dash, 0));
        return series;
    }

    private static byte[] png(XYChart chart) {
        return Picture.png(BitmapEncoder.getBufferedImage(chart));
    }
}
