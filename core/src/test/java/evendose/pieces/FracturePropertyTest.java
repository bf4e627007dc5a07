package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Outline;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class FracturePropertyTest {
    private static final double DBU_UM = 0.001;
    private static final double DIRECT_UM = 0.02;

    private static FractureOptions options(double maxPieceUm, FractureOptions.Judging judging) {
        return new FractureOptions(maxPieceUm, DIRECT_UM, 5, judging, PieceRules.exact());
    }

    private static Trapezoids merged(Polygons polygons) {
        try (Workers workers = Workers.of(1)) {
            return Merge.of(polygons, 1, workers, Progress.NONE);
        }
    }

    private static Fracture.Result cut(Trapezoids merged, FractureOptions options, int threads) {
        try (Workers workers = Workers.of(threads)) {
            return Fracture.of(merged, DBU_UM, options, workers, Progress.NONE);
        }
    }

    private static double area(Pieces pieces) {
        double sum = 0;
        for (int i = 0; i < pieces.size(); i++) {
            assertTrue(pieces.areaUm2(i) > 0, "piece " + i);
            sum += pieces.areaUm2(i);
        }
        return sum;
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.7, 2.4, 7.75, 1000})
    void thePiecesTileTheMergedArea(double maxPieceUm) {
        for (long seed = 1; seed <= 5; seed++) {
            Trapezoids merged = merged(jumble(seed));
            Pieces pieces = cut(merged, options(maxPieceUm, FractureOptions.Judging.EDGES), 1)
                    .pieces();
            double expected = merged.area() * DBU_UM * DBU_UM;
            // The merge moves crossings to its height grid; what then juts out by less than 1/64 dbu is left out of
            // outlines.
            assertEquals(expected, area(pieces), 1e-7 * expected);
            // Disjoint, too: merging the pieces again loses nothing beyond rounding of slanted cuts to the grid.
            Polygons again = new Polygons();
            for (int i = 0; i < pieces.size(); i++) {
                again.addPolygon(0, corners(pieces, i), 4);
            }
            assertEquals(expected, merged(again).area() * DBU_UM * DBU_UM, 2e-3 * expected);
        }
    }

    private static long[] corners(Pieces p, int i) {
        long[] xy = new long[8];
        for (int k = 0; k < 4; k++) {
            xy[2 * k] = dbu(p.cornerXUm(i, k));
            xy[2 * k + 1] = dbu(p.cornerYUm(i, k));
        }
        return xy;
    }

    private static long dbu(double um) {
        return Math.round(um / DBU_UM);
    }

    @ParameterizedTest
    @ValueSource(doubles = {0.7, 2.4, 7.75})
    void unitsFitTheirCells(double maxPieceUm) {
        Pieces p = cut(merged(jumble(3)), options(maxPieceUm, FractureOptions.Judging.EDGES), 1)
                .pieces();
        for (int u = 0; u < p.units(); u++) {
            double[] box = p.unitBoundsUm(u);
            double width = box[2] - box[0];
            double height = box[3] - box[1];
            // A cell, the slack for thin parts on either side, and remainders that joined.
            assertTrue(width < 2.5 * maxPieceUm, "unit " + u + " is " + width + " um wide");
            assertTrue(height < 2.5 * maxPieceUm, "unit " + u + " is " + height + " um high");
        }
    }

    @Test
    void samplesLieOnTheOutlineAndAwayFromCorners() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 5000, 3000);
        polygons.addRectangle(0, 4000, 0, 6000, 900);
        polygons.addPolygon(0, new long[] {10_000, 0, 13_000, 0, 14_000, 4000, 11_000, 4000}, 4);
        Trapezoids merged = merged(polygons);
        Outline outline = Outline.of(merged);
        Samples samples =
                cut(merged, options(2.4, FractureOptions.Judging.EDGES), 1).samples();
        int judged = 0;
        for (int u = 0; u < samples.units(); u++) {
            double sum = 0;
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                sum += samples.weight(j);
                if (!samples.interior(u)) {
                    judged++;
                    double distance = Double.MAX_VALUE;
                    double corner = Double.MAX_VALUE;
                    for (int e = 0; e < outline.size(); e++) {
                        distance = Math.min(distance, distance(outline, e, samples.xUm(j), samples.yUm(j)));
                        corner = Math.min(
                                corner,
                                Math.hypot(
                                        outline.x0(e) * DBU_UM - samples.xUm(j),
                                        outline.y0(e) * DBU_UM - samples.yUm(j)));
                    }
                    assertEquals(0, distance, 1e-9, "sample " + j + " lies on the outline");
                    assertTrue(corner > 0.75 * DIRECT_UM, "sample " + j + " is " + corner + " um from a corner");
                }
            }
            assertEquals(1, sum, 1e-6);
        }
        assertTrue(judged > 50, "samples: " + judged);
    }

    private static double distance(Outline o, int e, double xUm, double yUm) {
        double ax = o.x0(e) * DBU_UM;
        double ay = o.y0(e) * DBU_UM;
        double bx = o.x1(e) * DBU_UM - ax;
        double by = o.y1(e) * DBU_UM - ay;
        double f = Math.max(0, Math.min(1, ((xUm - ax) * bx + (yUm - ay) * by) / (bx * bx + by * by)));
        return Math.hypot(ax + f * bx - xUm, ay + f * by - yUm);
    }

    @Test
    void edgeSamplesCoverTheOutlineOfALoneRectangle() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 2000, 1000);
        Fracture.Result result = cut(merged(polygons), options(10, FractureOptions.Judging.EDGES), 1);
        assertEquals(1, result.pieces().units());
        assertFalseInterior(result.samples());
        // Each side less what fades out at both ends: the integral of 1 - g(t) is 1.75 pi / 8 / sin(pi / 8) direct
        // ranges, to 3 of them 1.787.
        assertEquals(6 - 8 * 1.787 * DIRECT_UM, result.judged()[0], 1e-3);
    }

    private static void assertFalseInterior(Samples samples) {
        for (int u = 0; u < samples.units(); u++) {
            assertTrue(!samples.interior(u), "unit " + u + " has an exposed edge");
        }
    }

    @ParameterizedTest
    @ValueSource(longs = {30, 60, 61, 100, 1000, 6000})
    void theShortcutForLoneRectanglesFindsTheSamplesOfTheLongWay(long height) {
        FractureOptions options = options(10, FractureOptions.Judging.EDGES);
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 100, 200, 7100, 200 + height);
        ShapeCutter cutter = new ShapeCutter(merged(polygons), true, DBU_UM, DBU_UM, options, List.of());
        cutter.cut(0);
        EdgeSampler general = new EdgeSampler(options, 0.05);
        general.sample(cutter, 0, DBU_UM, true);
        EdgeSampler shortcut = new EdgeSampler(options, 0.05);
        shortcut.sampleRectangle(0, 0.1, 0.2, 7.1, 0.2 + height * DBU_UM, true);
        int n = general.first[1];
        assertEquals(n, shortcut.first[1]);
        double sum = 0;
        double sumShortcut = 0;
        for (int k = 0; k < n; k++) {
            sum += general.samples.weight[k];
            sumShortcut += shortcut.samples.weight[k];
        }
        for (int k = 0; k < n; k++) {
            assertEquals(general.samples.x[k], shortcut.samples.x[k], 1e-12);
            assertEquals(general.samples.y[k], shortcut.samples.y[k], 1e-12);
            assertEquals(general.samples.weight[k] / sum, shortcut.samples.weight[k] / sumShortcut, 1e-12);
        }
        assertEquals(general.clear[0], shortcut.clear[0], 1e-9);
        assertEquals(general.measured.size, shortcut.measured.size);
        for (int k = 0; k < general.measured.size; k++) {
            assertEquals(general.measured.x[k], shortcut.measured.x[k], 1e-12);
            assertEquals(general.measured.y[k], shortcut.measured.y[k], 1e-12);
        }
    }

    @Test
    void aLargePadHasInteriorUnitsAndADotIsJudgedDespiteItsCorners() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 30_000, 30_000);
        polygons.addRectangle(0, 40_000, 0, 40_020, 20);
        Fracture.Result result = cut(merged(polygons), options(10, FractureOptions.Judging.EDGES), 1);
        Samples samples = result.samples();
        int interior = 0;
        for (int u = 0; u < samples.units(); u++) {
            interior += samples.interior(u) ? 1 : 0;
        }
        assertEquals(10, result.pieces().units());
        assertEquals(1, interior);
        int dot = result.pieces().shapeFirst(1);
        assertTrue(samples.first(dot + 1) > samples.first(dot));
        assertTrue(result.nearCorners()[dot]);
        assertFalse(result.nearCorners()[0]);
    }

    @Test
    void areaSamplesIntegrateSmoothFunctions() {
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, new long[] {0, 0, 3000, 0, 2000, 1000, 500, 1000}, 4);
        Fracture.Result result = cut(merged(polygons), options(10, FractureOptions.Judging.AREA), 1);
        Samples samples = result.samples();
        double mean = 0;
        for (int j = 0; j < samples.size(); j++) {
            mean += samples.weight(j) * samples.xUm(j) * samples.yUm(j);
        }
        // Integral of x y over the trapezoid by hand: x runs from y / 2 to 3 - y, so 1/2 int y ((3 - y)^2 - y^2 / 4) dy
        // = 1/2 (9/2 - 2 + 3/16) = 43/32; its area is 9/4.
        assertEquals(43.0 / 32 / 2.25, mean, 1e-6);
    }

    @Test
    void theNumberOfThreadsDoesNotMatter() {
        Polygons polygons = new Polygons();
        SplittableRandom random = new SplittableRandom(5);
        for (int k = 0; k < 40_000; k++) {
            long x = random.nextLong(4_000_000);
            long y = random.nextLong(4_000_000);
            polygons.addRectangle(0, x, y, x + 100 + random.nextLong(900), y + 100 + random.nextLong(900));
        }
        Trapezoids merged = merged(polygons);
        Fracture.Result one = cut(merged, options(2, FractureOptions.Judging.EDGES), 1);
        Fracture.Result two = cut(merged, options(2, FractureOptions.Judging.EDGES), 2);
        assertArrayEquals(one.pieces().fromHighUm(), two.pieces().fromHighUm());
        assertArrayEquals(one.pieces().unitOfPiece(), two.pieces().unitOfPiece());
        assertArrayEquals(one.judged(), two.judged());
        assertEquals(one.samples().size(), two.samples().size());
    }

    /** Rectangles, slanted bars, discs and a comb, overlapping. */
    private static Polygons jumble(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 60; k++) {
            long x = random.nextLong(30_000);
            long y = random.nextLong(30_000);
            long w = 50 + random.nextLong(5000);
            long h = 50 + random.nextLong(5000);
            switch (k % 3) {
                case 0 -> polygons.addRectangle(0, x, y, x + w, y + h);
                case 1 ->
                    polygons.addPolygon(
                            0, new long[] {x, y, x + w, y + h / 7, x + w + 200, y + h, x + 200, y + h - h / 7}, 4);
                default -> {
                    int n = 48;
                    long[] xy = new long[2 * n];
                    for (int i = 0; i < n; i++) {
                        xy[2 * i] = x + Math.round(w / 3.0 * Math.cos(2 * Math.PI * i / n));
                        xy[2 * i + 1] = y + Math.round(w / 3.0 * Math.sin(2 * Math.PI * i / n));
                    }
                    polygons.addPolygon(0, xy, n);
                }
            }
        }
        return polygons;
    }

    /** Halves every cell of two shapes in three; each cell is asked once. */
    private static final class Halves implements CellRule {
        private final int spared;

        Halves(int spared) {
            this.spared = spared;
        }

        @Override
        public boolean concerns(int shape) {
            return shape % 3 != spared;
        }

        @Override
        public List<Border> borders(int shape, double leftUm, double bottomUm, double rightUm, double topUm) {
            boolean wide = rightUm - leftUm > topUm - bottomUm;
            double extent = Math.max(rightUm - leftUm, topUm - bottomUm);
            return extent < 1
                    ? List.of()
                    : List.of(new Border(!wide, wide ? 0.5 * (leftUm + rightUm) : 0.5 * (bottomUm + topUm)));
        }
    }

    /** What a rule leaves alone is taken over from the cut before: the result is that of cutting all again. */
    @ParameterizedTest
    @ValueSource(ints = {1, 2})
    void whatARuleLeavesAloneIsTakenOver(int threads) {
        Trapezoids merged = merged(jumble(3));
        FractureOptions options = options(2.4, FractureOptions.Judging.EDGES);
        Optional<Measuring> measuring = Optional.of(new Measuring(0.2, 0.5));
        CellRule first = new Halves(0);
        CellRule second = new Halves(1);
        try (Workers workers = Workers.of(threads)) {
            Fracture.Result coarse = Fracture.of(
                    merged, DBU_UM, options, measuring, List.of(first), Optional.empty(), workers, Progress.NONE);
            List<CellRule> both = List.of(first, second);
            Fracture.Result anew =
                    Fracture.of(merged, DBU_UM, options, measuring, both, Optional.empty(), workers, Progress.NONE);
            Fracture.Result some =
                    Fracture.of(merged, DBU_UM, options, measuring, both, Optional.of(coarse), workers, Progress.NONE);
            assertTrue(some.pieces().units() > coarse.pieces().units());
            assertEquals(anew.pieces().units(), some.pieces().units());
            assertEquals(anew.pieces().shapes(), some.pieces().shapes());
            for (int u = 0; u <= anew.pieces().units(); u++) {
                assertEquals(anew.pieces().unitFirst(u), some.pieces().unitFirst(u));
                assertEquals(anew.samples().first(u), some.samples().first(u));
            }
            for (int s = 0; s <= anew.pieces().shapes(); s++) {
                assertEquals(anew.pieces().shapeFirst(s), some.pieces().shapeFirst(s));
            }
            for (int i = 0; i < anew.pieces().size(); i++) {
                for (int corner = 0; corner < 4; corner++) {
                    assertEquals(
                            anew.pieces().cornerXUm(i, corner), some.pieces().cornerXUm(i, corner), 0);
                    assertEquals(
                            anew.pieces().cornerYUm(i, corner), some.pieces().cornerYUm(i, corner), 0);
                }
            }
            for (int j = 0; j < anew.samples().size(); j++) {
                assertEquals(anew.samples().xUm(j), some.samples().xUm(j), 0);
                assertEquals(anew.samples().yUm(j), some.samples().yUm(j), 0);
                assertEquals(anew.samples().weight(j), some.samples().weight(j), 0);
            }
            assertArrayEquals(anew.judged(), some.judged());
            assertArrayEquals(anew.nearCorners(), some.nearCorners());
            assertArrayEquals(anew.cell(), some.cell());
            assertArrayEquals(anew.parent(), some.parent());
            assertArrayEquals(anew.measured().xUm(), some.measured().xUm());
            assertArrayEquals(anew.measured().yUm(), some.measured().yUm());
            assertArrayEquals(anew.measured().lengthUm(), some.measured().lengthUm());
            assertArrayEquals(anew.measured().unit(), some.measured().unit());
        }
    }
}
