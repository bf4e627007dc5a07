package evendose.geometry;

import java.util.Arrays;

/**
 * The edges that the scan line meets, in exact order from left to right just above its height. Moves from height to height: edges that end
 * leave, those that cross change places, those that begin are put in; where that happened is noted.
 */
final class ScanLine {
    /** With how many edges on its line an edge that begins is compared to combine them. */
    private static final int COMBINED_WITH = 8;

    private final BandEdges edges;
    private final DisturbedRanges disturbed;
    private final SpanChanges changes;
    private final EdgeOrder edgeOrder;

    int active;
    int[] list = new int[64];
    private int[] spare = new int[64];
    private int[] suspects = new int[16];

    /** Where edges have just left the list, from left to right: where a vertex was, another edge goes on. */
    private int[] vacated = new int[64];

    private int vacancies;

    /** Where each edge was put in: where it still is, as long as as many come as go before it. */
    private int[] putAt = new int[64];

    ScanLine(BandEdges edges, DisturbedRanges disturbed, SpanChanges changes) {
        this.edges = edges;
        this.disturbed = disturbed;
        this.changes = changes;
        edgeOrder = edges::total;
    }

    /**
     * Moves up.
     *
     * @param before the height it stands at
     * @param height the height to go to
     * @param crossings crossings to come; those at {@code height} are taken from them
     * @param starting edges, of which those from {@code startFrom} to {@code startTo} begin there
     * @param ending edges, of which those from {@code endFrom} to {@code endTo} end there
     */
    void move(
            long before,
            long height,
            Crossings crossings,
            int[] starting,
            int startFrom,
            int startTo,
            int[] ending,
            int endFrom,
            int endTo) {
        int suspected = popCrossings(crossings, before, height);
        vacancies = 0;
        if (endFrom < endTo) {
            suspected = remove(before, height, ending, endFrom, endTo, suspected);
        }
        if (edges.slanted) {
            reorder(height, suspected);
        }
        if (startFrom < startTo) {
            insert(height, starting, startFrom, startTo);
        }
        disturbed.sort();
    }

    /** First index in the list, from {@code low} on, whose edge does not come before {@code e}. */
    private int search(int e, long height, int low) {
        return edges.slanted ? searchSlanted(e, height, low) : searchUpright(e, low);
    }

    private int searchUpright(int e, int low) {
        long wanted = edges.x[e];
        int a = low;
        int b = active;
        while (a < b) {
            int middle = (a + b) >>> 1;
            int other = list[middle];
            long there = edges.x[other];
            if (there < wanted || (there == wanted && other < e)) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    private int searchSlanted(int e, long height, int low) {
        long wanted = edges.x[e];
        double run = edges.slope[e] * (height - edges.y[e]);
        int a = low;
        int b = active;
        while (a < b) {
            int middle = (a + b) >>> 1;
            int other = list[middle];
            long apart = edges.x[other] - wanted;
            double otherRun = edges.slope[other] * (height - edges.y[other]);
            double difference = apart + (otherRun - run);
            // The same filter as in compare.
            boolean sure =
                    Math.abs(difference) > (Math.abs(apart) + Math.abs(otherRun) + Math.abs(run)) * BandEdges.FILTER;
            if (sure ? difference < 0 : edges.total(other, e, height) < 0) {
                a = middle + 1;
            } else {
                b = middle;
            }
        }
        return a;
    }

    private int find(int e, long height) {
        int i = putAt[e];
        if (i < active && list[i] == e) {
            return i;
        }
        i = search(e, height, 0);
        if (i < active && list[i] == e) {
            return i;
        }
        // Cannot happen while the order is exact; kept so that no input can break the sweep.
        for (i = 0; i < active && list[i] != e; i++) {}
        return i;
    }

    /** Takes the crossings at {@code height} from the heap; leaves the indexes of their edges in {@link #suspects}. */
    private int popCrossings(Crossings crossings, long before, long height) {
        int suspected = 0;
        while (crossings.size > 0 && crossings.heights[0] == height) {
            for (int side = 0; side < 2; side++) {
                int e = side == 0 ? crossings.left[0] : crossings.right[0];
                if (edges.to[e] > height) {
                    suspected = suspect(suspected, find(e, before));
                }
            }
            crossings.pop();
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

    private int remove(long before, long height, int[] ending, int endFrom, int endTo, int suspected) {
        if (spare.length < endTo - endFrom + 1) {
            spare = new int[2 * (endTo - endFrom)];
        }
        int count = 0;
        for (int i = endFrom; i < endTo; i++) {
            if (edges.windings[ending[i]] != 0) {
                spare[count++] = find(ending[i], before);
            }
        }
        if (count == 0) {
            return suspected;
        }
        EdgeOrder.sort(spare, count);
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
                int mark = edges.attached[list[gapTo]];
                if (mark != BandEdges.NONE) {
                    counted = true;
                    if (mark >= 0) {
                        changes.addClosed(mark);
                    }
                }
                gapTo++;
                i++;
            }
            boolean joinsLeft = kept > 0 && edges.sameLine(list[kept - 1], list[gapFrom], height);
            boolean joinsRight = gapTo < size && edges.sameLine(list[gapTo - 1], list[gapTo], height);
            disturbed.add(joinsLeft ? kept - 1 : kept, joinsRight ? kept + 1 : kept, counted);
            if (edges.slanted) {
                suspectedNow = suspect(suspectedNow, kept);
                vacate(kept);
            }
            int next = i < count ? spare[i] : size;
            System.arraycopy(list, gapTo, list, kept, next - gapTo);
            kept += next - gapTo;
        }
        active = kept;
        return suspectedNow;
    }

    private void vacate(int index) {
        if (vacancies == vacated.length) {
            vacated = Arrays.copyOf(vacated, 2 * vacancies);
        }
        vacated[vacancies++] = index;
    }

    /** Puts the list in order just above {@code height}, beginning at the suspects and the indexes after them. */
    private void reorder(long height, int suspected) {
        int waiting = suspected;
        for (int i = 0; i < suspected; i++) {
            waiting = suspect(waiting, suspects[i] + 1);
        }
        while (waiting > 0) {
            int i = suspects[--waiting];
            if (i < 1 || i >= active || edges.total(list[i - 1], list[i], height) <= 0) {
                continue;
            }
            int e = list[i];
            list[i] = list[i - 1];
            list[i - 1] = e;
            disturbed.add(i - 1, i + 1, false);
            waiting = suspect(waiting, i - 1);
            waiting = suspect(waiting, i + 1);
        }
    }

    private void insert(long height, int[] starting, int startFrom, int startTo) {
        if (putAt.length < edges.size) {
            putAt = new int[edges.x.length];
        }
        EdgeOrder.sort(starting, startFrom, startTo, height, edgeOrder);
        int count = combine(height, starting, startFrom, startTo);
        if (spare.length < count) {
            spare = new int[2 * count];
        }
        int low = 0;
        int v = 0;
        for (int i = 0; i < count; i++) {
            int e = starting[startFrom + i];
            while (v < vacancies && vacated[v] < low) {
                v++;
            }
            low = v < vacancies && belongsAt(vacated[v], low, e, height) ? vacated[v] : search(e, height, low);
            spare[i] = low;
        }
        disturbed.shift(spare, count);
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
            putAt[e] = spare[i] + i;
            edges.attached[e] = BandEdges.NONE;
            disturbed.add(spare[i] + i, spare[i] + i + 1, false);
        }
        active = size;
    }

    /** Whether {@link #search} would find index {@code i}. */
    private boolean belongsAt(int i, int low, int e, long height) {
        return (i == low || edges.total(list[i - 1], e, height) < 0)
                && (i == active || edges.total(list[i], e, height) >= 0);
    }

    /**
     * Makes one of edges that have line, end and group in common, so that copies of a shape cost no more than one; those without
     * effect have winding change 0 from then on. Leaves the others at {@code startFrom} and returns how many they are.
     */
    private int combine(long height, int[] starting, int startFrom, int startTo) {
        int kept = startFrom;
        for (int i = startFrom; i < startTo; i++) {
            int e = starting[i];
            int k = kept - 1;
            while (k >= Math.max(startFrom, kept - COMBINED_WITH)
                    && edges.sameLine(starting[k], e, height)
                    && (edges.to[starting[k]] != edges.to[e] || edges.group[starting[k]] != edges.group[e])) {
                k--;
            }
            if (k >= Math.max(startFrom, kept - COMBINED_WITH) && edges.sameLine(starting[k], e, height)) {
                edges.windings[starting[k]] += edges.windings[e];
                edges.windings[e] = 0;
            } else {
                starting[kept++] = e;
            }
        }
        int count = 0;
        for (int i = startFrom; i < kept; i++) {
            if (edges.windings[starting[i]] != 0) {
                starting[startFrom + count++] = starting[i];
            }
        }
        return count;
    }

    /** Adds the crossings to come of edges that have become neighbours. */
    void findCrossings(long height, Crossings crossings) {
        int checked = 0;
        for (int p = 0; p < disturbed.size; p++) {
            int last = Math.min(Math.max(disturbed.end(p), disturbed.first(p)), active - 1);
            for (int i = Math.max(Math.max(disturbed.first(p), 1), checked); i <= last; i++) {
                findCrossing(list[i - 1], list[i], height, crossings);
                checked = i + 1;
            }
        }
    }

    private void findCrossing(int a, int b, long height, Crossings crossings) {
        if (edges.slope[a] < edges.slope[b] || (edges.slope[a] == 0 && edges.slope[b] == 0)) {
            return;
        }
        long last = Math.min(edges.to[a], edges.to[b]);
        if (edges.compare(a, b, last) <= 0) {
            return;
        }
        // The first step at which the order is the other way round lies above height, at last or before. Rounding leads
        // close to it; widening steps enclose it, halving finds it.
        double gap = (edges.x[b] - edges.x[a])
                + (edges.slope[b] * (height - edges.y[b]) - edges.slope[a] * (height - edges.y[a]));
        double rise = gap / (edges.slope[a] - edges.slope[b]);
        long low = height;
        long high = last;
        long reach = 0;
        long at = height + (long) Math.min(Math.max(rise, 0), (double) (last - height));
        while (high - low > 1) {
            if (at <= low || at >= high) {
                at = low + ((high - low) >> 1);
            }
            reach = 2 * reach + 1;
            if (edges.compare(a, b, at) > 0) {
                high = at;
                at -= reach;
            } else {
                low = at;
                at += reach;
            }
        }
        if (high < last) {
            crossings.push(high, a, b);
        }
    }
}
