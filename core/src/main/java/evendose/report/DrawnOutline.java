package evendose.report;

import evendose.correction.EdgeMove;
import evendose.geometry.Merge;
import evendose.geometry.Offset;
import evendose.geometry.Outline;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.verification.Exposure;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * The drawn outline in a window, put together again from pieces: those that meet the window are merged on a grid of a millionth
 * of a um, so seams between them vanish.
 */
public final class DrawnOutline {
    private static final double PER_UM = 1 << 20;

    private final List<double[]> rings;

    private DrawnOutline(List<double[]> rings) {
        this.rings = rings;
    }

    /** {@return rings, each as x and y of its corners in turn, um; shapes that reach beyond the window are cut at its sides. Not to be changed} */
    public List<double[]> rings() {
        return List.copyOf(rings);
    }

    /** A convex polygon cut at the four sides of a window, one after the other (Sutherland and Hodgman). */
    private static double[] clipped(double[] corners, double[] window) {
        double[] polygon = corners;
        for (int side = 0; side < 4; side++) {
            int axis = side % 2;
            double sign = side < 2 ? 1 : -1;
            double limit = window[side];
            double[] kept = new double[2 * polygon.length + 4];
            int n = 0;
            for (int k = 0; k < polygon.length; k += 2) {
                int m = (k + 2) % polygon.length;
                double a = sign * (polygon[k + axis] - limit);
                double b = sign * (polygon[m + axis] - limit);
                if (a >= 0) {
                    kept[n++] = polygon[k];
                    kept[n++] = polygon[k + 1];
                }
                if (a * b < 0) {
                    double other =
                            polygon[k + 1 - axis] + a / (a - b) * (polygon[m + 1 - axis] - polygon[k + 1 - axis]);
                    kept[n++] = axis == 0 ? limit : other;
                    kept[n++] = axis == 0 ? other : limit;
                }
            }
            polygon = Arrays.copyOf(kept, n);
        }
        return polygon;
    }

    /**
     * {@return the outline of the pieces that meet a window}
     *
     * @param p the pieces
     * @param window left, bottom, right, top, um
     * @param workers threads to compute on
     */
    public static DrawnOutline of(Pieces p, double[] window, Workers workers) {
        return of(p, new double[1], window, workers);
    }

    /**
     * {@return the outline that was drawn for an exposure: that of its pieces, without the bias or moved edges}
     *
     * @param exposure the exposure
     * @param window left, bottom, right, top, um
     * @param workers threads to compute on
     */
    public static DrawnOutline of(Exposure exposure, double[] window, Workers workers) {
        double bias = exposure.options().biasUm();
        if (!exposure.options().moves().isEmpty()) {
            return unmoved(exposure, window, workers);
        }
        return of(
                exposure.pieces(),
                bias == 0
                        ? new double[1]
                        : exposure.roles().stream()
                                .mapToDouble(role -> role.fixedDose().isPresent() ? 0 : bias)
                                .toArray(),
                window,
                workers);
    }

    /** As above, with the bias of each layer, um; one value goes for all layers together. */
    private static DrawnOutline of(Pieces p, double[] bias, double[] window, Workers workers) {
        // Far from the origin coordinates keep their size; whole um change no digit of them.
        double x0 = Math.floor(window[0]);
        double y0 = Math.floor(window[1]);
        Polygons polygons = new Polygons();
        int[] layer = layerOfPiece(p);
        for (int i = 0; i < p.size(); i++) {
            int group = bias.length == 1 ? 0 : layer[i];
            // So that what is moved back ends at the window.
            double out = bias[group];
            double[] clip = {window[0] - out, window[1] - out, window[2] + out, window[3] + out};
            if (p.leftUm(i) <= clip[2]
                    && p.rightUm(i) >= clip[0]
                    && p.bottomUm(i) <= clip[3]
                    && p.topUm(i) >= clip[1]) {
                double[] corners = new double[8];
                for (int k = 0; k < 4; k++) {
                    corners[2 * k] = p.cornerXUm(i, k);
                    corners[2 * k + 1] = p.cornerYUm(i, k);
                }
                add(polygons, group, clipped(corners, clip), x0, y0);
            }
        }
        if (polygons.size() == 0) {
            return new DrawnOutline(List.of());
        }
        Trapezoids merged = Offset.of(
                Merge.of(polygons, bias.length, workers, Progress.NONE),
                Arrays.stream(bias).map(b -> -b * PER_UM).toArray(),
                workers,
                Progress.NONE);
        return rings(merged, x0, y0);
    }

    /** What was moved outwards is taken away and what was moved inwards put back; all layers together. */
    private static DrawnOutline unmoved(Exposure exposure, double[] window, Workers workers) {
        double x0 = Math.floor(window[0]);
        double y0 = Math.floor(window[1]);
        Pieces p = exposure.pieces();
        Polygons polygons = new Polygons();
        for (int i = 0; i < p.size(); i++) {
            double[] corners = new double[8];
            for (int k = 0; k < 4; k++) {
                corners[2 * k] = p.cornerXUm(i, k);
                corners[2 * k + 1] = p.cornerYUm(i, k);
            }
            add(polygons, 1, clipped(corners, window), x0, y0);
        }
        for (EdgeMove m : exposure.options().moves()) {
            double length = Math.hypot(m.x1Um() - m.x0Um(), m.y1Um() - m.y0Um());
            double outX = m.outUm() * (m.y1Um() - m.y0Um()) / length;
            double outY = m.outUm() * (m.x0Um() - m.x1Um()) / length;
            double[] strip = {
                m.x0Um(),
                m.y0Um(),
                m.x0Um() + outX,
                m.y0Um() + outY,
                m.x1Um() + outX,
                m.y1Um() + outY,
                m.x1Um(),
                m.y1Um()
            };
            add(polygons, m.outUm() > 0 ? 0 : 1, clipped(strip, window), x0, y0);
        }
        if (polygons.size() == 0) {
            return new DrawnOutline(List.of());
        }
        Polygons left = new Polygons();
        Merge.of(polygons, 2, workers, Progress.NONE).addTo(left, g -> g - 1, 1);
        return rings(Merge.of(left, 1, workers, Progress.NONE), x0, y0);
    }

    /** Adds a polygon, um, if it has any area. */
    private static void add(Polygons polygons, int group, double[] corners, double x0, double y0) {
        long[] xy = new long[corners.length];
        for (int k = 0; k < xy.length; k++) {
            xy[k] = Math.round((corners[k] - (k % 2 == 0 ? x0 : y0)) * PER_UM);
        }
        if (xy.length >= 6) {
            polygons.addPolygon(group, xy, xy.length / 2);
        }
    }

    private static DrawnOutline rings(Trapezoids merged, double x0, double y0) {
        Outline outline = Outline.of(merged);
        List<double[]> rings = new ArrayList<>();
        for (int c = 0; c < outline.contours(); c++) {
            int n = outline.first(c + 1) - outline.first(c);
            double[] ring = new double[2 * n];
            for (int k = 0; k < n; k++) {
                ring[2 * k] = x0 + outline.x0(outline.first(c) + k) / PER_UM;
                ring[2 * k + 1] = y0 + outline.y0(outline.first(c) + k) / PER_UM;
            }
            if (n > 2) {
                rings.add(ring);
            }
        }
        return new DrawnOutline(rings);
    }

    private static int[] layerOfPiece(Pieces p) {
        int[] unit = p.unitOfPiece();
        int[] shape = p.shapeOfUnit();
        return Arrays.stream(unit).map(u -> p.layerOfShape(shape[u])).toArray();
    }
}
