package evendose.report;

import evendose.pieces.Pieces;
import evendose.writing.BeamTable;
import evendose.writing.DosedPieces;
import evendose.writing.FieldCut;
import evendose.writing.PlanChoice;
import evendose.writing.WritePlan;
import evendose.writing.WritingFields;
import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.geom.AffineTransform;
import java.awt.geom.Ellipse2D;
import java.awt.geom.Line2D;
import java.awt.geom.Path2D;
import java.awt.geom.Rectangle2D;
import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.function.ToDoubleFunction;
import java.util.stream.Collectors;
import org.knowm.xchart.XYChart;
import org.knowm.xchart.style.markers.Marker;
import org.knowm.xchart.style.markers.SeriesMarkers;

/** Pictures of a plan. */
public final class PlanPictures {
    private static final int MAP_WIDTH = 1720;
    private static final int MAP_HEIGHT = 1240;
    private static final int MOST_CUTS_DRAWN = 5000;

    private PlanPictures() {}

    /**
     * {@return all pictures that the plan gives rise to}
     *
     * @param plan the plan
     * @param pieces what is written
     */
    public static List<Picture> all(WritePlan plan, DosedPieces pieces) {
        DrawingLibraries.require();
        List<Picture> pictures = new ArrayList<>();
        pictures.add(time(plan));
        pictures.add(rates(plan));
        if (plan.settings().beam() != null) {
            pictures.add(beam(plan));
        }
        plan.fields().ifPresent(fields -> pictures.add(fields(fields, pieces.pieces(), plan.boundsUm())));
        return pictures;
    }

    /** Total time against current. */
    static Picture time(WritePlan plan) {
        XYChart chart = PlotStyle.plot("Time against current", "beam current, nA", "total time, h");
        double[] current = currents(plan);
        double[] hours = new double[current.length];
        boolean[] allowed = new boolean[current.length];
        for (PlanChoice c : plan.choices()) {
            int k = Arrays.binarySearch(current, c.currentNa());
            hours[k] = c.totalS() / 3600;
            allowed[k] |= c.feasible();
        }
        if (current.length > 1) {
            PlotStyle.line(chart, "total", current, hours, PlotStyle.QUIET, 1.5f);
        }
        scatter(chart, "some step can be written", current, hours, allowed, true, PlotStyle.BLUE, SeriesMarkers.CIRCLE);
        scatter(chart, "no step can be written", current, hours, allowed, false, PlotStyle.ORANGE, SeriesMarkers.CROSS);
        PlanChoice best = plan.choice();
        PlotStyle.points(
                chart,
                best.feasible() ? "chosen" : "least in the way",
                new double[] {best.currentNa()},
                new double[] {best.totalS() / 3600},
                PlotStyle.INK,
                SeriesMarkers.DIAMOND);
        double[] x = axis(current);
        double least = Arrays.stream(hours).min().orElseThrow();
        double most = Arrays.stream(hours).max().orElseThrow();
        if (plan.settings().slotS().isPresent()) {
            double slot = plan.settings().slotS().getAsDouble() / 3600;
            PlotStyle.dashed(chart, "slot", x, new double[] {slot, slot}, PlotStyle.INK, 1.4f);
            least = Math.min(least, slot);
            most = Math.max(most, slot);
        }
        logarithmic(chart, x, PlotStyle.decades(0.9 * least, 1.1 * most));
        return PlotStyle.picture(
                "plan-time", "Total time of all copies against beam current, with what can be written.", chart);
    }

    private static void scatter(
            XYChart chart,
            String name,
            double[] x,
            double[] y,
            boolean[] flag,
            boolean wanted,
            Color colour,
            Marker marker) {
        double[] px = new double[x.length];
        double[] py = new double[x.length];
        int n = 0;
        for (int k = 0; k < x.length; k++) {
            if (flag[k] == wanted) {
                px[n] = x[k];
                py[n++] = y[k];
            }
        }
        if (n > 0) {
            PlotStyle.points(chart, name, Arrays.copyOf(px, n), Arrays.copyOf(py, n), colour, marker);
        }
    }

    /** Rate of points at the smallest dose against current, a line a step. */
    static Picture rates(WritePlan plan) {
        XYChart chart = PlotStyle.plot("Rate of points", "beam current, nA", "highest rate of points, MHz");
        double[] current = currents(plan);
        double[] x = axis(current);
        double least = Double.MAX_VALUE;
        double most = 0;
        var bySteps = plan.choices().stream()
                .collect(Collectors.groupingBy(PlanChoice::stepNm, java.util.TreeMap::new, Collectors.toList()));
        int k = 0;
        for (var entry : bySteps.entrySet()) {
            // The rate is proportional to the current, so two points make the line.
            PlanChoice any = entry.getValue().get(0);
            double perNa = any.highestFrequencyMhz() / any.currentNa();
            PlotStyle.line(
                    chart,
                    "step " + PlanPage.number(entry.getKey()) + " nm",
                    x,
                    new double[] {perNa * x[0], perNa * x[1]},
                    PlotStyle.SERIES.get(k++ % PlotStyle.SERIES.size()),
                    2);
            least = Math.min(least, perNa * x[0]);
            most = Math.max(most, perNa * x[1]);
        }
        PlotStyle.points(
                chart,
                "chosen",
                new double[] {plan.choice().currentNa()},
                new double[] {plan.choice().highestFrequencyMhz()},
                PlotStyle.INK,
                SeriesMarkers.DIAMOND);
        if (plan.settings().clockMhz().isPresent()) {
            double clock = plan.settings().clockMhz().getAsDouble();
            PlotStyle.dashed(chart, "clock", x, new double[] {clock, clock}, PlotStyle.INK, 1.4f);
            most = Math.max(most, clock);
            least = Math.min(least, clock);
        }
        logarithmic(chart, x, PlotStyle.decades(least, most));
        return PlotStyle.picture(
                "plan-rates",
                "Rate of points that the smallest dose asks for; above the clock it cannot be written.",
                chart);
    }

    /** Beam diameter against current: the user's rows and what lies between them. */
    static Picture beam(WritePlan plan) {
        BeamTable table = plan.settings().beam();
        XYChart chart = PlotStyle.plot("Beam", "beam current, nA", "beam diameter, nm");
        PlotStyle.line(chart, "interpolated", table.currentsNa(), table.diametersNm(), PlotStyle.QUIET, 1.5f);
        PlotStyle.points(chart, "table", table.currentsNa(), table.diametersNm(), PlotStyle.BLUE, SeriesMarkers.CIRCLE);
        if (plan.choice().beamNm().isPresent()) {
            PlotStyle.points(
                    chart,
                    "chosen",
                    new double[] {plan.choice().currentNa()},
                    new double[] {plan.choice().beamNm().getAsDouble()},
                    PlotStyle.INK,
                    SeriesMarkers.DIAMOND);
        }
        double[] x = axis(table.currentsNa());
        double least = Arrays.stream(table.diametersNm()).min().orElseThrow();
        double most = Arrays.stream(table.diametersNm()).max().orElseThrow();
        if (plan.settings().largestBeamNm().isPresent()) {
            double largest = plan.settings().largestBeamNm().getAsDouble();
            PlotStyle.dashed(chart, "largest wanted", x, new double[] {largest, largest}, PlotStyle.INK, 1.4f);
            least = Math.min(least, largest);
            most = Math.max(most, largest);
        }
        logarithmic(chart, x, PlotStyle.decades(least, most));
        return PlotStyle.picture("plan-beam", "Beam diameter against current, from the table given.", chart);
    }

    private static double[] currents(WritePlan plan) {
        return plan.choices().stream()
                .mapToDouble((ToDoubleFunction<PlanChoice>) PlanChoice::currentNa)
                .distinct()
                .toArray();
    }

    private static double[] axis(double[] current) {
        return PlotStyle.decades(
                0.9 * Arrays.stream(current).min().orElseThrow(),
                1.1 * Arrays.stream(current).max().orElseThrow());
    }

    private static void logarithmic(XYChart chart, double[] x, double[] y) {
        PlotStyle.logarithmic(chart, x, y);
        chart.getStyler().setMarkerSize(9);
    }

    /** The layout under its writing fields, with the places that borders cut. */
    static Picture fields(WritingFields fields, Pieces pieces, double[] boundsUm) {
        double spanX = fields.columns() * fields.fieldUm();
        double spanY = fields.rows() * fields.fieldUm();
        double scale = Math.min((MAP_WIDTH - 260) / spanX, (MAP_HEIGHT - 240) / spanY);
        int height = (int) Math.ceil(spanY * scale) + 190;
        BufferedImage image = new BufferedImage(MAP_WIDTH, height, BufferedImage.TYPE_INT_RGB);
        Graphics2D g = image.createGraphics();
        g.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
        g.setRenderingHint(RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
        g.setColor(Color.WHITE);
        g.fillRect(0, 0, MAP_WIDTH, height);
        // Without smoothing neighbours leave no seam.
        g.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_OFF);
        double x0 = 150;
        double y0 = 80 + spanY * scale;
        AffineTransform toPixels =
                new AffineTransform(scale, 0, 0, -scale, x0 - fields.leftUm() * scale, y0 + fields.bottomUm() * scale);
        g.setColor(new Color(0xa9b8c6));
        for (int i = 0; i < pieces.size(); i++) {
            Path2D path = PieceShape.of(pieces, i);
            path.transform(toPixels);
            Rectangle2D box = path.getBounds2D();
            if (box.getWidth() < 2 || box.getHeight() < 2) {
                // Nothing may fall between pixels.
                g.fillRect(
                        (int) Math.floor(box.getX()),
                        (int) Math.floor(box.getY()),
                        (int) Math.ceil(Math.max(1, box.getWidth())),
                        (int) Math.ceil(Math.max(1, box.getHeight())));
            } else {
                g.fill(path);
                g.draw(path);
            }
        }
        g.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
        double side = fields.fieldUm() * scale;
        g.setStroke(new BasicStroke(2f));
        g.setColor(PlotStyle.INK);
        for (int r = 0; r < fields.rows() && side >= 3; r++) {
            for (int c = 0; c < fields.columns(); c++) {
                if (fields.isWritten(c, r)) {
                    g.draw(new Rectangle2D.Double(x0 + c * side, y0 - (r + 1) * side, side, side));
                }
            }
        }
        g.setColor(PlotStyle.ORANGE);
        List<FieldCut> cuts = fields.cuts();
        for (int k = 0; k < Math.min(cuts.size(), MOST_CUTS_DRAWN); k++) {
            double x = x0 + (cuts.get(k).xUm() - fields.leftUm()) * scale;
            double y = y0 - (cuts.get(k).yUm() - fields.bottomUm()) * scale;
            g.fill(new Ellipse2D.Double(x - 6, y - 6, 12, 12));
        }
        labels(g, fields, boundsUm, x0, y0, scale);
        g.dispose();
        return new Picture(
                "plan-fields",
                "Layout (grey) under its writing fields (black); orange dots mark where a border cuts a shape.",
                () -> Picture.png(image),
                "");
    }

    private static void labels(
            Graphics2D g, WritingFields fields, double[] boundsUm, double x0, double y0, double scale) {
        g.setColor(PlotStyle.INK);
        g.setFont(new Font(Font.SANS_SERIF, Font.BOLD, 30));
        g.drawString(
                String.format(
                        Locale.ROOT,
                        "%,d fields of %s um, %,d shapes cut at %,d places",
                        fields.count(),
                        PlanPage.number(fields.fieldUm()),
                        fields.cutShapes(),
                        fields.cuts().size()),
                (float) x0,
                48);
        g.setFont(new Font(Font.SANS_SERIF, Font.PLAIN, 24));
        g.setStroke(new BasicStroke(2f));
        double step = step((boundsUm[2] - boundsUm[0]) / 6);
        for (double v = Math.ceil(fields.leftUm() / step) * step + 0.0;
                v <= fields.leftUm() + fields.columns() * fields.fieldUm() + 1e-9;
                v += step) {
            double x = x0 + (v - fields.leftUm()) * scale;
            g.draw(new Line2D.Double(x, y0 + 4, x, y0 + 14));
            String text = String.format(Locale.ROOT, "%.0f", v + 0.0);
            g.drawString(text, (float) (x - g.getFontMetrics().stringWidth(text) / 2.0), (float) (y0 + 42));
        }
        for (double v = Math.ceil(fields.bottomUm() / step) * step + 0.0;
                v <= fields.bottomUm() + fields.rows() * fields.fieldUm() + 1e-9;
                v += step) {
            double y = y0 - (v - fields.bottomUm()) * scale;
            g.draw(new Line2D.Double(x0 - 14, y, x0 - 4, y));
            String text = String.format(Locale.ROOT, "%.0f", v + 0.0);
            g.drawString(text, (float) (x0 - 22 - g.getFontMetrics().stringWidth(text)), (float) (y + 8));
        }
        g.drawString("x, um", (float) (x0 + fields.columns() * fields.fieldUm() * scale / 2 - 30), (float) (y0 + 84));
        AffineTransform upright = g.getTransform();
        g.rotate(-Math.PI / 2, 34, y0 - fields.rows() * fields.fieldUm() * scale / 2 + 30);
        g.drawString("y, um", 34f, (float) (y0 - fields.rows() * fields.fieldUm() * scale / 2 + 30));
        g.setTransform(upright);
    }

    private static double step(double raw) {
        double power = Math.pow(10, Math.floor(Math.log10(raw)));
        double lead = raw / power;
        return power * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
    }
}
