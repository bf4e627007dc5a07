package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.Optional;

/**
 * Moves the outline of merged shapes outwards or inwards: every exposed edge goes by the same distance along its normal, and corners stay
 * corners (mitres). Sides that two groups share are no outline and stay.
 *
 * <p>Growing adds to each shape a strip along its edges; shrinking takes such strips away. Both are left to {@link Merge}, on a grid finer
 * than the database unit by {@link #FINER}, so edges may cross, close up or vanish in any way. Vertices are right to 1/128 dbu.
 *
 * <p>Held by {@code OffsetTest} against buffers of another library.
 */
public final class Offset {
    /** Steps of the finer grid in a database unit, at most. */
    private static final long FINER = 256;

    /** Tips are cut where they would reach farther along their edges than so many times the distance: angles below 13 degrees. */
    private static final double LONGEST_TIP = 9;

    /** Strips reach so far across their edge, dbu, so that no rounding leaves anything between edge and strip. */
    private static final double ACROSS = 1;

    /** Strips reach so far beyond the ends of their edge, dbu, so that rounding leaves nothing between neighbours. */
    private static final double OVERLAP = 1.0 / 16;

    /** What is moved back goes so much farther, dbu, so that rounding is no change. */
    private static final double SLACK = 0.25;

    private final Trapezoids merged;
    private final double[] distance;
    private final double scale;

    private Offset(Trapezoids merged, double[] distance) {
        this.merged = merged;
        this.distance = distance;
        double most = Arrays.stream(distance).map(Math::abs).max().orElse(0);
        this.scale = scale(merged.largestCoordinate() + (1 + LONGEST_TIP) * most + ACROSS);
    }

    /** Steps in a database unit of the finest grid that polygons up to {@code largest} dbu can be merged on. */
    static double scale(double largest) {
        double finest = FINER;
        while (finest > 1 && largest * finest >= Polygons.MAX_COORDINATE) {
            finest /= 2;
        }
        return finest;
    }

    /**
     * {@return the shapes with their outline moved}
     *
     * @param merged merged shapes
     * @param distance how far outwards the outline of each group moves, dbu, all at least 0 or all at most 0
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @throws IllegalArgumentException if some groups are to grow and others to shrink
     */
    public static Trapezoids of(Trapezoids merged, double[] distance, Workers workers, Progress progress) {
        boolean grows = Arrays.stream(distance).anyMatch(d -> d > 0);
        boolean shrinks = Arrays.stream(distance).anyMatch(d -> d < 0);
        if (grows && shrinks) {
            throw new IllegalArgumentException("some groups are to grow and others to shrink: move them one way");
        }
        if (!grows && !shrinks) {
            return merged;
        }
        Offset offset = new Offset(merged, distance);
        return grows ? offset.grown(workers, progress) : offset.shrunk(workers, progress);
    }

    private Trapezoids grown(Workers workers, Progress progress) {
        Polygons all = new Polygons();
        merged.addTo(all, g -> g, scale);
        addStrips(all, false);
        return rounded(Merge.of(all, distance.length, workers, progress), 0, workers, progress);
    }

    private Trapezoids shrunk(Workers workers, Progress progress) {
        Polygons all = new Polygons();
        addStrips(all, true);
        merged.addTo(all, g -> g + 1, scale);
        Trapezoids parts = Merge.of(all, distance.length + 1, workers, progress);
        return rounded(parts, 1, workers, progress);
    }

    /**
     * What was merged on the finer grid, merged again without its first groups, in dbu: what these took away is then outside, sides towards it
     * are exposed, and specks of less than a step are gone.
     */
    private Trapezoids rounded(Trapezoids parts, int first, Workers workers, Progress progress) {
        Polygons left = new Polygons();
        parts.addTo(left, g -> g - first, 1);
        return Merge.of(left, distance.length, workers, progress).scaled(1 / scale);
    }

    /** Adds a strip along each exposed edge: of the edge's group, or of group 0 if it is to take away. */
    private void addStrips(Polygons sink, boolean asHole) {
        Outline outline = Outline.of(merged);
        for (int c = 0; c < outline.contours(); c++) {
            int from = outline.first(c);
            int n = outline.first(c + 1) - from;
            if (n == 0) {
                continue;
            }
            int group = merged.group(merged.first(outline.shape(from)));
            boolean closed =
                    outline.x0(from) == outline.x1(from + n - 1) && outline.y0(from) == outline.y1(from + n - 1);
            for (int k = 0; distance[group] != 0 && k < n; k++) {
                double before = closed || k > 0 ? tip(outline, from + (k + n - 1) % n, from + k, distance[group]) : 0;
                double after = closed || k + 1 < n ? tip(outline, from + k, from + (k + 1) % n, distance[group]) : 0;
                addStrip(sink, asHole ? 0 : group, outline, from + k, distance[group], before, after);
            }
        }
    }

    /** How far beyond the vertex between two edges their strips reach, so that they meet. */
    private static double tip(Outline outline, int e, int f, double distance) {
        double ux = outline.x1(e) - outline.x0(e);
        double uy = outline.y1(e) - outline.y0(e);
        double vx = outline.x1(f) - outline.x0(f);
        double vy = outline.y1(f) - outline.y0(f);
        double turn = Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
        // Growing goes around left turns, shrinking around right ones.
        return turn * distance <= 0
                ? OVERLAP
                : Math.max(OVERLAP, Math.abs(distance) * Math.min(LONGEST_TIP, Math.tan(0.5 * Math.abs(turn))));
    }

    private void addStrip(
            Polygons sink, int group, Outline outline, int e, double distance, double before, double after) {
        double length = outline.length(e);
        if (!(length > 0)) {
            return;
        }
        double ux = (outline.x1(e) - outline.x0(e)) / length;
        double uy = (outline.y1(e) - outline.y0(e)) / length;
        double across = -Math.signum(distance) * ACROSS;
        double[] along = {-Math.min(before, OVERLAP), length + Math.min(after, OVERLAP), length + after, -before};
        double[] out = {across, across, distance, distance};
        long[] xy = new long[8];
        for (int k = 0; k < 4; k++) {
            xy[2 * k] = Math.round((outline.x0(e) + along[k] * ux + out[k] * uy) * scale);
            xy[2 * k + 1] = Math.round((outline.y0(e) + along[k] * uy - out[k] * ux) * scale);
        }
        sink.addPolygon(group, xy, 4);
    }

    /**
     * A place that moving the outline has changed for good.
     *
     * @param x x of its middle, dbu
     * @param y y of it, dbu
     * @param area its area, dbu^2
     * @param places number of such places in all
     */
    public record Change(double x, double y, double area, int places) {}

    /**
     * {@return the largest place where moved shapes, moved back, are not what they were: where a gap has closed or a part has vanished} Changes
     * smaller than a square of half the distance do not count: they only blunt or fill corners.
     *
     * @param merged the shapes
     * @param moved what {@link #of} made of them
     * @param distance as given there
     * @param within left, lower, right and upper end of where changes count, each by its middle; ends may be infinite
     * @param workers threads to compute on
     */
    public static Optional<Change> change(
            Trapezoids merged, Trapezoids moved, double[] distance, double[] within, Workers workers) {
        boolean grew = Arrays.stream(distance).anyMatch(d -> d > 0);
        // Shapes that grew must come back inside what they were, shapes that shrank around it.
        double slack = grew ? -SLACK : SLACK;
        double[] back = Arrays.stream(distance).map(d -> d == 0 ? 0 : slack - d).toArray();
        Trapezoids before = of(moved, back, workers, Progress.NONE);
        double scale = new Offset(merged, distance).scale;
        Polygons both = new Polygons();
        (grew ? merged : before).addTo(both, g -> 0, scale);
        (grew ? before : merged).addTo(both, g -> 1, scale);
        Trapezoids compared = Merge.of(both, 2, workers, Progress.NONE).scaled(1 / scale);
        double most = Arrays.stream(distance).map(Math::abs).max().orElse(0);
        Change worst = null;
        int places = 0;
        for (int s = 0; s < compared.shapes(); s++) {
            int first = compared.first(s);
            if (compared.group(first) == 0) {
                continue;
            }
            double area = 0;
            int largest = first;
            for (int i = first; i < compared.first(s + 1); i++) {
                area += compared.area(i);
                largest = compared.area(i) > compared.area(largest) ? i : largest;
            }
            double x = compared.middleX(largest);
            double y = compared.middleY(largest);
            boolean counts = x >= within[0] && y >= within[1] && x < within[2] && y < within[3];
            if (counts && area > 0.25 * most * most) {
                places++;
                if (worst == null || area > worst.area) {
                    worst = new Change(x, y, area, 0);
                }
            }
        }
        return worst == null ? Optional.empty() : Optional.of(new Change(worst.x, worst.y, worst.area, places));
    }
}
