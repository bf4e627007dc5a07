package evendose.report;

import evendose.geometry.Merge;
import evendose.geometry.Outline;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.ArrayList;
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

    /** Rings, each as x0, y0, x1, y1, ... in um; shapes that reach beyond the window are cut at pieces outside it. */
    public List<double[]> rings() {
        return List.copyOf(rings);
    }

    /**
     * The outline of the pieces that meet a window.
     *
     * @param window left, bottom, right, top, um
     */
    public static DrawnOutline of(Pieces p, double[] window, Workers workers) {
        // Far from the origin coordinates keep their size; whole um change no digit of them.
        double x0 = Math.floor(window[0]);
        double y0 = Math.floor(window[1]);
        Polygons polygons = new Polygons();
        for (int i = 0; i < p.size(); i++) {
            if (p.leftUm(i) <= window[2]
                    && p.rightUm(i) >= window[0]
                    && p.bottomUm(i) <= window[3]
                    && p.topUm(i) >= window[1]) {
                long[] xy = new long[8];
                for (int k = 0; k < 4; k++) {
                    xy[2 * k] = Math.round((p.cornerXUm(i, k) - x0) * PER_UM);
                    xy[2 * k + 1] = Math.round((p.cornerYUm(i, k) - y0) * PER_UM);
                }
                polygons.addPolygon(0, xy, 4);
            }
        }
        if (polygons.size() == 0) {
            return new DrawnOutline(List.of());
        }
        Trapezoids merged = Merge.of(polygons, 1, workers, Progress.NONE);
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
}
