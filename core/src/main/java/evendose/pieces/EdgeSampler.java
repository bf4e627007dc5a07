package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.EdgeLinks;
import java.util.Arrays;

/**
 * Places samples along the exposed outline of one shape's units. The outline is linked to closed contours first, so that
 * corners are told from the small turns of a polygonised curve.
 */
final class EdgeSampler {
    /** Turn that makes a corner, as a cosine: 40 degrees. */
    private static final double CORNER = Math.cos(Math.toRadians(40));

    /** Samples keep this many direct ranges away from corners. */
    private static final double CORNER_DISTANCE = 1.5;

    private static final int MOST_PER_RUN = 16;

    /** Samples by unit, um: unit u holds samples first[u] to first[u + 1] - 1. */
    final SampleBuffer samples = new SampleBuffer();

    int[] first = new int[65];

    private final double directUm;
    private final double spacingUm;

    // Samples in the order they are found: the proper ones, and one fallback for each run of outline.
    private final SampleBuffer proper = new SampleBuffer();
    private final SampleBuffer fallback = new SampleBuffer();

    /** The outline that is being sampled. */
    private EdgeBuffer edges = new EdgeBuffer();

    private final EdgeLinks links = new EdgeLinks();
    private boolean[] seen = new boolean[64];
    private int[] contour = new int[64];
    private double[] arc = new double[65];
    private boolean[] corner = new boolean[64];

    EdgeSampler(FractureOptions options) {
        this.directUm = options.directRangeUm();
        this.spacingUm = options.sampleSpacingUm();
    }

    /**
     * Samples the outline that {@code cutter} holds; units without exposed outline get no sample.
     *
     * @param gridUm the cutter's unit of length, um
     */
    void sample(ShapeCutter cutter, double gridUm) {
        proper.size = 0;
        fallback.size = 0;
        edges = cutter.edges();
        int n = edges.size();
        if (seen.length < n) {
            int length = Math.max(n, 2 * seen.length);
            seen = new boolean[length];
            contour = new int[length];
            arc = new double[length + 1];
            corner = new boolean[length];
        }
        links.link(edges);
        int[] next = links.next();
        Arrays.fill(seen, 0, n, false);
        for (int e = 0; e < n; e++) {
            if (!seen[e]) {
                int length = 0;
                for (int k = e; k >= 0 && !seen[k]; k = next[k]) {
                    seen[k] = true;
                    contour[length++] = k;
                }
                sampleContour(length, next[contour[length - 1]] == contour[0], gridUm);
            }
        }
        gather(cutter.units);
    }

    /**
     * Samples the outline of a lone rectangle, um, as unit 0: what {@link #sample} finds for it, without linking anything.
     */
    void sampleRectangle(double left, double bottom, double right, double top) {
        proper.size = 0;
        fallback.size = 0;
        sampleSide(right, bottom, right, top);
        sampleSide(right, top, left, top);
        sampleSide(left, top, left, bottom);
        sampleSide(left, bottom, right, bottom);
        gather(1);
    }

    private void sampleSide(double ax, double ay, double bx, double by) {
        double length = Math.abs(bx - ax) + Math.abs(by - ay);
        fallback.add(0.5 * (ax + bx), 0.5 * (ay + by), length, 0);
        double margin = CORNER_DISTANCE * directUm;
        double inner = length - 2 * margin;
        if (inner > 0) {
            int panels = panels(inner);
            int nodes = nodes(inner, panels);
            for (int i = 0; i < panels; i++) {
                for (int g = 0; g < nodes; g++) {
                    double f = (margin + inner * (i + GaussLegendre.node(nodes, g)) / panels) / length;
                    double w = inner * GaussLegendre.weight(nodes, g) / panels;
                    proper.add(ax + f * (bx - ax), ay + f * (by - ay), w, 0);
                }
            }
        }
    }

    /** Panels of at most four points for a run of outline, um. */
    private int panels(double lengthUm) {
        return (samples(lengthUm) + 3) / 4;
    }

    private int nodes(double lengthUm, int panels) {
        return (samples(lengthUm) + panels - 1) / panels;
    }

    private int samples(double lengthUm) {
        int fewest = lengthUm < 3 * directUm ? 1 : lengthUm < 12 * directUm ? 2 : 3;
        return (int) Math.min(MOST_PER_RUN, Math.max(fewest, Math.ceil(lengthUm / spacingUm)));
    }

    private void sampleContour(int n, boolean closed, double gridUm) {
        arc[0] = 0;
        for (int k = 0; k < n; k++) {
            int e = contour[k];
            arc[k + 1] = arc[k] + edges.length(e);
        }
        double direct = directUm / gridUm;
        // corner[k]: between edge k - 1 and edge k of the contour.
        int begin = -1;
        for (int k = 0; k < n; k++) {
            corner[k] = (!closed && k == 0) || isCorner(n, k, direct, closed);
            if (corner[k] && begin < 0) {
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
            boolean startCorner = corner[(begin + a) % n];
            k++;
            while (k < n && !corner[(begin + k) % n]) {
                k++;
            }
            boolean endCorner = corner[(begin + k) % n];
            double margin = CORNER_DISTANCE * direct;
            double from = position(begin, a, n) + (startCorner ? margin : 0);
            double to = position(begin, k, n) - (endCorner ? margin : 0);
            for (int p = a; p < k; ) {
                int unit = edges.owner(contour[(begin + p) % n]);
                int q = p + 1;
                while (q < k && edges.owner(contour[(begin + q) % n]) == unit) {
                    q++;
                }
                double u = position(begin, p, n);
                double v = position(begin, q, n);
                place(fallback, begin, p, n, 0.5 * (u + v), v - u, unit, gridUm);
                placeSamples(begin, p, n, Math.max(u, from), Math.min(v, to), unit, gridUm);
                p = q;
            }
        }
    }

    /** Arc length from the contour's first edge to edge {@code begin + k}, growing beyond the total when it wraps. */
    private double position(int begin, int k, int n) {
        int i = begin + k;
        return i > n ? arc[n] + arc[i - n] : arc[i];
    }

    private boolean isCorner(int n, int k, double reach, boolean closed) {
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
        return ux * vx + uy * vy < CORNER * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
    }

    private void placeSamples(int begin, int p, int n, double from, double to, int unit, double gridUm) {
        double length = to - from;
        if (!(length > 0)) {
            return;
        }
        int panels = panels(length * gridUm);
        int nodes = nodes(length * gridUm, panels);
        for (int i = 0; i < panels; i++) {
            for (int g = 0; g < nodes; g++) {
                double at = from + length * (i + GaussLegendre.node(nodes, g)) / panels;
                double w = length * GaussLegendre.weight(nodes, g) / panels;
                place(proper, begin, p, n, at, w, unit, gridUm);
            }
        }
    }

    private void place(SampleBuffer found, int begin, int p, int n, double at, double w, int unit, double gridUm) {
        int k = p;
        while (position(begin, k + 1, n) < at && k < n) {
            k++;
        }
        int e = contour[(begin + k) % n];
        double start = position(begin, k, n);
        double end = position(begin, k + 1, n);
        double f = (at - start) / (end - start);
        found.add(
                (edges.x0(e) + f * (edges.x1(e) - edges.x0(e))) * gridUm,
                (edges.y0(e) + f * (edges.y1(e) - edges.y0(e))) * gridUm,
                w,
                unit);
    }

    /** Sorts what was found by unit; a unit without proper samples takes its fallback ones. */
    private void gather(int units) {
        if (first.length < units + 1) {
            first = new int[Math.max(units + 1, 2 * first.length)];
        }
        Arrays.fill(first, 0, units + 1, 0);
        for (int i = 0; i < proper.size; i++) {
            first[proper.unit[i] + 1]++;
        }
        boolean[] needs = null;
        for (int i = 0; i < fallback.size; i++) {
            int u = fallback.unit[i];
            if (first[u + 1] == 0 || (needs != null && needs[u])) {
                needs = needs == null ? new boolean[units] : needs;
                needs[u] = true;
                first[u + 1]++;
            }
        }
        for (int u = 0; u < units; u++) {
            first[u + 1] += first[u];
        }
        samples.reserve(first[units]);
        int[] at = units == 1 ? new int[] {0} : Arrays.copyOf(first, units);
        for (int i = 0; i < proper.size; i++) {
            samples.set(at[proper.unit[i]]++, proper, i);
        }
        for (int i = 0; needs != null && i < fallback.size; i++) {
            if (needs[fallback.unit[i]]) {
                samples.set(at[fallback.unit[i]]++, fallback, i);
            }
        }
    }
}
