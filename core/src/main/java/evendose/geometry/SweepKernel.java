package evendose.geometry;

import java.util.Arrays;

/**
 * The scan line: takes the edges of one band and leaves the trapezoids of their union. Nothing is checked; edges must be
 * balanced (at every height, the winding changes of each group add up to 0).
 *
 * <p>The line climbs from height to height at which something happens: edges begin, end or cross. Edges that it meets are
 * kept in an array in exact order from left to right just above the line ({@link ScanLine}). Each keeps the winding number behind it, per group.
 * Crossings are taken at the first step of the height grid at or above them, so the order at every step is the exact one, and
 * what comes out depends on the edges alone, not on the order in which they were found.
 *
 * <p>Edges on the same line form one boundary. A boundary counts if the owners of its two sides differ. A span is the place
 * between one such boundary and the next, if somebody owns it; it stays open, and becomes one trapezoid, as long as its two
 * lines, its owner and the exposure of its sides stay what they are. At each height only the places are looked at where edges
 * came, went or changed places ({@link DisturbedRanges}).
 */
final class SweepKernel implements TouchingSides.Sink {
    private static final int NOBODY = Integer.MAX_VALUE;

    private int groups;
    private final BandEdges edges = new BandEdges();
    private final Crossings crossings = new Crossings();
    private final DisturbedRanges disturbed = new DisturbedRanges();
    private final SpanChanges changes = new SpanChanges();
    private final ScanLine line = new ScanLine(edges, disturbed, changes);

    /** Winding number of group g to the right of edge e, taken alone among edges on its line: [e * groups + g]. */
    private int[] behind = new int[64];

    private int[] starting = new int[64];
    private int[] ending = new int[64];
    private final HeightSort heightSort = new HeightSort();

    // Lines of spans, as edges.
    private int[] spanLeft = new int[64];
    private int[] spanRight = new int[64];

    private int[] current = new int[1];
    private boolean negative;
    private final TouchingSides touching = new TouchingSides();
    private final EdgeOrder spanOrder = (a, b, height) -> edges.compare(spanLeft[a], spanLeft[b], height);
    private BandTrapezoids spans;

    /** Forgets all edges. */
    void clear(int groupCount) {
        groups = groupCount;
        edges.clear();
        if (current.length < groupCount) {
            current = new int[groupCount];
        }
    }

    /** The edges to sweep. */
    BandEdges edges() {
        return edges;
    }

    /** Whether the last sweep met a negative winding number. */
    boolean negative() {
        return negative;
    }

    /** Adds the sides of all spans of the last sweep to {@code unwound}, as edges of group {@code owner}. */
    void addSidesTo(UnwoundEdges unwound, int owner) {
        for (int s = 0; s < spans.size; s++) {
            long low = (long) (spans.yBottom[s] * Lines.STEPS);
            long high = (long) Math.ceil(spans.yTop[s] * Lines.STEPS);
            edges.addSideTo(unwound, spanLeft[s], low, high, 1, owner);
            edges.addSideTo(unwound, spanRight[s], low, high, -1, owner);
        }
    }

    /**
     * Sweeps the edges added since {@link #clear}.
     *
     * @param bottom height of the lower border; if {@code below} is not null, the spans that begin there are listed in it, and
     *     what their bottoms touch is left open
     * @param top height of the upper border; if {@code above} is not null, the spans still open there are listed in it and left
     *     open
     */
    void run(long bottom, SeamTrapezoids below, long top, SeamTrapezoids above, BandTrapezoids into) {
        spans = into;
        negative = false;
        line.active = 0;
        crossings.size = 0;
        int room = edges.x.length;
        if (starting.length < room) {
            starting = new int[room];
            ending = new int[room];
        }
        if (behind.length < (long) room * groups) {
            behind = new int[Math.multiplyExact(room, groups)];
        }
        heightSort.sort(edges.from, edges.size, starting);
        heightSort.sort(edges.to, edges.size, ending);
        int nextStart = 0;
        int nextEnd = 0;
        long before = bottom;
        while (true) {
            long height = Long.MAX_VALUE;
            if (nextStart < edges.size) {
                height = edges.from[starting[nextStart]];
            }
            if (nextEnd < edges.size) {
                height = Math.min(height, edges.to[ending[nextEnd]]);
            }
            if (crossings.size > 0) {
                height = Math.min(height, crossings.heights[0]);
            }
            if (height == Long.MAX_VALUE || (above != null && height >= top)) {
                break;
            }
            int startFrom = nextStart;
            while (nextStart < edges.size && edges.from[starting[nextStart]] == height) {
                nextStart++;
            }
            int endFrom = nextEnd;
            while (nextEnd < edges.size && edges.to[ending[nextEnd]] == height) {
                nextEnd++;
            }
            step(before, height, startFrom, nextStart, endFrom, nextEnd, below != null && height == bottom);
            if (below != null && height == bottom) {
                for (int s = 0; s < spans.size; s++) {
                    addSeamSpan(below, s);
                }
            }
            before = height;
        }
        if (above != null) {
            for (int i = 0; i < line.active; i++) {
                if (edges.attached[line.list[i]] >= 0) {
                    addSeamSpan(above, edges.attached[line.list[i]]);
                }
            }
        }
    }

    private void addSeamSpan(SeamTrapezoids seam, int s) {
        seam.add(s);
        int at = (seam.size - 1) * SeamTrapezoids.LINES;
        edges.putLine(spanLeft[s], seam.lines, at);
        edges.putLine(spanRight[s], seam.lines, at + 4);
    }

    private void step(long before, long height, int startFrom, int startTo, int endFrom, int endTo, boolean seam) {
        disturbed.size = 0;
        changes.clear();
        line.move(before, height, crossings, starting, startFrom, startTo, ending, endFrom, endTo);
        look(height);
        if (edges.slanted) {
            line.findCrossings(height, crossings);
        }
        settle(height, seam);
    }

    /** Recomputes winding numbers and boundaries at the places, and from each one on to the right as far as they change. */
    private void look(long height) {
        int p = 0;
        while (p < disturbed.size) {
            int i = disturbed.first(p);
            while (i > 0 && i < line.active && edges.sameLine(line.list[i - 1], line.list[i], height)) {
                i--;
            }
            load(i);
            int owner = owner();
            int must = i;
            boolean touched = false;
            int left = -1;
            boolean leftExposed = false;
            while (true) {
                int end = i;
                boolean counts = false;
                if (i < line.active) {
                    do {
                        counts |= edges.attached[line.list[end]] != BandEdges.NONE;
                        end++;
                    } while (end < line.active && edges.sameLine(line.list[i], line.list[end], height));
                }
                boolean went = false;
                while (p < disturbed.size
                        && (disturbed.first(p) < end || i == line.active || disturbed.first(p) == i)) {
                    must = Math.max(must, disturbed.end(p));
                    went |= disturbed.counted(p);
                    p++;
                }
                boolean changed = i < line.active && (i < must || !agrees(line.list[i]));
                int next = owner;
                if (changed) {
                    load(i);
                    for (int k = i; k < end; k++) {
                        int e = line.list[k];
                        if (edges.attached[e] >= 0) {
                            changes.addClosed(edges.attached[e]);
                        }
                        edges.attached[e] = BandEdges.NONE;
                        current[edges.group[e]] += edges.windings[e];
                        store(e);
                    }
                    next = owner();
                }
                if (!touched && (went || (changed && (counts || next != owner)))) {
                    touched = true;
                    if (owner != NOBODY) {
                        int k = i - 1;
                        while (k >= 0 && edges.attached[line.list[k]] == BandEdges.NONE) {
                            k--;
                        }
                        if (k >= 0 && edges.attached[line.list[k]] >= 0) {
                            left = line.list[k];
                            leftExposed = (spans.sides[edges.attached[left]] & 1) != 0;
                            changes.addClosed(edges.attached[left]);
                            edges.attached[left] = BandEdges.UNSETTLED;
                        }
                    }
                }
                if (changed) {
                    if (next != owner) {
                        int e = line.list[i];
                        if (left >= 0) {
                            changes.addFound(left, e, owner, leftExposed, next == NOBODY);
                        }
                        left = next == NOBODY ? -1 : e;
                        leftExposed = owner == NOBODY;
                        edges.attached[e] = next == NOBODY ? BandEdges.VOID : BandEdges.UNSETTLED;
                    }
                    owner = next;
                    i = end;
                    continue;
                }
                if (i == line.active || left < 0) {
                    break;
                }
                if (counts) {
                    int k = i;
                    while (edges.attached[line.list[k]] == BandEdges.NONE) {
                        k++;
                    }
                    changes.addFound(
                            left, line.list[k], owner, leftExposed, edges.attached[line.list[k]] == BandEdges.VOID);
                    break;
                }
                i = end;
                load(i);
            }
        }
    }

    /** Sets {@link #current} to the winding numbers before index {@code i}. */
    private void load(int i) {
        if (i == 0) {
            Arrays.fill(current, 0, groups, 0);
        } else {
            System.arraycopy(behind, line.list[i - 1] * groups, current, 0, groups);
        }
    }

    private void store(int e) {
        System.arraycopy(current, 0, behind, e * groups, groups);
    }

    private boolean agrees(int e) {
        int at = e * groups;
        for (int g = 0; g < groups; g++) {
            if (behind[at + g] != current[g] + (g == edges.group[e] ? edges.windings[e] : 0)) {
                return false;
            }
        }
        return true;
    }

    /** The lowest group with a winding number other than 0. */
    private int owner() {
        int owner = NOBODY;
        for (int g = groups - 1; g >= 0; g--) {
            if (current[g] != 0) {
                owner = g;
                negative |= current[g] < 0;
            }
        }
        return owner;
    }

    /** Leaves open the spans that were found again, ends the others and begins the new ones. */
    private void settle(long height, boolean seam) {
        EdgeOrder.sort(changes.closedSpan, 0, changes.closed, height, spanOrder);
        touching.clear();
        int c = 0;
        int f = 0;
        while (c < changes.closed || f < changes.found) {
            int order = c == changes.closed
                    ? 1
                    : f == changes.found
                            ? -1
                            : edges.compare(spanLeft[changes.closedSpan[c]], changes.foundLeft[f], height);
            if (order == 0 && goesOn(changes.closedSpan[c], f, height)) {
                edges.attached[changes.foundLeft[f++]] = changes.closedSpan[c++];
                continue;
            }
            if (order <= 0) {
                close(changes.closedSpan[c++], height);
            }
            if (order >= 0) {
                open(f++, height);
            }
        }
        if (!seam) {
            touching.find(this);
        }
    }

    /** Whether span {@code s} is what was found, given that it has the same left side. */
    private boolean goesOn(int s, int f, long height) {
        return spans.group[s] == changes.foundOwner[f]
                && spans.sides[s] == changes.foundSides[f]
                && edges.sameLine(spanRight[s], changes.foundRight[f], height);
    }

    private void close(int s, long height) {
        int left = spanLeft[s];
        int right = spanRight[s];
        spans.setTop(
                s, height, edges.xAt(left, height), edges.slope[left], edges.xAt(right, height), edges.slope[right]);
        touching.addTop(s, spans.group[s], spans.xLeftTop[s], spans.xRightTop[s]);
    }

    private void open(int f, long height) {
        int s = spans.add();
        if (s >= spanLeft.length) {
            spanLeft = Arrays.copyOf(spanLeft, 2 * s);
            spanRight = Arrays.copyOf(spanRight, 2 * s);
        }
        spanLeft[s] = changes.foundLeft[f];
        spanRight[s] = changes.foundRight[f];
        edges.attached[changes.foundLeft[f]] = s;
        double left = edges.xAt(changes.foundLeft[f], height);
        double right = edges.xAt(changes.foundRight[f], height);
        spans.yBottom[s] = (double) height / Lines.STEPS;
        spans.xLeftBottom[s] = left;
        spans.xRightBottom[s] = right;
        spans.group[s] = changes.foundOwner[f];
        spans.sides[s] = changes.foundSides[f];
        touching.addBottom(s, changes.foundOwner[f], left, right);
    }

    @Override
    public void join(int top, int bottom) {
        Connected.join(spans.parent, top, bottom);
    }

    @Override
    public void exposed(int trapezoid, boolean onTop, double partFrom, double partTo) {
        spans.addPart(trapezoid, onTop, partFrom, partTo);
    }
}
