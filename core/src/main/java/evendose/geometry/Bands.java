package evendose.geometry;

import evendose.parallel.Workers;
import java.util.Arrays;

/**
 * Cuts the plane into horizontal bands that can be swept one by one, and knows which polygons reach into which band.
 *
 * <p>Where the cuts are depends on the polygons alone. They are chosen so that a band has some ten thousand edges, and so that
 * few edges are cut: a field of long upright lines is one band.
 */
final class Bands {
    /** Edges per band aimed at: a band's arrays should fit the processor's cache. */
    static final int EDGES = 1 << 15;

    /** A border may cut at most this part of the edges that begin in the band below it. */
    static final double CUT_PART = 0.25;

    private static final int SLOTS = 1 << 13;
    private static final long UNWOUND = 1L << 62;

    private final Polygons polygons;
    private final char[] compactGroup;
    private final int usedGroups;
    private final UnwoundEdges[] unwound;
    private final int[][] tangled;
    private final long slotHeight;
    private final int[] bandOfSlot;
    private final long[] border;
    private final int count;
    private final int[] firstEntry;
    private long[] entry;

    /** @throws IllegalArgumentException if a polygon's group is not below {@code groups} */
    Bands(Polygons polygons, int groups, Workers workers, int edgesPerBand, double cutPart) {
        this.polygons = polygons;
        int blocks = polygons.blocks();
        slotHeight = Math.max(1, -Math.floorDiv(polygons.bottom() - polygons.top(), SLOTS));
        int slots = slot(polygons.top()) + 1;

        unwound = new UnwoundEdges[blocks];
        tangled = new int[blocks][];
        boolean[][] used = new boolean[blocks][groups];
        int[][] starts = new int[blocks][slots + 2];
        int[][] crossings = new int[blocks][slots + 2];
        workers.run(blocks, b -> {
            unwound[b] = new UnwoundEdges();
            survey(b, groups, used[b], starts[b], crossings[b]);
        });

        compactGroup = new char[groups];
        int groupsSoFar = 0;
        for (int g = 0; g < groups; g++) {
            boolean any = false;
            for (int b = 0; b < blocks; b++) {
                any |= used[b][g];
            }
            compactGroup[g] = (char) groupsSoFar;
            groupsSoFar += any ? 1 : 0;
        }
        usedGroups = groupsSoFar;

        long[] startsOf = new long[slots];
        long[] crossingsOf = new long[slots];
        long running = 0;
        long total = 0;
        for (int s = 0; s < slots; s++) {
            for (int b = 0; b < blocks; b++) {
                startsOf[s] += starts[b][s];
                running += crossings[b][s];
            }
            crossingsOf[s] = running;
            total += startsOf[s];
        }
        long wanted = Math.max(1, Math.min(edgesPerBand, total / 16));
        bandOfSlot = new int[slots];
        long[] borders = new long[slots + 1];
        borders[0] = polygons.bottom();
        int band = 0;
        long inBand = 0;
        for (int s = 0; s < slots; s++) {
            if (inBand >= wanted && crossingsOf[s] <= cutPart * inBand) {
                borders[++band] = polygons.bottom() + s * slotHeight;
                inBand = 0;
            }
            bandOfSlot[s] = band;
            inBand += startsOf[s];
        }
        count = band + 1;
        borders[count] = polygons.top();
        border = Arrays.copyOf(borders, count + 1);

        // Within a band, entries go by the slot in which they begin, so that the sweep finds neighbours close together
        // in memory.
        int[] firstSlot = new int[count + 1];
        for (int s = slots - 1; s >= 0; s--) {
            firstSlot[bandOfSlot[s]] = s;
        }
        int[][] next = starts;
        workers.run(blocks, b -> {
            Arrays.fill(next[b], 0);
            visit(b, firstSlot, (slot, e) -> next[b][slot]++);
        });
        firstEntry = new int[count + 1];
        int sum = 0;
        for (int s = 0; s < slots; s++) {
            if (s == firstSlot[bandOfSlot[s]]) {
                firstEntry[bandOfSlot[s]] = sum;
            }
            for (int b = 0; b < blocks; b++) {
                int here = next[b][s];
                next[b][s] = sum;
                sum = Math.addExact(sum, here);
            }
        }
        firstEntry[count] = sum;
        entry = new long[sum];
        workers.run(blocks, b -> visit(b, firstSlot, (slot, e) -> entry[next[b][slot]++] = e));
    }

    /** Number of bands. */
    int count() {
        return count;
    }

    /** Number of groups that occur. */
    int usedGroups() {
        return usedGroups;
    }

    /** The group behind compact number {@code g}. */
    char[] groupOfCompact() {
        char[] original = new char[usedGroups];
        // Groups that do not occur share the number of the next one that does.
        for (int g = 0; g < compactGroup.length; g++) {
            if (compactGroup[g] < usedGroups) {
                original[compactGroup[g]] = (char) g;
            }
        }
        return original;
    }

    /** Gives back memory when all bands have been filled. */
    void forgetEntries() {
        entry = null;
    }

    /** Lower border of band {@code k}, on the height grid; {@code k} may equal {@link #count()}. */
    long bottom(int k) {
        return border[k] << Lines.STEP_BITS;
    }

    /** Gives the edges of band {@code k} to {@code kernel}, clipped at its borders. */
    void fill(int k, SweepKernel kernel) {
        kernel.clear(usedGroups);
        long bottom = bottom(k);
        long top = bottom(k + 1);
        for (int i = firstEntry[k]; i < firstEntry[k + 1]; i++) {
            int b = (int) (entry[i] >>> 32) & 0x3fffffff;
            int at = (int) entry[i];
            if ((entry[i] & UNWOUND) != 0) {
                long[] d = unwound[b].data;
                kernel.edges()
                        .add(
                                d[at],
                                d[at + 1],
                                d[at + 2],
                                d[at + 3],
                                Math.max(bottom, d[at + 4]),
                                Math.min(top, d[at + 5]),
                                (int) d[at + 6],
                                compactGroup[(int) d[at + 7]]);
                continue;
            }
            long[] d = polygons.block(b);
            int owner = compactGroup[(int) (d[at] & Polygons.MAX_GROUP)];
            int vertices = (int) (d[at] >>> 16);
            if (vertices == 0) {
                long low = Math.max(bottom, d[at + 2] << Lines.STEP_BITS);
                long high = Math.min(top, d[at + 4] << Lines.STEP_BITS);
                long rise = d[at + 4] - d[at + 2];
                kernel.edges().add(d[at + 1], d[at + 2], 0, rise, low, high, 1, owner);
                kernel.edges().add(d[at + 3], d[at + 2], 0, rise, low, high, -1, owner);
            } else {
                addPolygon(kernel, d, at + 1, vertices, bottom, top, owner);
            }
        }
    }

    private static void addPolygon(
            SweepKernel kernel, long[] xy, int from, int vertices, long bottom, long top, int owner) {
        // Going round counter-clockwise, the inside lies to the right of what leads down.
        int down = Outlines.orientation(xy, from, vertices) < 0 ? -1 : 1;
        long xa = xy[from + 2 * vertices - 2];
        long ya = xy[from + 2 * vertices - 1];
        for (int i = from; i < from + 2 * vertices; i += 2) {
            long xb = xy[i];
            long yb = xy[i + 1];
            long low = Math.max(bottom, Math.min(ya, yb) << Lines.STEP_BITS);
            long high = Math.min(top, Math.max(ya, yb) << Lines.STEP_BITS);
            if (low < high) {
                if (ya < yb) {
                    kernel.edges().add(xa, ya, xb - xa, yb - ya, low, high, -down, owner);
                } else {
                    kernel.edges().add(xb, yb, xa - xb, ya - yb, low, high, down, owner);
                }
            }
            xa = xb;
            ya = yb;
        }
    }

    private int slot(long y) {
        return (int) ((y - polygons.bottom()) / slotHeight);
    }

    /** Finds the polygons of block {@code b} that wind backwards somewhere, and counts edges by slot. */
    private void survey(int b, int groups, boolean[] used, int[] starts, int[] crossings) {
        long[] d = polygons.block(b);
        int end = polygons.blockEnd(b);
        int[] found = new int[0];
        int size = 0;
        SweepKernel kernel = null;
        SimplePolygons simple = new SimplePolygons();
        BandTrapezoids spans = new BandTrapezoids();
        for (int at = 0; at < end; ) {
            int owner = (int) (d[at] & Polygons.MAX_GROUP);
            if (owner >= groups) {
                throw new IllegalArgumentException("group " + owner + " of a polygon is not below " + groups);
            }
            used[owner] = true;
            int vertices = (int) (d[at] >>> 16);
            if (vertices == 0) {
                count(d[at + 2], d[at + 4], 2, starts, crossings);
                at += 5;
                continue;
            }
            if (!Outlines.convex(d, at + 1, vertices) && !simple.surely(d, at + 1, vertices)) {
                if (kernel == null) {
                    kernel = new SweepKernel();
                }
                kernel.clear(1);
                addPolygon(kernel, d, at + 1, vertices, Long.MIN_VALUE, Long.MAX_VALUE, 0);
                spans.clear();
                kernel.run(0, null, 0, null, spans);
                if (kernel.negative()) {
                    if (size == found.length) {
                        found = Arrays.copyOf(found, Math.max(16, 2 * size));
                    }
                    found[size++] = at;
                    kernel.addSidesTo(unwound[b], owner);
                }
            }
            long previous = d[at + 2 * vertices];
            for (int i = at + 2; i <= at + 2 * vertices; i += 2) {
                if (previous != d[i]) {
                    count(Math.min(previous, d[i]), Math.max(previous, d[i]), 1, starts, crossings);
                }
                previous = d[i];
            }
            at += 2 * vertices + 1;
        }
        tangled[b] = Arrays.copyOf(found, size);
    }

    private void count(long low, long high, int edges, int[] starts, int[] crossings) {
        int first = slot(low);
        starts[first] += edges;
        crossings[first + 1] += edges;
        crossings[slot(high - 1) + 1] -= edges;
    }

    /** Takes an entry that belongs to a band from {@code slot} on. */
    private interface EntryVisitor {
        void visit(int slot, long entry);
    }

    /** Shows the entries of block {@code b}, once per band: the polygons that do not wind backwards, and the edges that stand for the rest. */
    private void visit(int b, int[] firstSlot, EntryVisitor visitor) {
        long[] d = polygons.block(b);
        int end = polygons.blockEnd(b);
        int t = 0;
        for (int at = 0; at < end; ) {
            int vertices = (int) (d[at] >>> 16);
            long code = ((long) b << 32) | at;
            if (vertices == 0) {
                visit(d[at + 2], d[at + 4] - 1, code, firstSlot, visitor);
                at += 5;
                continue;
            }
            if (t < tangled[b].length && tangled[b][t] == at) {
                t++;
            } else {
                long low = Long.MAX_VALUE;
                long high = Long.MIN_VALUE;
                for (int i = at + 2; i <= at + 2 * vertices; i += 2) {
                    low = Math.min(low, d[i]);
                    high = Math.max(high, d[i]);
                }
                if (low < high) {
                    visit(low, high - 1, code, firstSlot, visitor);
                }
            }
            at += 2 * vertices + 1;
        }
        for (int s = 0; s < unwound[b].size; s++) {
            int at = s * UnwoundEdges.FIELDS;
            long low = unwound[b].data[at + 4] >> Lines.STEP_BITS;
            long high = (unwound[b].data[at + 5] - 1) >> Lines.STEP_BITS;
            visit(low, high, UNWOUND | ((long) b << 32) | at, firstSlot, visitor);
        }
    }

    private void visit(long low, long high, long code, int[] firstSlot, EntryVisitor visitor) {
        int slot = slot(low);
        visitor.visit(slot, code);
        int last = bandOfSlot[slot(high)];
        for (int k = bandOfSlot[slot] + 1; k <= last; k++) {
            visitor.visit(firstSlot[k], code);
        }
    }
}
