package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;

/**
 * Shapes made wider or narrower by a distance: a band along the whole outline is added or taken away.
 *
 * <p>Sides move in parallel; corners stay corners where the outline turns by no more than 90 degrees, sharper ones are cut by a tangent of
 * the circle about them, so no corner moves farther than 1.42 times the distance. Corners of the result are rounded to a grid; on the database
 * unit so outlines of upright and level edges are exact, others within about a dbu. So what was made narrower and then wider again stays within
 * 1.42 distances of itself; the mitres of {@link Offset}, which keeps shapes as they are drawn, would grow tips there. Held by {@code BluntOffsetTest} against JTS.
 */
public final class BluntOffset {
    /** Beyond this turn a mitre would reach too far: its cosine. */
    private static final double MITRE = -1e-9;

    /** By how much bands overlap with what they adjoin, dbu: else rounding would leave slits. */
    private static final double OVERLAP = 2;

    private final Outline outline;
    private final double distance;
    private final int group;
    private final Polygons bands;

    private BluntOffset(Outline outline, double distance, int group, Polygons bands) {
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
     * @param grid corners of the result lie on multiples of it, dbu, at least 1
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    public static Polygons of(Polygons shapes, long outwards, long grid, Workers workers, Progress progress) {
        Polygons both = new Polygons();
        both.addAll(shapes, g -> 1);
        Outline outline = Outline.of(Merge.of(both, 2, workers, progress));
        // Where both overlap, group 0 owns the place: what a band takes away is not of group 1.
        new BluntOffset(outline, outwards, outwards < 0 ? 0 : 1, both).add();
        return rounded(Merge.of(both, 2, workers, progress).ofGroups(g -> g == 1), grid);
    }

    private void add() {
        for (int c = 0; c < outline.contours(); c++) {
            int first = outline.first(c);
            int end = outline.first(c + 1);
            for (int e = first; e < end; e++) {
                int before = e == first ? end - 1 : e - 1;
                int next = e + 1 == end ? first : e + 1;
                side(e, overlap(before, e), overlap(e, next));
                joint(e, next);
            }
        }
    }

    private double ux(int e) {
        return (outline.x1(e) - outline.x0(e)) / outline.length(e);
    }

    private double uy(int e) {
        return (outline.y1(e) - outline.y0(e)) / outline.length(e);
    }

    /** The band beside a side, a little longer than the side: the inside lies on its left. It begins a little beyond the outline. */
    private void side(int e, double longerBefore, double longerAfter) {
        double outX = Math.signum(distance) * uy(e);
        double outY = -Math.signum(distance) * ux(e);
        double x0 = outline.x0(e) - longerBefore * ux(e);
        double y0 = outline.y0(e) - longerBefore * uy(e);
        double x1 = outline.x1(e) + longerAfter * ux(e);
        double y1 = outline.y1(e) + longerAfter * uy(e);
        double far = Math.abs(distance);
        polygon(
                x0 - OVERLAP * outX,
                y0 - OVERLAP * outY,
                x1 - OVERLAP * outX,
                y1 - OVERLAP * outY,
                x1 + far * outX,
                y1 + far * outY,
                x0 + far * outX,
                y0 + far * outY);
    }

    /** How far a band goes on where one side follows another: within what the other's band or the joint of both covers. */
    private double overlap(int e, int next) {
        return opens(e, next) ? Math.min(OVERLAP, Math.max(1, reach(e, next))) : OVERLAP;
    }

    /** Whether the bands of two sides leave a gap between them. */
    private boolean opens(int e, int next) {
        return cross(e, next) * distance > 0;
    }

    private double cross(int e, int next) {
        return ux(e) * uy(next) - uy(e) * ux(next);
    }

    private double dot(int e, int next) {
        return ux(e) * ux(next) + uy(e) * uy(next);
    }

    /** How far a gap goes on along either side, at the distance. */
    private double reach(int e, int next) {
        double dot = dot(e, next);
        double turn = Math.abs(Math.atan2(cross(e, next), dot));
        return Math.abs(distance) * Math.tan(dot >= MITRE ? turn / 2 : turn / 4);
    }

    /** What the bands of two sides leave open between them, if they do. */
    private void joint(int e, int next) {
        if (!opens(e, next)) {
            return;
        }
        double reach = reach(e, next);
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
    private static Polygons rounded(Trapezoids shapes, long grid) {
        Polygons polygons = new Polygons();
        for (int i = 0; i < shapes.size(); i++) {
            long bottom = onGrid(shapes.yBottom(i), grid);
            long top = onGrid(shapes.yTop(i), grid);
            if (top == bottom) {
                continue;
            }
            long[] corners = {
                onGrid(shapes.xLeftBottom(i), grid), bottom,
                onGrid(shapes.xRightBottom(i), grid), bottom,
                onGrid(shapes.xRightTop(i), grid), top,
                onGrid(shapes.xLeftTop(i), grid), top
            };
            polygons.addPolygon(0, corners, 4);
        }
        return polygons;
    }

    private static long onGrid(double value, long grid) {
        return grid * Math.round(value / grid);
    }
}
