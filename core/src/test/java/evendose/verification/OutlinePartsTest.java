package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.geometry.Merge;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Parts of outlines whose sizes and neighbours are known from how they are drawn; the direct range is 40 nm. */
class OutlinePartsTest {
    private static final Layer LAYER = new Layer(1, 0);
    private static final double DIRECT = 0.04;

    private static OutlineParts parts(double... rectangles) {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LAYER, rectangles)
                .build();
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
}
