package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.geometry.EdgeGrid;
import evendose.geometry.MovedOutline;
import evendose.geometry.Outline;
import evendose.geometry.OutlineRings;
import evendose.geometry.Trapezoids;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;

/** Moves parts of the outline of drawn shapes, and tells of places on the exposed outline how far they moved. */
final class MovedEdges {
    /** How far off the drawn outline a part may be said to lie, dbu. */
    private static final double ON_OUTLINE = 0.6;

    /** Sides that turn by less than this against a part lie along it, as a cosine. */
    private static final double ALONG = 0.9;

    final Trapezoids shapes;

    private final double dbuUm;
    private final EdgeGrid edges;
    private final double[] outUm;

    /**
     * Moves.
     *
     * @param drawn the drawn shapes, dbu; groups are the roles
     * @throws BadInputException if a part does not lie on the drawn outline, or moving it closes a gap or loses something
     */
    MovedEdges(
            Trapezoids drawn,
            double dbuUm,
            List<LayerRole> roles,
            List<EdgeMove> moves,
            Workers workers,
            Progress progress) {
        this.dbuUm = dbuUm;
        Outline outline = Outline.of(drawn);
        List<MovedOutline.Part> parts = parts(drawn, outline, grid(outline), roles, moves);
        this.shapes = MovedOutline.of(drawn, outline, parts, workers, progress);
        Outline exposed = Outline.of(shapes);
        if (!new OutlineRings(exposed).isLike(new OutlineRings(outline))) {
            throw new BadInputException(
                    "the moved edges", "", "close a gap or make a part of a shape vanish; allow smaller moves");
        }
        this.edges = grid(exposed);
        this.outUm = out(exposed, outline, parts);
    }

    private static EdgeGrid grid(Outline outline) {
        double[][] ends = new double[4][outline.size()];
        for (int e = 0; e < outline.size(); e++) {
            ends[0][e] = outline.x0(e);
            ends[1][e] = outline.y0(e);
            ends[2][e] = outline.x1(e);
            ends[3][e] = outline.y1(e);
        }
        return new EdgeGrid(ends[0], ends[1], ends[2], ends[3]);
    }

    private List<MovedOutline.Part> parts(
            Trapezoids drawn, Outline outline, EdgeGrid grid, List<LayerRole> roles, List<EdgeMove> moves) {
        List<MovedOutline.Part> parts = new ArrayList<>();
        for (EdgeMove move : moves) {
            double x0 = move.x0Um() / dbuUm;
            double y0 = move.y0Um() / dbuUm;
            double x1 = move.x1Um() / dbuUm;
            double y1 = move.y1Um() / dbuUm;
            int e = grid.nearest(0.5 * (x0 + x1), 0.5 * (y0 + y1), ON_OUTLINE);
            if (e < 0 || !lies(outline, e, x0, y0) || !lies(outline, e, x1, y1)) {
                throw off(move);
            }
            Layer layer = roles.get(drawn.group(drawn.first(outline.shape(e)))).layer();
            double length = outline.length(e);
            double from = grid.share(e, x0, y0) * length;
            double to = grid.share(e, x1, y1) * length;
            if (!layer.equals(move.layer()) || !(from < to)) {
                throw off(move);
            }
            // What ends within half a step of a corner ends there.
            parts.add(new MovedOutline.Part(
                    e, from < 0.5 ? 0 : from, to > length - 0.5 ? length : to, move.outUm() / dbuUm));
        }
        parts.sort(Comparator.comparingInt(MovedOutline.Part::edge).thenComparingDouble(MovedOutline.Part::from));
        return parts;
    }

    private static boolean lies(Outline outline, int e, double x, double y) {
        double ux = (outline.x1(e) - outline.x0(e)) / outline.length(e);
        double uy = (outline.y1(e) - outline.y0(e)) / outline.length(e);
        double along = (x - outline.x0(e)) * ux + (y - outline.y0(e)) * uy;
        double across = (x - outline.x0(e)) * uy - (y - outline.y0(e)) * ux;
        return Math.abs(across) <= ON_OUTLINE && along >= -ON_OUTLINE && along <= outline.length(e) + ON_OUTLINE;
    }

    private static BadInputException off(EdgeMove move) {
        return new BadInputException(
                "the moved edges",
                "",
                String.format(
                        Locale.ROOT,
                        "from (%s, %s) to (%s, %s) um on layer %s is no part of the drawn outline; they were found for another"
                                + " layout: correct this one",
                        NumberText.plain(move.x0Um(), 6),
                        NumberText.plain(move.y0Um(), 6),
                        NumberText.plain(move.x1Um(), 6),
                        NumberText.plain(move.y1Um(), 6),
                        move.layer()));
    }

    /** How far each edge of the exposed outline lies outside the drawn one, um; steps between parts by nothing. */
    private double[] out(Outline exposed, Outline outline, List<MovedOutline.Part> parts) {
        double[][] ends = new double[4][parts.size()];
        for (int p = 0; p < parts.size(); p++) {
            MovedOutline.Part part = parts.get(p);
            int e = part.edge();
            double ux = (outline.x1(e) - outline.x0(e)) / outline.length(e);
            double uy = (outline.y1(e) - outline.y0(e)) / outline.length(e);
            ends[0][p] = outline.x0(e) + part.from() * ux + part.out() * uy;
            ends[1][p] = outline.y0(e) + part.from() * uy - part.out() * ux;
            ends[2][p] = outline.x0(e) + part.to() * ux + part.out() * uy;
            ends[3][p] = outline.y0(e) + part.to() * uy - part.out() * ux;
        }
        EdgeGrid moved = new EdgeGrid(ends[0], ends[1], ends[2], ends[3]);
        double[] out = new double[exposed.size()];
        for (int e = 0; e < out.length; e++) {
            double x = 0.5 * (exposed.x0(e) + exposed.x1(e));
            double y = 0.5 * (exposed.y0(e) + exposed.y1(e));
            int p = moved.nearest(x, y, ON_OUTLINE);
            if (p >= 0) {
                int of = parts.get(p).edge();
                double cosine = ((exposed.x1(e) - exposed.x0(e)) * (outline.x1(of) - outline.x0(of))
                                + (exposed.y1(e) - exposed.y0(e)) * (outline.y1(of) - outline.y0(of)))
                        / (exposed.length(e) * outline.length(of));
                out[e] = cosine > ALONG ? parts.get(p).out() * dbuUm : 0;
            }
        }
        return out;
    }

    /**
     * {@return how far outside the drawn outline the exposed one lies at a place on it, um}
     *
     * @param xUm x of the place, um
     * @param yUm y of it, um
     * @param reachUm how far pieces may lie from the exposed outline, um
     */
    double outUm(double xUm, double yUm, double reachUm) {
        int e = edges.nearest(xUm / dbuUm, yUm / dbuUm, reachUm / dbuUm);
        return e < 0 ? 0 : outUm[e];
    }
}
