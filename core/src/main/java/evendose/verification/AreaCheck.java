package evendose.verification;

import evendose.geometry.Merge;
import evendose.geometry.Outline;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Accounts for area: what the layout has and the pieces lack, what the pieces have beyond the layout, and what they cover
 * twice. Layout and pieces are merged on a grid far finer than the database unit, so corners of cut slanted sides keep their
 * place.
 *
 * <p>Pieces may follow the drawn outline within a tolerance. What lies within it of the outline is left out; all else is judged by its
 * place, however small it is beside the whole, and a shape without a piece is missing however thin it is. Two pieces may share a
 * strip no wider than the tolerance.
 *
 * @param layoutUm2 area of the merged layout, um^2
 * @param tableUm2 sum of the areas of all pieces, um^2
 * @param missingUm2 area of the layout without a piece, further from the outline than the tolerance, um^2
 * @param excessUm2 area under pieces where the layout has nothing, further from the outline than the tolerance, um^2
 * @param overlapUm2 area covered by two pieces, summed over all pairs that share more than a strip, um^2
 * @param missingShapes shapes of the layout without any piece
 * @param toleranceUm how far pieces may stray from the outline, um
 * @param strayedUm2 area missing or in excess within the tolerance, um^2
 * @param spots where, gravest first, at most some of each kind
 */
public record AreaCheck(
        double layoutUm2,
        double tableUm2,
        double missingUm2,
        double excessUm2,
        double overlapUm2,
        int missingShapes,
        double toleranceUm,
        double strayedUm2,
        List<TroubleSpot> spots) {
    private static final int SPOTS_OF_A_KIND = 20;

    /** Areas below this share of the squared tolerance come from rounding, here and of crossings off the grid. */
    private static final double SPECK = 0.1;

    /** So do areas below this, square database units: what the merge may cost where two sides as flat as one in a hundred cross. */
    private static final double CROSSING = 2e-4;

    /** {@return area in error: missing and in excess} */
    public double errorUm2() {
        return missingUm2 + excessUm2;
    }

    /** {@return whether all area is accounted for, once} */
    public boolean holds() {
        return missingUm2 == 0 && excessUm2 == 0 && overlapUm2 == 0 && missingShapes == 0;
    }

    /**
     * Accounts.
     *
     * @param layout the merged layout, dbu
     * @param dbuUm size of a database unit, um
     * @param pieces the pieces
     * @param toleranceUm how far pieces may stray from the outline, um, positive
     */
    static AreaCheck of(
            Trapezoids layout, double dbuUm, Pieces pieces, double toleranceUm, Workers workers, Progress progress) {
        progress.begin("accounting for area", 0);
        double layoutUm2 = layout.area() * dbuUm * dbuUm;
        double tableUm2 = 0;
        for (int i = 0; i < pieces.size(); i++) {
            tableUm2 += pieces.areaUm2(i);
        }
        PieceLookup lookup = new PieceLookup(pieces);
        List<TroubleSpot> spots = new ArrayList<>();
        double overlap = findOverlaps(pieces, lookup, toleranceUm, spots);
        int missingShapes = missingShapes(layout, dbuUm, lookup, spots);

        double scale = scale(layout, pieces, dbuUm);
        double unit = dbuUm / scale;
        Polygons covered = new Polygons();
        add(covered, 0, pieces, scale / dbuUm);
        layout.addTo(covered, g -> 1, scale);
        double uncovered = areaOfSecond(Merge.of(covered, 2, workers, progress)) * unit * unit;
        Polygons drawn = new Polygons();
        layout.addTo(drawn, g -> 0, scale);
        add(drawn, 1, pieces, scale / dbuUm);
        double beyond = areaOfSecond(Merge.of(drawn, 2, workers, progress)) * unit * unit;
        double speck = Math.max(SPECK * toleranceUm * toleranceUm, CROSSING * dbuUm * dbuUm);
        double missing = 0;
        double excess = 0;
        if (uncovered > speck) {
            addBand(covered, layout, scale, toleranceUm / dbuUm);
            missing = findLeft(
                    Merge.of(covered, 2, workers, progress),
                    unit,
                    speck,
                    TroubleSpot.Kind.MISSING_AREA,
                    "the layout has area here that no piece covers",
                    spots);
        }
        if (beyond > speck) {
            addBand(drawn, layout, scale, toleranceUm / dbuUm);
            excess = findLeft(
                    Merge.of(drawn, 2, workers, progress),
                    unit,
                    speck,
                    TroubleSpot.Kind.EXCESS_AREA,
                    "a piece lies here, but the layout has nothing",
                    spots);
        }
        spots.sort(TroubleSpot::compare);
        return new AreaCheck(
                layoutUm2,
                tableUm2,
                missing,
                excess,
                overlap,
                missingShapes,
                toleranceUm,
                Math.max(0, uncovered - missing) + Math.max(0, beyond - excess),
                List.copyOf(spots));
    }

    /** Sums what pairs of pieces share beyond a strip of the tolerance's width, and names the places. */
    private static double findOverlaps(Pieces pieces, PieceLookup lookup, double toleranceUm, List<TroubleSpot> spots) {
        List<TroubleSpot> found = new ArrayList<>();
        lookup.forOverlaps((i, j, area) -> {
            double width =
                    Math.min(pieces.rightUm(i), pieces.rightUm(j)) - Math.max(pieces.leftUm(i), pieces.leftUm(j));
            double height =
                    Math.min(pieces.topUm(i), pieces.topUm(j)) - Math.max(pieces.bottomUm(i), pieces.bottomUm(j));
            if (area > toleranceUm * Math.hypot(width, height)) {
                found.add(new TroubleSpot(
                        TroubleSpot.Kind.OVERLAP,
                        pieces.middleXUm(j),
                        pieces.middleYUm(j),
                        area,
                        "two pieces overlap and expose a place twice"));
            }
        });
        double sum = found.stream().mapToDouble(TroubleSpot::size).sum();
        keepLargest(found, spots);
        return sum;
    }

    private static double areaOfSecond(Trapezoids merged) {
        double sum = 0;
        for (int i = 0; i < merged.size(); i++) {
            sum += merged.group(i) == 1 ? merged.area(i) : 0;
        }
        return sum;
    }

    /** Sums what is left to the second group and names the places. */
    private static double findLeft(
            Trapezoids merged, double unit, double speck, TroubleSpot.Kind kind, String what, List<TroubleSpot> spots) {
        List<TroubleSpot> found = new ArrayList<>();
        double sum = 0;
        for (int s = 0; s < merged.shapes(); s++) {
            int first = merged.first(s);
            double area = 0;
            int largest = first;
            for (int i = first; i < merged.first(s + 1); i++) {
                area += merged.area(i) * unit * unit;
                largest = merged.area(i) > merged.area(largest) ? i : largest;
            }
            if (merged.group(first) == 1 && area > speck) {
                sum += area;
                found.add(new TroubleSpot(
                        kind, unit * merged.middleX(largest), unit * merged.middleY(largest), area, what));
            }
        }
        keepLargest(found, spots);
        return sum;
    }

    /** Adds to the first group all that lies within the tolerance of the layout's outline and of seams between its groups. */
    private static void addBand(Polygons sink, Trapezoids layout, double scale, double tolerance) {
        Outline outline = Outline.of(layout);
        for (int e = 0; e < outline.size(); e++) {
            addBand(sink, outline.x0(e), outline.y0(e), outline.x1(e), outline.y1(e), scale, tolerance);
        }
        for (int i = 0; i < layout.size(); i++) {
            if (!layout.leftExposed(i)) {
                addBand(
                        sink,
                        layout.xLeftBottom(i),
                        layout.yBottom(i),
                        layout.xLeftTop(i),
                        layout.yTop(i),
                        scale,
                        tolerance);
            }
        }
    }

    private static void addBand(
            Polygons sink, double x0, double y0, double x1, double y1, double scale, double tolerance) {
        double length = Math.hypot(x1 - x0, y1 - y0);
        if (!(length > 0)) {
            return;
        }
        double ux = (x1 - x0) / length * tolerance;
        double uy = (y1 - y0) / length * tolerance;
        sink.addPolygon(
                0,
                new long[] {
                    Math.round((x0 - ux + uy) * scale), Math.round((y0 - uy - ux) * scale),
                    Math.round((x1 + ux + uy) * scale), Math.round((y1 + uy - ux) * scale),
                    Math.round((x1 + ux - uy) * scale), Math.round((y1 + uy + ux) * scale),
                    Math.round((x0 - ux - uy) * scale), Math.round((y0 - uy + ux) * scale)
                },
                4);
    }

    private static void keepLargest(List<TroubleSpot> found, List<TroubleSpot> spots) {
        found.sort(Comparator.comparingDouble(TroubleSpot::size).reversed());
        spots.addAll(found.subList(0, Math.min(SPOTS_OF_A_KIND, found.size())));
    }

    private static int missingShapes(Trapezoids layout, double dbuUm, PieceLookup lookup, List<TroubleSpot> spots) {
        List<TroubleSpot> found = new ArrayList<>();
        for (int s = 0; s < layout.shapes(); s++) {
            boolean covered = false;
            double area = 0;
            int largest = layout.first(s);
            for (int i = layout.first(s); i < layout.first(s + 1) && !covered; i++) {
                area += layout.area(i);
                largest = layout.area(i) > layout.area(largest) ? i : largest;
                double y = dbuUm * layout.middleY(i);
                covered = lookup.at(dbuUm * layout.middleX(i), y, 0) >= 0;
            }
            if (!covered) {
                found.add(new TroubleSpot(
                        TroubleSpot.Kind.MISSING_SHAPE,
                        dbuUm * layout.middleX(largest),
                        dbuUm * layout.middleY(largest),
                        area * dbuUm * dbuUm,
                        "a shape of the layout has no piece at all"));
            }
        }
        keepLargest(found, spots);
        return found.size();
    }

    /** The largest power of two up to 2^20 by which all coordinates can be multiplied. */
    private static double scale(Trapezoids layout, Pieces pieces, double dbuUm) {
        double largest = Math.max(1, layout.largestCoordinate());
        if (pieces.size() > 0) {
            for (double bound : pieces.boundsUm()) {
                largest = Math.max(largest, Math.abs(bound) / dbuUm);
            }
        }
        double scale = 1 << 20;
        while (scale > 1 && largest * scale >= Polygons.MAX_COORDINATE) {
            scale /= 2;
        }
        return scale;
    }

    private static void add(Polygons sink, int group, Pieces p, double scale) {
        for (int i = 0; i < p.size(); i++) {
            long[] xy = new long[8];
            for (int k = 0; k < 4; k++) {
                xy[2 * k] = Math.round(p.cornerXUm(i, k) * scale);
                xy[2 * k + 1] = Math.round(p.cornerYUm(i, k) * scale);
            }
            sink.addPolygon(group, xy, 4);
        }
    }
}
