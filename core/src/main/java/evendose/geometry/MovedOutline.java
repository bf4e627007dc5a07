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
        OutlineRings rings = new OutlineRings(outline);
        boolean[] isMoved = new boolean[merged.shapes()];
        for (Part p : parts) {
            int s = outline.shape(p.edge);
            if (!rings.isWhole(s)) {
                throw new IllegalArgumentException("a shape that abuts another layer has no closed outline to move");
            }
            isMoved[s] = true;
        }
        Polygons all = new Polygons();
        int groups = 0;
        for (int s = 0; s < isMoved.length; s++) {
            groups = Math.max(groups, merged.group(merged.first(s)) + 1);
            if (!isMoved[s]) {
                merged.addTo(all, s, scale);
            }
        }
        int shape = -1;
        for (int[] ring : rings.rings()) {
            int of = outline.shape(outline.first(ring[0]));
            if (!isMoved[of]) {
                continue;
            }
            if (of != shape) {
                moved.addTo(all, merged, shape);
                shape = of;
            }
            moved.ring(ring);
        }
        moved.addTo(all, merged, shape);
        return Merge.of(all, groups, workers, progress).scaled(1 / scale);
    }

    /** Adds the shape whose vertices are held, if there is one. */
    private void addTo(Polygons all, Trapezoids merged, int shape) {
        if (shape >= 0) {
            all.addPolygon(merged.group(merged.first(shape)), xy, size);
            size = 0;
        }
    }

    /** Adds the vertices of a ring. */
    private void ring(int[] contours) {
        int begun = size;
        if (begun > 0) {
            // The corner of the way there, known once the ring's first vertex is.
            addStep(0, 0);
        }
        // The last side's end is the first one's beginning: how far it moves is known before the walk.
        int before = outline.first(contours[contours.length - 1] + 1) - 1;
        double outBefore = outAtEnd(before);
        for (int c : contours) {
            for (int e = outline.first(c); e < outline.first(c + 1); e++) {
                int part = firstOf(e);
                boolean moves = part < parts.size() && parts.get(part).edge == e;
                double out = moves && parts.get(part).from <= 0 ? parts.get(part).out : 0;
                corner(before, outBefore, e, out);
                outBefore = steps(e, part, out);
                before = e;
            }
        }
        bridge(begun);
    }

    /** Adds the steps within edge {@code e}, whose parts begin with number {@code first}; returns how far its end moves. */
    private double steps(int e, int first, double outAtStart) {
        double out = outAtStart;
        for (int part = first; part < parts.size() && parts.get(part).edge == e; part++) {
            Part p = parts.get(part);
            if (p.from > 0 && p.out != out) {
                step(e, p.from, out, p.out);
            }
            out = p.out;
            boolean goesOn =
                    part + 1 < parts.size() && parts.get(part + 1).edge == e && parts.get(part + 1).from <= p.to;
            if (p.to < outline.length(e) && !goesOn) {
                step(e, p.to, out, 0);
                out = 0;
            }
        }
        return out;
    }

    /** Number of the first part of edge {@code e} or a later one. */
    private int firstOf(int e) {
        int low = 0;
        int high = parts.size();
        while (low < high) {
            int middle = (low + high) >>> 1;
            if (parts.get(middle).edge < e) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        return low;
    }

    /** How far the end of edge {@code e} moves. */
    private double outAtEnd(int e) {
        int after = firstOf(e + 1);
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
     * Closes the ring that began at {@code begun} and goes back to where the shape's first one began, along the way it came: a hole is then
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
