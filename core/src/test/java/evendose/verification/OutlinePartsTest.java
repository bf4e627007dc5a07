package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMove;
import evendose.correction.LayerRole;
import evendose.geometry.Merge;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Parts of outlines whose sizes and neighbours are known from how they are drawn; the direct range is 40 nm. */
class OutlinePartsTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final double DIRECT = 0.04;

    private static OutlineParts parts(double... rectangles) {
        return parts(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LAYER, rectangles)
                .build());
    }

    private static OutlineParts parts(Layout layout) {
        DrawnPattern drawn = DrawnPattern.of(layout, List.of(LayerRole.corrected(LAYER)));
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(DIRECT, 9.5, 0.6))
                .threads(1)
                .build();
        try (Workers one = Workers.of(1)) {
            Exposure exposure = Exposure.of(Corrector.correct(drawn, options));
            return new OutlineParts(Merge.of(drawn.polygons(), 1, one, Progress.NONE), 0.001, exposure, 0.001);
        }
    }

    private static double x(OutlineParts parts, int p) {
        return parts.xUm(middle(parts, p));
    }

    private static double y(OutlineParts parts, int p) {
        return parts.yUm(middle(parts, p));
    }

    private static OutlineParts.Place middle(OutlineParts parts, int p) {
        return new OutlineParts.Place(p, parts.part(p).middle());
    }

    /** The part whose middle is nearest to a place. */
    private static int at(OutlineParts parts, double x, double y) {
        int best = 0;
        for (int p = 1; p < parts.size(); p++) {
            if (Math.hypot(x(parts, p) - x, y(parts, p) - y) < Math.hypot(x(parts, best) - x, y(parts, best) - y)) {
                best = p;
            }
        }
        assertEquals(0, Math.hypot(x(parts, best) - x, y(parts, best) - y), 0.1);
        return best;
    }

    @Test
    void sidesAreDividedEvenlyAndNoFinerThanFourRanges() {
        OutlineParts parts = parts(0, 0, 1, 0.39);
        // Six of 167 nm, two of 195 nm.
        assertEquals(16, parts.size());
        for (int p = 0; p < parts.size(); p++) {
            double fromCorner =
                    Math.min(Math.max(x(parts, p), y(parts, p)), Math.max(1 - x(parts, p), 0.39 - y(parts, p)));
            assertTrue(fromCorner >= 2 * DIRECT - 1e-9, parts.part(p).toString());
            double nm = 1e3 * parts.part(p).from() * (parts.part(p).edge() % 2 == 0 ? 1 : 0.39);
            assertTrue(parts.part(p).held() == OutlineParts.Held.FREE && nm >= 0);
        }
    }

    @Test
    void endsOfLinesAndSlotsAreOnePartEach() {
        // A line of 100 nm; a plate with a slot of 120 nm from above.
        OutlineParts parts = parts(0, 0, 0.1, 5, 10, 0, 12, 2, 10, 2, 10.94, 4, 11.06, 2, 12, 4);
        int end = at(parts, 0.05, 5);
        assertTrue(parts.part(end).isEnd());
        assertEquals(100, parts.feature(middle(parts, end)).smallestNm(), 1e-6);
        int slot = at(parts, 11, 2);
        assertTrue(parts.part(slot).isEnd());
        assertEquals(120, parts.feature(middle(parts, slot)).smallestNm(), 1e-6);
        int side = at(parts, 0, 2.5);
        assertEquals(100, parts.feature(middle(parts, side)).smallestNm(), 1e-6);
    }

    @Test
    void aQuarterOfWhatLiesBesideIsFree() {
        // A gap of 60 nm; a third shape across the corner, 30 nm to the right of it and 30 nm above.
        OutlineParts parts = parts(0, 0, 0.2, 5, 0.26, 0, 5, 5, -3, 5.03, -0.03, 9);
        int facing = at(parts, 0.2, 2.5);
        assertEquals(0.015, parts.roomUm(facing, 1, 0.04), 1e-9);
        assertEquals(0.04, parts.roomUm(facing, -1, 0.04), 1e-9);
        assertEquals(0.05, parts.roomUm(facing, -1, 0.1), 1e-9);
        int corner = at(parts, 0, 4.92);
        assertEquals(0.25 * Math.sqrt(2) * 0.03, parts.roomUm(corner, 1, 0.04), 1e-9);
        assertEquals(0.04, parts.roomUm(at(parts, 0, 2.5), 1, 0.04), 1e-9);
    }

    /** A line of 16 nm keeps 10 nm, the smallest piece, whatever moves on both sides. */
    @Test
    void narrowLinesKeepTheSmallestPiece() {
        OutlineParts parts = parts(0, 0, 0.016, 5);
        assertEquals(0.003, parts.roomUm(at(parts, 0, 2.5), -1, 0.04), 1e-9);
        OutlineParts thin = parts(0, 0, 0.009, 5);
        assertEquals(0, thin.roomUm(at(thin, 0, 2.5), -1, 0.04), 1e-9);
    }

    /** Sides away from the origin are cut at whole steps, each within half a step of an even division. */
    @Test
    void cutsLieOnTheGrid() {
        OutlineParts parts = parts(10, 20, 11.001, 20.39);
        int inner = 0;
        for (int p = 0; p < parts.size(); p++) {
            OutlineParts.Part part = parts.part(p);
            double x = parts.xUm(new OutlineParts.Place(p, part.from()));
            double y = parts.yUm(new OutlineParts.Place(p, part.from()));
            assertEquals(Math.rint(1e3 * x), 1e3 * x, 1e-6);
            assertEquals(Math.rint(1e3 * y), 1e3 * y, 1e-6);
            if (part.from() > 0) {
                assertEquals(part.from(), parts.part(p - 1).to(), 1e-15);
                inner++;
            }
            int n = Math.abs(x - 10) < 1e-9 || Math.abs(x - 11.001) < 1e-9 ? 2 : 6;
            assertEquals(Math.rint(part.from() * n) / n, part.from(), 0.5e-3 / (n == 2 ? 0.39 : 1.001) + 1e-9);
        }
        assertEquals(2 * 5 + 2, inner);
    }

    /** Three places a part, a sixth, a half and five sixths along it; those within 80 nm of a corner drop out. */
    @Test
    void longPartsAreJudgedAtThreePlacesOffCorners() {
        OutlineParts parts = parts(10, 20, 11, 20.39);
        // Along 1 um six parts: two places in the first and the last, three in others; along 0.39 um two parts with two
        // each.
        assertEquals(2 * (2 + 4 * 3 + 2) + 2 * 4, parts.places().size());
        int part = at(parts, 10.4175, 20);
        List<Double> at = parts.places().stream()
                .filter(place -> place.part() == part)
                .map(place -> Math.rint(1e4 * parts.xUm(place)) / 1e4)
                .toList();
        // From 333 to 500 nm.
        assertEquals(List.of(10.3608, 10.4165, 10.4722), at.stream().sorted().toList());
        for (OutlineParts.Place place : parts.places()) {
            double along = Math.max(
                    Math.min(parts.xUm(place) - 10, 11 - parts.xUm(place)),
                    Math.min(parts.yUm(place) - 20, 20.39 - parts.yUm(place)));
            assertTrue(along > 0.08 - 1e-9);
        }
    }

    /** A disc of 1 um: sides of 98 nm are each judged in the middle and stay where they are. */
    @Test
    void sidesOfACurveStay() {
        double[] xy = new double[128];
        for (int i = 0; i < 64; i++) {
            xy[2 * i] = 5 + Math.rint(1000 * Math.cos(2 * Math.PI * i / 64)) / 1000;
            xy[2 * i + 1] = 5 + Math.rint(1000 * Math.sin(2 * Math.PI * i / 64)) / 1000;
        }
        OutlineParts parts =
                parts(Layout.builder(DatabaseUnit.NANOMETRE).polygon(LAYER, xy).build());
        assertEquals(64, parts.size());
        assertEquals(64, parts.places().size());
        for (OutlineParts.Place place : parts.places()) {
            assertEquals(OutlineParts.Held.CURVED, parts.part(place.part()).held());
            assertFalse(parts.part(place.part()).isEnd());
            assertEquals(0.5, place.at());
        }
    }

    /** Of six parts below: two go out by 3 nm, the next in by 2 nm; the first of the side after goes out by 3 nm too. */
    @Test
    void neighboursThatGoTogetherAreOneMove() {
        OutlineParts parts = parts(10, 20, 11, 20.39);
        int[] side = new int[6];
        for (int k = 0; k < 6; k++) {
            side[k] = at(parts, 10.083 + k / 6.0, 20);
        }
        int first = Math.min(side[0], side[5]);
        int[] steps = new int[parts.size()];
        steps[first + 1] = 3;
        steps[first + 2] = 3;
        steps[first + 3] = -2;
        steps[first + 5] = 3;
        if (first + 6 < steps.length) {
            steps[first + 6] = 3;
        }
        List<OutlineParts.Span> spans = parts.spans(steps);
        assertEquals(first + 6 < steps.length ? 4 : 3, spans.size());
        assertEquals(first + 1, spans.get(0).first());
        assertEquals(first + 3, spans.get(0).end());
        assertEquals(first + 4, spans.get(1).end());
        // Counter-clockwise, the side below runs to the right: its cuts lie at 167, 333, 500, 667 and 833 nm.
        assertMove(spans.get(0).move(), 10.167, 10.5, 0.003);
        assertMove(spans.get(1).move(), 10.5, 10.667, -0.002);
        assertMove(spans.get(2).move(), 10.833, 11, 0.003);
        assertEquals(LAYER, spans.get(0).move().layer());
    }

    private static void assertMove(EdgeMove move, double from, double to, double outwards) {
        assertEquals(from, move.x0Um());
        assertEquals(20, move.y0Um());
        assertEquals(to, move.x1Um());
        assertEquals(20, move.y1Um());
        assertEquals(outwards, move.outUm());
    }

    /** A square with a small one across each corner, 30 nm off along x and y: all eight parts at corners have a quarter of the way there. */
    @Test
    void shapesAcrossAnyCornerTakeRoom() {
        OutlineParts parts = parts(
                10, 20, 12, 22, 9, 19, 9.97, 19.97, 12.03, 19, 13, 19.97, 9, 22.03, 9.97, 23, 12.03, 22.03, 13, 23);
        for (double along : new double[] {0.08, 1.92}) {
            for (int side = 0; side < 4; side++) {
                int p = side < 2 ? at(parts, 10 + along, 20 + 2 * side) : at(parts, 10 + 2 * (side - 2), 20 + along);
                assertEquals(0.25 * Math.sqrt(2) * 0.03, parts.roomUm(p, 1, 0.04), 1e-9, along + ", side " + side);
                assertEquals(0.04, parts.roomUm(p, -1, 0.04), 1e-9);
            }
        }
    }

    /** Two bars along (3, 4) / 5, 100 nm apart along x: 80 nm between them, a quarter of it free. They are 400 nm wide, and move in by 100 nm at most. */
    @Test
    void roomIsMeasuredSquareToSlantedSides() {
        OutlineParts parts = parts(Layout.builder(DatabaseUnit.NANOMETRE)
                .polygon(LAYER, 10, 20, 10.5, 20, 13.5, 24, 13, 24)
                .polygon(LAYER, 10.6, 20, 11.1, 20, 14.1, 24, 13.6, 24)
                .build());
        int facing = at(parts, 10.5 + 1.5, 22);
        assertEquals(0.02, parts.roomUm(facing, 1, 0.2), 1e-9);
        assertEquals(0.1, parts.roomUm(facing, -1, 0.2), 1e-9);
        int back = at(parts, 10.6 + 1.5, 22);
        assertEquals(0.02, parts.roomUm(back, 1, 0.2), 1e-9);
        int free = at(parts, 10 + 1.5, 22);
        assertEquals(0.2, parts.roomUm(free, 1, 0.2), 1e-9);
    }

    /** Two pairs of pads, 20 um apart, each with a gap of 30 nm: in either round one gap comes out and the other does not. */
    @Test
    void eachNeighbourhoodGetsTheMovesThatWereBestForIt() {
        OutlineParts parts = parts(0, 0, 1, 1, 1.03, 0, 2.03, 1, 20, 0, 21, 1, 21.03, 0, 22.03, 1);
        int left = at(parts, 1, 0.5);
        int facing = at(parts, 1.03, 0.5);
        int far = at(parts, 21, 0.5);
        BestMoves seen = new BestMoves(parts, DIRECT);
        add(seen, parts, new int[] {}, new int[] {}, new double[] {left, 9, facing, 9, far, 9}, left, facing, far);
        // Both sides of the first gap are well in the first round, in the second one of them is better and one worse.
        add(
                seen,
                parts,
                new int[] {left, facing, far},
                new int[] {-3, -2, -9},
                new double[] {left, 2, facing, 2, far, 8},
                far);
        add(seen, parts, new int[] {left, facing, far}, new int[] {-4, -1, -5}, new double[] {
            left, 1, facing, -3, far, 1
        });
        int[] steps = seen.steps();
        assertEquals(-3, steps[left]);
        assertEquals(-2, steps[facing]);
        assertEquals(-5, steps[far]);
        assertEquals(-10, Arrays.stream(steps).sum());
        assertFalse(seen.has(steps));
        // Trouble counts before distance: tried together, the far gap is in trouble, and the round before stays the
        // best for it.
        add(
                seen,
                parts,
                new int[] {left, facing, far},
                new int[] {-3, -2, -5},
                new double[] {left, 1, facing, 1, far, 0.5},
                far);
        assertTrue(seen.has(steps));
        assertEquals(-5, seen.steps()[far]);
        add(seen, parts, new int[] {left, facing, far}, new int[] {-3, -2, -7}, new double[] {far, 0}, far);
        assertEquals(-5, seen.steps()[far]);
        add(seen, parts, new int[] {left, facing, far}, new int[] {0, 0, -6}, new double[] {left, 9, facing, 9, far, 0.5
        });
        assertEquals(-6, seen.steps()[far]);
        assertEquals(-3, seen.steps()[left]);
    }

    /** Adds a round: who moved by how many steps, pairs of part and distance in nm, and who is in trouble. */
    private static void add(
            BestMoves seen, OutlineParts parts, int[] moved, int[] by, double[] worst, int... inTrouble) {
        int[] steps = new int[parts.size()];
        for (int k = 0; k < moved.length; k++) {
            steps[moved[k]] = by[k];
        }
        double[] nm = new double[parts.size()];
        for (int k = 0; k < worst.length; k += 2) {
            nm[(int) worst[k]] = worst[k + 1];
        }
        boolean[] troubled = new boolean[parts.size()];
        for (int p : inTrouble) {
            troubled[p] = true;
        }
        seen.add(steps, nm, troubled);
    }
}
