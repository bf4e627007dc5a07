package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.pieces.Pieces;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Base64;
import java.util.Comparator;

/**
 * The dose map that can be zoomed and asked: a canvas, its script and its data, all inside the page. Zoomed out, it shows the overview
 * picture; zoomed in, the pieces in view, up to {@value #MOST_IN_VIEW}. The page holds at most {@value #MOST_PIECES} pieces: of
 * more, those nearest to the worst place.
 */
final class DoseExplorer {
    /** Most pieces put into the page. */
    static final int MOST_PIECES = 40_000;

    /** Most pieces drawn at once. */
    static final int MOST_IN_VIEW = 20_000;

    private static final int OVERVIEW_PIXELS = 900;
    private static final int COLOURS = 64;

    /** Places that are asked for are shown with this many direct ranges around them. */
    private static final double NEAR_RANGES = 80;

    private static final JsonMapper MAPPER = new JsonMapper();

    private DoseExplorer() {}

    /**
     * The element, with data and script.
     *
     * @param x x of the place that matters most, um
     * @param y y of it, um
     */
    static String html(DoseTable table, double x, double y) {
        return html(table, x, y, MOST_PIECES);
    }

    static String html(DoseTable table, double x, double y, int most) {
        Pieces p = table.pieces();
        boolean all = p.size() <= most;
        String held = all
                ? String.format(java.util.Locale.ROOT, "All %,d pieces are in the page.", p.size())
                : String.format(
                        java.util.Locale.ROOT,
                        "The page holds the %,d of %,d pieces that lie nearest to (%.1f, %.1f) um; elsewhere it shows"
                                + " the overview only.",
                        most,
                        p.size(),
                        x,
                        y);
        return "<div id=\"dose-explorer\" hidden>\n"
                + "<div class=\"tools\"><button type=\"button\" data-do=\"in\">Zoom in</button>"
                + "<button type=\"button\" data-do=\"out\">Zoom out</button>"
                + "<button type=\"button\" data-do=\"whole\">Whole</button>"
                + "<form><label>Go to x, y um <input type=\"text\" size=\"16\"></label>"
                + "<button>Go</button></form><span class=\"state\"></span></div>\n"
                + "<div class=\"stage\"><canvas tabindex=\"0\" role=\"img\" aria-label=\"Dose map: drag to move, wheel or"
                + " plus and minus to zoom, click a piece to ask\"></canvas>" + bar(colours(table)) + "</div>\n"
                + "<p class=\"told\" aria-live=\"polite\">Drag to move, turn the wheel to zoom, click a piece to ask for its"
                + " dose.</p>\n<p class=\"note\">" + Html.text(held) + "</p>\n</div>\n"
                + "<script type=\"application/json\" id=\"dose-data\">" + data(table, x, y, most) + "</script>\n";
    }

    /** The script itself, to stand at the end of the page. */
    static String script() {
        try (var in = DoseExplorer.class.getResourceAsStream("dose-explorer.js")) {
            return "<script>\n" + new String(in.readAllBytes(), StandardCharsets.UTF_8) + "</script>\n";
        } catch (IOException e) {
            throw new IllegalStateException("the program's own dose-explorer.js cannot be read", e);
        }
    }

    private static DoseColours colours(DoseTable table) {
        return DoseColours.over(table.minFactor(), table.maxFactor());
    }

    /** The legend: dose factors beside their colours. */
    private static String bar(DoseColours colours) {
        StringBuilder stops = new StringBuilder();
        for (int k = 0; k <= 8; k++) {
            stops.append(k == 0 ? "" : ",")
                    .append(hex(colours.rgb(colours.high() - k / 8.0 * (colours.high() - colours.low()))));
        }
        StringBuilder ticks = new StringBuilder();
        double step = Ticks.step(colours.high() - colours.low(), 6);
        for (double v = Math.ceil(colours.low() / step - 1e-9) * step; v <= colours.high() + 1e-9 * step; v += step) {
            ticks.append(String.format(
                    java.util.Locale.ROOT,
                    "<i style=\"top:%.2f%%\">%s</i>",
                    100 * (colours.high() - v) / (colours.high() - colours.low()),
                    Ticks.text(v, step)));
        }
        return "<div class=\"legend\"><b>dose factor</b><div><span style=\"background:linear-gradient(" + stops
                + ")\"></span>" + ticks + "</div></div>";
    }

    private static String hex(int rgb) {
        return String.format(java.util.Locale.ROOT, "#%06x", rgb & 0xffffff);
    }

    private static String data(DoseTable table, double x, double y, int most) {
        Pieces p = table.pieces();
        DoseColours colours = colours(table);
        DoseMap.Overview overview = DoseMap.overview(p, table.factors(), colours, OVERVIEW_PIXELS);
        ObjectNode root = MAPPER.createObjectNode();
        double[] b = p.boundsUm();
        ArrayNode bounds = root.putArray("bounds");
        for (double side : b) {
            bounds.add(side);
        }
        // Coordinates count steps of a tenth of a nanometre, or coarser where the layout is so large that it matters to
        // no eye.
        double step = Math.max(1e-4, Math.max(b[2] - b[0], b[3] - b[1]) * 1e-9);
        root.put("step", step);
        root.put("low", colours.low()).put("high", colours.high());
        root.put("most", MOST_IN_VIEW).put("all", p.size() <= most);
        root.put("near", NEAR_RANGES * table.options().psf().direct().rangeUm());
        table.options().baseDoseUcPerCm2().ifPresent(q -> root.put("base", q));
        ArrayNode ramp = root.putArray("colours");
        for (int k = 0; k < COLOURS; k++) {
            ramp.add(hex(ColourScale.rgb(k / (COLOURS - 1.0))));
        }
        ArrayNode statuses = root.putArray("statuses");
        for (DoseStatus status : DoseStatus.values()) {
            statuses.add(status.word());
        }
        root.putObject("overview")
                .put("x0", overview.area().x0())
                .put("y0", overview.area().y0())
                .put("x1", overview.area().x1())
                .put("y1", overview.area().y1())
                .put(
                        "perUm",
                        overview.image().getWidth()
                                / (overview.area().x1() - overview.area().x0()))
                .put(
                        "png",
                        "data:image/png;base64," + Base64.getEncoder().encodeToString(Picture.png(overview.image())));
        int[] unitOfPiece = p.unitOfPiece();
        int[] number = new int[p.units()];
        Arrays.fill(number, -1);
        ArrayNode units = root.putArray("units");
        ArrayNode pieces = root.putArray("pieces");
        int told = 0;
        for (int i : nearest(p, x, y, most)) {
            int u = unitOfPiece[i];
            if (number[u] < 0) {
                number[u] = told++;
                units.add(rounded(table.factor(u), 1e6))
                        .add(rounded(table.energyCorrected(u) / table.targetOfUnit(u) - 1, 1e6))
                        .add(table.status(u).ordinal());
            }
            pieces.add(i).add(number[u]);
            if (p.isRectangle(i)) {
                long left = steps(p.leftUm(i) - b[0], step);
                long bottom = steps(p.bottomUm(i) - b[1], step);
                pieces.add(2).add(left).add(bottom);
                pieces.add(steps(p.rightUm(i) - b[0], step) - left).add(steps(p.topUm(i) - b[1], step) - bottom);
            } else {
                pieces.add(4);
                for (int k = 0; k < 4; k++) {
                    pieces.add(steps(p.cornerXUm(i, k) - b[0], step)).add(steps(p.cornerYUm(i, k) - b[1], step));
                }
            }
        }
        try {
            // A "<" could end the script element.
            return MAPPER.writeValueAsString(root).replace("<", "\\u003c");
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    private static long steps(double um, double step) {
        return Math.round(um / step);
    }

    private static double rounded(double value, double per) {
        return Math.rint(value * per) / per;
    }

    /** At most {@code most} pieces, the nearest to a place, in the order of the table. */
    private static int[] nearest(Pieces p, double x, double y, int most) {
        Integer[] order = new Integer[p.size()];
        Arrays.setAll(order, i -> i);
        if (p.size() > most) {
            double[] distance = new double[p.size()];
            Arrays.setAll(distance, i -> Math.hypot(p.middleXUm(i) - x, p.middleYUm(i) - y));
            Arrays.sort(order, Comparator.comparingDouble(i -> distance[i]));
        }
        return Arrays.stream(order, 0, Math.min(most, order.length))
                .mapToInt(Integer::intValue)
                .sorted()
                .toArray();
    }
}
