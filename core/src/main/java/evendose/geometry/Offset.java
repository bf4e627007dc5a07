package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;

/**
 * Shapes made wider or narrower by a distance: a band along the whole outline is added or taken away.
 *
 * <p>Sides move in parallel; corners stay corners where the outline turns by no more than 90 degrees, sharper ones are cut by a tangent of
 * the circle about them, so no corner moves farther than 1.42 times the distance. Corners of the result are rounded to the database
 * unit, so outlines of upright and level edges are exact, others within 0.71 dbu. Held by {@code OffsetTest} against JTS.
 */
public final class Offset {
    /** Beyond this turn a mitre would reach too far: its cosine. */
    private static final double MITRE = -1e-9;

    private final Outline outline;
    private final double distance;
    private final int group;
    private final Polygons bands;

    private Offset(Outline outline, double distance, int group, Polygons bands) {
        this.outline = outline;
        this.distance = distance;
        this.group = group;
        this.bands = bands;
    }

    /**
     * {@return the shapes, moved}
     *
     * @param shapes the shapes, all together whatever their groups are
     * @param outwards by how much the outline moves, dbu; inwards if negative
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    public static Polygons of(Polygons shapes, long outwards, Workers workers, Progress progress) {
        Polygons both = new Polygons();
        both.addAll(shapes, g -> 1);
        Outline outline = Outline.of(Merge.of(both, 2, workers, progress));
        // Where both overlap, group 0 owns the place: what a band takes away is not of group 1.
        new Offset(outline, outwards, outwards < 0 ? 0 : 1, both).add();
        return rounded(Merge.of(both, 2, workers, progress).ofGroups(g -> g == 1));
    }

    private void add() {
        for (int c = 0; c < outline.contours(); c++) {
            int first = outline.first(c);
            int end = outline.first(c + 1);
            for (int e = first; e < end; e++) {
                side(e);
                joint(e, e + 1 == end ? first : e + 1);
            }
        }
    }

    private double ux(int e) {
        return (outline.x1(e) - outline.x0(e)) / outline.length(e);
    }

    private double uy(int e) {
        return (outline.y1(e) - outline.y0(e)) / outline.length(e);
    }

    /** The band beside a side: the inside lies on its left. */
    private void side(int e) {
        double dx = distance * uy(e);
        double dy = -distance * ux(e);
        polygon(
                outline.x0(e),
                outline.y0(e),
                outline.x1(e),
                outline.y1(e),
                outline.x1(e) + dx,
                outline.y1(e) + dy,
                outline.x0(e) + dx,
                outline.y0(e) + dy);
    }

    /** What the bands of two sides leave open between them, if they do. */
    private void joint(int e, int next) {
        double cross = ux(e) * uy(next) - uy(e) * ux(next);
        double dot = ux(e) * ux(next) + uy(e) * uy(next);
        if (!(cross * distance > 0)) {
            return;
        }
        double turn = Math.abs(Math.atan2(cross, dot));
        double reach = Math.abs(distance) * (dot >= MITRE ? Math.tan(turn / 2) : Math.tan(turn / 4));
        double x = outline.x1(e);
        double y = outline.y1(e);
        double fromX = x + distance * uy(e);
        double fromY = y - distance * ux(e);
        double toX = x + distance * uy(next);
        double toY = y - distance * ux(next);
        polygon(
                x,
                y,
                fromX,
                fromY,
                fromX + reach * ux(e),
                fromY + reach * uy(e),
                toX - reach * ux(next),
                toY - reach * uy(next),
                toX,
                toY);
    }

    private void polygon(double... xy) {
        long[] corners = new long[xy.length];
        for (int k = 0; k < xy.length; k++) {
            corners[k] = Math.round(xy[k]);
        }
        bands.addPolygon(group, corners, corners.length / 2);
    }

    /** Trapezoids with their corners on the grid: neighbours share corners, so nothing opens between them. */
    private static Polygons rounded(Trapezoids shapes) {
        Polygons polygons = new Polygons();
        for (int i = 0; i < shapes.size(); i++) {
            long bottom = Math.round(shapes.yBottom(i));
            long top = Math.round(shapes.yTop(i));
            long[] corners = {
                Math.round(shapes.xLeftBottom(i)), bottom,
                Math.round(shapes.xRightBottom(i)), bottom,
                Math.round(shapes.xRightTop(i)), top,
                Math.round(shapes.xLeftTop(i)), top
            };
            polygons.addPolygon(0, corners, 4);
        }
        return polygons;
    }
}
