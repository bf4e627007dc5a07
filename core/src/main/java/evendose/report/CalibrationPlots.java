package evendose.report;

import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.CsvText;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** The numbers that the pictures of a calibration show, point by point. */
public final class CalibrationPlots {
    private record Series(String picture, String name, double[] x, double[] y, double[] error) {}

    private final List<Series> series = new ArrayList<>();

    /**
     * Adds the points of a series.
     *
     * @param error standard deviations, or null if there are none
     */
    void add(String picture, String name, double[] x, double[] y, double[] error) {
        series.add(new Series(picture, name, x, y, error));
    }

    /** {@return the text of {@code calibration-plots.csv}: a row a point} */
    public String csv() {
        StringBuilder text = new StringBuilder("picture,series,x,y,standard_deviation\n");
        for (Series s : series) {
            for (int k = 0; k < s.x().length; k++) {
                text.append(String.format(
                        Locale.ROOT, "%s,%s,%.6g,%.6g,", s.picture(), CsvText.quoted(s.name()), s.x()[k], s.y()[k]));
                text.append(s.error() == null ? "" : String.format(Locale.ROOT, "%.4g", s.error()[k]))
                        .append('\n');
            }
        }
        return text.toString();
    }

    /** {@return the text of {@code calibration-plots.json}: the same by picture and series} */
    public String json() {
        ArrayNode root = JsonMapper.builder().build().createArrayNode();
        for (Series s : series) {
            ObjectNode node = root.addObject().put("picture", s.picture()).put("series", s.name());
            fill(node.putArray("x"), s.x());
            fill(node.putArray("y"), s.y());
            if (s.error() != null) {
                fill(node.putArray("standard_deviation"), s.error());
            }
        }
        return root.toPrettyString() + "\n";
    }

    private static void fill(ArrayNode node, double[] values) {
        for (double v : values) {
            node.add(v);
        }
    }
}
