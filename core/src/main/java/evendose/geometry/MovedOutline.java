package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.List;

/**
 * Merged shapes of which parts of the outline lie elsewhere: each part moves along its normal, corners go to where the moved sides meet, and
 * where a part ends within a side a step across it is left. Sides along x and y that move by whole steps of the grid stay on it exactly;
 * vertices of others are right to 1/128 dbu.
 *
 * <p>Held by {@code MovedOutlineTest} against unions and differences of another library.
 */
public final class MovedOutline {
    /** Sides that turn by less than 40 degrees meet in a step where they move differently: their crossing would lie far along them. */
    private static final double CORNER = Math.toRadians(40);

    /** Tips are cut where moved sides meet farther off than so many times the longer way. */
    private static final double LONGEST_TIP = 4;

    private final Outline outline;
    private final List<Part> parts;
    private final double scale;

    // The vertices of one shape.
    private long[] xy = new long[256];
    private int size;

    /**
     * A part of a side.
     *
     * @param edge number of the edge in the outline
     * @param from where it begins, dbu from the start of the edge
     * @param to where it ends, likewise
     * @param out how far outwards it moves, dbu; inwards if negative
     */
    public record Part(int edge, double from, double to, double out) {}

    private MovedOutline(Outline outline, List<Part> parts, double scale) {
        this.outline = outline;
        this.parts = parts;
        this.scale = scale;
    }

    /**
     * {@return the shapes with parts of their outline moved}
     *
     * @param merged merged shapes
     * @param outline their outline
     * @param parts what moves, by rising edge and rising place on it, disjoint
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @throws IllegalArgumentException if a part bounds a shape that abuts another group: its outline is not closed
     */
    public static Trapezoids of(
            Trapezoids merged, Outline outline, List<Part> parts, Workers workers, Progress progress) {
        if (parts.isEmpty()) {
            return merged;
        }
        double most = parts.stream().mapToDouble(p -> Math.abs(p.out)).max().orElse(0);
        double scale = Offset.scale(merged.largestCoordinate() + (1 + LONGEST_TIP) * most);
        MovedOutline moved = new MovedOutline(outline, parts, scale);
        boolean[] isMoved = new boolean[merged.shapes()];
        parts.forEach(p -> isMoved[outline.shape(p.edge)] = true);
        Polygons all = new Polygons();
        int groups = 0;
        for (int s = 0; s < isMoved.length; s++) {
            groups = Math.max(groups, merged.group(merged.first(s)) + 1);
            if (!isMoved[s]) {
                merged.addTo(all, s, scale);
            }
        }
        int next = 0;
        for (int c = 0; c < outline.contours(); ) {
            int shape = outline.shape(outline.first(c));
            int end = c + 1;
            while (end < outline.contours() && outline.shape(outline.first(end)) == shape) {
                end++;
            }
            if (isMoved[shape]) {
                moved.size = 0;
                for (int k = c; k < end; k++) {
                    next = moved.contour(k, next);
                }
                all.addPolygon(merged.group(merged.first(shape)), moved.xy, moved.size);
            }
            c = end;
        }
        return Merge.of(all, groups, workers, progress).scaled(1 / scale);
    }

    /**
     * {@return whether two sets of shapes hang together alike: as many shapes, and as many contours, so that no gap has closed, no hole is
     * filled and nothing is gone or cut in two}
     *
     * @param before outline of the shapes
     * @param after outline of what they became
     */
    public static boolean isAlike(Outline before, Outline after) {
        return before.contours() == after.contours() && shapes(before) == shapes(after);
    }

    private static int shapes(Outline outline) {
        int last = -1;
        int count = 0;
        for (int c = 0; c < outline.contours(); c++) {
            int shape = outline.shape(outline.first(c));
            count += shape != last ? 1 : 0;
            last = shape;
        }
        return count;
    }

    /**
     * {@return whether the sides of a contour follow each other all around}
     *
     * @param outline the outline
     * @param contour number of the contour
     */
    public static boolean isClosed(Outline outline, int contour) {
        int first = outline.first(contour);
        int last = outline.first(contour + 1) - 1;
        return last >= first && outline.x1(last) == outline.x0(first) && outline.y1(last) == outline.y0(first);
    }

    /** Adds contour {@code c}, the first of whose parts is number {@code next} at least; returns the first part after it. */
    private int contour(int c, int next) {
        if (!isClosed(outline, c)) {
            throw new IllegalArgumentException("a shape that abuts another layer has no closed outline to move");
        }
        int begun = size;
        if (begun > 0) {
            // The corner of the way there, known once the contour's first vertex is.
            addStep(0, 0);
        }
        int first = outline.first(c);
        int end = outline.first(c + 1);
        int part = next;
        // The last side's end is the first one's beginning: how far it moves is known before the walk.
        int before = end - 1;
        double outBefore = outAtEnd(before, partsBelow(part, end));
        for (int e = first; e < end; e++) {
            double length = outline.length(e);
            boolean moves = part < parts.size() && parts.get(part).edge == e;
            double out = moves && parts.get(part).from <= 0 ? parts.get(part).out : 0;
            corner(before, outBefore, e, out);
            while (part < parts.size() && parts.get(part).edge == e) {
                Part p = parts.get(part++);
                if (p.from > 0 && p.out != out) {
                    step(e, p.from, out, p.out);
                }
                out = p.out;
                boolean goesOn = part < parts.size() && parts.get(part).edge == e && parts.get(part).from <= p.to;
                if (p.to < length && !goesOn) {
                    step(e, p.to, out, 0);
                    out = 0;
                }
            }
            before = e;
            outBefore = out;
        }
        bridge(begun);
        return part;
    }

    /** Number of the first part at or after {@code from} whose edge is {@code end} or higher. */
    private int partsBelow(int from, int end) {
        int p = from;
        while (p < parts.size() && parts.get(p).edge < end) {
            p++;
        }
        return p;
    }

    /** How far the end of edge {@code e} moves, the parts up to {@code after} being those up to it. */
    private double outAtEnd(int e, int after) {
        if (after == 0) {
            return 0;
        }
        Part last = parts.get(after - 1);
        return last.edge == e && last.to >= outline.length(e) ? last.out : 0;
    }

    /** Where edge {@code e} ends and {@code f} begins. */
    private void corner(int e, double outE, int f, double outF) {
        double px = outline.x0(f);
        double py = outline.y0(f);
        double ex = outX(e);
        double ey = outY(e);
        double fx = outX(f);
        double fy = outY(f);
        double sine = ex * fy - ey * fx;
        double turn = Math.atan2(sine, ex * fx + ey * fy);
        if (outE == 0 && outF == 0) {
            add(px, py);
            return;
        }
        if (Math.abs(turn) >= CORNER) {
            double dx = (outE * fy - outF * ey) / sine;
            double dy = (outF * ex - outE * fx) / sine;
            if (Math.hypot(dx, dy) <= LONGEST_TIP * Math.max(Math.abs(outE), Math.abs(outF))) {
                add(px + dx, py + dy);
                return;
            }
        }
        add(px + outE * ex, py + outE * ey);
        add(px + outF * fx, py + outF * fy);
    }

    /** A step across edge {@code e}. */
    private void step(int e, double at, double outBefore, double outAfter) {
        double length = outline.length(e);
        double x = outline.x0(e) + at / length * (outline.x1(e) - outline.x0(e));
        double y = outline.y0(e) + at / length * (outline.y1(e) - outline.y0(e));
        add(x + outBefore * outX(e), y + outBefore * outY(e));
        add(x + outAfter * outX(e), y + outAfter * outY(e));
    }

    // The inside lies on the left, so the outward normal is the direction turned clockwise.

    private double outX(int e) {
        return (outline.y1(e) - outline.y0(e)) / outline.length(e);
    }

    private double outY(int e) {
        return (outline.x0(e) - outline.x1(e)) / outline.length(e);
    }

    /**
     * Closes the contour that began at {@code begun} and goes back to where the shape's first one began, along the way it came: a hole is then
     * part of one polygon, and the way cancels, whatever it crosses. It is upright and level, so that crossings are exact.
     */
    private void bridge(int begun) {
        int start = begun == 0 ? 0 : begun + 1;
        long firstX = xy[2 * start];
        long firstY = xy[2 * start + 1];
        addStep(firstX, firstY);
        if (begun > 0) {
            xy[2 * begun] = xy[0];
            xy[2 * begun + 1] = firstY;
            addStep(xy[0], firstY);
            addStep(xy[0], xy[1]);
        }
    }

    private void add(double x, double y) {
        addStep(Math.round(x * scale), Math.round(y * scale));
    }

    private void addStep(long x, long y) {
        if (2 * size + 2 > xy.length) {
            xy = Arrays.copyOf(xy, 2 * xy.length);
        }
        xy[2 * size] = x;
        xy[2 * size + 1] = y;
        size++;
    }
}
