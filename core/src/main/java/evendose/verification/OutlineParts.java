package evendose.verification;

import evendose.correction.EdgeMove;
import evendose.geometry.EdgeGrid;
import evendose.geometry.Outline;
import evendose.geometry.OutlineRings;
import evendose.geometry.Trapezoids;
import java.util.ArrayList;
import java.util.List;

/**
 * The drawn outline in parts that may move: sides of at least {@value #SHORTEST} direct ranges, evenly divided into parts no shorter, and shorter
 * sides between two corners of one kind, which end a line or a slot, whole. Ends are judged at their middle, others at some places two
 * direct ranges or more off corners.
 *
 * <p>Sides of a curve, and of shapes that abut another layer, are judged and do not move. Steps of less than that size are neither.
 */
final class OutlineParts {
    /** Direct ranges that the part of a side is long, at least. */
    static final double SHORTEST = 4;

    /** Places where a long part is judged, evenly spaced; those within two direct ranges of a corner are left out. */
    private static final int PLACES = 3;

    /** About so many parts, at most; of sides that do not move, about so many are judged. */
    private static final double MOST = 300_000;

    /** Moves leave at least half of each line and gap: two sides that face each other take a quarter each. */
    private static final double SHARE_OF_FEATURE = 0.25;

    private static final double ON_GRID = 1e-6;

    /** What keeps a part where it is drawn. */
    enum Held {
        /** Nothing. */
        FREE,
        /** The outline turns every few nanometres. */
        CURVED,
        /** Its shape abuts another layer. */
        SEAM
    }

    private final OutlineEdges edges;
    private final Exposure exposure;
    private final double gridUm;
    private final double directUm;
    private final List<Part> parts = new ArrayList<>();
    private final List<Place> places = new ArrayList<>();

    /**
     * A place where a part is judged.
     *
     * @param part the part
     * @param at where on the side, as a share of it
     */
    record Place(int part, double at) {}

    /**
     * A part.
     *
     * @param edge the side
     * @param from where it begins, as a share of the side
     * @param to where it ends
     * @param isEnd whether it ends a line or a slot
     * @param held what keeps it where it is
     */
    record Part(int edge, double from, double to, boolean isEnd, Held held) {
        double middle() {
            return 0.5 * (from + to);
        }
    }

    /**
     * Divides an outline.
     *
     * @param merged the drawn shapes
     * @param exposure says which layers are corrected
     * @param gridUm steps of moves and places where sides along x or y are divided, um
     */
    OutlineParts(Trapezoids merged, double dbuUm, Exposure exposure, double gridUm) {
        Outline outline = Outline.of(merged);
        this.edges = OutlineEdges.of(merged, dbuUm);
        this.exposure = exposure;
        this.gridUm = gridUm;
        this.directUm = exposure.psf().direct().rangeUm();
        OutlineRings rings = new OutlineRings(outline);
        double length = 0;
        for (int e = 0; e < edges.size(); e++) {
            length += edges.lengthUm(e);
        }
        double leastUm = SHORTEST * directUm;
        double partUm = Math.max(leastUm, length / MOST);
        int every = 1 + (int) (edges.size() / MOST);
        for (int e = 0; e < edges.size(); e++) {
            if (exposure.isCorrected(edges.layer(e))) {
                divide(e, leastUm, partUm, rings.isWhole(outline.shape(e)) ? Held.FREE : Held.SEAM, e % every == 0);
            }
        }
        place();
    }

    private void divide(int e, double leastUm, double partUm, Held held, boolean judgeCurves) {
        double length = edges.lengthUm(e);
        if (length >= leastUm * (1 - ON_GRID)) {
            int n = (int) Math.max(1, length / partUm * (1 + ON_GRID));
            double from = 0;
            for (int k = 1; k <= n; k++) {
                double to = k == n ? 1 : cut(e, (double) k / n);
                parts.add(new Part(e, from, to, false, held));
                from = to;
            }
            return;
        }
        int before = edges.cornerBefore(e, directUm);
        if (before != 0 && before == edges.cornerAfter(e, directUm)) {
            parts.add(new Part(e, 0, 1, true, held));
        } else if (judgeCurves
                && !edges.nearCorner(e, 0.5, EdgeGauges.CORNER_RANGES * directUm * (1 - ON_GRID), directUm)) {
            parts.add(new Part(e, 0, 1, false, held == Held.FREE ? Held.CURVED : held));
        }
    }

    /** Where to cut a side near the share {@code t}, so that the step there lies on the grid. */
    private double cut(int e, double t) {
        double length = edges.lengthUm(e);
        double from = edges.outX(e) == 0 ? edges.xUm(e, 0) : edges.yUm(e, 0);
        double way = edges.outX(e) == 0 ? edges.xUm(e, 1) - from : edges.yUm(e, 1) - from;
        return Math.abs(way) == length ? (Math.rint((from + t * way) / gridUm) * gridUm - from) / way : t;
    }

    /** Finds the places where parts are judged. */
    private void place() {
        double off = EdgeGauges.CORNER_RANGES * directUm * (1 - ON_GRID);
        for (int p = 0; p < size(); p++) {
            Part part = part(p);
            boolean isLong = !part.isEnd && part.held != Held.CURVED;
            for (int k = 0; k < PLACES; k++) {
                double t = part.from + (k + 0.5) / PLACES * (part.to - part.from);
                boolean isMiddle = 2 * k + 1 == PLACES;
                if (isMiddle || (isLong && !edges.nearCorner(part.edge, t, off, directUm))) {
                    places.add(new Place(p, isMiddle ? part.middle() : t));
                }
            }
        }
    }

    int size() {
        return parts.size();
    }

    /** Places where parts are judged, by rising part. */
    List<Place> places() {
        return places;
    }

    double xUm(Place place) {
        return edges.xUm(part(place.part).edge, place.at);
    }

    double yUm(Place place) {
        return edges.yUm(part(place.part).edge, place.at);
    }

    Part part(int p) {
        return parts.get(p);
    }

    /** How long part {@code p} is, um. */
    double lengthUm(int p) {
        return (part(p).to - part(p).from) * edges.lengthUm(part(p).edge);
    }

    /** A point at the share {@code t} of part {@code p}, um. */
    double[] point(int p, double t) {
        Part part = part(p);
        double at = part.from + t * (part.to - part.from);
        return new double[] {edges.xUm(part.edge, at), edges.yUm(part.edge, at)};
    }

    /** The places, for some exposure. */
    EdgeGauges gauges(Exposure of) {
        int[] edge = new int[places.size()];
        double[] x = new double[edge.length];
        double[] y = new double[edge.length];
        for (int g = 0; g < edge.length; g++) {
            Place place = places.get(g);
            edge[g] = part(place.part).edge;
            x[g] = xUm(place);
            y[g] = yUm(place);
        }
        return EdgeGauges.at(edges, of, edge, x, y);
    }

    /** What lies beside a place. */
    Feature feature(Place place) {
        Part part = part(place.part);
        Feature across = Feature.of(edges, part.edge, xUm(place), yUm(place), Verifier.widestUm(exposure));
        return part.isEnd ? across.endOf(1e3 * edges.lengthUm(part.edge)) : across;
    }

    /**
     * How far part {@code p} may move, um: a quarter of the line or gap beside it, lines keeping the smallest piece.
     *
     * @param way 1 for outwards, -1 for inwards
     * @param mostUm how far any may move
     */
    double roomUm(int p, int way, double mostUm) {
        Part part = part(p);
        double nx = way * edges.outX(part.edge);
        double ny = way * edges.outY(part.edge);
        double look = mostUm / SHARE_OF_FEATURE + exposure.options().rules().smallestUm();
        double free = look;
        double inset = 1e-3 * (part.to - part.from);
        for (double t : new double[] {part.from + inset, part.middle(), part.to - inset}) {
            free = Math.min(free, freeUm(part.edge, t, nx, ny, look));
        }
        if (way > 0) {
            // Shapes that lie across a corner.
            double half = Math.sqrt(0.5);
            free = Math.min(free, freeUm(part.edge, part.from, half * (nx + ny), half * (ny - nx), look));
            free = Math.min(free, freeUm(part.edge, part.to, half * (nx - ny), half * (ny + nx), look));
        }
        double most = Math.min(mostUm, SHARE_OF_FEATURE * free);
        double kept = 0.5 * (free - exposure.options().rules().smallestUm());
        return way > 0 || free == look ? most : Math.max(0, Math.min(most, kept));
    }

    private double freeUm(int e, double t, double ux, double uy, double most) {
        EdgeGrid.Hit hit = edges.ray(edges.xUm(e, t), edges.yUm(e, t), ux, uy, 1e-6, most);
        return hit == null ? most : hit.distanceUm();
    }

    /** Moves, one for neighbours that go together; parts from {@code first} of each are given by {@code spans}. */
    List<Span> spans(int[] steps) {
        List<Span> spans = new ArrayList<>();
        for (int p = 0; p < steps.length; ) {
            int end = p + 1;
            while (end < steps.length && part(end).edge == part(p).edge && steps[end] == steps[p]) {
                end++;
            }
            if (steps[p] != 0) {
                int e = part(p).edge;
                double from = part(p).from;
                double to = part(end - 1).to;
                spans.add(new Span(
                        p,
                        end,
                        new EdgeMove(
                                exposure.roles().get(edges.layer(e)).layer(),
                                onGrid(edges.xUm(e, from)),
                                onGrid(edges.yUm(e, from)),
                                onGrid(edges.xUm(e, to)),
                                onGrid(edges.yUm(e, to)),
                                onGrid(steps[p] * gridUm))));
            }
            p = end;
        }
        return spans;
    }

    /** A length with the digits that a file holds. */
    private static double onGrid(double um) {
        return Math.rint(um * 1e7) / 1e7;
    }

    /**
     * Parts that move as one.
     *
     * @param first the first of them
     * @param end the one after the last
     * @param move where they go
     */
    record Span(int first, int end, EdgeMove move) {}
}
