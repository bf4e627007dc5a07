package evendose.geometry;

import java.util.Arrays;

/**
 * The scan line: takes the edges of one band and leaves the trapezoids of their union. Nothing is checked; edges must be
 * balanced (at every height, the winding changes of each group add up to 0).
 *
 * <p>The line climbs from height to height at which something happens: edges begin, end or cross. Edges that it meets are
 * kept in an array in exact order from left to right just above the line. Each keeps the winding number behind it, per group.
 * Crossings are taken at the first step of the height grid at or above them, so the order at every step is the exact one, and
 * what comes out depends on the edges alone, not on the order in which they were found.
 *
 * <p>Edges on the same line form one boundary. A boundary counts if the owners of its two sides differ. A span is the place
 * between one such boundary and the next, if somebody owns it; it stays open, and becomes one trapezoid, as long as its two
 * lines, its owner and the exposure of its sides stay what they are. At each height only the places are looked at where edges
 * came, went or changed places.
 */
final class SweepKernel implements Contacts.Sink {
    /** Marks in {@link #attached}: the boundary does not count; it does, with nothing to the right; not settled yet. */
    private static final int NONE = -1;

    private static final int VOID = -2;
    private static final int UNSETTLED = -3;

    private static final int NOBODY = Integer.MAX_VALUE;

    /** Relative error bound of the floating-point order of two edges, in {@link #compare}. */
    private static final double FILTER = 0x1p-50;

    /** With how many edges on its line an edge that begins is compared to combine them. */
    private static final int COMBINED_WITH = 8;

    private int groups;

    // Edges.
    private int edges;
    private boolean slanted;
    private long[] x = new long[64];
    private long[] y = new long[64];
    private long[] dx = new long[64];
    private long[] dy = new long[64];
    private long[] from = new long[64];
    private long[] to = new long[64];
    private double[] slope = new double[64];
    private int[] windings = new int[64];
    private char[] group = new char[64];
    /** The span that is open to the right of the edge's boundary, or a mark. Kept by the boundary's first edge. */
    private int[] attached = new int[64];
    /** Winding number of group g to the right of edge e, taken alone among edges on its line: [e * groups + g]. */
    private int[] behind = new int[64];

    private int[] starting = new int[64];
    private int[] ending = new int[64];
    private final HeightSort heightSort = new HeightSort();

    // The active edges, from left to right.
    private int active;
    private int[] list = new int[64];
    private int[] spare = new int[64];

    // Lines of spans, as edges.
    private int[] spanLeft = new int[64];
    private int[] spanRight = new int[64];

    // Places to look at: first index (31 bits), end of the range to recompute (32 bits), whether a boundary that
    // counted went.
    private int places;
    private long[] place = new long[64];

    // Crossings to come, a binary heap by height.
    private int crossings;
    private long[] crossingHeight = new long[16];
    private int[] crossingLeft = new int[16];
    private int[] crossingRight = new int[16];
    private int[] suspects = new int[16];

    // Spans taken up at the current height, and those found instead.
    private int closed;
    private int[] closedSpan = new int[16];
    private int found;
    private int[] foundLeft = new int[16];
    private int[] foundRight = new int[16];
    private char[] foundOwner = new char[16];
    private byte[] foundSides = new byte[16];

    private int[] current = new int[1];
    private boolean negative;
    private final Contacts contacts = new Contacts();
    private final Order edgeOrder = this::total;
    private final Order spanOrder = (a, b, height) -> compare(spanLeft[a], spanLeft[b], height);
    private Spans spans;

    /** Forgets all edges. */
    void clear(int groupCount) {
        groups = groupCount;
        edges = 0;
        slanted = false;
        if (current.length < groupCount) {
            current = new int[groupCount];
        }
    }

    int edges() {
        return edges;
    }

    /**
     * Adds an edge on the line through {@code (xa, ya)} in direction {@code (dxa, dya)}, {@code dya > 0}, dbu.
     *
     * @param low lower end, on the height grid
     * @param high upper end, on the height grid, above {@code low}
     * @param change by how much the winding number grows from left to right
     */
    void add(long xa, long ya, long dxa, long dya, long low, long high, int change, int owner) {
        if (edges == x.length) {
            grow();
        }
        int e = edges++;
        x[e] = xa;
        y[e] = ya << Lines.STEP_BITS;
        dx[e] = dxa;
        dy[e] = dya;
        from[e] = low;
        to[e] = high;
        slope[e] = Lines.slope(dxa, dya);
        windings[e] = change;
        group[e] = (char) owner;
        slanted |= dxa != 0;
    }

    private void grow() {
        int length = 2 * edges;
        x = Arrays.copyOf(x, length);
        y = Arrays.copyOf(y, length);
        dx = Arrays.copyOf(dx, length);
        dy = Arrays.copyOf(dy, length);
        from = Arrays.copyOf(from, length);
        to = Arrays.copyOf(to, length);
        slope = Arrays.copyOf(slope, length);
        windings = Arrays.copyOf(windings, length);
        group = Arrays.copyOf(group, length);
    }

    /** Whether the last sweep met a negative winding number. */
    boolean negative() {
        return negative;
    }

    /** Adds the sides of all spans of the last sweep to {@code other}, as edges of group {@code owner}. */
    void addSidesTo(Strays strays, int owner) {
        for (int s = 0; s < spans.size; s++) {
            long low = (long) (spans.yBottom[s] * Lines.STEPS);
            long high = (long) Math.ceil(spans.yTop[s] * Lines.STEPS);
            addSideTo(strays, spanLeft[s], low, high, 1, owner);
            addSideTo(strays, spanRight[s], low, high, -1, owner);
        }
    }

    private void addSideTo(Strays strays, int e, long low, long high, int change, int owner) {
        strays.add(x[e], y[e] >> Lines.STEP_BITS, dx[e], dy[e], low, high, change, owner);
    }

    /**
     * Sweeps the edges added since {@link #clear}.
     *
     * @param bottom height of the lower border; if {@code below} is not null, the spans that begin there are listed in it, and
     *     what their bottoms touch is left open
     * @param top height of the upper border; if {@code above} is not null, the spans still open there are listed in it and left
     *     open
     */
    void run(long bottom, SeamSpans below, long top, SeamSpans above, Spans into) {
        spans = into;
        negative = false;
        active = 0;
        crossings = 0;
        if (attached.length < x.length) {
            attached = new int[x.length];
            starting = new int[x.length];
            ending = new int[x.length];
        }
        if (behind.length < (long) x.length * groups) {
            behind = new int[Math.multiplyExact(x.length, groups)];
        }
        heightSort.sort(from, edges, starting);
        heightSort.sort(to, edges, ending);
        int nextStart = 0;
        int nextEnd = 0;
        long before = bottom;
        while (true) {
            long height = Long.MAX_VALUE;
            if (nextStart < edges) {
                height = from[starting[nextStart]];
            }
            if (nextEnd < edges) {
                height = Math.min(height, to[ending[nextEnd]]);
            }
            if (crossings > 0) {
                height = Math.min(height, crossingHeight[0]);
            }
            if (height == Long.MAX_VALUE || (above != null && height >= top)) {
                break;
            }
            int startFrom = nextStart;
            while (nextStart < edges && from[starting[nextStart]] == height) {
                nextStart++;
            }
            int endFrom = nextEnd;
            while (nextEnd < edges && to[ending[nextEnd]] == height) {
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
            for (int i = 0; i < active; i++) {
                if (attached[list[i]] >= 0) {
                    addSeamSpan(above, attached[list[i]]);
                }
            }
        }
    }

    private void addSeamSpan(SeamSpans seam, int s) {
        seam.add(s);
        int at = (seam.size - 1) * SeamSpans.LINES;
        putLine(spanLeft[s], seam.lines, at);
        putLine(spanRight[s], seam.lines, at + 4);
    }

    private void putLine(int e, long[] lines, int at) {
        lines[at] = x[e];
        lines[at + 1] = y[e] >> Lines.STEP_BITS;
        lines[at + 2] = dx[e];
        lines[at + 3] = dy[e];
    }

    private void step(long before, long height, int startFrom, int startTo, int endFrom, int endTo, boolean seam) {
        places = 0;
        closed = 0;
        found = 0;
        int suspected = popCrossings(before, height);
        if (endFrom < endTo) {
            suspected = remove(before, height, endFrom, endTo, suspected);
        }
        if (slanted) {
            reorder(height, suspected);
        }
        if (startFrom < startTo) {
            insert(height, startFrom, startTo);
        }
        sortPlaces();
        look(height);
        if (slanted) {
            lookForCrossings(height);
        }
        settle(height, seam);
    }

    // ---- order ----

    /** Order of two edges just above {@code height}; 0 only if they lie on the same line. */
    private int compare(int a, int b, long height) {
        double slopeA = slope[a];
        double slopeB = slope[b];
        long apart = x[a] - x[b];
        if (slopeA == 0 && slopeB == 0) {
            return Long.signum(apart);
        }
        double runA = slopeA * (height - y[a]);
        double runB = slopeB * (height - y[b]);
        double difference = apart + (runA - runB);
        if (Math.abs(difference) > (Math.abs(apart) + Math.abs(runA) + Math.abs(runB)) * FILTER) {
            return difference > 0 ? 1 : -1;
        }
        return Lines.compare(
                height, x[a], y[a] >> Lines.STEP_BITS, dx[a], dy[a], x[b], y[b] >> Lines.STEP_BITS, dx[b], dy[b]);
    }

    private int total(int a, int b, long height) {
        int order = compare(a, b, height);
        return order != 0 ? order : Integer.compare(a, b);
    }

    private boolean sameLine(int a, int b, long height) {
        return compare(a, b, height) == 0;
    }

    private double xAt(int e, long height) {
        return slope[e] == 0 ? x[e] : Lines.x(height, x[e], y[e] >> Lines.STEP_BITS, dx[e], dy[e]);
    }

    /** First index in the list, from {@code low} on, whose edge does not come before {@code e}. */
    private int search(int e, long height, int low) {
        return slanted ? searchSlanted(e, height, low) : searchUpright(e, low);
    }

    private int searchUpright(int e, int low) {
        long wanted = x[e];
        int a = low;
        int b = active;
        while (a < b) {
            int middle = (a + b) >>> 1;
            int other = list[middle];
            long there = x[other];
            if (there < wanted || (there == wanted && other < e)) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    private int searchSlanted(int e, long height, int low) {
        long wanted = x[e];
        double run = slope[e] * (height - y[e]);
        int a = low;
        int b = active;
        while (a < b) {
            int middle = (a + b) >>> 1;
            int other = list[middle];
            long apart = x[other] - wanted;
            double otherRun = slope[other] * (height - y[other]);
            double difference = apart + (otherRun - run);
            // The same filter as in compare.
            boolean sure = Math.abs(difference) > (Math.abs(apart) + Math.abs(otherRun) + Math.abs(run)) * FILTER;
            if (sure ? difference < 0 : total(other, e, height) < 0) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    private int find(int e, long height) {
        int i = search(e, height, 0);
        if (i < active && list[i] == e) {
            return i;
        }
        // Cannot happen while the order is exact; kept so that no input can break the sweep.
        for (i = 0; i < active && list[i] != e; i++) {}
        return i;
    }

    // ---- the list of active edges ----

    /** Takes the crossings at {@code height} from the heap; leaves the indexes of their edges in {@link #suspects}. */
    private int popCrossings(long before, long height) {
        int suspected = 0;
        while (crossings > 0 && crossingHeight[0] == height) {
            for (int side = 0; side < 2; side++) {
                int e = side == 0 ? crossingLeft[0] : crossingRight[0];
                if (to[e] > height) {
                    suspected = suspect(suspected, find(e, before));
                }
            }
            popCrossing();
        }
        return suspected;
    }

    private int suspect(int count, int index) {
        if (count == suspects.length) {
            suspects = Arrays.copyOf(suspects, 2 * count);
        }
        suspects[count] = index;
        return count + 1;
    }

    private int remove(long before, long height, int endFrom, int endTo, int suspected) {
        if (spare.length < endTo - endFrom + 1) {
            spare = new int[2 * (endTo - endFrom)];
        }
        int count = 0;
        for (int i = endFrom; i < endTo; i++) {
            if (windings[ending[i]] != 0) {
                spare[count++] = find(ending[i], before);
            }
        }
        if (count == 0) {
            return suspected;
        }
        sort(spare, count);
        int size = active;
        for (int i = 0; i < suspected; i++) {
            int below = Arrays.binarySearch(spare, 0, count, suspects[i]);
            suspects[i] -= below < 0 ? -below - 1 : below;
        }
        int kept = spare[0];
        int suspectedNow = suspected;
        for (int i = 0; i < count; ) {
            // One run of neighbours that end together.
            int gapFrom = spare[i];
            int gapTo = gapFrom;
            boolean counted = false;
            while (i < count && spare[i] == gapTo) {
                int mark = attached[list[gapTo]];
                if (mark != NONE) {
                    counted = true;
                    if (mark >= 0) {
                        addClosed(mark);
                    }
                }
                gapTo++;
                i++;
            }
            boolean joinsLeft = kept > 0 && sameLine(list[kept - 1], list[gapFrom], height);
            boolean joinsRight = gapTo < size && sameLine(list[gapTo - 1], list[gapTo], height);
            addPlace(joinsLeft ? kept - 1 : kept, joinsRight ? kept + 1 : kept, counted);
            if (slanted) {
                suspectedNow = suspect(suspectedNow, kept);
            }
            int next = i < count ? spare[i] : size;
            System.arraycopy(list, gapTo, list, kept, next - gapTo);
            kept += next - gapTo;
        }
        active = kept;
        return suspectedNow;
    }

    /** Puts the list in order just above {@code height}, beginning at the suspects and the indexes after them. */
    private void reorder(long height, int suspected) {
        int waiting = suspected;
        for (int i = 0; i < suspected; i++) {
            waiting = suspect(waiting, suspects[i] + 1);
        }
        while (waiting > 0) {
            int i = suspects[--waiting];
            if (i < 1 || i >= active || total(list[i - 1], list[i], height) <= 0) {
                continue;
            }
            int e = list[i];
            list[i] = list[i - 1];
            list[i - 1] = e;
            addPlace(i - 1, i + 1, false);
            waiting = suspect(waiting, i - 1);
            waiting = suspect(waiting, i + 1);
        }
    }

    private void insert(long height, int startFrom, int startTo) {
        sort(starting, startFrom, startTo, height, edgeOrder);
        int count = combine(height, startFrom, startTo);
        if (spare.length < count) {
            spare = new int[2 * count];
        }
        int low = 0;
        for (int i = 0; i < count; i++) {
            low = search(starting[startFrom + i], height, low);
            spare[i] = low;
        }
        for (int p = 0; p < places; p++) {
            place[p] = shifted(place[p], count);
        }
        int size = active + count;
        if (size > list.length) {
            list = Arrays.copyOf(list, 2 * size);
        }
        int end = active;
        for (int i = count - 1; i >= 0; i--) {
            System.arraycopy(list, spare[i], list, spare[i] + i + 1, end - spare[i]);
            end = spare[i];
            int e = starting[startFrom + i];
            list[spare[i] + i] = e;
            attached[e] = NONE;
            addPlace(spare[i] + i, spare[i] + i + 1, false);
        }
        active = size;
    }

    /**
     * Makes one of edges that have line, end and group in common, so that copies of a shape cost no more than one; those without
     * effect have winding change 0 from then on. Leaves the others at {@code startFrom} and returns how many they are.
     */
    private int combine(long height, int startFrom, int startTo) {
        int kept = startFrom;
        for (int i = startFrom; i < startTo; i++) {
            int e = starting[i];
            int k = kept - 1;
            while (k >= Math.max(startFrom, kept - COMBINED_WITH)
                    && sameLine(starting[k], e, height)
                    && (to[starting[k]] != to[e] || group[starting[k]] != group[e])) {
                k--;
            }
            if (k >= Math.max(startFrom, kept - COMBINED_WITH) && sameLine(starting[k], e, height)) {
                windings[starting[k]] += windings[e];
                windings[e] = 0;
            } else {
                starting[kept++] = e;
            }
        }
        int count = 0;
        for (int i = startFrom; i < kept; i++) {
            if (windings[starting[i]] != 0) {
                starting[startFrom + count++] = starting[i];
            }
        }
        return count;
    }

    /** A place in the list after insertions before the indexes in {@link #spare}. */
    private long shifted(long packed, int count) {
        int first = first(packed);
        int end = end(packed);
        // An empty place begins right behind the edge before it, a range at its first edge.
        int newFirst = first == end ? first + inserted(first - 1, count) : first + inserted(first, count);
        int newEnd = first == end ? newFirst : end - 1 + inserted(end - 1, count) + 1;
        return pack(newFirst, newEnd, counted(packed));
    }

    /** How many edges are inserted before or at index {@code i}. */
    private int inserted(int i, int count) {
        int a = 0;
        int b = count;
        while (a < b) {
            int middle = (a + b) >>> 1;
            if (spare[middle] <= i) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    /** Order of two numbered things just above a height. */
    private interface Order {
        int compare(int a, int b, long height);
    }

    /** Merge sort, quick on what is nearly sorted. */
    private static void sort(int[] array, int begin, int end, long height, Order order) {
        if (end - begin > 24) {
            int middle = (begin + end) >>> 1;
            sort(array, begin, middle, height, order);
            sort(array, middle, end, height, order);
            if (order.compare(array[middle - 1], array[middle], height) <= 0) {
                return;
            }
            int[] left = Arrays.copyOfRange(array, begin, middle);
            int a = 0;
            int b = middle;
            int at = begin;
            while (a < left.length) {
                array[at++] = b < end && order.compare(array[b], left[a], height) < 0 ? array[b++] : left[a++];
            }
            return;
        }
        for (int i = begin + 1; i < end; i++) {
            int value = array[i];
            int at = i;
            while (at > begin && order.compare(array[at - 1], value, height) > 0) {
                array[at] = array[at - 1];
                at--;
            }
            array[at] = value;
        }
    }

    private static void sort(int[] array, int count) {
        if (count > 24) {
            Arrays.sort(array, 0, count);
            return;
        }
        for (int i = 1; i < count; i++) {
            int value = array[i];
            int at = i;
            while (at > 0 && array[at - 1] > value) {
                array[at] = array[at - 1];
                at--;
            }
            array[at] = value;
        }
    }

    // ---- places ----

    private static long pack(int first, int end, boolean counted) {
        return ((long) first << 33) | ((long) end << 1) | (counted ? 1 : 0);
    }

    private static int first(long packed) {
        return (int) (packed >>> 33);
    }

    private static int end(long packed) {
        return (int) (packed >>> 1);
    }

    private static boolean counted(long packed) {
        return (packed & 1) != 0;
    }

    private void addPlace(int first, int end, boolean counted) {
        if (places == place.length) {
            place = Arrays.copyOf(place, 2 * places);
        }
        place[places++] = pack(first, end, counted);
    }

    private void sortPlaces() {
        if (places > 24) {
            Arrays.sort(place, 0, places);
            return;
        }
        for (int i = 1; i < places; i++) {
            long value = place[i];
            int at = i;
            while (at > 0 && place[at - 1] > value) {
                place[at] = place[at - 1];
                at--;
            }
            place[at] = value;
        }
    }

    /** Recomputes winding numbers and boundaries at the places, and from each one on to the right as far as they change. */
    private void look(long height) {
        int p = 0;
        while (p < places) {
            int i = first(place[p]);
            while (i > 0 && i < active && sameLine(list[i - 1], list[i], height)) {
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
                if (i < active) {
                    do {
                        counts |= attached[list[end]] != NONE;
                        end++;
                    } while (end < active && sameLine(list[i], list[end], height));
                }
                boolean went = false;
                while (p < places && (first(place[p]) < end || i == active || first(place[p]) == i)) {
                    must = Math.max(must, end(place[p]));
                    went |= counted(place[p]);
                    p++;
                }
                boolean changed = i < active && (i < must || !agrees(list[i]));
                int next = owner;
                if (changed) {
                    load(i);
                    for (int k = i; k < end; k++) {
                        int e = list[k];
                        if (attached[e] >= 0) {
                            addClosed(attached[e]);
                        }
                        attached[e] = NONE;
                        current[group[e]] += windings[e];
                        store(e);
                    }
                    next = owner();
                }
                if (!touched && (went || (changed && (counts || next != owner)))) {
                    touched = true;
                    if (owner != NOBODY) {
                        int k = i - 1;
                        while (k >= 0 && attached[list[k]] == NONE) {
                            k--;
                        }
                        if (k >= 0 && attached[list[k]] >= 0) {
                            left = list[k];
                            leftExposed = (spans.sides[attached[left]] & 1) != 0;
                            addClosed(attached[left]);
                            attached[left] = UNSETTLED;
                        }
                    }
                }
                if (changed) {
                    if (next != owner) {
                        int e = list[i];
                        if (left >= 0) {
                            addFound(left, e, owner, leftExposed, next == NOBODY);
                        }
                        left = next == NOBODY ? -1 : e;
                        leftExposed = owner == NOBODY;
                        attached[e] = next == NOBODY ? VOID : UNSETTLED;
                    }
                    owner = next;
                    i = end;
                    continue;
                }
                if (i == active || left < 0) {
                    break;
                }
                if (counts) {
                    int k = i;
                    while (attached[list[k]] == NONE) {
                        k++;
                    }
                    addFound(left, list[k], owner, leftExposed, attached[list[k]] == VOID);
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
            System.arraycopy(behind, list[i - 1] * groups, current, 0, groups);
        }
    }

    private void store(int e) {
        System.arraycopy(current, 0, behind, e * groups, groups);
    }

    private boolean agrees(int e) {
        int at = e * groups;
        for (int g = 0; g < groups; g++) {
            if (behind[at + g] != current[g] + (g == group[e] ? windings[e] : 0)) {
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

    // ---- spans ----

    private void addClosed(int span) {
        if (closed == closedSpan.length) {
            closedSpan = Arrays.copyOf(closedSpan, 2 * closed);
        }
        closedSpan[closed++] = span;
    }

    private void addFound(int left, int right, int owner, boolean leftExposed, boolean rightExposed) {
        if (found == foundLeft.length) {
            foundLeft = Arrays.copyOf(foundLeft, 2 * found);
            foundRight = Arrays.copyOf(foundRight, 2 * found);
            foundOwner = Arrays.copyOf(foundOwner, 2 * found);
            foundSides = Arrays.copyOf(foundSides, 2 * found);
        }
        foundLeft[found] = left;
        foundRight[found] = right;
        foundOwner[found] = (char) owner;
        foundSides[found++] = (byte) ((leftExposed ? 1 : 0) | (rightExposed ? 2 : 0));
    }

    /** Leaves open the spans that were found again, ends the others and begins the new ones. */
    private void settle(long height, boolean seam) {
        sort(closedSpan, 0, closed, height, spanOrder);
        contacts.clear();
        int c = 0;
        for (int f = 0; f < found; f++) {
            int order = 1;
            while (c < closed && (order = compare(spanLeft[closedSpan[c]], foundLeft[f], height)) < 0) {
                close(closedSpan[c++], height);
            }
            if (c < closed && order == 0) {
                int s = closedSpan[c++];
                if (spans.group[s] == foundOwner[f]
                        && spans.sides[s] == foundSides[f]
                        && sameLine(spanRight[s], foundRight[f], height)) {
                    attached[foundLeft[f]] = s;
                    continue;
                }
                close(s, height);
            }
            open(f, height);
        }
        while (c < closed) {
            close(closedSpan[c++], height);
        }
        if (!seam) {
            contacts.find(this);
        }
    }

    private void close(int s, long height) {
        int left = spanLeft[s];
        int right = spanRight[s];
        spans.setTop(s, height, xAt(left, height), slope[left], xAt(right, height), slope[right]);
        contacts.addTop(s, spans.group[s], spans.xLeftTop[s], spans.xRightTop[s]);
    }

    private void open(int f, long height) {
        int s = spans.add();
        if (s >= spanLeft.length) {
            spanLeft = Arrays.copyOf(spanLeft, 2 * s);
            spanRight = Arrays.copyOf(spanRight, 2 * s);
        }
        spanLeft[s] = foundLeft[f];
        spanRight[s] = foundRight[f];
        attached[foundLeft[f]] = s;
        double left = xAt(foundLeft[f], height);
        double right = xAt(foundRight[f], height);
        spans.yBottom[s] = (double) height / Lines.STEPS;
        spans.xLeftBottom[s] = left;
        spans.xRightBottom[s] = right;
        spans.group[s] = foundOwner[f];
        spans.sides[s] = foundSides[f];
        contacts.addBottom(s, foundOwner[f], left, right);
    }

    @Override
    public void join(int top, int bottom) {
        Spans.join(spans.parent, top, bottom);
    }

    @Override
    public void exposed(int trapezoid, boolean onTop, double partFrom, double partTo) {
        spans.addPart(trapezoid, onTop, partFrom, partTo);
    }

    // ---- crossings ----

    private void lookForCrossings(long height) {
        int checked = 0;
        for (int p = 0; p < places; p++) {
            int last = Math.min(Math.max(end(place[p]), first(place[p])), active - 1);
            for (int i = Math.max(Math.max(first(place[p]), 1), checked); i <= last; i++) {
                lookForCrossing(list[i - 1], list[i], height);
                checked = i + 1;
            }
        }
    }

    private void lookForCrossing(int a, int b, long height) {
        if (slope[a] < slope[b] || (slope[a] == 0 && slope[b] == 0)) {
            return;
        }
        long last = Math.min(to[a], to[b]);
        if (compare(a, b, last) <= 0) {
            return;
        }
        // The first step at which the order is the other way round lies above height, at last or before. Rounding leads
        // close to
        // it; widening steps enclose it, halving finds it.
        double gap = (x[b] - x[a]) + (slope[b] * (height - y[b]) - slope[a] * (height - y[a]));
        double rise = gap / (slope[a] - slope[b]);
        long low = height;
        long high = last;
        long reach = 0;
        long at = height + (long) Math.min(Math.max(rise, 0), (double) (last - height));
        while (high - low > 1) {
            if (at <= low || at >= high) {
                at = low + ((high - low) >> 1);
            }
            reach = 2 * reach + 1;
            if (compare(a, b, at) > 0) {
                high = at;
                at -= reach;
            } else {
                low = at;
                at += reach;
            }
        }
        if (high < last) {
            pushCrossing(high, a, b);
        }
    }

    private void pushCrossing(long height, int a, int b) {
        if (crossings == crossingHeight.length) {
            crossingHeight = Arrays.copyOf(crossingHeight, 2 * crossings);
            crossingLeft = Arrays.copyOf(crossingLeft, 2 * crossings);
            crossingRight = Arrays.copyOf(crossingRight, 2 * crossings);
        }
        int i = crossings++;
        while (i > 0) {
            int up = (i - 1) >>> 1;
            if (crossingHeight[up] <= height) {
                break;
            }
            moveCrossing(up, i);
            i = up;
        }
        crossingHeight[i] = height;
        crossingLeft[i] = a;
        crossingRight[i] = b;
    }

    private void popCrossing() {
        int lastOne = --crossings;
        long height = crossingHeight[lastOne];
        int a = crossingLeft[lastOne];
        int b = crossingRight[lastOne];
        int i = 0;
        while (2 * i + 1 < lastOne) {
            int down = 2 * i + 1;
            if (down + 1 < lastOne && crossingHeight[down + 1] < crossingHeight[down]) {
                down++;
            }
            if (crossingHeight[down] >= height) {
                break;
            }
            moveCrossing(down, i);
            i = down;
        }
        crossingHeight[i] = height;
        crossingLeft[i] = a;
        crossingRight[i] = b;
    }

    private void moveCrossing(int source, int target) {
        crossingHeight[target] = crossingHeight[source];
        crossingLeft[target] = crossingLeft[source];
        crossingRight[target] = crossingRight[source];
    }
}
