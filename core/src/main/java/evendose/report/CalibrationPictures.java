package evendose.report;

import evendose.calibration.Calibration;
import evendose.calibration.FitResidual;
import evendose.calibration.Measurement;
import evendose.calibration.TestFigure;
import evendose.correction.ContrastCurve;
import evendose.correction.LayerDepth;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Predicate;
import java.util.function.ToDoubleFunction;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** Pictures of a calibration. */
public final class CalibrationPictures {
    private CalibrationPictures() {}

    /** All pictures that the calibration gives rise to. */
    public static List<Picture> all(Calibration calibration) {
        List<Picture> pictures = new ArrayList<>();
        pictures.add(residuals(calibration));
        boolean clearing =
                calibration.residuals().stream().anyMatch(r -> r.measurement().kind() == Measurement.Kind.CLEARING);
        boolean widths =
                calibration.residuals().stream().anyMatch(r -> r.measurement().kind() == Measurement.Kind.WIDTH);
        if (clearing) {
            pictures.add(clearing(calibration));
        }
        if (widths) {
            pictures.add(widths(calibration));
        }
        return pictures;
    }

    private static double[] values(List<FitResidual> residuals, ToDoubleFunction<FitResidual> value) {
        return residuals.stream().mapToDouble(value).toArray();
    }

    /** Standardised residuals by line of the table. */
    public static Picture residuals(Calibration calibration) {
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
        points(
                calibration,
                chart,
                "clearing doses",
                r -> r.measurement().kind() == Measurement.Kind.CLEARING && !r.outlier(),
                0);
        points(calibration, chart, "widths", r -> r.measurement().kind() == Measurement.Kind.WIDTH && !r.outlier(), 2);
        points(calibration, chart, "outliers", FitResidual::outlier, 1);
        chart.getStyler().setXAxisMin(x[0]).setXAxisMax(x[1]).setYAxisMin(-most).setYAxisMax(most);
        chart.getStyler().setMarkerSize(8);
        return PlotStyle.picture(
                "calibration-residuals", "How far each measurement lies off the fit, in standard errors.", chart);
    }

    private static void points(
            Calibration calibration, XYChart chart, String name, Predicate<FitResidual> which, int ink) {
        List<FitResidual> some = calibration.residuals().stream().filter(which).toList();
        if (!some.isEmpty()) {
            PlotStyle.points(
                    chart,
                    name,
                    values(some, r -> r.measurement().line()),
                    values(some, FitResidual::standardised),
                    PlotStyle.SERIES.get(ink),
                    ink == 1 ? SeriesMarkers.CROSS : ink == 0 ? SeriesMarkers.CIRCLE : SeriesMarkers.SQUARE);
        }
    }

    /** Clearing doses of rings by inner radius, of discs by radius. */
    public static Picture clearing(Calibration calibration) {
        XYChart chart = PlotStyle.plot(
                "Clearing doses", "inner radius of rings, radius of discs, \u00b5m", "clearing dose, \u00b5C/cm\u00b2");
        double least = Double.MAX_VALUE;
        double most = 0;
        for (boolean disc : new boolean[] {false, true}) {
            List<FitResidual> some = calibration.residuals().stream()
                    .filter(r -> r.measurement().figure() instanceof TestFigure.Ring ring
                            && (ring.innerRadiusUm() == 0) == disc)
                    .sorted(Comparator.comparingDouble(CalibrationPictures::radius))
                    .toList();
            if (some.isEmpty()) {
                continue;
            }
            String name = disc ? "discs" : "rings";
            double[] x = values(some, CalibrationPictures::radius);
            double[] fit = values(some, FitResidual::predicted);
            double[] measured = values(some, r -> r.measurement().value());
            PlotStyle.line(chart, name + ", fit", x, fit, disc ? PlotStyle.ORANGE : PlotStyle.BLUE, 1.6f);
            PlotStyle.points(
                    chart,
                    name + ", measured",
                    x,
                    measured,
                    disc ? PlotStyle.ORANGE : PlotStyle.BLUE,
                    disc ? SeriesMarkers.DIAMOND : SeriesMarkers.CIRCLE);
            for (int k = 0; k < x.length; k++) {
                least = Math.min(least, Math.min(fit[k], measured[k]));
                most = Math.max(most, Math.max(fit[k], measured[k]));
            }
        }
        double[] y = PlotStyle.decades(least, most);
        chart.getStyler()
                .setYAxisLogarithmic(true)
                .setYAxisDecimalPattern("#,##0.###")
                .setYAxisMin(y[0])
                .setYAxisMax(y[1])
                .setXAxisMin(0.0);
        chart.getStyler().setMarkerSize(8);
        return PlotStyle.picture(
                "calibration-clearing", "Clearing doses of rings and discs beside the fitted ones.", chart);
    }

    private static double radius(FitResidual r) {
        TestFigure.Ring ring = (TestFigure.Ring) r.measurement().figure();
        return ring.innerRadiusUm() == 0 ? ring.outerRadiusUm() : ring.innerRadiusUm();
    }

    /** Widths less drawn ones by dose. */
    public static Picture widths(Calibration calibration) {
        XYChart chart = PlotStyle.plot("Widths", "dose, \u00b5C/cm\u00b2", "width less drawn width, nm");
        Map<String, List<FitResidual>> byFigure = new LinkedHashMap<>();
        for (FitResidual r : calibration.residuals()) {
            if (r.measurement().kind() == Measurement.Kind.WIDTH) {
                byFigure.computeIfAbsent(r.measurement().label(), k -> new ArrayList<>())
                        .add(r);
            }
        }
        int k = 0;
        for (Map.Entry<String, List<FitResidual>> entry : byFigure.entrySet()) {
            List<FitResidual> some = entry.getValue();
            some.sort(Comparator.comparingDouble(r -> r.measurement().doseUcPerCm2()));
            double drawn = ((TestFigure.Lines) some.get(0).measurement().figure()).widthUm();
            double[] dose = values(some, r -> r.measurement().doseUcPerCm2());
            var ink = PlotStyle.SERIES.get(k++ % PlotStyle.SERIES.size());
            XYSeries fit = PlotStyle.line(
                    chart, entry.getKey() + ", fit", dose, values(some, r -> 1e3 * (r.predicted() - drawn)), ink, 1.6f);
            fit.setShowInLegend(false);
            PlotStyle.points(
                    chart,
                    entry.getKey().replace("um", "\u00b5m"),
                    dose,
                    values(some, r -> 1e3 * (r.measurement().value() - drawn)),
                    ink,
                    k % 2 == 0 ? SeriesMarkers.DIAMOND : SeriesMarkers.CIRCLE);
        }
        chart.getStyler().setMarkerSize(8);
        return PlotStyle.picture(
                "calibration-widths",
                "Measured widths (marks) beside the fitted ones (lines), less the drawn width.",
                chart);
    }

    /** The contrast curve with the depths that layers should get and are predicted to get. */
    public static Picture contrast(ContrastCurve curve, List<LayerDepth> depths) {
        XYChart chart = PlotStyle.plot("Grey tone", "dose on a wide area, \u00b5C/cm\u00b2", "depth, nm");
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
                SeriesMarkers.DIAMOND);
        chart.getStyler().setYAxisMin(0.0).setXAxisMin(0.0).setMarkerSize(8);
        return PlotStyle.picture(
                "grey-tone",
                "Contrast curve with the wanted depth of each layer; beside it the predicted mean depth before and after"
                        + " correction, with bars from the least to the most.",
                chart);
    }

    private static void spread(XYChart chart, String name, double[] x, List<LayerDepth> depths, boolean after) {
        var ink = after ? PlotStyle.BLUE : PlotStyle.ORANGE;
        double[] beside = new double[x.length];
        double[] mean = new double[x.length];
        for (int k = 0; k < x.length; k++) {
            LayerDepth.Range r = after ? depths.get(k).after() : depths.get(k).before();
            beside[k] = x[k] * (after ? 1.04 : 0.96);
            mean[k] = r.mean();
            PlotStyle.line(
                            chart,
                            name + " " + k,
                            new double[] {beside[k], beside[k]},
                            new double[] {r.min(), r.max()},
                            ink,
                            4)
                    .setShowInLegend(false);
        }
        PlotStyle.points(chart, name, beside, mean, ink, after ? SeriesMarkers.CIRCLE : SeriesMarkers.SQUARE);
    }
}
