package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.EdgeLinks;
import java.util.Arrays;

/**
 * Places samples along the exposed outline of one shape's units, and the points where the outcome is measured. The outline is linked to
 * closed contours first, so that corners are told from the small turns of a polygonised curve.
 */
final class EdgeSampler {
    /** Points where the energy is measured keep this many direct ranges away from corners. */
    static final double MEASURED_DISTANCE = 2;

    /** Turns that make a corner, and that make none, as cosines: 50 and 30 degrees. */
    private static final double CORNER = Math.cos(Math.toRadians(50));

    private static final double NO_CORNER = Math.cos(Math.toRadians(30));

    /** A turn, radians, from which on outline is curved. */
    private static final double TURN = 0.01;

    /** Sides of curves that are shorter, direct ranges, are judged where they have their mean. */
    private static final double SHORT_SIDE = 4;

    /** That place, a Gauss point of two, from the middle of the side. */
    private static final double MEAN_PLACE = 0.5 / Math.sqrt(3);

    /** Sides between corners that are shorter, direct ranges, are measured near corners as well. */
    private static final double SHORT_OF_CORNERS = 2 * CornerFade.REACH;

    /** What counts less than so many direct ranges is not measured. */
    private static final double LITTLE = 1e-3;

    /** Three points of a curve that are measured together lie at most so far apart, direct ranges. */
    private static final double CURVE_APART = 1.2;

    /** Samples by unit, um: unit u holds samples first[u] to first[u + 1] - 1. */
    final SampleBuffer samples = new SampleBuffer();

    int[] first = new int[65];

    /** Points where the energy is measured, um, with the length that each stands for and its unit; in no order. */
    final PointBuffer measured = new PointBuffer();

    /** Largest weight that a sample of each unit has: below 1/2 there are only points near corners. */
    double[] clear = new double[64];

    private final double directUm;
    private final double measuringUm;
    private final RunRule rule;
    private final JudgedOutline judged;
    private final ContourShift shift;

    /** Samples in the order they are found. */
    private final SampleBuffer proper = new SampleBuffer();

    /** The judged outline that is being sampled. */
    private EdgeBuffer edges = new EdgeBuffer();

    private final EdgeLinks links = new EdgeLinks();
    private boolean[] seen = new boolean[64];
    private int[] contour = new int[64];
    private double[] arc = new double[65];
    private double[] corner = new double[64];

    /**
     * A sampler.
     *
     * @param measuringUm largest length that a point for measuring stands for, um
     */
    EdgeSampler(FractureOptions options, double measuringUm) {
        this.directUm = options.directRangeUm();
        this.measuringUm = measuringUm;
        this.rule = new RunRule(directUm, options.sampleSpacingUm());
        this.judged = options.judgedOutline();
        this.shift = judged == JudgedOutline.EXPOSED ? null : new ContourShift(judged);
    }

    /**
     * Samples the outline that {@code cutter} holds; units without exposed outline get no sample.
     *
     * @param layer layer of the shape
     * @param gridUm the cutter's unit of length, um
     * @param measure whether to find points for measuring as well
     */
    void sample(ShapeCutter cutter, int layer, double gridUm, boolean measure) {
        clear(cutter.units);
        EdgeBuffer exposed = cutter.edges();
        int n = exposed.size();
        if (seen.length < n) {
            int length = Math.max(n, 2 * seen.length);
            seen = new boolean[length];
            contour = new int[length];
            arc = new double[length + 1];
            corner = new double[length];
        }
        links.link(exposed);
        int[] next = links.next();
        Arrays.fill(seen, 0, n, false);
        // Contours that are open, beside another layer or where a tile ends, from where they begin; then closed ones.
        boolean[] goesOn = new boolean[n];
        for (int e = 0; e < n; e++) {
            if (next[e] >= 0) {
                goesOn[next[e]] = true;
            }
        }
        for (int e = 0; e < n; e++) {
            if (!goesOn[e]) {
                sampleFrom(e, next, exposed, layer, gridUm, measure);
            }
        }
        for (int e = 0; e < n; e++) {
            if (!seen[e]) {
                sampleFrom(e, next, exposed, layer, gridUm, measure);
            }
        }
        if (shift != null) {
            settle(layer, proper);
            settle(layer, measured);
        }
        gather(cutter.units);
    }

    private void sampleFrom(int e, int[] next, EdgeBuffer exposed, int layer, double gridUm, boolean measure) {
        int length = 0;
        for (int k = e; k >= 0 && !seen[k]; k = next[k]) {
            seen[k] = true;
            contour[length++] = k;
        }
        boolean closed = next[contour[length - 1]] == contour[0];
        if (shift == null) {
            edges = exposed;
        } else {
            shift.move(exposed, contour, length, closed, layer, gridUm);
            edges = shift.moved;
            length = edges.size();
            Arrays.setAll(contour, k -> k);
        }
        sampleContour(length, closed, gridUm, measure);
    }

    private void settle(int layer, SampleBuffer found) {
        double[] place = new double[2];
        for (int i = 0; i < found.size; i++) {
            place[0] = found.x[i];
            place[1] = found.y[i];
            judged.settle(layer, place);
            found.x[i] = place[0];
            found.y[i] = place[1];
        }
    }

    /**
     * Samples the outline of a lone rectangle, um, as unit 0: what {@link #sample} finds for it, without linking anything.
     */
    void sampleRectangle(
            int layer,
            double exposedLeft,
            double exposedBottom,
            double exposedRight,
            double exposedTop,
            boolean measure) {
        double x = 0.5 * (exposedLeft + exposedRight);
        double y = 0.5 * (exposedBottom + exposedTop);
        double left = exposedLeft + judged.insideUm(layer, exposedLeft, y);
        double bottom = exposedBottom + judged.insideUm(layer, x, exposedBottom);
        double right = exposedRight - judged.insideUm(layer, exposedRight, y);
        double top = exposedTop - judged.insideUm(layer, x, exposedTop);
        clear(1);
        sampleSide(right, bottom, right, top, measure);
        sampleSide(right, top, left, top, measure);
        sampleSide(left, top, left, bottom, measure);
        sampleSide(left, bottom, right, bottom, measure);
        gather(1);
    }

    private void clear(int units) {
        proper.size = 0;
        measured.size = 0;
        if (clear.length < units) {
            clear = new double[Math.max(units, 2 * clear.length)];
        }
        Arrays.fill(clear, 0, units, 0);
    }

    private void sampleSide(double ax, double ay, double bx, double by, boolean measure) {
        double length = Math.abs(bx - ax) + Math.abs(by - ay);
        rule.begin(0, length, 1, 1);
        rule.place(0, length);
        clear[0] = Math.max(clear[0], rule.clear);
        for (int k = 0; k < rule.size; k++) {
            double f = rule.at[k] / length;
            proper.add(ax + f * (bx - ax), ay + f * (by - ay), rule.weight[k], 0);
        }
        double margin = MEASURED_DISTANCE * directUm;
        int n = measure ? measuredPoints(length - 2 * margin) : 0;
        for (int k = 0; k < n; k++) {
            double f = (margin + (length - 2 * margin) * (k + 0.5) / n) / length;
            measured.add(ax + f * (bx - ax), ay + f * (by - ay), (length - 2 * margin) / n, 0);
        }
        double beside = measure ? nearCorners(length, Math.max(0, length - 2 * margin)) : 0;
        if (beside > 0) {
            measured.add(0.5 * (ax + bx), 0.5 * (ay + by), beside, 0);
            measured.markNearCorner();
        }
    }

    /** What of a short side counts, as {@link #rule} has it, beyond the length that is measured off corners; 0 for what is not worth it. */
    private double nearCorners(double sideUm, double measuredUm) {
        if (sideUm > SHORT_OF_CORNERS * directUm) {
            return 0;
        }
        double counted = -measuredUm;
        for (int k = 0; k < rule.size; k++) {
            counted += rule.weight[k];
        }
        return counted > LITTLE * directUm ? counted : 0;
    }

    private int measuredPoints(double lengthUm) {
        return lengthUm > 0 ? (int) Math.ceil(lengthUm / measuringUm) : 0;
    }

    private void sampleContour(int n, boolean closed, double gridUm, boolean measure) {
        arc[0] = 0;
        for (int k = 0; k < n; k++) {
            int e = contour[k];
            arc[k + 1] = arc[k] + edges.length(e);
        }
        double direct = directUm / gridUm;
        // corner[k]: between edge k - 1 and edge k of the contour.
        int begin = -1;
        for (int k = 0; k < n; k++) {
            corner[k] = !closed && k == 0 ? 1 : corner(n, k, direct, closed);
            if (corner[k] > 0 && begin < 0) {
                begin = k;
            }
        }
        if (begin < 0) {
            begin = 0;
            // No corner: start where the unit changes, so that no run is cut in two.
            for (int k = 1; k < n; k++) {
                if (edges.owner(contour[k]) != edges.owner(contour[k - 1])) {
                    begin = k;
                    break;
                }
            }
        }
        // Runs between corners; inside each, runs of one unit.
        for (int k = 0; k < n; ) {
            int a = k;
            double startCorner = corner[(begin + a) % n];
            k++;
            while (k < n && corner[(begin + k) % n] == 0) {
                k++;
            }
            double endCorner = corner[(begin + k) % n];
            double from = position(begin, a, n) * gridUm;
            double to = position(begin, k, n) * gridUm;
            rule.begin(from, to, startCorner, endCorner);
            double margin = MEASURED_DISTANCE * directUm;
            double measuredFrom = from + (startCorner < 0.5 ? 0 : margin);
            double measuredTo = to - (endCorner < 0.5 ? 0 : margin);
            for (int p = a; p < k; ) {
                int unit = edges.owner(contour[(begin + p) % n]);
                int q = p + 1;
                while (q < k && edges.owner(contour[(begin + q) % n]) == unit) {
                    q++;
                }
                double u = position(begin, p, n) * gridUm;
                double v = position(begin, q, n) * gridUm;
                boolean curved = isCurved(begin, p, q, n);
                rule.place(u, v);
                clear[unit] = Math.max(clear[unit], rule.clear);
                for (int i = 0; i < rule.size; i++) {
                    place(proper, begin, p, n, rule.at[i], rule.weight[i], unit, curved, gridUm);
                }
                if (measure) {
                    double first = Math.max(u, measuredFrom);
                    double length = Math.min(v, measuredTo) - first;
                    int points = measuredPoints(length);
                    for (int i = 0; i < points; i++) {
                        double at = first + length * (i + 0.5) / points;
                        int together = curved ? 3 : 1;
                        double share = length / points / together;
                        double apart = Math.min(share, CURVE_APART * directUm);
                        for (int j = 0; j < together; j++) {
                            double place = at + (j - 0.5 * (together - 1)) * apart;
                            place(measured, begin, p, n, place, share, unit, curved, gridUm);
                        }
                    }
                    boolean isBetweenCorners = startCorner >= 0.5 && endCorner >= 0.5;
                    double beside = isBetweenCorners ? nearCorners(to - from, Math.max(0, length)) : 0;
                    if (beside > 0) {
                        place(measured, begin, p, n, 0.5 * (u + v), beside, unit, curved, gridUm);
                        measured.markNearCorner();
                    }
                }
                p = q;
            }
        }
    }

    /** Arc length from the contour's first edge to edge {@code begin + k}, growing beyond the total when it wraps. */
    private double position(int begin, int k, int n) {
        int i = begin + k;
        return i > n ? arc[n] + arc[i - n] : arc[i];
    }

    /** Whether the outline turns between edges {@code p} and {@code q - 1}. */
    private boolean isCurved(int begin, int p, int q, int n) {
        for (int k = p + 1; k < q; k++) {
            int a = contour[(begin + k - 1) % n];
            int b = contour[(begin + k) % n];
            double ux = edges.x1(a) - edges.x0(a);
            double uy = edges.y1(a) - edges.y0(a);
            double vx = edges.x1(b) - edges.x0(b);
            double vy = edges.y1(b) - edges.y0(b);
            if (Math.abs(ux * vy - uy * vx) > TURN * edges.length(a) * edges.length(b)) {
                return true;
            }
        }
        return false;
    }

    /** How much of a corner lies before edge {@code k}: 0 below a turn of 30 degrees, 1 above 50, smooth between. */
    private double corner(int n, int k, double reach, boolean closed) {
        int after = contour[k];
        int before = contour[(k + n - 1) % n];
        double px = edges.x0(after);
        double py = edges.y0(after);
        // Chords over one direct range to both sides, so that small jogs are no corners and small arcs are one.
        double ax = edges.x1(after);
        double ay = edges.y1(after);
        double left = reach - (arc[k + 1] - arc[k]);
        for (int i = 1; left > 0 && i < n && (closed || k + i < n); i++) {
            int e = contour[(k + i) % n];
            double length = edges.length(e);
            double f = Math.min(1, left / length);
            ax = edges.x0(e) + f * (edges.x1(e) - edges.x0(e));
            ay = edges.y0(e) + f * (edges.y1(e) - edges.y0(e));
            left -= length;
        }
        double bx = edges.x0(before);
        double by = edges.y0(before);
        left = reach - edges.length(before);
        for (int i = 2; left > 0 && i <= n && (closed || k - i >= 0); i++) {
            int e = contour[(k - i + 2 * n) % n];
            double length = edges.length(e);
            double f = Math.min(1, left / length);
            bx = edges.x1(e) + f * (edges.x0(e) - edges.x1(e));
            by = edges.y1(e) + f * (edges.y0(e) - edges.y1(e));
            left -= length;
        }
        double ux = px - bx;
        double uy = py - by;
        double vx = ax - px;
        double vy = ay - py;
        double chords = Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
        if (chords == 0) {
            // The whole contour is shorter than a direct range.
            return 1;
        }
        double cosine = (ux * vx + uy * vy) / chords;
        if (cosine >= NO_CORNER) {
            return 0;
        }
        if (cosine <= CORNER) {
            return 1;
        }
        double f = (NO_CORNER - cosine) / (NO_CORNER - CORNER);
        return f * f * (3 - 2 * f);
    }

    /** Adds the point at {@code atUm} of the contour, at or beyond its edge {@code begin + p}. */
    private void place(
            SampleBuffer found,
            int begin,
            int p,
            int n,
            double atUm,
            double w,
            int unit,
            boolean curved,
            double gridUm) {
        double at = atUm / gridUm;
        int k = p;
        while (k < n - 1 && position(begin, k + 1, n) < at) {
            k++;
        }
        int e = contour[(begin + k) % n];
        double start = position(begin, k, n);
        double end = position(begin, k + 1, n);
        double f = Math.max(0, Math.min(1, (at - start) / (end - start)));
        if (curved && (end - start) * gridUm < SHORT_SIDE * directUm) {
            // Where a parabola along the side has its mean: at corners of a drawn curve the energy is another than
            // between them.
            f = f < 0.5 ? 0.5 - MEAN_PLACE : 0.5 + MEAN_PLACE;
        }
        found.add(
                (edges.x0(e) + f * (edges.x1(e) - edges.x0(e))) * gridUm,
                (edges.y0(e) + f * (edges.y1(e) - edges.y0(e))) * gridUm,
                w,
                unit);
    }

    /** Sorts what was found by unit. */
    private void gather(int units) {
        if (first.length < units + 1) {
            first = new int[Math.max(units + 1, 2 * first.length)];
        }
        Arrays.fill(first, 0, units + 1, 0);
        for (int i = 0; i < proper.size; i++) {
            first[proper.unit[i] + 1]++;
        }
        for (int u = 0; u < units; u++) {
            first[u + 1] += first[u];
        }
        samples.reserve(first[units]);
        int[] at = units == 1 ? new int[] {0} : Arrays.copyOf(first, units);
        for (int i = 0; i < proper.size; i++) {
            samples.set(at[proper.unit[i]]++, proper, i);
        }
    }
}
