package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Cuts regions in two along a line x = c or y = c. Where the line crosses the outline, both sides get the same vertex, rounded to
 * the grid; along the line they get an edge that is not exposed. A vertex on the line counts as beyond it.
 */
final class RingSplitter {
    /** Lines that are looked at on either side of where a cell is to end, at most. */
    private static final double MOST_LINES = 128;

    /** Lines of which is asked whether they leave thin pieces, at most. */
    private static final int MOST_TRIED = 24;

    /** Areas that differ by less, square grid units, are the same: a moved layout is cut at the same places. */
    private static final double ROUNDING = 1e-4;

    /** Regions of the part below the line, and of the part beyond. */
    final List<Ring> low = new ArrayList<>();

    final List<Ring> high = new ArrayList<>();

    /** Area that rounding of the new vertices has added to the region. */
    double addedArea;

    private final boolean exact;
    private final EdgeBuffer drawn;
    private final CrossingPlaces places;
    private boolean alongY;
    private double line;

    /** The edge aimed at, across the line and along it. */
    private double fromP;

    private double toP;
    private double fromQ;
    private double toQ;

    // Crossings: position along the line (turned so that the part below has its exits first), ring, edge, and the other
    // end of the
    // stretch of outline that begins there.
    private double[] at = new double[16];
    private int[] ring = new int[16];
    private int[] edge = new int[16];
    private boolean[] exit = new boolean[16];
    private int[] onward = new int[16];
    private int[] back = new int[16];
    private int crossings;
    private int[] order = new int[16];
    private int[] partner = new int[16];
    private List<Ring> crossed = new ArrayList<>();

    /**
     * For one shape after the other.
     *
     * @param exact whether new vertices keep their exact place
     * @param drawn the drawn edges that the rings' numbers mean
     * @param places which lines leave thin pieces
     */
    RingSplitter(boolean exact, EdgeBuffer drawn, CrossingPlaces places) {
        this.places = places;
        this.exact = exact;
        this.drawn = drawn;
    }

    /**
     * Splits.
     *
     * @param alongY whether the line is y = c
     * @param slack a bulge that reaches no further across the line stays with the part that it grows from
     */
    void split(List<Ring> rings, boolean alongY, double c, double slack) {
        this.alongY = alongY;
        line = c;
        low.clear();
        high.clear();
        crossed = new ArrayList<>();
        crossings = 0;
        addedArea = 0;
        for (Ring r : rings) {
            boolean below = false;
            boolean beyond = false;
            for (int k = 0; k < r.size; k++) {
                if (r.along(alongY, k) < c) {
                    below = true;
                } else {
                    beyond = true;
                }
            }
            if (!below) {
                high.add(r);
            } else if (!beyond) {
                low.add(r);
            } else {
                collect(r);
            }
        }
        if (crossings > 0) {
            dropBulges(slack);
            pair();
            trace(true, low);
            trace(false, high);
        }
    }

    /**
     * The line near {@code c}, on the grid, at which rounding bends long sides least and leaves least of what has been added to the
     * area, if it leaves no thin pieces. A guide whose width along the line is no whole number of steps comes out wider at some lines and narrower at others.
     *
     * @param window how far it may lie from {@code c}, whole grid units
     * @param added what earlier cuts have added to the area
     * @param without lines that are not to be taken
     */
    double gentlest(List<Ring> rings, boolean alongY, double c, double window, double added, List<Double> without) {
        this.alongY = alongY;
        // On a grid much finer than the window not every place is worth a look.
        double step = Math.max(1, Math.ceil(window / MOST_LINES));
        int reach = (int) (window / step);
        double[] bent = new double[2 * reach + 1];
        double[] area = new double[bent.length];
        Arrays.fill(area, added);
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                int next = k + 1 == r.size ? 0 : k + 1;
                double p0 = r.along(alongY, k);
                double p1 = r.along(alongY, next);
                double q0 = r.along(!alongY, k);
                double q1 = r.along(!alongY, next);
                // Sides that end near the line are too short to matter.
                if (q0 != q1 && p0 != p1 && Math.min(p0, p1) <= c - window && Math.max(p0, p1) >= c + window) {
                    aim(r.drawn[k], p0, q0, p1, q1);
                    bend(p0, q0, p1, q1, c - step * reach, step, bent, area);
                }
            }
        }
        for (double taken : without) {
            bent[(int) Math.rint((taken - c) / step) + reach] = Double.POSITIVE_INFINITY;
        }
        places.begin(rings, alongY, c, window);
        double first = c + step * (gentlest(bent, area) - reach);
        double place = first;
        for (int tries = 0; tries < MOST_TRIED; tries++) {
            if (places.allow(place)) {
                return place;
            }
            bent[(int) Math.rint((place - c) / step) + reach] = Double.POSITIVE_INFINITY;
            place = c + step * (gentlest(bent, area) - reach);
        }
        return first;
    }

    /** Adds what lines from {@code first} on do to a side. */
    private void bend(
            double p0, double q0, double p1, double q1, double first, double step, double[] bent, double[] area) {
        for (int j = 0; j < bent.length; j++) {
            line = first + step * j;
            double place = aimedAt();
            double rounded = Math.rint(place);
            bent[j] += 0.5 * Math.abs((place - rounded) * (p1 - p0));
            area[j] += bentArea(rounded, p0, q0, p1, q1);
        }
    }

    /** Of lines side by side the one that bends least, or of equal ones the one next to the middle. */
    private static int gentlest(double[] bent, double[] area) {
        int middle = bent.length / 2;
        int best = middle;
        double least = Double.MAX_VALUE;
        for (int j = 0; j < bent.length; j++) {
            double worth = bent[j] + Math.abs(area[j]);
            boolean nearer = Math.abs(j - middle) < Math.abs(best - middle);
            if (worth < least - ROUNDING || (worth <= least + ROUNDING && nearer)) {
                least = worth;
                best = j;
            }
        }
        return best;
    }

    private void collect(Ring r) {
        int number = crossed.size();
        crossed.add(r);
        int first = crossings;
        boolean before = r.along(alongY, r.size - 1) < line;
        for (int k = 0; k < r.size; k++) {
            boolean now = r.along(alongY, k) < line;
            if (now != before) {
                cross(number, k == 0 ? r.size - 1 : k - 1, before);
            }
            before = now;
        }
        for (int i = first; i < crossings; i++) {
            onward[i] = i + 1 == crossings ? first : i + 1;
            back[onward[i]] = i;
        }
    }

    private void cross(int number, int k, boolean leaves) {
        if (crossings == at.length) {
            int length = 2 * crossings;
            at = Arrays.copyOf(at, length);
            ring = Arrays.copyOf(ring, length);
            edge = Arrays.copyOf(edge, length);
            exit = Arrays.copyOf(exit, length);
            onward = Arrays.copyOf(onward, length);
            back = Arrays.copyOf(back, length);
            order = new int[length];
            partner = new int[length];
        }
        Ring r = crossed.get(number);
        int next = k + 1 == r.size ? 0 : k + 1;
        double p0 = r.along(alongY, k);
        double p1 = r.along(alongY, next);
        double q0 = r.along(!alongY, k);
        double q1 = r.along(!alongY, next);
        aim(r.drawn[k], p0, q0, p1, q1);
        double place = aimedAt();
        double rounded = p0 == line ? q0 : p1 == line ? q1 : exact ? place : Math.rint(place);
        addedArea += bentArea(rounded, p0, q0, p1, q1);
        at[crossings] = alongY ? -rounded : rounded;
        ring[crossings] = number;
        edge[crossings] = k;
        exit[crossings++] = leaves;
    }

    /** Area that an edge adds by being bent to a new vertex on the line: twice as much is base times height. */
    private double bentArea(double rounded, double p0, double q0, double p1, double q1) {
        double bent = 0.5 * (rounded - q0 - (line - p0) / (p1 - p0) * (q1 - q0)) * (p1 - p0);
        return alongY ? bent : -bent;
    }

    /**
     * Aims at the drawn edge that this one is part of; earlier cuts may have bent this one. Its beginning is the end that both directions of
     * travel call the same, so that where a line crosses it does not depend on the direction.
     */
    private void aim(int edge, double p0, double q0, double p1, double q1) {
        fromP = p0;
        toP = p1;
        fromQ = q0;
        toQ = q1;
        if (edge != Ring.NONE) {
            fromP = alongY ? drawn.y0(edge) : drawn.x0(edge);
            toP = alongY ? drawn.y1(edge) : drawn.x1(edge);
            fromQ = alongY ? drawn.x0(edge) : drawn.y0(edge);
            toQ = alongY ? drawn.x1(edge) : drawn.y1(edge);
        }
        if (fromP >= toP) {
            double p = fromP;
            double q = fromQ;
            fromP = toP;
            fromQ = toQ;
            toP = p;
            toQ = q;
        }
    }

    /** Where the line crosses what was aimed at. */
    private double aimedAt() {
        return fromQ + (line - fromP) / (toP - fromP) * (toQ - fromQ);
    }

    /** Forgets crossings between which a bulge of the inside reaches across the line by no more than {@code slack}. */
    private void dropBulges(double slack) {
        for (int i = 0; i < crossings; i++) {
            int j = onward[i];
            if (j == i || ring[i] < 0 || ring[j] < 0) {
                continue;
            }
            // Beyond the line the inside lies between an exit and an entry further on; below it, the other way round.
            boolean bulge = exit[i] ? at[j] > at[i] : at[j] < at[i];
            if (bulge && isShallow(i, j, slack) && !othersBetween(i, j)) {
                int before = back[i];
                int after = onward[j];
                onward[before] = after;
                back[after] = before;
                ring[i] = -1;
                ring[j] = -1;
            }
        }
    }

    private boolean isShallow(int i, int j, double slack) {
        Ring r = crossed.get(ring[i]);
        int end = edge[j];
        for (int k = edge[i] + 1 == r.size ? 0 : edge[i] + 1; ; k = k + 1 == r.size ? 0 : k + 1) {
            if (Math.abs(r.along(alongY, k) - line) > slack) {
                return false;
            }
            if (k == end) {
                return true;
            }
        }
    }

    private boolean othersBetween(int i, int j) {
        double from = Math.min(at[i], at[j]);
        double to = Math.max(at[i], at[j]);
        for (int k = 0; k < crossings; k++) {
            if (k != i && k != j && ring[k] >= 0 && at[k] > from && at[k] < to) {
                return true;
            }
        }
        return false;
    }

    /** Pairs the ends of each edge along the line: going up, the inside begins at an exit and ends at an entry. */
    private void pair() {
        int n = 0;
        for (int i = 0; i < crossings; i++) {
            if (ring[i] >= 0) {
                order[n++] = i;
            }
        }
        sort(n);
        for (int k = 0; k < n; k++) {
            boolean wanted = k % 2 == 0;
            if (exit[order[k]] != wanted) {
                for (int m = k + 1; m < n && at[order[m]] == at[order[k]]; m++) {
                    if (exit[order[m]] == wanted) {
                        int swapped = order[k];
                        order[k] = order[m];
                        order[m] = swapped;
                        break;
                    }
                }
            }
        }
        for (int k = 0; k + 1 < n; k += 2) {
            partner[order[k]] = order[k + 1];
            partner[order[k + 1]] = order[k];
        }
    }

    private void sort(int n) {
        if (n > 32) {
            Integer[] boxed = new Integer[n];
            Arrays.setAll(boxed, k -> order[k]);
            Arrays.sort(boxed, (a, b) -> Double.compare(at[a], at[b]));
            Arrays.setAll(order, k -> k < n ? boxed[k] : order[k]);
            return;
        }
        for (int k = 1; k < n; k++) {
            int moved = order[k];
            int m = k - 1;
            while (m >= 0 && at[order[m]] > at[moved]) {
                order[m + 1] = order[m];
                m--;
            }
            order[m + 1] = moved;
        }
    }

    /** Puts rings together from the stretches on one side of the line and the edges along it. */
    private void trace(boolean below, List<Ring> to) {
        boolean[] done = new boolean[crossings];
        for (int i = 0; i < crossings; i++) {
            // A stretch of the part below begins where the outline enters it.
            if (ring[i] < 0 || exit[i] == below || done[i]) {
                continue;
            }
            Ring r = new Ring(16);
            int j = i;
            do {
                done[j] = true;
                int end = onward[j];
                stretch(j, end, r);
                r.add(placeX(end), placeY(end), Ring.CORNER, Ring.NONE);
                j = partner[end];
            } while (!done[j]);
            if (r.close()) {
                to.add(r);
            }
        }
        for (int c = 0; c < crossed.size(); c++) {
            if (!hasCrossing(c)) {
                wholeRing(crossed.get(c), below, to);
            }
        }
    }

    private boolean hasCrossing(int c) {
        for (int i = 0; i < crossings; i++) {
            if (ring[i] == c) {
                return true;
            }
        }
        return false;
    }

    /** A ring whose crossings were all dropped belongs where most of it lies. */
    private void wholeRing(Ring r, boolean below, List<Ring> to) {
        double sum = 0;
        for (int k = 0; k < r.size; k++) {
            sum += r.along(alongY, k) - line;
        }
        if (sum < 0 == below) {
            to.add(r);
        }
    }

    private double placeX(int i) {
        return alongY ? -at[i] : line;
    }

    private double placeY(int i) {
        return alongY ? line : at[i];
    }

    /** The outline from crossing {@code i} to crossing {@code j}, without the latter. */
    private void stretch(int i, int j, Ring to) {
        Ring r = crossed.get(ring[i]);
        to.add(placeX(i), placeY(i), (byte) (r.mark[edge[i]] & Ring.EXPOSED | Ring.CORNER), r.drawn[edge[i]]);
        // An edge crosses the line once, so the two crossings lie on different ones.
        if (edge[j] > edge[i]) {
            to.addAll(r, edge[i] + 1, edge[j] + 1);
        } else {
            to.addAll(r, edge[i] + 1, r.size);
            to.addAll(r, 0, edge[j] + 1);
        }
    }
}
