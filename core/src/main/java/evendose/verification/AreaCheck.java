package evendose.verification;

import evendose.geometry.Merge;
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
 * @param layoutUm2 area of the merged layout, um^2
 * @param tableUm2 sum of the areas of all pieces, um^2
 * @param missingUm2 area of the layout without a piece, um^2
 * @param excessUm2 area under pieces where the layout has nothing, um^2
 * @param overlapUm2 area covered by two pieces, summed over all pairs, um^2
 * @param missingShapes shapes of the layout without any piece
 * @param toleranceUm2 areas below this come from rounding, um^2
 * @param spots where, gravest first, at most some of each kind
 */
public record AreaCheck(
        double layoutUm2,
        double tableUm2,
        double missingUm2,
        double excessUm2,
        double overlapUm2,
        int missingShapes,
        double toleranceUm2,
        List<TroubleSpot> spots) {
    private static final int SPOTS_OF_A_KIND = 20;

    /** Area in error: missing and in excess. */
    public double errorUm2() {
        return missingUm2 + excessUm2;
    }

    /** Whether all area is accounted for, once. */
    public boolean holds() {
        return errorUm2() <= toleranceUm2 && overlapUm2 <= toleranceUm2;
    }

    /**
     * Accounts.
     *
     * @param layout the merged layout, dbu
     * @param dbuUm size of a database unit, um
     * @param pieces the pieces
     * @param rounded whether the pieces' corners were rounded to whole dbu
     */
    public static AreaCheck of(
            Trapezoids layout, double dbuUm, Pieces pieces, boolean rounded, Workers workers, Progress progress) {
        progress.begin("accounting for area", 0);
        double layoutUm2 = layout.area() * dbuUm * dbuUm;
        double tableUm2 = 0;
        double slanted = 0;
        for (int i = 0; i < pieces.size(); i++) {
            tableUm2 += pieces.areaUm2(i);
            double across = pieces.highUm()[i] - pieces.lowUm()[i];
            double fromRun = pieces.fromHighUm()[i] - pieces.fromLowUm()[i];
            double toRun = pieces.toHighUm()[i] - pieces.toLowUm()[i];
            slanted += fromRun == 0 ? 0 : Math.hypot(across, fromRun);
            slanted += toRun == 0 ? 0 : Math.hypot(across, toRun);
        }
        double tolerance = 1e-9 * layoutUm2 + slanted * dbuUm * (rounded ? 1 : 1e-3);
        List<TroubleSpot> spots = new ArrayList<>();
        double[] overlap = new double[1];
        PieceLookup lookup = new PieceLookup(pieces);
        double pairTolerance = rounded ? 4 * dbuUm * dbuUm : 1e-6 * dbuUm * dbuUm;
        List<TroubleSpot> overlaps = new ArrayList<>();
        lookup.forOverlaps((i, j, area) -> {
            overlap[0] += area;
            if (area > pairTolerance) {
                overlaps.add(new TroubleSpot(
                        TroubleSpot.Kind.OVERLAP,
                        pieces.middleXUm(j),
                        pieces.middleYUm(j),
                        area,
                        "two pieces overlap and expose a place twice"));
            }
        });
        if (overlap[0] > tolerance) {
            keepLargest(overlaps, spots);
        }

        // Pieces own what they cover; what is left to the layout's own group is missing.
        double scale = scale(layout, pieces, dbuUm);
        Polygons both = new Polygons();
        add(both, 0, pieces, scale / dbuUm);
        add(both, 1, layout, scale);
        Trapezoids merged = Merge.of(both, 2, workers, progress);
        double unit = dbuUm / scale;
        double covered = 0;
        double missing = 0;
        List<TroubleSpot> gaps = new ArrayList<>();
        for (int s = 0; s < merged.shapes(); s++) {
            int first = merged.first(s);
            double area = 0;
            int largest = first;
            for (int i = first; i < merged.first(s + 1); i++) {
                area += merged.area(i);
                largest = merged.area(i) > merged.area(largest) ? i : largest;
            }
            area *= unit * unit;
            if (merged.group(first) == 0) {
                covered += area;
            } else {
                missing += area;
                if (area > 0.5 * tolerance) {
                    gaps.add(new TroubleSpot(
                            TroubleSpot.Kind.MISSING_AREA,
                            unit * middleX(merged, largest),
                            unit * 0.5 * (merged.yBottom(largest) + merged.yTop(largest)),
                            area,
                            "the layout has area here that no piece covers"));
                }
            }
        }
        double excess = Math.max(0, covered - (layoutUm2 - missing));
        int missingShapes = missing > tolerance ? missingShapes(layout, dbuUm, lookup, spots) : 0;
        keepLargest(gaps, spots);
        if (excess > tolerance) {
            findExcess(layout, pieces, dbuUm, scale, tolerance, workers, progress, spots);
        }
        spots.sort(TroubleSpot::compare);
        return new AreaCheck(
                layoutUm2, tableUm2, missing, excess, overlap[0], missingShapes, tolerance, List.copyOf(spots));
    }

    private static void keepLargest(List<TroubleSpot> found, List<TroubleSpot> spots) {
        found.sort(Comparator.comparingDouble(TroubleSpot::size).reversed());
        spots.addAll(found.subList(0, Math.min(SPOTS_OF_A_KIND, found.size())));
    }

    private static void findExcess(
            Trapezoids layout,
            Pieces pieces,
            double dbuUm,
            double scale,
            double tolerance,
            Workers workers,
            Progress progress,
            List<TroubleSpot> spots) {
        Polygons both = new Polygons();
        add(both, 0, layout, scale);
        add(both, 1, pieces, scale / dbuUm);
        Trapezoids merged = Merge.of(both, 2, workers, progress);
        double unit = dbuUm / scale;
        List<TroubleSpot> found = new ArrayList<>();
        for (int i = 0; i < merged.size(); i++) {
            double area = merged.area(i) * unit * unit;
            if (merged.group(i) == 1 && area > 0.1 * tolerance) {
                found.add(new TroubleSpot(
                        TroubleSpot.Kind.EXCESS_AREA,
                        unit * middleX(merged, i),
                        unit * 0.5 * (merged.yBottom(i) + merged.yTop(i)),
                        area,
                        "a piece lies here, but the layout has nothing"));
            }
        }
        keepLargest(found, spots);
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
                double y = 0.5 * dbuUm * (layout.yBottom(i) + layout.yTop(i));
                covered = lookup.at(dbuUm * middleX(layout, i), y, 0) >= 0;
            }
            if (!covered) {
                found.add(new TroubleSpot(
                        TroubleSpot.Kind.MISSING_SHAPE,
                        dbuUm * middleX(layout, largest),
                        0.5 * dbuUm * (layout.yBottom(largest) + layout.yTop(largest)),
                        area * dbuUm * dbuUm,
                        "a shape of the layout has no piece at all"));
            }
        }
        keepLargest(found, spots);
        return found.size();
    }

    /** The largest power of two up to 2^20 by which all coordinates can be multiplied. */
    private static double scale(Trapezoids layout, Pieces pieces, double dbuUm) {
        double largest = 1;
        for (int i = 0; i < layout.size(); i++) {
            largest = Math.max(largest, Math.max(Math.abs(layout.yBottom(i)), Math.abs(layout.yTop(i))));
            largest = Math.max(largest, Math.max(Math.abs(layout.xLeftBottom(i)), Math.abs(layout.xLeftTop(i))));
            largest = Math.max(largest, Math.max(Math.abs(layout.xRightBottom(i)), Math.abs(layout.xRightTop(i))));
        }
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

    private static void add(Polygons sink, int group, Trapezoids t, double scale) {
        for (int i = 0; i < t.size(); i++) {
            long yb = Math.round(t.yBottom(i) * scale);
            long yt = Math.round(t.yTop(i) * scale);
            long[] xy = {
                Math.round(t.xLeftBottom(i) * scale), yb,
                Math.round(t.xRightBottom(i) * scale), yb,
                Math.round(t.xRightTop(i) * scale), yt,
                Math.round(t.xLeftTop(i) * scale), yt
            };
            sink.addPolygon(group, xy, 4);
        }
    }

    private static double middleX(Trapezoids t, int i) {
        return 0.25 * (t.xLeftBottom(i) + t.xRightBottom(i) + t.xLeftTop(i) + t.xRightTop(i));
    }
}
