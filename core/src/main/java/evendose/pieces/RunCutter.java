package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.Arrays;

/**
 * Cuts one run, the inside between a left and a right border that rise together, into trapezoids. Both borders are cut at common
 * heights. Corners stay; in between, borders are replaced by straight sides that stay within the tolerance and end on
 * the grid, as long as possible but such that what they add and take away from the area evens out.
 */
final class RunCutter {
    /** Half the diagonal of the grid: what rounding to it may cost where a border leaves no other way. */
    private static final double HALF_DIAGONAL = Math.sqrt(0.5) * (1 + 1e-9);

    /** Ends of a side that are looked at for one height, at most. */
    private static final int MOST_ENDS = 4;

    /** Sides end no earlier than at this share of the longest that fits. */
    private static final double SHORTEST_SHARE = 0.6;

    /** Length that is worth an error in area of one square grid unit: usually, and where areas are to come out at any price. */
    private static final double AREA_PRICE = 0.2;

    private static final double LAST_AREA_PRICE = 2;

    /** Breaks that are tried to be moved for the sake of the area, at most about, and how far. */
    private static final int MOST_MOVED = 8;

    private static final double MOVED = 8;

    /** Ways to have cut a run so far that are followed at once. */
    private static final int WAYS = 4;

    private final boolean exact;
    private final double usual;
    private final double loose;
    private final double smallest;
    private final Chains chains;
    private final EdgeBuffer drawn;

    /** How far a side may stray at the moment. */
    private double tolerance;

    private Cut cut;
    private boolean standing;
    private int left;
    private int right;
    private double[] stops = new double[16];
    private int stopCount;

    /** Area that the pieces have added so far beyond each border. */
    private final double[] out = new double[2];

    /** Slopes from the side's beginning that stay within the tolerance of all vertices up to a height. */
    private final Wedge[] wedges = {new Wedge(), new Wedge()};

    private final Wedge[] ahead = {new Wedge(), new Wedge()};
    private double allowed;
    private double areaPrice;
    private double limit;
    private boolean tooDear;

    RunCutter(Chains chains, EdgeBuffer drawn, boolean exact, double tolerance, double smallest) {
        this.chains = chains;
        this.drawn = drawn;
        this.exact = exact;
        this.usual = tolerance;
        this.loose = Math.max(tolerance, HALF_DIAGONAL);
        this.smallest = smallest;
    }

    /**
     * Begins a cut.
     *
     * @param addedArea what earlier cuts have added to the area and this one should take away again
     * @param allowedArea what may be left of it
     * @param isLast whether more pieces are welcome if areas come out better
     * @param dearest what the cut may cost, {@link Cut#cost}, or more: it is then given up
     */
    void begin(Cut into, boolean isStanding, double addedArea, double allowedArea, boolean isLast, double dearest) {
        limit = dearest;
        tooDear = false;
        allowed = allowedArea;
        areaPrice = isLast ? LAST_AREA_PRICE : AREA_PRICE;
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
        stop(from);
        stop(to);
        addStops(l, from, to);
        addStops(r, from, to);
        Arrays.sort(stops, 0, stopCount);
        double a = from;
        double la = rounded(l, from);
        double ra = rounded(r, from);
        for (int k = 1; k < stopCount && !isTooDear(); k++) {
            double b = stops[k];
            if (b == a) {
                continue;
            }
            double lb = rounded(l, b);
            double rb = rounded(r, b);
            if (exact) {
                piece(a, la, ra, b, lb, rb);
            } else {
                span(a, la, ra, b, lb, rb);
            }
            a = b;
            la = lb;
            ra = rb;
        }
    }

    private void stop(double at) {
        if (stopCount == stops.length) {
            stops = Arrays.copyOf(stops, 2 * stopCount);
        }
        stops[stopCount++] = at;
    }

    private void addStops(int c, double from, double to) {
        int e = chains.findEdge(c, from) + 1;
        for (; e < chains.last[c] && chains.v[e] < to; e++) {
            if (chains.v[e] > from
                    && (exact
                            || (chains.mark[e] & Ring.CORNER) != 0
                            || ((chains.mark[e] ^ chains.mark[e - 1]) & Ring.EXPOSED) != 0)) {
                stop(chains.v[e]);
            }
        }
    }

    /** Where a border ends at a height that is given: its vertex there, or the nearest place on the grid. */
    private double rounded(int c, double at) {
        int e = chains.findEdge(c, at);
        return exact ? chains.on(e, at) : Math.rint(drawnAt(e, at));
    }

    /** Position of a border at a height: that of its vertex there, or on the drawn edge, which cuts may have bent in the chain. */
    private double drawnAt(int e, double at) {
        int edge = chains.drawn[e];
        if (edge < 0 || at == chains.v[e] || at == chains.v[e + 1]) {
            return chains.on(e, at);
        }
        double u0 = standing ? drawn.y0(edge) : drawn.x0(edge);
        double v0 = standing ? drawn.x0(edge) : drawn.y0(edge);
        double u1 = standing ? drawn.y1(edge) : drawn.x1(edge);
        double v1 = standing ? drawn.x1(edge) : drawn.y1(edge);
        // From the lower end, so that borders of neighbours that share the edge find the same place.
        return v0 < v1 ? u0 + (at - v0) / (v1 - v0) * (u1 - u0) : u1 + (at - v1) / (v0 - v1) * (u0 - u1);
    }

    private void piece(double a, double la, double ra, double b, double lb, double rb) {
        double r0 = Math.max(la, ra);
        double r1 = Math.max(lb, rb);
        side(0, left, a, la, b, lb);
        side(1, right, a, ra, b, rb);
        if (r0 > la || r1 > lb) {
            cut.add(standing, a, b, la, r0, lb, r1);
            if (b - a < smallest || Math.max(r0, r1) - Math.min(la, lb) < smallest) {
                cut.thin++;
            }
        }
    }

    /** Accounts for a finished side: its area, and the exposed outline. */
    private void side(int s, int c, double a, double ua, double b, double ub) {
        int ea = chains.findEdge(c, a);
        int eb = chains.edgeAt(c, b, ea);
        if (!exact) {
            out[s] += added(s, ea, a, ua, eb, b, ub);
        }
        if ((chains.mark[ea] & Ring.EXPOSED) != 0) {
            // The right border rises with the inside on its left; in the mirrored frame of standing pieces, the left
            // one does.
            boolean rising = (s == 1) != standing;
            double u0 = rising ? ua : ub;
            double v0 = rising ? a : b;
            double u1 = rising ? ub : ua;
            double v1 = rising ? b : a;
            if (standing) {
                cut.edges.add(v0, u0, v1, u1, 0);
            } else {
                cut.edges.add(u0, v0, u1, v1, 0);
            }
        }
    }

    /** Area that a straight side adds beyond its border. */
    private double added(int s, int ea, double a, double ua, int eb, double b, double ub) {
        double border = chains.integralTo(eb, b) - chains.integralTo(ea, a);
        double more = 0.5 * (ua + ub) * (b - a) - border;
        return s == 1 ? more : -more;
    }

    /**
     * Cuts from one stop to the next. Pieces are added one by one to several ways at once: of all ways with the same number of pieces,
     * those are followed that have come furthest, errors in area counted against them.
     */
    private void span(double from, double lFrom, double rFrom, double to, double lTo, double rTo) {
        ways.clear();
        ways.add(from, lFrom, rFrom, out[0], out[1], -1);
        int begin = 0;
        for (int round = 1; ; round++) {
            if (cut.cost() + round >= limit) {
                tooDear = true;
                return;
            }
            int end = ways.size;
            tolerance = usual;
            int finished = follow(begin, end, to, lTo, rTo);
            if (finished < 0 && best.size == 0 && loose > usual) {
                tolerance = loose;
                finished = follow(begin, end, to, lTo, rTo);
            }
            if (finished < 0 && best.size == 0) {
                // A piece thinner than the smallest is only made where nothing else is possible.
                collectThin(begin, to);
                finished = best.v[0] >= to ? begin : -1;
            }
            if (finished >= 0) {
                finish(finished, to, lTo, rTo);
                return;
            }
            begin = end;
            for (int k = 0; k < best.size; k++) {
                ways.add(best.v[k], best.l[k], best.r[k], best.outL[k], best.outR[k], best.from[k]);
            }
        }
    }

    /** Adds a piece to each of the ways from {@code begin} on; returns one that can end at {@code to} with it, or -1. */
    private int follow(int begin, int end, double to, double lTo, double rTo) {
        int finished = -1;
        double least = Double.MAX_VALUE;
        best.clear();
        for (int w = begin; w < end; w++) {
            double reach = look(w, to);
            if (reach >= to && wedges[0].allows(to, lTo) && wedges[1].allows(to, rTo)) {
                double error = areaError(wedges[0].addedAt(0, to, lTo), wedges[1].addedAt(1, to, rTo));
                if (error < least) {
                    least = error;
                    finished = w;
                }
            } else if (finished < 0) {
                collect(w, reach, to);
            }
        }
        return finished;
    }

    /** Sets the wedges to where way {@code w} stands; returns how high the next piece can reach. */
    private double look(int w, double to) {
        out[0] = ways.outL[w];
        out[1] = ways.outR[w];
        wedges[0].begin(left, ways.v[w], ways.l[w]);
        double reach = wedges[0].grow(to);
        wedges[1].begin(right, ways.v[w], ways.r[w]);
        return wedges[1].grow(reach);
    }

    private void collect(int w, double reach, double to) {
        double a = ways.v[w];
        double highest = Math.min(reach, to - smallest);
        double lowest = Math.max(a + smallest, a + SHORTEST_SHARE * (highest - a));
        // Where the grid is much finer than the tolerance, not every place on it is worth a look.
        double stride = Math.max(1, Math.floor(usual));
        for (double b = Math.floor(highest); b >= lowest; b -= stride) {
            if (best.isFull() && b <= best.lowestScore()) {
                break;
            }
            offer(w, b);
        }
    }

    /** Offers all places on the grid where the next piece can end at height {@code b}. */
    private void offer(int w, double b) {
        if (wedges[0].isOpen(b) && wedges[1].isOpen(b) && wedges[0].end(0, b) && wedges[1].end(1, b)) {
            Wedge l = wedges[0];
            Wedge r = wedges[1];
            for (int i = 0; i < l.ends; i++) {
                for (int j = 0; j < r.ends; j++) {
                    if (l.end[i] > r.end[j]) {
                        // Putting the ends in order afterwards would bend a side further than looked at.
                        continue;
                    }
                    double score = b - areaPrice * areaError(l.left[i], r.left[j]);
                    best.offer(score, b, l.end[i], r.end[j], l.left[i], r.left[j], w);
                }
            }
        }
    }

    /** The error in area of the shape, and that of each border at half its weight, so that both stay in place. */
    private static double areaError(double left, double right) {
        return Math.abs(left + right) + 0.5 * (Math.abs(left) + Math.abs(right));
    }

    private void collectThin(int w, double to) {
        double a = ways.v[w];
        double reach = look(w, to);
        for (double b = Math.floor(Math.min(reach, to - 1)); b > a && best.size == 0; b--) {
            offer(w, b);
        }
        if (best.size == 0) {
            // Nothing on the grid lies within the tolerance: the nearest place has to do.
            double b = nextVertex(a, to);
            best.offer(0, b, rounded(left, b), rounded(right, b), out[0], out[1], w);
        }
    }

    private void finish(int w, double to, double lTo, double rTo) {
        int count = 1;
        for (int k = w; k >= 0; k = ways.from[k]) {
            count++;
        }
        breaks.size(count);
        breaks.set(count - 1, to, lTo, rTo);
        int at = count - 2;
        for (int k = w; k >= 0; k = ways.from[k]) {
            breaks.set(at--, ways.v[k], ways.l[k], ways.r[k]);
        }
        out[0] = ways.outL[0];
        out[1] = ways.outR[0];
        evenOut(count);
        for (int k = 1; k < count; k++) {
            piece(breaks.v[k - 1], breaks.l[k - 1], breaks.r[k - 1], breaks.v[k], breaks.l[k], breaks.r[k]);
        }
    }

    /** Moves one break or two within the tolerance such that the area comes out best. */
    private void evenOut(int count) {
        double from = breaks.v[0];
        double to = breaks.v[count - 1];
        double error = out[0] + out[1] - border(right, from, to) + border(left, from, to);
        for (int k = 1; k < count; k++) {
            error += breaks.area(k);
        }
        if (Math.abs(error) <= allowed) {
            return;
        }
        moves.clear();
        int step = 1 + (count - 2) / MOST_MOVED;
        for (int k = 1; k < count - 1; k += step) {
            collectMoves(k);
        }
        int best = -1;
        int second = -1;
        double least = Math.abs(error);
        for (int i = 0; i < moves.size; i++) {
            if (Math.abs(error + moves.outL[i]) < least) {
                least = Math.abs(error + moves.outL[i]);
                best = i;
                second = -1;
            }
            for (int j = 0; j < i; j++) {
                if (moves.from[i] - moves.from[j] > 1 && Math.abs(error + moves.outL[i] + moves.outL[j]) < least) {
                    least = Math.abs(error + moves.outL[i] + moves.outL[j]);
                    best = i;
                    second = j;
                }
            }
        }
        move(best);
        move(second);
    }

    private void move(int i) {
        if (i >= 0) {
            breaks.set(moves.from[i], moves.v[i], moves.l[i], moves.r[i]);
        }
    }

    /** Integral of a border's u over v. */
    private double border(int c, double from, double to) {
        return chains.integralTo(chains.findEdge(c, to), to) - chains.integralTo(chains.findEdge(c, from), from);
    }

    /** Other places for break {@code k} and what each adds to the area. */
    private void collectMoves(int k) {
        tolerance = usual;
        double low = breaks.v[k - 1];
        double high = breaks.v[k + 1];
        double before = breaks.area(k) + breaks.area(k + 1);
        double v = breaks.v[k];
        double l = breaks.l[k];
        double r = breaks.r[k];
        wedges[0].begin(left, low, breaks.l[k - 1]);
        wedges[1].begin(right, low, breaks.r[k - 1]);
        double reach = wedges[1].grow(wedges[0].grow(high));
        double last = Math.min(v + MOVED, Math.min(reach, high - smallest));
        for (double b = Math.max(v - MOVED, low + smallest); b <= last; b++) {
            if (!wedges[0].end(0, b) || !wedges[1].end(1, b)) {
                continue;
            }
            for (int i = 0; i < wedges[0].ends; i++) {
                for (int j = 0; j < wedges[1].ends; j++) {
                    double lb = wedges[0].end[i];
                    double rb = wedges[1].end[j];
                    if (lb <= rb
                            && goesOn(ahead[0], left, b, lb, high, breaks.l[k + 1])
                            && goesOn(ahead[1], right, b, rb, high, breaks.r[k + 1])) {
                        breaks.set(k, b, lb, rb);
                        moves.add(b, lb, rb, breaks.area(k) + breaks.area(k + 1) - before, 0, k);
                    }
                }
            }
        }
        breaks.set(k, v, l, r);
    }

    /** Whether a point lies within the tolerance of a straight line from one point to another. */
    private boolean isWithin(double u, double v, double u0, double v0, double u1, double v1) {
        double du = u1 - u0;
        double dv = v1 - v0;
        double t = ((u - u0) * du + (v - v0) * dv) / (du * du + dv * dv);
        t = Math.max(0, Math.min(1, t));
        double au = u - u0 - t * du;
        double av = v - v0 - t * dv;
        return au * au + av * av <= tolerance * tolerance;
    }

    private static boolean goesOn(Wedge wedge, int chain, double a, double ua, double b, double ub) {
        wedge.begin(chain, a, ua);
        return wedge.grow(b) >= b && wedge.allows(b, ub);
    }

    /** Where the pieces of a span meet. */
    private static final class Breaks {
        private double[] v = new double[32];
        private double[] l = new double[32];
        private double[] r = new double[32];

        void size(int count) {
            if (v.length < count) {
                v = new double[2 * count];
                l = new double[2 * count];
                r = new double[2 * count];
            }
        }

        void set(int k, double at, double le, double ri) {
            v[k] = at;
            l[k] = le;
            r[k] = ri;
        }

        /** Area of the piece that ends at break {@code k}. */
        double area(int k) {
            return 0.5 * (r[k] - l[k] + r[k - 1] - l[k - 1]) * (v[k] - v[k - 1]);
        }
    }

    private double nextVertex(double a, double to) {
        int l = chains.findEdge(left, a);
        int r = chains.findEdge(right, a);
        double next = Math.min(chains.v[l + 1], chains.v[r + 1]);
        return Math.min(to, Math.max(a + 1, Math.rint(next)));
    }

    private final Ways ways = new Ways();
    private final Ways best = new Ways();
    private final Breaks breaks = new Breaks();

    /** Places that breaks may move to: the break, and in place of the left area what the move adds. */
    private final Ways moves = new Ways();

    /** Ways to have cut a run up to a height: where the last piece ends, what it has added to the area, and the way it goes on from. */
    private static final class Ways {
        int size;
        double[] score = new double[WAYS];
        double[] v = new double[64];
        double[] l = new double[64];
        double[] r = new double[64];
        double[] outL = new double[64];
        double[] outR = new double[64];
        int[] from = new int[64];

        void clear() {
            size = 0;
        }

        void add(double at, double le, double ri, double areaL, double areaR, int way) {
            if (size == v.length) {
                int length = 2 * size;
                v = Arrays.copyOf(v, length);
                l = Arrays.copyOf(l, length);
                r = Arrays.copyOf(r, length);
                outL = Arrays.copyOf(outL, length);
                outR = Arrays.copyOf(outR, length);
                from = Arrays.copyOf(from, length);
            }
            set(size++, at, le, ri, areaL, areaR, way);
        }

        private void set(int k, double at, double le, double ri, double areaL, double areaR, int way) {
            v[k] = at;
            l[k] = le;
            r[k] = ri;
            outL[k] = areaL;
            outR[k] = areaR;
            from[k] = way;
        }

        boolean isFull() {
            return size == WAYS;
        }

        double lowestScore() {
            return score[size - 1];
        }

        /** Keeps the best of what is offered, best first; of two ways to the same place, the better one. */
        void offer(double worth, double at, double le, double ri, double areaL, double areaR, int way) {
            for (int k = 0; k < size; k++) {
                if (v[k] == at && l[k] == le && r[k] == ri) {
                    if (worth <= score[k]) {
                        return;
                    }
                    remove(k);
                    break;
                }
            }
            if (isFull()) {
                if (worth <= lowestScore()) {
                    return;
                }
                size--;
            }
            int k = size++;
            for (; k > 0 && score[k - 1] < worth; k--) {
                score[k] = score[k - 1];
                set(k, v[k - 1], l[k - 1], r[k - 1], outL[k - 1], outR[k - 1], from[k - 1]);
            }
            score[k] = worth;
            set(k, at, le, ri, areaL, areaR, way);
        }

        private void remove(int k) {
            for (int m = k; m + 1 < size; m++) {
                score[m] = score[m + 1];
                set(m, v[m + 1], l[m + 1], r[m + 1], outL[m + 1], outR[m + 1], from[m + 1]);
            }
            size--;
        }
    }

    /** Slopes that a side may have, by the height it reaches. */
    private final class Wedge {
        private int chain;
        private double a;
        private double ua;
        private int edgeA;

        /** Integral of the border up to the side's beginning. */
        private double before;

        /** Edge and place in the wedge that were found last: heights are asked for in turn. */
        private int edgeB;

        private int place;
        private int count;
        private double[] height = new double[32];
        private double[] lowest = new double[32];
        private double[] highest = new double[32];

        /** Ends found by {@link #end}, and the area that is then added in all. */
        private final double[] end = new double[MOST_ENDS];

        private final double[] left = new double[MOST_ENDS];
        private int ends;

        void begin(int c, double from, double u) {
            chain = c;
            a = from;
            ua = u;
            edgeA = chains.findEdge(c, from);
            before = chains.integralTo(edgeA, from);
            edgeB = edgeA;
            place = 0;
            count = 0;
            put(from, Double.NEGATIVE_INFINITY, Double.POSITIVE_INFINITY);
        }

        private void put(double v, double low, double high) {
            if (count == height.length) {
                int length = 2 * count;
                height = Arrays.copyOf(height, length);
                lowest = Arrays.copyOf(lowest, length);
                highest = Arrays.copyOf(highest, length);
            }
            height[count] = v;
            lowest[count] = low;
            highest[count++] = high;
        }

        /**
         * Takes vertices up to {@code to} as long as a slope is left; returns the height that can be reached. A side passes a vertex
         * within the tolerance if its line meets the circle of that radius about it.
         */
        double grow(double to) {
            double low = Double.NEGATIVE_INFINITY;
            double high = Double.POSITIVE_INFINITY;
            double square = tolerance * tolerance;
            for (int e = edgeA + 1; e < chains.last[chain] && chains.v[e] < to; e++) {
                // The longest side is asked for first.
                edgeB = e;
                double dv = chains.drawnV[e] - a;
                double du = chains.drawnU[e] - ua;
                double clear = dv * dv - square;
                double away = du * du + clear;
                if (!(away > 0)) {
                    // The side begins within the circle.
                    continue;
                }
                if (dv <= 0 && (dv <= -tolerance || Math.abs(du) <= tolerance)) {
                    // A vertex off the grid that lies behind the side.
                    return chains.v[e];
                }
                double give = tolerance * Math.sqrt(away);
                if (clear > 0) {
                    low = Math.max(low, (du * dv - give) / clear);
                    high = Math.min(high, (du * dv + give) / clear);
                } else if (du > 0) {
                    low = Math.max(low, (du * du - square) / (du * dv + give));
                } else {
                    high = Math.min(high, (du * du - square) / (du * dv - give));
                }
                if (low > high) {
                    return chains.v[e];
                }
                put(chains.v[e], low, high);
                place = count - 1;
            }
            return to;
        }

        /** The last vertex taken below {@code b}. */
        private int wedgeTo(double b) {
            while (place + 1 < count && height[place + 1] < b) {
                place++;
            }
            while (place > 0 && height[place] >= b) {
                place--;
            }
            return place;
        }

        /** Whether any end on the grid at {@code b} passes all vertices. */
        boolean isOpen(double b) {
            int w = wedgeTo(b);
            return Math.ceil(ua + lowest[w] * (b - a)) <= ua + highest[w] * (b - a);
        }

        boolean allows(double b, double u) {
            int w = wedgeTo(b);
            double slope = (u - ua) / (b - a);
            return slope >= lowest[w] && slope <= highest[w] && passes(edgeAt(b), b, u);
        }

        /**
         * Whether a side that ends at {@code (b, u)} passes the vertices just below its end, up to that of edge {@code e}: its line may
         * meet their circles beyond the end only.
         */
        private boolean passes(int e, double b, double u) {
            for (int k = e; k > edgeA && chains.v[k] > b - tolerance - 1; k--) {
                if (chains.drawnV[k] > b - tolerance && !isWithin(chains.drawnU[k], chains.drawnV[k], ua, a, u, b)) {
                    return false;
                }
            }
            return true;
        }

        /** Finds the ends on the grid at {@code b}; false if there is none. */
        boolean end(int s, double b) {
            int w = wedgeTo(b);
            double least = ua + lowest[w] * (b - a);
            double most = ua + highest[w] * (b - a);
            if (Math.ceil(least) > most) {
                return false;
            }
            int e = edgeAt(b);
            double border = chains.integralTo(e, b) - before;
            double at = drawnAt(e, b);
            if ((chains.mark[e] & Ring.EXPOSED) == 0) {
                // A seam is shared with a neighbour, which goes straight along it.
                at = Math.rint(at);
                end[0] = at;
                left[0] = addedAt(s, b, at, border);
                ends = 1;
                return at >= least && at <= most;
            }
            double slope = (at - ua) / (b - a);
            double give = tolerance * Math.sqrt(1 + slope * slope);
            double from = Math.ceil(Math.max(least, at - give));
            double to = Math.floor(Math.min(most, at + give));
            ends = 0;
            double stride = Math.max(1, Math.floor((to - from) / (MOST_ENDS - 1)));
            for (double u = from; u <= to && ends < MOST_ENDS; u += stride) {
                if (isNear(e, u, b) && passes(e, b, u)) {
                    end[ends] = u;
                    left[ends++] = addedAt(s, b, u, border);
                }
            }
            return ends > 0;
        }

        /** Whether a side may end at a point: within the tolerance of edge {@code e}, or of the next one if it passes the vertex between. */
        private boolean isNear(int e, double u, double v) {
            return isNearDrawn(e, u, v)
                    || (e + 1 < chains.last[chain]
                            && isNearDrawn(e + 1, u, v)
                            && isWithin(chains.drawnU[e + 1], chains.drawnV[e + 1], ua, a, u, v));
        }

        /** Whether a point lies within the tolerance of the drawn edge, not of what cuts have bent it to. */
        private boolean isNearDrawn(int e, double u, double v) {
            int edge = chains.drawn[e];
            if (edge < 0) {
                return isWithin(u, v, chains.u[e], chains.v[e], chains.u[e + 1], chains.v[e + 1]);
            }
            return standing
                    ? isWithin(u, v, drawn.y0(edge), drawn.x0(edge), drawn.y1(edge), drawn.x1(edge))
                    : isWithin(u, v, drawn.x0(edge), drawn.y0(edge), drawn.x1(edge), drawn.y1(edge));
        }

        /** What is then added in all if the side ends at {@code (b, u)}. */
        double addedAt(int s, double b, double u) {
            return addedAt(s, b, u, chains.integralTo(edgeAt(b), b) - before);
        }

        private double addedAt(int s, double b, double u, double border) {
            double more = 0.5 * (ua + u) * (b - a) - border;
            return out[s] + (s == 1 ? more : -more);
        }

        private int edgeAt(double b) {
            edgeB = chains.edgeAt(chain, b, edgeB);
            return edgeB;
        }
    }
}
