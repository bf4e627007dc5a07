package evendose.report.scattering;

import evendose.files.NumberText;
import evendose.psf.MeasuredFit;
import evendose.psf.MeasuredProfile;
import evendose.psf.PointSpreadFunction;
import evendose.psf.ProfileFit;
import evendose.psf.RadialProfile;
import evendose.report.DrawingLibraries;
import evendose.report.Picture;
import evendose.scattering.Estimate;
import evendose.scattering.FormFit;
import evendose.scattering.LeavingElectrons;
import evendose.scattering.ScatteringFits;
import evendose.scattering.ScatteringResult;
import evendose.scattering.ScatteringSettings;
import evendose.scattering.ScatteringStudy;
import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.function.DoubleUnaryOperator;
import java.util.function.IntToDoubleFunction;
import java.util.function.ToDoubleFunction;
import java.util.stream.IntStream;
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

    private static final List<Color> SERIES = List.of(BLUE, VERMILION, GREEN, ORANGE, PURPLE, SKY, BLACK, GREY);

    private static final int WIDTH = 1200;
    private static final int HEIGHT = 800;
    private static final String PLAIN = "0.######";
    private static final String POWERS = "0.#E0";
    private static final int PANEL_WIDTH = 900;
    private static final int POINTS = 400;
    private static final int MOST_SLICES = 5;
    private static final float[] DASHED = {12, 6};
    private static final float[] DOTTED = {3, 5};
    private static final float[] DASH_DOT = {12, 5, 3, 5};

    private ScatterCharts() {}

    /**
     * The simulated profile with its error band and the fits, density against radius.
     *
     * @param fits forms fitted to the simulation
     * @return the bytes of a PNG file
     */
    public static byte[] profile(ScatteringFits fits) {
        DrawingLibraries.require();
        ScatteringResult result = fits.result();
        RadialProfile profile = result.profile();
        XYChart chart = chart(title(result), "radius (um)", "energy density (1/um^2)", WIDTH);
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
        for (FormFit form : fits.forms()) {
            if (form.sound().isPresent()) {
                ProfileFit fit = form.sound().get();
                XYSeries series =
                        curve(chart, fit.form(), from, to, floor, fit.model()::density, colours[k], dashes[k]);
                if (form == fits.ladder()) {
                    // It lies on the simulated line and should leave that visible.
                    series.setLineStyle(new BasicStroke(1.2f));
                }
            }
            k++;
        }
        return png(chart);
    }

    private static String title(ScatteringResult result) {
        ScatteringSettings settings = result.settings();
        return String.format(
                Locale.ROOT,
                "%s, %s keV%s, %,d electrons",
                result.stack().describe(),
                NumberText.plain(settings.energyKev(), 6),
                settings.tiltDeg() > 0 ? ", tilted by " + NumberText.plain(settings.tiltDeg(), 4) + " degrees" : "",
                result.electrons());
    }

    /**
     * Profiles of slices of the resist, from its top (light) to its bottom (dark), with bars of one standard error.
     *
     * @param fits forms fitted to the simulation
     * @return the bytes of a PNG file
     */
    public static byte[] depthProfiles(ScatteringFits fits) {
        DrawingLibraries.require();
        ScatteringResult result = fits.result();
        XYChart chart = chart(title(result), "radius (um)", "energy density in the slice (1/um^2)", WIDTH);
        int slices = result.sliceProfiles().size();
        int shown = Math.min(slices, MOST_SLICES);
        for (int k = 0; k < shown; k++) {
            // Even steps from the first slice to the last.
            int d = shown == 1 ? 0 : Math.round((float) k * (slices - 1) / (shown - 1));
            RadialProfile slice = result.sliceProfiles().get(d);
            double total = slice.total();
            int[] rings = IntStream.range(0, slice.size())
                    .filter(i -> slice.energy(i) > 0 && slice.standardError(i) < 0.3 * slice.energy(i))
                    .toArray();
            if (rings.length < 2) {
                continue;
            }
            String name = String.format(
                    Locale.ROOT,
                    "%s to %s nm",
                    NumberText.plain(1e3 * result.depthUm() * d / slices, 4),
                    NumberText.plain(1e3 * result.depthUm() * (d + 1) / slices, 4));
            XYSeries series = chart.addSeries(
                    name,
                    Arrays.stream(rings).mapToDouble(slice::radiusUm).toArray(),
                    Arrays.stream(rings)
                            .mapToDouble(i -> slice.energy(i) / (total * slice.areaUm2(i)))
                            .toArray(),
                    Arrays.stream(rings)
                            .mapToDouble(i -> slice.standardError(i) / (total * slice.areaUm2(i)))
                            .toArray());
            Color colour = shade(slices < 2 ? 1 : d / (slices - 1.0));
            series.setMarker(SeriesMarkers.NONE).setLineColor(colour);
            series.setLineStyle(new BasicStroke(1.8f));
        }
        return png(chart);
    }

    /** Light orange at 0, over vermilion, to near black at 1: lightness alone tells the order. */
    private static Color shade(double place) {
        return Color.getHSBColor(
                (float) (0.11 - 0.07 * place), (float) (0.55 + 0.45 * place), (float) (0.98 - 0.75 * place));
    }

    /**
     * Energy and angle of the electrons that leave through the surface, with bars of one standard error.
     *
     * @param fits forms fitted to the simulation
     * @return the bytes of a PNG file
     */
    public static byte[] leaving(ScatteringFits fits) {
        DrawingLibraries.require();
        LeavingElectrons leaving = fits.result().leaving();
        int energies = leaving.primariesByEnergy().size();
        double width = leaving.energyKev(1);
        XYChart spectrum = chart(
                "electrons out through the surface, by energy",
                "energy (keV)",
                "per beam electron and keV",
                PANEL_WIDTH);
        bins(
                spectrum,
                leaving.primariesByEnergy(),
                leaving.secondariesByEnergy(),
                i -> leaving.energyKev(i) + width / 2,
                i -> width);
        int angles = leaving.primariesByAngle().size();
        XYChart directions =
                chart(title(fits.result()), "angle from the normal (degrees)", "per beam electron and sr", PANEL_WIDTH);
        bins(
                directions,
                leaving.primariesByAngle(),
                leaving.secondariesByAngle(),
                i -> (leaving.angleDeg(i) + leaving.angleDeg(i + 1)) / 2,
                leaving::solidAngleSr);
        linear(spectrum, leaving.energyKev(energies));
        linear(directions, leaving.angleDeg(angles));
        spectrum.getStyler().setLegendPosition(Styler.LegendPosition.InsideNW);
        return Picture.png(grid(List.of(spectrum, directions), 2));
    }

    private static void linear(XYChart chart, double xMax) {
        chart.getStyler().setXAxisLogarithmic(false);
        chart.getStyler().setYAxisLogarithmic(false);
        chart.getStyler().setYAxisDecimalPattern(PLAIN);
        chart.getStyler().setXAxisMin(0.0);
        chart.getStyler().setXAxisMax(xMax);
        chart.getStyler().setYAxisMin(0.0);
    }

    private static void bins(
            XYChart chart,
            List<Estimate> primaries,
            List<Estimate> secondaries,
            IntToDoubleFunction place,
            IntToDoubleFunction size) {
        int n = primaries.size();
        double[] x = IntStream.range(0, n).mapToDouble(place).toArray();
        double[] sizes = IntStream.range(0, n).mapToDouble(size).toArray();
        bars(chart, "beam electrons", x, primaries, sizes, BLUE);
        if (secondaries.stream().anyMatch(e -> e.value() > 0)) {
            bars(chart, "fast secondaries", x, secondaries, sizes, VERMILION);
        }
    }

    private static void bars(
            XYChart chart, String name, double[] x, List<Estimate> values, double[] sizes, Color colour) {
        int n = values.size();
        XYSeries series = chart.addSeries(
                name,
                x,
                IntStream.range(0, n)
                        .mapToDouble(i -> values.get(i).value() / sizes[i])
                        .toArray(),
                IntStream.range(0, n)
                        .mapToDouble(i -> values.get(i).standardError() / sizes[i])
                        .toArray());
        series.setMarker(SeriesMarkers.CIRCLE).setMarkerColor(colour).setLineColor(colour);
        series.setLineStyle(new BasicStroke(1.5f));
    }

    private static void part(XYChart chart, String name, RadialProfile profile, double total, double floor) {
        int[] rings = IntStream.range(0, profile.size())
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

    /**
     * A point spread function: density, and energy beyond a radius.
     *
     * @param title title above the picture
     * @param psf the point spread function
     * @return the bytes of a PNG file
     */
    public static byte[] psf(String title, PointSpreadFunction psf) {
        DrawingLibraries.require();
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
        return Picture.png(grid(List.of(density, share), 2));
    }

    private static BufferedImage grid(List<XYChart> charts, int columns) {
        List<BufferedImage> images = charts.stream().map(ChartImage::of).toList();
        int width = images.get(0).getWidth();
        int height = images.get(0).getHeight();
        int rows = (images.size() + columns - 1) / columns;
        BufferedImage all = new BufferedImage(columns * width, rows * height, BufferedImage.TYPE_INT_RGB);
        Graphics2D g = all.createGraphics();
        for (int i = 0; i < images.size(); i++) {
            g.drawImage(images.get(i), i % columns * width, i / columns * height, null);
        }
        g.dispose();
        return all;
    }

    /**
     * Measured densities where they were measured, with bars of one standard error, and the function fitted to them.
     *
     * @param title title above the picture
     * @param profile what was measured
     * @param fit the form fitted to it
     * @return the bytes of a PNG file
     */
    public static byte[] fit(String title, MeasuredProfile profile, MeasuredFit fit) {
        DrawingLibraries.require();
        XYChart chart = chart(title, "radius (um)", "energy density (1/um^2)", WIDTH);
        int[] shown = IntStream.range(0, profile.size())
                .filter(i -> profile.density(i) > 0)
                .toArray();
        double[] x = Arrays.stream(shown).mapToDouble(profile::radiusUm).toArray();
        double[] y = Arrays.stream(shown)
                .mapToDouble(i -> profile.density(i) / fit.scale())
                .toArray();
        // A bar that would reach below 0 ends just above: the axis is logarithmic.
        double[] error = Arrays.stream(shown)
                .mapToDouble(i -> Math.min(profile.standardError(i), 0.95 * profile.density(i)) / fit.scale())
                .toArray();
        int hidden = profile.size() - shown.length;
        String name = "measured" + (hidden == 0 ? "" : " (" + hidden + " at or below 0 not shown)");
        XYSeries points = profile.hasErrors() ? chart.addSeries(name, x, y, error) : chart.addSeries(name, x, y);
        points.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
        points.setMarker(SeriesMarkers.CIRCLE).setMarkerColor(BLACK).setLineColor(BLACK);
        double floor = Arrays.stream(y).min().orElse(1) / 3;
        chart.getStyler().setYAxisMin(decade(floor, false));
        chart.getStyler().setYAxisMax(decade(Arrays.stream(y).max().orElse(1) * 1.05, true));
        chart.getStyler().setXAxisMin(decade(x[0], false));
        chart.getStyler().setXAxisMax(decade(x[x.length - 1], true));
        curve(chart, fit.form(), x[0], x[x.length - 1], floor, r -> fit.expected(r) / fit.scale(), VERMILION, null);
        return png(chart);
    }

    /**
     * The numbers of a study against beam energy, a line for each stack and thickness.
     *
     * @param study the simulations
     * @return the bytes of a PNG file
     */
    public static byte[] againstEnergy(ScatteringStudy study) {
        DrawingLibraries.require();
        return against(study.byEnergy(), "beam energy (keV)", ScatteringStudy.Run::energyKev);
    }

    /**
     * The numbers of a study against the thickness of the resist, a line for each stack and energy.
     *
     * @param study the simulations
     * @return the bytes of a PNG file
     */
    public static byte[] againstThickness(ScatteringStudy study) {
        DrawingLibraries.require();
        return against(study.byThickness(), "resist (nm)", ScatteringStudy.Run::resistNm);
    }

    private static byte[] against(
            Map<String, List<ScatteringStudy.Run>> groups, String xTitle, ToDoubleFunction<ScatteringStudy.Run> place) {
        return panels((chart, quantity) -> {
            chart.setXAxisTitle(xTitle);
            chart.getStyler().setXAxisLogarithmic(true);
            chart.getStyler().setXAxisLogarithmicDecadeOnly(false);
            chart.getStyler().setYAxisLogarithmicDecadeOnly(false);
            int k = 0;
            double least = Double.POSITIVE_INFINITY;
            double most = 0;
            for (Map.Entry<String, List<ScatteringStudy.Run>> group : groups.entrySet()) {
                List<ScatteringStudy.Run> runs = sound(group.getValue(), quantity);
                for (ScatteringStudy.Run run : group.getValue()) {
                    least = Math.min(least, place.applyAsDouble(run));
                    most = Math.max(most, place.applyAsDouble(run));
                }
                if (!runs.isEmpty()) {
                    double[] x = runs.stream().mapToDouble(place).toArray();
                    errorBars(chart, group.getKey(), x, estimates(runs, quantity), k)
                            .setLineWidth(1.5f);
                }
                k++;
            }
            chart.getStyler().setXAxisMin(least / 1.2);
            chart.getStyler().setXAxisMax(most * 1.2);
        });
    }

    /**
     * The numbers of a study stack by stack, marks for each energy and thickness.
     *
     * @param study the simulations
     * @return the bytes of a PNG file
     */
    public static byte[] againstStack(ScatteringStudy study) {
        DrawingLibraries.require();
        List<String> names =
                study.runs().stream().map(ScatteringStudy.Run::name).distinct().toList();
        return panels((chart, quantity) -> {
            chart.setXAxisTitle(String.join("   |   ", names));
            chart.getStyler().setXAxisLogarithmic(false);
            chart.getStyler().setXAxisTicksVisible(false);
            chart.getStyler().setXAxisMin(0.5);
            chart.getStyler().setXAxisMax(names.size() + 0.5);
            chart.getStyler().setYAxisLogarithmicDecadeOnly(false);
            int k = 0;
            Map<String, List<ScatteringStudy.Run>> groups = study.byStack();
            for (Map.Entry<String, List<ScatteringStudy.Run>> group : groups.entrySet()) {
                // Side by side, so that marks and bars of one stack do not hide each other.
                double aside = 0.5 * ((k + 0.5) / groups.size() - 0.5);
                List<ScatteringStudy.Run> runs = sound(group.getValue(), quantity);
                if (!runs.isEmpty()) {
                    double[] x = runs.stream()
                            .mapToDouble(r -> names.indexOf(r.name()) + 1 + aside)
                            .toArray();
                    errorBars(chart, group.getKey(), x, estimates(runs, quantity), k)
                            .setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
                }
                k++;
            }
        });
    }

    private interface Panel {
        void fill(XYChart chart, ScatteringStudy.Quantity quantity);
    }

    private static byte[] panels(Panel panel) {
        List<XYChart> charts = new ArrayList<>();
        for (ScatteringStudy.Quantity quantity : ScatteringStudy.Quantity.values()) {
            XYChart chart = chart(quantity.label(), "", "", PANEL_WIDTH);
            chart.getStyler().setYAxisLogarithmic(quantity.logarithmic());
            chart.getStyler().setLegendPosition(Styler.LegendPosition.OutsideS);
            chart.getStyler().setYAxisDecimalPattern(PLAIN);
            if (!quantity.logarithmic()) {
                chart.getStyler().setYAxisMin(0.0);
            }
            panel.fill(chart, quantity);
            charts.add(chart);
        }
        return Picture.png(grid(charts, 2));
    }

    private static List<ScatteringStudy.Run> sound(List<ScatteringStudy.Run> runs, ScatteringStudy.Quantity quantity) {
        return runs.stream().filter(r -> quantity.of(r.fits()).value() > 0).toList();
    }

    private static List<Estimate> estimates(List<ScatteringStudy.Run> runs, ScatteringStudy.Quantity quantity) {
        return runs.stream().map(r -> quantity.of(r.fits())).toList();
    }

    private static XYSeries errorBars(XYChart chart, String name, double[] x, List<Estimate> values, int number) {
        Color colour = SERIES.get(number % SERIES.size());
        XYSeries series = chart.addSeries(
                name,
                x,
                values.stream().mapToDouble(Estimate::value).toArray(),
                values.stream()
                        .mapToDouble(e -> Math.min(e.standardError(), 0.95 * e.value()))
                        .toArray());
        series.setMarker(SeriesMarkers.CIRCLE).setMarkerColor(colour).setLineColor(colour);
        return series;
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
        // Left alone, the library writes some numbers of an axis in full and others as powers of ten.
        style.setXAxisDecimalPattern(PLAIN);
        style.setYAxisDecimalPattern(POWERS);
        style.setChartBackgroundColor(Color.WHITE);
        style.setPlotGridLinesColor(new Color(0xDDDDDD));
        style.setLegendPosition(Styler.LegendPosition.InsideNE);
        style.setLegendBackgroundColor(Color.WHITE);
        style.setLegendFont(new Font(Font.SANS_SERIF, Font.PLAIN, 18));
        style.setChartTitleFont(new Font(Font.SANS_SERIF, Font.BOLD, 20));
        style.setAxisTitleFont(new Font(Font.SANS_SERIF, Font.PLAIN, 20));
        style.setAxisTickLabelsFont(new Font(Font.SANS_SERIF, Font.PLAIN, 17));
        style.setErrorBarsColorSeriesColor(true);
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
        return Picture.png(ChartImage.of(chart));
    }
}
