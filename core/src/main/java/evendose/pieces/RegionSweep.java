package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.Arrays;
import java.util.List;

/** Decomposes a region by a scan line into runs between a left and a right border, in one direction of cuts, and has each cut. */
final class RegionSweep {
    private final Chains chains;
    private final RunCutter cutter;

    private double[] heights = new double[32];
    private int[] byLow = new int[16];
    private int[] active = new int[16];
    private double[] middle = new double[16];
    private int[] cursor = new int[16];
    private int[] open = new int[16];
    private double[] openedAt = new double[16];
    private int[] wanted = new int[16];

    RegionSweep(EdgeBuffer drawn, boolean exact, double tolerance, double smallest) {
        chains = new Chains(drawn);
        cutter = new RunCutter(chains, exact, tolerance, smallest);
    }

    /**
     * Cuts the region that the rings bound.
     *
     * @param standing whether cuts run along y
     * @param addedArea area that earlier cuts of the shape have added and that this one should take away again
     * @param allowedArea what may be left of it
     * @param isFinal whether it is no trial but worth some trouble, {@link RunCutter#begin}
     * @param dearest what the cut may cost, or more
     * @return the cut; null if it costs {@code dearest} or more
     */
    Cut cut(List<Ring> rings, boolean standing, double addedArea, double allowedArea, boolean isFinal, double dearest) {
        Cut cut = new Cut();
        chains.fill(rings, standing, cut.edges);
        cutter.begin(cut, standing, addedArea, allowedArea, isFinal, dearest);
        int n = chains.count;
        reserve(n);
        int count = 0;
        for (int c = 0; c < n; c++) {
            heights[count++] = chains.low(c);
            heights[count++] = chains.high(c);
            byLow[c] = c;
            cursor[c] = chains.first[c];
            open[c] = -1;
        }
        Arrays.sort(heights, 0, count);
        sortByLow(n);
        int started = 0;
        int live = 0;
        for (int k = 0; k < count && !cutter.isTooDear(); k++) {
            double v = heights[k];
            if (k > 0 && v == heights[k - 1]) {
                continue;
            }
            int kept = 0;
            for (int q = 0; q < live; q++) {
                if (chains.high(active[q]) > v) {
                    active[kept++] = active[q];
                } else if (open[active[q]] >= 0) {
                    close(active[q], v);
                }
            }
            live = kept;
            while (started < n && chains.low(byLow[started]) == v) {
                active[live++] = byLow[started++];
            }
            double next = v;
            for (int m = k + 1; m < count && next == v; m++) {
                next = heights[m];
            }
            if (live > 0 && next > v) {
                arrange(live, 0.5 * (v + next));
                pair(live, v);
            }
        }
        cut.addedArea = cutter.addedArea() - addedArea;
        cut.parts.add(new Cut.Part(rings, standing, cut.addedArea));
        return cutter.isTooDear() ? null : cut;
    }

    private void reserve(int n) {
        if (heights.length < 2 * n) {
            heights = new double[4 * n];
        }
        if (byLow.length < n) {
            byLow = new int[2 * n];
            active = new int[2 * n];
            middle = new double[2 * n];
            cursor = new int[2 * n];
            open = new int[2 * n];
            openedAt = new double[2 * n];
            wanted = new int[2 * n];
        }
    }

    private void sortByLow(int n) {
        if (n > 64) {
            Integer[] boxed = new Integer[n];
            Arrays.setAll(boxed, c -> c);
            Arrays.sort(boxed, (a, b) -> Double.compare(chains.low(a), chains.low(b)));
            for (int k = 0; k < n; k++) {
                byLow[k] = boxed[k];
            }
            return;
        }
        for (int k = 1; k < n; k++) {
            int c = byLow[k];
            int m = k - 1;
            while (m >= 0 && chains.low(byLow[m]) > chains.low(c)) {
                byLow[m + 1] = byLow[m];
                m--;
            }
            byLow[m + 1] = c;
        }
    }

    /** Sorts the chains that reach height {@code v} from left to right; where two coincide, the left border comes first. */
    private void arrange(int live, double v) {
        for (int q = 0; q < live; q++) {
            int c = active[q];
            cursor[c] = chains.edgeAt(c, v, cursor[c]);
            middle[c] = chains.on(cursor[c], v);
            int m = q - 1;
            while (m >= 0 && comesAfter(active[m], c)) {
                active[m + 1] = active[m];
                m--;
            }
            active[m + 1] = c;
        }
    }

    private boolean comesAfter(int a, int b) {
        return middle[a] != middle[b] ? middle[a] > middle[b] : chains.right[a] && !chains.right[b];
    }

    /** Finds what lies inside, goes on with runs whose borders stay, ends and begins others. */
    private void pair(int live, double v) {
        int depth = 0;
        int outer = -1;
        for (int q = 0; q < live; q++) {
            int c = active[q];
            wanted[c] = -1;
            if (!chains.right[c]) {
                outer = depth == 0 ? c : outer;
                depth++;
            } else if (depth > 0 && --depth == 0) {
                wanted[outer] = c;
            }
        }
        for (int q = 0; q < live; q++) {
            int c = active[q];
            if (open[c] >= 0 && open[c] != wanted[c]) {
                close(c, v);
            }
        }
        for (int q = 0; q < live; q++) {
            int c = active[q];
            if (wanted[c] >= 0 && open[c] < 0) {
                open[c] = wanted[c];
                openedAt[c] = v;
            }
        }
    }

    private void close(int c, double v) {
        cutter.cut(c, open[c], openedAt[c], v);
        open[c] = -1;
    }
}
