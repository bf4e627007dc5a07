package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.function.DoubleSupplier;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;

/** What {@link TermCost} counts, by hand; what it makes of the counts is held by {@code TermCostTest} against times. */
class TermCostCountsTest {
    /** Two rectangles half a micrometre apart, one far off, and a unit of a slanted piece with a rectangle on top. */
    private static final Pieces PIECES = new TestPieces()
            .rectangle(0, 0, 1, 2)
            .rectangle(1.5, 0, 2, 1)
            .rectangle(30, 0, 31, 1)
            .unit()
            .trapezoid(5, 6, 0, 2, 0.5, 1.5)
            .trapezoid(6, 8, 0.5, 1.5, 0.5, 1.5)
            .build();

    private static final boolean[] INTERIOR = {false, true, false, false};
    private static final Samples SAMPLES = TestPieces.sideSamples(PIECES, 2, INTERIOR);
    private static final PieceIndex INDEX = new PieceIndex(PIECES);
    private static final UnitCopies COPIES = UnitCopies.of(PIECES, SAMPLES, Workers.of(1));
    private static final PointSpreadFunction PSF = PointSpreadFunction.from(List.of(
            new GaussianTerm(0.5, 0.05),
            new GaussianTerm(0.1, 0.2),
            new GaussianTerm(0.1, 2),
            new GaussianTerm(0.3, 9)));

    private static MatrixWork matrix(GaussianTerm term) {
        MatrixWork work = new MatrixWork(PIECES, SAMPLES, INDEX, COPIES);
        for (int u = 0; u < PIECES.units(); u++) {
            work.count(u, term, 1);
        }
        return work;
    }

    @Test
    void pairsOfSamplesAndPiecesAreCounted() {
        boolean anyTogether = false;
        for (double range : new double[] {0.05, 0.2, 1, 20}) {
            GaussianTerm term = new GaussianTerm(0.5, range);
            double reach = NearTerms.reachUm(term);
            int found = 0;
            int pairs = 0;
            int upright = 0;
            int slanted = 0;
            int places = 0;
            int shared = 0;
            for (int u = 0; u < PIECES.units(); u++) {
                Envelope around = new Envelope();
                Set<Long> across = new HashSet<>();
                Set<Long> up = new HashSet<>();
                for (int j = SAMPLES.first(u); j < SAMPLES.first(u + 1); j++) {
                    around.expandToInclude(SAMPLES.xUm(j), SAMPLES.yUm(j));
                    across.add(Math.round(1e6 * SAMPLES.xUm(j)));
                    up.add(Math.round(1e6 * SAMPLES.yUm(j)));
                }
                int samples = SAMPLES.first(u + 1) - SAMPLES.first(u);
                boolean together = across.size() + up.size() <= 1.25 * samples;
                anyTogether |= together;
                around.expandBy(reach);
                for (int i = 0; i < PIECES.size(); i++) {
                    Envelope piece =
                            new Envelope(PIECES.leftUm(i), PIECES.rightUm(i), PIECES.bottomUm(i), PIECES.topUm(i));
                    if (!around.intersects(piece)) {
                        continue;
                    }
                    found++;
                    if (together && PIECES.isRectangle(i)) {
                        places += across.size() + up.size();
                        shared += samples;
                        continue;
                    }
                    pairs += SAMPLES.first(u + 1) - SAMPLES.first(u);
                    piece.expandBy(reach);
                    for (int j = SAMPLES.first(u); j < SAMPLES.first(u + 1); j++) {
                        if (piece.contains(new Coordinate(SAMPLES.xUm(j), SAMPLES.yUm(j)))) {
                            upright += PIECES.isRectangle(i) ? 1 : 0;
                            slanted += PIECES.isRectangle(i) ? 0 : 1;
                        }
                    }
                }
            }
            MatrixWork work = matrix(term);
            assertEquals(4, work.rows);
            assertEquals(4 * INDEX.classes(), work.classes);
            assertEquals(found, work.fresh + work.remembered, "range " + range);
            assertEquals(found * 4 / 5.0, work.entries, 1e-12);
            assertEquals(upright, work.upright, "range " + range);
            assertEquals(places, work.places, "range " + range);
            assertEquals(shared, work.shared, "range " + range);
            assertEquals(slanted, work.slanted, "range " + range);
            assertEquals(pairs - upright - slanted, work.skipped, "range " + range);
            // The slanted piece is 1 high and its sides run half a micrometre to either side.
            double each = GaussianKernel.ENGINE.evaluations(1 / range, -0.5 / range, 0.5 / range);
            assertEquals(slanted * each, work.evaluations, 1e-9);
            assertEquals(4 * work.rows + 8 * work.entries, work.bytes(), 1e-9);
        }
        assertTrue(anyTogether);
    }

    /** Windows of a grid of a quarter of the range, two nodes beyond the piece on either side. */
    @Test
    void windowsOnTheGridAreCounted() {
        TermCost.GridWork work = new TermCost.GridWork();
        double range = 2;
        for (int u = 0; u < 4; u++) {
            work.count(PIECES, SAMPLES, u, range / 4, true, 1);
        }
        double[] window = {6 * 8, 5 * 6, 6 * 6, 0};
        // Slanted: 2 um by 1 um is 4 by 2 pitches; with the rectangle on top of it 4 by 6.
        double lower = 8 * 6;
        double upper = 6 * 8;
        window[3] = Math.min(8 * 10, lower + upper);
        assertEquals(4, work.units);
        assertEquals(lower, work.slanted, 1e-12);
        assertEquals(window[0] + window[1] + window[2] + window[3], work.spreading, 1e-12);
        // The interior unit is left out; 8 samples a piece.
        assertEquals(8 + 8 + 16, work.samples, 1e-12);
        assertEquals(window[0] + window[2] + window[3], work.gathering, 1e-12);
        TermCost.GridWork few = new TermCost.GridWork();
        few.count(PIECES, TestPieces.sideSamples(PIECES, 1, INTERIOR), 0, 0.005, false, 3);
        assertEquals(3 * 16 * 4, few.gathering, 1e-12, "no more than 16 nodes a sample");
        assertEquals(3, few.units);
        TermCost.GridWork none = new TermCost.GridWork();
        none.count(PIECES, null, 0, range / 4, false, 1);
        assertEquals(0, none.samples + none.gathering);
        assertEquals(window[0], none.spreading, 1e-12);
    }

    /** Times are sums of counts by prices: each count makes them rise, twice the counts take twice the time. */
    @Test
    void everyCountHasItsPrice() {
        List<MatrixWork> works = new ArrayList<>();
        for (int k = 0; k < 12; k++) {
            works.add(new MatrixWork(PIECES, SAMPLES, INDEX, COPIES));
        }
        works.get(1).rows = 1;
        works.get(2).classes = 1;
        works.get(3).fresh = 1;
        works.get(4).skipped = 1;
        works.get(5).upright = 1;
        works.get(6).slanted = 1;
        works.get(7).evaluations = 1;
        works.get(8).entries = 1;
        works.get(9).places = 1;
        works.get(10).shared = 1;
        works.get(11).remembered = 1;
        assertEquals(0, works.get(0).ns());
        MatrixWork all = new MatrixWork(PIECES, SAMPLES, INDEX, COPIES);
        all.rows = all.classes = all.fresh = all.skipped = all.remembered = 1;
        all.upright = all.slanted = all.evaluations = all.entries = all.places = all.shared = 1;
        double sum = 0;
        for (int k = 1; k < 12; k++) {
            assertTrue(works.get(k).ns() > 0);
            sum += works.get(k).ns();
        }
        assertEquals(sum, all.ns(), 1e-9);
        all.rows = all.classes = all.fresh = all.skipped = all.remembered = 2;
        all.upright = all.slanted = all.evaluations = all.entries = all.places = all.shared = 2;
        assertEquals(2 * sum, all.ns(), 1e-9);

        TermCost.GridWork grid = new TermCost.GridWork();
        DoubleSupplier ns = () -> grid.ns(100, 3);
        double before = grid.ns(0, 0);
        assertEquals(0, before);
        assertEquals(2 * grid.ns(100, 0), grid.ns(200, 0), 1e-9);
        assertEquals(2 * grid.ns(0, 3), grid.ns(0, 6), 1e-9);
        assertTrue(grid.ns(100, 3) > grid.ns(100, 2) && grid.ns(100, 3) > grid.ns(50, 3) && grid.ns(100, 0) > 0);
        double last = ns.getAsDouble();
        grid.units = 1;
        last = rises(last, ns.getAsDouble());
        grid.slanted = 1;
        last = rises(last, ns.getAsDouble());
        grid.spreading = 1;
        last = rises(last, ns.getAsDouble());
        grid.samples = 1;
        last = rises(last, ns.getAsDouble());
        grid.gathering = 1;
        rises(last, ns.getAsDouble());
        double evaluation = grid.ns(0, 1) - grid.ns(0, 0);
        grid.gathering = 3;
        double perWeight = (grid.ns(0, 1) - grid.ns(0, 0) - evaluation) / 2;
        grid.gathering = 1;
        assertEquals(evaluation, perWeight * 2 + new TermCost.GridWork().ns(0, 1), 1e-9, "two weights");
        assertEquals(32 + 6 * 2 + FarField.BYTES_PER_NODE * 100, grid.bytes(100), 1e-9);
    }

    private static double rises(double before, double now) {
        assertTrue(now > before, before + ", then " + now);
        return now;
    }

    /** The plan is the cheapest of all divisions, found here by trying them all. */
    @Test
    void thePlanIsTheCheapestOfAll() {
        for (double stretch : new double[] {0.02, 0.3, 1, 4}) {
            PointSpreadFunction psf = PointSpreadFunction.from(PSF.terms().stream()
                    .map(t -> new GaussianTerm(t.weight(), stretch * t.rangeUm()))
                    .toList());
            TermCost cost = TermCost.ofCorrection(PIECES, SAMPLES, COPIES, INDEX, psf);
            TermCost.Plan plan = cost.cheapest(psf.parts());
            assertEquals(
                    best(cost, psf, 0, -1), plan.cost().ns(), 1e-6 * plan.cost().ns());
            double ns = 0;
            double bytes = 0;
            TermCost.NearCost widest = null;
            for (TermGroup group : plan.groups()) {
                TermCost.Cost each;
                if (group.evaluator() == Evaluator.NEAR) {
                    TermCost.NearCost near = cost.near(group.first(), Double.POSITIVE_INFINITY);
                    each = widest == null ? near.alone() : near.beside(widest);
                    widest = near;
                } else {
                    each = cost.far(group);
                }
                ns += each.ns();
                bytes += each.bytes();
            }
            assertEquals(ns, plan.cost().ns(), 1e-6 * ns);
            assertEquals(bytes, plan.cost().bytes(), 1e-6 * bytes);
        }
    }

    /** The least that the terms from {@code first} on take, if term {@code lastNear} is the last near one before; -1 if there is none. */
    private static double best(TermCost cost, PointSpreadFunction psf, int first, int lastNear) {
        if (first == psf.parts()) {
            return 0;
        }
        TermCost.NearCost near = cost.near(first, Double.POSITIVE_INFINITY);
        TermCost.Cost more = lastNear < 0 ? near.alone() : near.beside(cost.near(lastNear, Double.POSITIVE_INFINITY));
        double best = more.ns() + best(cost, psf, first + 1, first);
        for (int end = first + 1; end <= psf.parts(); end++) {
            best = Math.min(
                    best, cost.far(new TermGroup(Evaluator.FAR, first, end)).ns() + best(cost, psf, end, lastNear));
        }
        return best;
    }

    /** Near terms walk over the pieces together: once, for the widest, and each has integrals of its own. */
    @Test
    void theWalkIsPaidOnce() {
        TermCost cost = TermCost.ofCorrection(PIECES, SAMPLES, COPIES, INDEX, PSF);
        TermCost.NearCost small = cost.near(0, Double.POSITIVE_INFINITY);
        TermCost.NearCost wide = cost.near(2, Double.POSITIVE_INFINITY);
        assertEquals(matrix(PSF.terms().get(2)).walkNs(), wide.walk().ns(), 1e-9);
        assertEquals(matrix(PSF.terms().get(2)).integralsNs(), wide.integralsNs(), 1e-9);
        double together = small.alone().ns() + wide.beside(small).ns();
        assertEquals(wide.alone().ns() + small.integralsNs(), together, 1e-9);
        assertEquals(
                wide.alone().bytes(), small.alone().bytes() + wide.beside(small).bytes(), 1e-9);
    }

    /** In a row of equal squares, all but the first find what most neighbours add among what was computed for the one before. */
    @Test
    void copiesAreRemembered() {
        TestPieces row = new TestPieces();
        for (int k = 0; k < 6; k++) {
            row.rectangle(3 * k, 0, 3 * k + 1, 1);
        }
        Pieces pieces = row.build();
        Samples samples = TestPieces.sideSamples(pieces, 2, new boolean[6]);
        MatrixWork work =
                new MatrixWork(pieces, samples, new PieceIndex(pieces), UnitCopies.of(pieces, samples, Workers.of(1)));
        // Reaches two squares to either side, not three.
        GaussianTerm term = new GaussianTerm(0.5, 6.5 / Math.sqrt(Math.log(0.5e7)));
        work.count(0, term, 1);
        assertEquals(3, work.fresh);
        assertEquals(0, work.remembered);
        work.count(2, term, 1);
        assertEquals(3 + 5, work.fresh + work.remembered);
        assertEquals(4, work.remembered, "the one before has no second neighbour to the left");
        work.count(3, term, 1);
        assertEquals(4 + 5, work.remembered, "this one has two on either side, as the one before");
    }

    @Test
    void directTermsShareNoGridAndGridsHaveALimit() {
        TermCost cost = TermCost.ofCorrection(PIECES, SAMPLES, COPIES, INDEX, PSF);
        assertEquals(2, PSF.directTerms());
        assertEquals(TermCost.Cost.IMPOSSIBLE, cost.far(new TermGroup(Evaluator.FAR, 1, 3)));
        assertNotEquals(TermCost.Cost.IMPOSSIBLE, cost.far(new TermGroup(Evaluator.FAR, 0, 2)));
        assertNotEquals(TermCost.Cost.IMPOSSIBLE, cost.far(new TermGroup(Evaluator.FAR, 2, 4)));
        Pieces far = new TestPieces()
                .rectangle(0, 0, 1, 1)
                .rectangle(3000, 3000, 3001, 3001)
                .build();
        Samples sides = TestPieces.sideSamples(far, 1, new boolean[2]);
        TermCost wide = TermCost.ofCorrection(far, sides, UnitCopies.none(far, sides), new PieceIndex(far), PSF);
        assertEquals(TermCost.Cost.IMPOSSIBLE, wide.far(new TermGroup(Evaluator.FAR, 0, 1)));
    }

    /** Interior units take no time for direct terms; counting stops when it is dear enough. */
    @Test
    void interiorUnitsAreSkippedAndCountingStops() {
        boolean[] all = {true, true, true, true};
        Samples inside = TestPieces.sideSamples(PIECES, 2, all);
        TermCost cost = TermCost.ofCorrection(PIECES, inside, COPIES, INDEX, PSF);
        assertEquals(0, cost.near(1, Double.POSITIVE_INFINITY).alone().ns());
        double third = cost.near(2, Double.POSITIVE_INFINITY).alone().ns();
        assertEquals(matrix(PSF.terms().get(2)).ns(), third, 1e-9 * third);
        assertTrue(cost.near(2, 0.1 * third).alone().ns() < 0.6 * third);
        assertTrue(cost.near(2, 0.1 * third).alone().ns() > 0.1 * third);
    }

    /** At points, a piece is met from its own middle and from those within reach; slanted ones take longer. */
    @Test
    void pointsMeetPiecesWithinReach() {
        TermCost cost = TermCost.ofPoints(PIECES, INDEX, PSF, 1000, 1, 0);
        // 0.05 um: each meets itself; the slanted piece and the rectangle on top have middles too far apart.
        double alone = cost.near(0, Double.POSITIVE_INFINITY).alone().ns();
        // 2 um: all but the one far off meet each other; that one still meets itself.
        double together = cost.near(2, Double.POSITIVE_INFINITY).alone().ns();
        double twice = TermCost.ofPoints(PIECES, INDEX, PSF, 2000, 1, 0)
                .near(0, Double.POSITIVE_INFINITY)
                .alone()
                .ns();
        assertEquals(2 * alone, twice, 1e-9 * twice);
        // 200 points a piece: alone = 200 (4 u + s), together = 200 (4 (3 u + s) + u), u an upright and s a slanted
        // piece.
        double upright = (4 * alone - together) / 600;
        double slanted = alone / 200 - 4 * upright;
        assertTrue(upright > 0 && slanted > 3 * upright, upright + " and " + slanted);
        assertEquals(0, cost.near(0, Double.POSITIVE_INFINITY).alone().bytes());
        assertTrue(cost.near(2, 0.1 * together).alone().ns() < together);
    }
}
