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
            double left = Math.min(p.xLeftBottomUm()[i], p.xLeftTopUm()[i]);
            double right = Math.max(p.xRightBottomUm()[i], p.xRightTopUm()[i]);
            if (left <= window[2]
                    && right >= window[0]
                    && p.yBottomUm()[i] <= window[3]
                    && p.yTopUm()[i] >= window[1]) {
                long yb = Math.round((p.yBottomUm()[i] - y0) * PER_UM);
                long yt = Math.round((p.yTopUm()[i] - y0) * PER_UM);
                long[] xy = {
                    Math.round((p.xLeftBottomUm()[i] - x0) * PER_UM), yb,
                    Math.round((p.xRightBottomUm()[i] - x0) * PER_UM), yb,
                    Math.round((p.xRightTopUm()[i] - x0) * PER_UM), yt,
                    Math.round((p.xLeftTopUm()[i] - x0) * PER_UM), yt
                };
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
