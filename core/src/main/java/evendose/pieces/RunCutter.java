package evendose.pieces;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Cuts one run, the inside between a left and a right border that rise together, into trapezoids. Both borders are cut at common
 * heights. Corners stay ({@link #addStops}); in between, borders are replaced by straight sides that stay within the tolerance and end on
 * the grid, as long as possible ({@link SpanCutter}); what they add and take away from the area evens out ({@link AreaBalance}).
 */
final class RunCutter {
    /** What computing rounds, grid units: a moved layout is cut at the same places. */
    private static final double ROUNDING = 1e-4;

    /** Turn of a corner that is only the end of a straight side on a curve: less than 15 degrees. */
    private static final double GENTLE = Math.cos(Math.toRadians(15));

    /** A side so many times as long as its neighbour ends on a curve. */
    private static final double LONGER = 4;

    /** Places at a stop that are tried where thin pieces lie, at most. */
    private static final int MOST_PLACES = 6;

    private static final List<double[]> NO_PLACES = List.of();

    private final boolean exact;
    private final double smallest;
    private final Chains chains;
    private final SpanCutter spans;
    private final AreaBalance balance;
    private final Breaks breaks = new Breaks();

    private Cut cut;
    private boolean standing;
    private boolean isFinal;
    private int left;
    private int right;
    private double[] stops = new double[16];
    private int stopCount;
    private double[] gentle = new double[16];
    private int gentleCount;

    /** Area that the pieces have added so far beyond each border. */
    private final double[] out = new double[2];

    private double allowed;
    private double limit;
    private boolean tooDear;

    RunCutter(Chains chains, boolean exact, double tolerance, double smallest) {
        this.chains = chains;
        this.exact = exact;
        this.smallest = smallest;
        this.spans = new SpanCutter(chains, tolerance, smallest);
        this.balance = new AreaBalance(chains, spans.loose, smallest);
    }

    /**
     * Begins a cut.
     *
     * @param addedArea what earlier cuts have added to the area and this one should take away again
     * @param allowedArea what may be left of it
     * @param worthTrouble whether it is no trial but worth some trouble: other places are tried where few pieces are thin, and breaks are moved if more
     *     than allowed is left of the area
     * @param dearest what the cut may cost, {@link Cut#cost}, or more: it is then given up
     */
    void begin(
            Cut into, boolean isStanding, double addedArea, double allowedArea, boolean worthTrouble, double dearest) {
        limit = dearest;
        tooDear = false;
        allowed = allowedArea;
        isFinal = worthTrouble;
        cut = into;
        standing = isStanding;
        out[0] = 0.5 * addedArea;
        out[1] = 0.5 * addedArea;
    }

    /** What has been added to the area, that given at the beginning included. */
    double addedArea() {
        return out[0] + out[1];
    }

    /** Whether the cut is known to cost as much as it may: what it holds is then of no use. */
    boolean isTooDear() {
        return tooDear || cut.cost() >= limit;
    }

    /** Cuts the run between chains {@code l} and {@code r} from {@code from} to {@code to}. */
    void cut(int l, int r, double from, double to) {
        left = l;
        right = r;
        stopCount = 0;
        gentleCount = 0;
        stop(from);
        stop(to);
        addStops(l, from, to);
        addStops(r, from, to);
        Arrays.sort(stops, 0, stopCount);
        addGentleStops();
        breaks.clear();
        breaks.add(from, place(l, from), place(r, from), true);
        if (exact) {
            for (int k = 1; k < stopCount; k++) {
                if (stops[k] > stops[k - 1]) {
                    breaks.add(stops[k], place(l, stops[k]), place(r, stops[k]), true);
                }
            }
        } else {
            follow();
        }
        for (int k = 1; k < breaks.size && !isTooDear(); k++) {
            piece(k);
        }
    }

    private void stop(double at) {
        if (stopCount == stops.length) {
            stops = Arrays.copyOf(stops, 2 * stopCount);
        }
        stops[stopCount++] = at;
    }

    /** Adds the stops at gentle corners, but for those that would leave a thin piece beside another stop. */
    private void addGentleStops() {
        Arrays.sort(gentle, 0, gentleCount);
        int others = stopCount;
        double last = Double.NEGATIVE_INFINITY;
        for (int k = 0; k < gentleCount; k++) {
            int place = Arrays.binarySearch(stops, 0, others, gentle[k]);
            int after = place < 0 ? -1 - place : place;
            if (gentle[k] - Math.max(last, stops[after - 1]) >= smallest && stops[after] - gentle[k] >= smallest) {
                last = gentle[k];
                stop(last);
            }
        }
        Arrays.sort(stops, 0, stopCount);
    }

    /** Whether a straight side goes over into a curve at a vertex inside a chain, so that another side within the tolerance may pass it. */
    private boolean isGentle(int e) {
        double du = chains.u[e] - chains.u[e - 1];
        double dv = chains.v[e] - chains.v[e - 1];
        double nextU = chains.u[e + 1] - chains.u[e];
        double nextV = chains.v[e + 1] - chains.v[e];
        double square = du * du + dv * dv;
        double next = nextU * nextU + nextV * nextV;
        return Math.max(square, next) > LONGER * LONGER * Math.min(square, next)
                && du * nextU + dv * nextV > GENTLE * Math.sqrt(square * next);
    }

    private void gentleStop(double at) {
        if (gentleCount == gentle.length) {
            gentle = Arrays.copyOf(gentle, 2 * gentleCount);
        }
        gentle[gentleCount++] = at;
    }

    /** Heights at which pieces have to end: corners, and where the outline begins or ends to be exposed. */
    private void addStops(int c, double from, double to) {
        int e = chains.findEdge(c, from) + 1;
        for (; e < chains.last[c] && chains.v[e] < to; e++) {
            if (chains.v[e] <= from) {
                continue;
            }
            if (exact || chains.isExposed(e) != chains.isExposed(e - 1)) {
                stop(chains.v[e]);
            } else if ((chains.mark[e] & Ring.CORNER) != 0) {
                if (isGentle(e)) {
                    gentleStop(chains.v[e]);
                } else {
                    stop(chains.v[e]);
                }
            }
        }
    }

    /** Where a border ends at a height that is given: its vertex there, or the nearest place on the grid. */
    private double place(int c, double at) {
        int e = chains.findEdge(c, at);
        return exact ? chains.on(e, at) : Math.rint(chains.drawnAt(e, at));
    }

    /**
     * Where a border ends at a stop inside the run: its vertex there, or, on a slanted side that a corner opposite has cut, the place on the
     * grid next to it that bends the side less and leaves less of what has been added to the area.
     *
     * @param onwards height up to the next stop
     */
    private double placeAt(int c, double at, double onwards) {
        int e = chains.findEdge(c, at);
        double drawn = chains.drawnAt(e, at);
        double nearest = Math.rint(drawn);
        if (!chains.isExposed(e) || chains.isVertex(e, at) || Math.abs(nearest - drawn) < ROUNDING) {
            return nearest;
        }
        int last = breaks.size - 1;
        double before = at - breaks.v[last];
        double bent = bent(right, breaks.r[last], breaks.v[last]) - bent(left, breaks.l[last], breaks.v[last]);
        double straight = addedArea() + 0.5 * before * bent;
        double other = drawn > nearest ? nearest + 1 : nearest - 1;
        if (Math.abs(other - drawn) * along(e) > spans.loose) {
            return nearest;
        }
        double reach = 0.5 * (before + onwards);
        double outwards = chains.right[c] ? reach : -reach;
        double worth = reach * Math.abs(nearest - drawn) + 2 * Math.abs(straight + outwards * (nearest - drawn));
        double otherWorth = reach * Math.abs(other - drawn) + 2 * Math.abs(straight + outwards * (other - drawn));
        return otherWorth < worth - ROUNDING ? other : nearest;
    }

    /** How far a place on the grid lies from where the border is drawn. */
    private double bent(int c, double u, double at) {
        return u - chains.drawnAt(chains.findEdge(c, at), at);
    }

    /** Follows the borders from stop to stop. */
    private void follow() {
        spans.begin(left, right);
        double leftBefore = out[0];
        double rightBefore = out[1];
        State before = null;
        for (int k = 1; k < stopCount; k++) {
            double to = stops[k];
            if (to == breaks.v[breaks.size - 1]) {
                continue;
            }
            State here = new State(breaks.size, out[0], out[1]);
            double onwards = k + 1 < stopCount ? stops[k + 1] - to : 0;
            double[] ends = onwards > 0
                    ? new double[] {placeAt(left, to, onwards), placeAt(right, to, onwards)}
                    : new double[] {place(left, to), place(right, to)};
            int thin = cutTo(to, ends);
            if (isFinal && Cut.areFewThin(thin, breaks.size - here.size) && to - breaks.v[here.size - 1] >= smallest) {
                thin = avoidThin(before, here, to, ends, onwards > 0, thin);
            }
            if (thin < 0) {
                tooDear = true;
                return;
            }
            before = here;
        }
        if (isFinal && Math.abs(addedArea()) > allowed) {
            balance.even(breaks, left, right, addedArea(), allowed);
            out[0] = leftBefore;
            out[1] = rightBefore;
            for (int b = 1; b < breaks.size; b++) {
                out[0] += added(left, b);
                out[1] += added(right, b);
            }
        }
    }

    /** What has been cut up to a stop. */
    private record State(int size, double outLeft, double outRight) {}

    private void goBack(State state) {
        breaks.size = state.size;
        out[0] = state.outLeft;
        out[1] = state.outRight;
    }

    /** Cuts up to a stop with the given ends of both sides; returns how many thin pieces that takes, or -1 if it costs too much. */
    private int cutTo(double to, double[] ends) {
        int last = breaks.size - 1;
        if (!spans.cut(breaks, to, ends[0], ends[1], out, limit - cut.cost() - last)) {
            return -1;
        }
        int thin = 0;
        for (int b = last + 1; b < breaks.size; b++) {
            out[0] += added(left, b);
            out[1] += added(right, b);
            thin += isThin(b);
        }
        return thin;
    }

    private int isThin(int b) {
        return breaks.v[b] - breaks.v[b - 1] < smallest ? 1 : 0;
    }

    /**
     * Where thin pieces lie between two stops: ends the side that a corner opposite has cut elsewhere on the grid, at the stop or at the one
     * before, if that leaves fewer.
     *
     * @param before what had been cut up to the stop before that one, null if there is none
     * @param here what had been cut up to the stop before
     * @param found thin pieces found between
     * @return how many are left, or -1 if it costs too much
     */
    private int avoidThin(State before, State here, double to, double[] ends, boolean isInside, int found) {
        double from = breaks.v[here.size - 1];
        double[] begins = {breaks.l[here.size - 1], breaks.r[here.size - 1]};
        double[] bestEnds = ends;
        int least = found;
        for (double[] other : isInside ? otherPlaces(to, ends) : NO_PLACES) {
            goBack(here);
            int thin = cutTo(to, other);
            if (thin >= 0 && thin < least) {
                least = thin;
                bestEnds = other;
            }
        }
        double[] bestBegins = begins;
        if (before != null && least > 0) {
            int thinBefore = 0;
            for (int b = before.size; b < here.size; b++) {
                thinBefore += isThin(b);
            }
            for (double[] other : otherPlaces(from, begins)) {
                goBack(before);
                int more = cutTo(from, other) - thinBefore;
                int thin = more == 0 ? cutTo(to, bestEnds) : -1;
                if (thin >= 0 && thin < least) {
                    least = thin;
                    bestBegins = other;
                }
            }
        }
        goBack(bestBegins == begins ? here : before);
        if (bestBegins != begins) {
            cutTo(from, bestBegins);
        }
        return cutTo(to, bestEnds);
    }

    /** Other places on the grid, within the tolerance, where sides that do not have a vertex at a height may end. */
    private List<double[]> otherPlaces(double at, double[] places) {
        List<double[]> others = new ArrayList<>();
        for (int side = 0; side < 2; side++) {
            int e = chains.findEdge(side == 0 ? left : right, at);
            if (chains.isExposed(e) && !chains.isVertex(e, at)) {
                double drawn = chains.drawnAt(e, at);
                double reach = spans.loose / along(e);
                for (double u = Math.ceil(drawn - reach); u <= drawn + reach && others.size() < MOST_PLACES; u++) {
                    if (u != places[side] && (side == 0 ? u <= places[1] : u >= places[0])) {
                        others.add(side == 0 ? new double[] {u, places[1]} : new double[] {places[0], u});
                    }
                }
            }
        }
        return others;
    }

    /** How much of a drawn edge's length is height. */
    private double along(int e) {
        double height = chains.toV(e) - chains.fromV(e);
        return Math.abs(height) / Math.hypot(chains.toU(e) - chains.fromU(e), height);
    }

    /** Area that the side which ends at break {@code k} adds beyond its border. */
    private double added(int c, int k) {
        double a = breaks.v[k - 1];
        double b = breaks.v[k];
        int ea = chains.findEdge(c, a);
        int eb = chains.edgeAt(c, b, ea);
        double border = chains.integralTo(eb, b) - chains.integralTo(ea, a);
        double[] u = chains.right[c] ? breaks.r : breaks.l;
        double more = 0.5 * (u[k - 1] + u[k]) * (b - a) - border;
        return chains.right[c] ? more : -more;
    }

    /** Adds the piece that ends at break {@code k}, and its exposed sides. */
    private void piece(int k) {
        double a = breaks.v[k - 1];
        double b = breaks.v[k];
        double l0 = breaks.l[k - 1];
        double l1 = breaks.l[k];
        double r0 = Math.max(l0, breaks.r[k - 1]);
        double r1 = Math.max(l1, breaks.r[k]);
        if (r0 > l0 || r1 > l1) {
            cut.add(standing, a, b, l0, r0, l1, r1);
            if (b - a < smallest || Math.max(r0, r1) - Math.min(l0, l1) < smallest) {
                cut.thin++;
            }
        }
        side(left, a, l0, b, l1);
        side(right, a, breaks.r[k - 1], b, breaks.r[k]);
    }

    private void side(int c, double a, double ua, double b, double ub) {
        if (!chains.isExposed(chains.findEdge(c, a))) {
            return;
        }
        // The right border rises with the inside on its left; in the mirrored frame of standing pieces, the left one
        // does.
        int piece = cut.pieces - 1;
        boolean rising = chains.right[c] != standing;
        double u0 = rising ? ua : ub;
        double v0 = rising ? a : b;
        double u1 = rising ? ub : ua;
        double v1 = rising ? b : a;
        if (standing) {
            cut.edges.add(v0, u0, v1, u1, piece);
        } else {
            cut.edges.add(u0, v0, u1, v1, piece);
        }
    }
}
