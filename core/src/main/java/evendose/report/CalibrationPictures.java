package evendose.report;

import evendose.calibration.Calibration;
import evendose.calibration.FitResidual;
import evendose.calibration.Measurement;
import evendose.calibration.TestFigure;
import evendose.correction.ContrastCurve;
import evendose.correction.LayerDepth;
import evendose.files.NumberText;
import java.awt.Color;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.DoubleUnaryOperator;
import java.util.function.Predicate;
import java.util.function.ToDoubleFunction;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.markers.Marker;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** Pictures of a calibration, and the numbers they show ({@link CalibrationPlots}). */
public final class CalibrationPictures {
    private static final int CURVE_POINTS = 80;

    /** Beyond the measurements a curve goes on by this share, and an axis by that share of what it shows. */
    private static final double CURVE_BEYOND = 0.06;

    private static final double AXIS_BEYOND = 0.06;

    private final Calibration calibration;
    private final CalibrationPlots plots;

    private CalibrationPictures(Calibration calibration, CalibrationPlots plots) {
        this.calibration = calibration;
        this.plots = plots;
    }

    /**
     * {@return all pictures that the calibration gives rise to}
     *
     * @param calibration what was fitted
     * @param plots gets the numbers
     */
    public static List<Picture> all(Calibration calibration, CalibrationPlots plots) {
        DrawingLibraries.require();
        CalibrationPictures pictures = new CalibrationPictures(calibration, plots);
        List<Picture> all = new ArrayList<>();
        all.add(pictures.residuals());
        if (pictures.some(CalibrationPictures::isRing)) {
            all.add(pictures.rings());
        }
        if (pictures.some(CalibrationPictures::isDisc)) {
            all.add(pictures.discs());
        }
        if (pictures.some(CalibrationPictures::isWidth)) {
            all.add(pictures.widths());
        }
        return all;
    }

    private static boolean isRing(FitResidual r) {
        return r.measurement().figure() instanceof TestFigure.Ring ring && ring.innerRadiusUm() > 0;
    }

    private static boolean isDisc(FitResidual r) {
        return r.measurement().figure() instanceof TestFigure.Ring ring && ring.innerRadiusUm() == 0;
    }

    private static boolean isWidth(FitResidual r) {
        return r.measurement().kind() == Measurement.Kind.WIDTH;
    }

    private boolean some(Predicate<FitResidual> which) {
        return calibration.residuals().stream().anyMatch(which);
    }

    private static double[] values(List<FitResidual> residuals, ToDoubleFunction<FitResidual> value) {
        return residuals.stream().mapToDouble(value).toArray();
    }

    /** Standardised residuals by line of the table. */
    private Picture residuals() {
        XYChart chart = PlotStyle.plot(
                "Residuals", "line in the table of measurements", "measured less fitted, standard errors");
        double first = Double.MAX_VALUE;
        double last = 0;
        double most = 3;
        for (FitResidual r : calibration.residuals()) {
            first = Math.min(first, r.measurement().line());
            last = Math.max(last, r.measurement().line());
            most = Math.max(most, 1.1 * Math.abs(r.standardised()));
        }
        double[] x = {first - 1, last + 1};
        PlotStyle.dashed(chart, "2 standard errors", x, new double[] {2, 2}, PlotStyle.QUIET, 1.2f);
        PlotStyle.dashed(chart, "minus 2", x, new double[] {-2, -2}, PlotStyle.QUIET, 1.2f)
                .setShowInLegend(false);
        PlotStyle.line(chart, "fit", x, new double[] {0, 0}, PlotStyle.INK, 1.2f);
        residuals(chart, "clearing doses", r -> !isWidth(r) && !r.outlier(), 0, SeriesMarkers.CIRCLE);
        residuals(chart, "widths", r -> isWidth(r) && !r.outlier(), 2, SeriesMarkers.SQUARE);
        residuals(chart, "outliers", FitResidual::outlier, 1, SeriesMarkers.CROSS);
        chart.getStyler().setXAxisMin(x[0]).setXAxisMax(x[1]).setYAxisMin(-most).setYAxisMax(most);
        chart.getStyler().setMarkerSize(8);
        return PlotStyle.picture(
                "calibration-residuals", "How far each measurement lies off the fit, in standard errors.", chart);
    }

    private void residuals(XYChart chart, String name, Predicate<FitResidual> which, int ink, Marker marker) {
        List<FitResidual> some = calibration.residuals().stream().filter(which).toList();
        if (!some.isEmpty()) {
            double[] x = values(some, r -> r.measurement().line());
            double[] y = values(some, FitResidual::standardised);
            plots.add("calibration-residuals", name, x, y, null);
            PlotStyle.points(chart, name, x, y, PlotStyle.SERIES.get(ink), marker);
        }
    }

    /** Clearing doses of rings by inner radius, a curve for each outer one. */
    private Picture rings() {
        Frame frame =
                new Frame("calibration-rings", "Clearing doses of rings", "inner radius, um", "clearing dose, uC/cm^2");
        TreeMap<Double, List<FitResidual>> byOuter = new TreeMap<>();
        List<FitResidual> all = calibration.residuals().stream()
                .filter(CalibrationPictures::isRing)
                .toList();
        double highest = (1 + 2 * CURVE_BEYOND)
                * all.stream().mapToDouble(r -> r.measurement().value()).max().orElseThrow();
        all.forEach(r -> byOuter.computeIfAbsent(ring(r).outerRadiusUm(), k -> new ArrayList<>())
                .add(r));
        for (Map.Entry<Double, List<FitResidual>> entry : byOuter.entrySet()) {
            double outer = entry.getKey();
            frame.series(
                    "outer radius " + NumberText.plain(outer, 4) + " um",
                    entry.getValue(),
                    all,
                    r -> ring(r).innerRadiusUm(),
                    r -> r.measurement().value(),
                    inner -> {
                        double dose = inner < outer
                                ? calibration.clearingDoseUcPerCm2(new TestFigure.Ring(inner, outer))
                                : Double.NaN;
                        return dose < highest ? dose : Double.NaN;
                    });
        }
        return frame.picture("Clearing doses of rings (bars: one standard deviation) beside the fitted ones (curves).");
    }

    /** Clearing doses of discs by radius. */
    private Picture discs() {
        Frame frame = new Frame("calibration-discs", "Clearing doses of discs", "radius, um", "clearing dose, uC/cm^2");
        frame.chart.getStyler().setXAxisLogarithmic(true);
        List<FitResidual> all = calibration.residuals().stream()
                .filter(CalibrationPictures::isDisc)
                .toList();
        double[] radii = values(all, r -> ring(r).outerRadiusUm());
        Arrays.sort(radii);
        frame.chart.getStyler().setXAxisDecimalPattern(PlotStyle.pattern(radii[0], radii[radii.length - 1]));
        frame.chart.getStyler().setLegendVisible(false);
        frame.series(
                "discs",
                all,
                all,
                r -> ring(r).outerRadiusUm(),
                r -> r.measurement().value(),
                radius -> calibration.clearingDoseUcPerCm2(new TestFigure.Ring(0, radius)));
        return frame.picture("Clearing doses of discs (bars: one standard deviation) beside the fitted ones (curve).");
    }

    private static TestFigure.Ring ring(FitResidual r) {
        return (TestFigure.Ring) r.measurement().figure();
    }

    /** Widths less drawn ones by dose. */
    private Picture widths() {
        Frame frame = new Frame("calibration-widths", "Widths", "dose, uC/cm^2", "width less drawn width, nm");
        TreeMap<String, List<FitResidual>> byFigure = new TreeMap<>();
        calibration.residuals().stream()
                .filter(CalibrationPictures::isWidth)
                .forEach(r -> byFigure.computeIfAbsent(r.measurement().label(), k -> new ArrayList<>())
                        .add(r));
        for (Map.Entry<String, List<FitResidual>> entry : byFigure.entrySet()) {
            TestFigure.Lines lines =
                    (TestFigure.Lines) entry.getValue().get(0).measurement().figure();
            frame.series(
                    entry.getKey(),
                    entry.getValue(),
                    entry.getValue(),
                    r -> r.measurement().doseUcPerCm2(),
                    r -> 1e3 * (r.measurement().value() - lines.widthUm()),
                    dose -> 1e3 * (calibration.widthUm(lines, dose) - lines.widthUm()));
        }
        return frame.picture(
                "Measured widths (bars: one standard deviation) beside the fitted ones (curves), less the drawn width.");
    }

    /** A plot with measurements, their errors and curves, whose axes fit what it shows. */
    private final class Frame {
        private final String name;
        private final XYChart chart;
        private final double[] x = {Double.MAX_VALUE, -Double.MAX_VALUE};
        private final double[] y = {Double.MAX_VALUE, -Double.MAX_VALUE};
        private int count;

        Frame(String name, String title, String xTitle, String yTitle) {
            this.name = name;
            this.chart = PlotStyle.plot(title, xTitle, yTitle);
        }

        /** Adds measurements and a curve that goes as far as those of {@code reach}. */
        void series(
                String label,
                List<FitResidual> some,
                List<FitResidual> reach,
                ToDoubleFunction<FitResidual> place,
                ToDoubleFunction<FitResidual> value,
                DoubleUnaryOperator fit) {
            double[] at = values(some, place);
            double[] measured = values(some, value);
            double[] error = values(some, CalibrationPictures::error);
            Color ink = PlotStyle.SERIES.get(count % PlotStyle.SERIES.size());
            Marker marker = PlotStyle.MARKERS.get(count % PlotStyle.MARKERS.size());
            count++;
            double least =
                    (1 - CURVE_BEYOND) * reach.stream().mapToDouble(place).min().orElseThrow();
            double most =
                    (1 + CURVE_BEYOND) * reach.stream().mapToDouble(place).max().orElseThrow();
            for (int k = 0; k < at.length; k++) {
                hold(y, measured[k] - error[k]);
                hold(y, measured[k] + error[k]);
            }
            hold(x, least);
            hold(x, most);
            List<Double> curveX = new ArrayList<>();
            List<Double> curveY = new ArrayList<>();
            for (int k = 0; k <= CURVE_POINTS; k++) {
                double u = least * Math.pow(most / least, k / (double) CURVE_POINTS);
                double v = fit.applyAsDouble(u);
                if (Double.isFinite(v)) {
                    curveX.add(u);
                    curveY.add(v);
                    hold(y, v);
                }
            }
            double[] cx = curveX.stream().mapToDouble(v -> v).toArray();
            double[] cy = curveY.stream().mapToDouble(v -> v).toArray();
            plots.add(name, label, at, measured, error);
            plots.add(name, label + ", fit", cx, cy, null);
            PlotStyle.line(chart, label + ", fit", cx, cy, ink, 1.6f).setShowInLegend(false);
            XYSeries points = chart.addSeries(label, at, measured, error);
            points.setXYSeriesRenderStyle(XYSeries.XYSeriesRenderStyle.Scatter);
            points.setMarker(marker);
            points.setMarkerColor(ink);
            points.setLineColor(ink);
        }

        private void hold(double[] range, double value) {
            range[0] = Math.min(range[0], value);
            range[1] = Math.max(range[1], value);
        }

        Picture picture(String caption) {
            double beyond = AXIS_BEYOND * (y[1] - y[0]);
            chart.getStyler().setYAxisMin(y[0] - beyond).setYAxisMax(y[1] + beyond);
            chart.getStyler().setXAxisMin(x[0]).setXAxisMax(x[1]);
            chart.getStyler().setMarkerSize(8);
            chart.getStyler().setErrorBarsColorSeriesColor(true);
            return PlotStyle.picture(name, caption, chart);
        }
    }

    /** Standard deviation in the unit of the picture; 0 of a bound, which has none. */
    private static double error(FitResidual r) {
        if (r.measurement().bound()) {
            return 0;
        }
        return r.error() * (isWidth(r) ? 1e3 : r.predicted());
    }

    /**
     * The contrast curve with the depths that layers should get and are predicted to get.
     *
     * @param curve the contrast curve
     * @param depths the depths of the layers
     * @return the plot
     */
    public static Picture contrast(ContrastCurve curve, List<LayerDepth> depths) {
        DrawingLibraries.require();
        XYChart chart = PlotStyle.plot("Grey tone", "dose on a wide area, uC/cm^2", "depth, nm");
        double[] dose = curve.dosesUcPerCm2();
        PlotStyle.line(chart, "contrast curve", dose, curve.depthsNm(), PlotStyle.QUIET, 1.6f);
        double[] x = depths.stream().mapToDouble(LayerDepth::doseUcPerCm2).toArray();
        spread(chart, "before", x, depths, false);
        spread(chart, "after", x, depths, true);
        PlotStyle.points(
                chart,
                "wanted",
                x,
                depths.stream().mapToDouble(LayerDepth::wantedNm).toArray(),
                PlotStyle.INK,
                SeriesMarkers.CROSS);
        chart.getStyler().setYAxisMin(0.0).setXAxisMin(0.0).setMarkerSize(9);
        return PlotStyle.picture(
                "grey-tone",
                "Contrast curve with the wanted depth of each layer; at the same dose the predicted mean depth before and after"
                        + " correction, with bars from the least to the most.",
                chart);
    }

    private static void spread(XYChart chart, String name, double[] x, List<LayerDepth> depths, boolean after) {
        var ink = after ? PlotStyle.BLUE : PlotStyle.ORANGE;
        double[] mean = new double[x.length];
        for (int k = 0; k < x.length; k++) {
            LayerDepth.Range r = after ? depths.get(k).after() : depths.get(k).before();
            mean[k] = r.mean();
            PlotStyle.line(
                            chart,
                            name + " " + k,
                            new double[] {x[k], x[k]},
                            new double[] {r.min(), r.max()},
                            ink,
                            after ? 3 : 8)
                    .setShowInLegend(false);
        }
        PlotStyle.points(chart, name, x, mean, ink, after ? SeriesMarkers.CIRCLE : SeriesMarkers.SQUARE);
    }
}
