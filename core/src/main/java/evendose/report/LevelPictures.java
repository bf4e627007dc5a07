package evendose.report;

import evendose.correction.LevelRule;
import evendose.correction.LevelTrial;
import java.util.List;
import java.util.Locale;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.XYSeries;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** What numbers of dose levels cost, as a plot and a table. */
public final class LevelPictures {
    private LevelPictures() {}

    /**
     * {@return added width error against the number of levels, for both spacings}
     *
     * @param study trials of optimal and geometric levels, by rising number
     */
    public static Picture study(List<LevelTrial> study) {
        DrawingLibraries.require();
        XYChart chart = PlotStyle.plot("Cost of dose levels", "number of dose levels", "added width error, nm");
        double least = Double.MAX_VALUE;
        double most = 0;
        for (LevelRule.Spacing spacing : List.of(LevelRule.Spacing.OPTIMAL, LevelRule.Spacing.GEOMETRIC)) {
            List<LevelTrial> trials =
                    study.stream().filter(t -> t.rule().spacing() == spacing).toList();
            double[] n = trials.stream().mapToDouble(LevelTrial::levels).toArray();
            double[] max = trials.stream()
                    .mapToDouble(LevelTrial::maxWidthNm)
                    .map(LevelPictures::shown)
                    .toArray();
            double[] rms = trials.stream()
                    .mapToDouble(LevelTrial::rmsWidthNm)
                    .map(LevelPictures::shown)
                    .toArray();
            boolean optimal = spacing == LevelRule.Spacing.OPTIMAL;
            String name = optimal ? "optimal" : "geometric";
            XYSeries solid =
                    PlotStyle.line(chart, name + ", largest", n, max, optimal ? PlotStyle.BLUE : PlotStyle.ORANGE, 2);
            XYSeries dash =
                    PlotStyle.dashed(chart, name + ", rms", n, rms, optimal ? PlotStyle.BLUE : PlotStyle.ORANGE, 2);
            for (XYSeries s : List.of(solid, dash)) {
                s.setMarker(optimal ? SeriesMarkers.CIRCLE : SeriesMarkers.DIAMOND);
                s.setMarkerColor(optimal ? PlotStyle.BLUE : PlotStyle.ORANGE);
            }
            for (int k = 0; k < n.length; k++) {
                least = Math.min(least, rms[k]);
                most = Math.max(most, max[k]);
            }
        }
        PlotStyle.logarithmic(chart, new double[] {1, 1000}, PlotStyle.decades(least, most));
        chart.getStyler().setMarkerSize(7);
        return PlotStyle.picture(
                "level-study",
                "Width error that a limited number of doses adds, after neighbours have made up for each other.",
                chart);
    }

    /** A logarithmic axis has no place for nothing. */
    private static double shown(double nm) {
        return Math.max(nm, 1e-4);
    }

    /**
     * The text of {@code level-study.csv}.
     *
     * @param study trials of numbers of levels
     * @return a row a trial
     */
    public static String csv(List<LevelTrial> study) {
        StringBuilder text = new StringBuilder("spacing,levels,snapped_max_error,snapped_rms_error,added_max_error,"
                + "added_rms_error,added_max_width_nm,added_rms_width_nm\n");
        for (LevelTrial t : study) {
            text.append(String.format(
                    Locale.ROOT,
                    "%s,%d,%.6g,%.6g,%.6g,%.6g,%.6g,%.6g\n",
                    t.rule().spacing().name().toLowerCase(Locale.ROOT),
                    t.levels(),
                    t.snappedMax(),
                    t.snappedRms(),
                    t.max(),
                    t.rms(),
                    t.maxWidthNm(),
                    t.rmsWidthNm()));
        }
        return text.toString();
    }
}
