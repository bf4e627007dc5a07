package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class TileFrameTest {
    private static final double END = Double.POSITIVE_INFINITY;
    private static final double[] LINES = {-END, 7_000, 13_001, 20_000, END};

    private static List<TileFrame> tiles(double whole, double rim) {
        List<TileFrame> tiles = new ArrayList<>();
        for (int r = 0; r < 4; r++) {
            for (int c = 0; c < 4; c++) {
                tiles.add(new TileFrame(LINES[c], LINES[r], LINES[c + 1], LINES[r + 1], whole, rim));
            }
        }
        return tiles;
    }

    private static Polygons jumble(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Polygons polygons = new Polygons();
        for (int k = 0; k < 60; k++) {
            long x = random.nextLong(26_000);
            long y = random.nextLong(26_000);
            long w = 1 + random.nextLong(random.nextBoolean() ? 300 : 6_000);
            long h = 1 + random.nextLong(random.nextBoolean() ? 300 : 6_000);
            long skew = random.nextLong(1_500);
            polygons.addPolygon(0, new long[] {x, y, x + w, y, x + w + skew, y + h, x + skew, y + h}, 4);
        }
        return polygons;
    }

    /** What tiles own makes up the whole: no part is lost or owned twice, whatever lies across borders. */
    @ParameterizedTest
    @ValueSource(doubles = {0, 2_000, 5_000})
    void whatTilesOwnMakesUpTheWhole(double whole) {
        try (Workers one = Workers.of(1)) {
            for (long seed = 1; seed <= 4; seed++) {
                Trapezoids merged = Merge.of(jumble(seed), 1, one, Progress.NONE);
                FractureOptions options =
                        new FractureOptions(2.4, 0.02, 5, FractureOptions.Judging.EDGES, PieceRules.exact());
                Polygons owned = new Polygons();
                double area = 0;
                boolean tied = false;
                for (TileFrame tile : tiles(whole, 1_500)) {
                    Fracture.Result cut = Fracture.ofTile(
                            merged, 0.001, options, Optional.empty(), new TileView(tile, Map.of()), one, Progress.NONE);
                    Pieces p = cut.pieces();
                    for (int u = 0; u < p.units(); u++) {
                        tied |= cut.tied()[u];
                        for (int i = p.unitFirst(u); i < p.unitFirst(u + 1) && !cut.outside()[u]; i++) {
                            area += p.areaUm2(i);
                            long[] xy = new long[8];
                            for (int k = 0; k < 4; k++) {
                                // A finer grid, so that rounding of slanted sides does not count.
                                xy[2 * k] = Math.round(1e6 * p.cornerXUm(i, k));
                                xy[2 * k + 1] = Math.round(1e6 * p.cornerYUm(i, k));
                            }
                            owned.addPolygon(0, xy, 4);
                        }
                    }
                }
                double expected = 1e-6 * merged.area();
                assertTrue(tied, "a cell lies across a border");
                assertEquals(expected, area, 1e-7 * expected);
                double again = 1e-12 * Merge.of(owned, 1, one, Progress.NONE).area();
                assertEquals(expected, again, 1e-6 * expected);
            }
        }
    }

    /** A frame of guides that no tile sees whole is known by its box in all that see a part of it, and so is one beside it. */
    @Test
    void partsOfALargeShapeAreKnownForOneShape() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 1_000, 1_000, 25_000, 1_500);
        polygons.addRectangle(0, 24_500, 1_000, 25_000, 25_000);
        polygons.addRectangle(0, 1_000, 24_500, 25_000, 25_000);
        polygons.addRectangle(0, 1_000, 3_000, 15_000, 3_400);
        try (Workers one = Workers.of(1)) {
            List<List<LargeShapes.Seen>> seen = new ArrayList<>();
            for (TileFrame tile : tiles(3_000, 500)) {
                seen.add(LargeShapes.of(Merge.of(near(polygons, tile), 1, one, Progress.NONE), tile));
            }
            List<Map<Integer, WholeShape>> known = LargeShapes.whole(seen);
            int frames = 0;
            int bars = 0;
            for (int t = 0; t < known.size(); t++) {
                for (WholeShape shape : known.get(t).values()) {
                    ShapeBox box = shape.box();
                    if (box.bottom() == 3_000) {
                        assertEquals(new ShapeBox(1_000, 3_000, 15_000, 3_400), box);
                        bars++;
                    } else {
                        assertEquals(new ShapeBox(1_000, 1_000, 25_000, 25_000), box, "tile " + t);
                        frames++;
                    }
                }
            }
            assertEquals(3, bars);
            assertEquals(10, frames);
        }
    }

    /** Slanted shapes that hang together over several tiles: what each tile is told is the box of the whole, as one merge of all finds it. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6})
    void boxesAreThoseOfOneMergeOfAll(long seed) {
        Polygons all = jumble(seed);
        try (Workers one = Workers.of(1)) {
            Trapezoids whole = Merge.of(all, 1, one, Progress.NONE);
            List<Trapezoids> merged = new ArrayList<>();
            List<List<LargeShapes.Seen>> seen = new ArrayList<>();
            for (TileFrame tile : tiles(2_000, 500)) {
                Trapezoids near = Merge.of(near(all, tile), 1, one, Progress.NONE);
                merged.add(near);
                seen.add(LargeShapes.of(near, tile));
            }
            List<Map<Integer, WholeShape>> known = LargeShapes.whole(seen);
            int wider = 0;
            for (int t = 0; t < known.size(); t++) {
                for (LargeShapes.Seen shape : seen.get(t)) {
                    int i = inside(
                            merged.get(t), shape.number(), tiles(2_000, 500).get(t));
                    if (i < 0) {
                        // Seen in the surroundings only.
                        continue;
                    }
                    int of = shapeAt(
                            whole, merged.get(t).middleX(i), merged.get(t).middleY(i));
                    ShapeBox box = known.get(t).get(shape.number()).box();
                    assertEquals(ShapeBox.of(whole.box(of)), box, "tile " + t);
                    wider += box.equals(shape.box()) ? 0 : 1;
                }
            }
            assertTrue(wider > 0, "some tile sees a part only");
        }
    }

    /** A trapezoid of a shape with its middle in the tile, or -1. */
    private static int inside(Trapezoids t, int shape, TileFrame tile) {
        for (int i = t.first(shape); i < t.first(shape + 1); i++) {
            if (tile.holds(t.middleX(i), t.middleY(i))) {
                return i;
            }
        }
        return -1;
    }

    /** What a tile merges: the polygons whose box comes near it. */
    private static Polygons near(Polygons polygons, TileFrame tile) {
        Polygons near = new Polygons();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int g, long x0, long y0, long x1, long y1) {
                if (!tile.isBeyond(x0, y0, x1, y1)) {
                    near.addRectangle(g, x0, y0, x1, y1);
                }
            }

            @Override
            public void polygon(int g, long[] xy, int from, int vertices) {
                long[] own = Arrays.copyOfRange(xy, from, from + 2 * vertices);
                double[] x = IntStream.range(0, vertices)
                        .mapToDouble(k -> own[2 * k])
                        .sorted()
                        .toArray();
                double[] y = IntStream.range(0, vertices)
                        .mapToDouble(k -> own[2 * k + 1])
                        .sorted()
                        .toArray();
                if (!tile.isBeyond(x[0], y[0], x[vertices - 1], y[vertices - 1])) {
                    near.addPolygon(g, own, vertices);
                }
            }
        });
        return near;
    }

    private static int shapeAt(Trapezoids t, double x, double y) {
        for (int s = 0; s < t.shapes(); s++) {
            for (int i = t.first(s); i < t.first(s + 1); i++) {
                double share = (y - t.yBottom(i)) / (t.yTop(i) - t.yBottom(i));
                if (share >= 0
                        && share <= 1
                        && x > t.xLeftBottom(i) + share * (t.xLeftTop(i) - t.xLeftBottom(i))
                        && x < t.xRightBottom(i) + share * (t.xRightTop(i) - t.xRightBottom(i))) {
                    return s;
                }
            }
        }
        throw new AssertionError("no shape at " + x + ", " + y);
    }

    @Test
    void framesAreChecked() {
        assertThrows(IllegalArgumentException.class, () -> new TileFrame(1, 0, 1, 2, 0, 0));
        assertThrows(IllegalArgumentException.class, () -> new TileFrame(0, 0, 1, 2, -1, 0));
        assertEquals(1_500, new TileFrame(0, 0, 1, 1, 2_000, 500).margin());
    }

    /**
     * A bar that rises by 1 in 5 across a tile of 1 um: along each line that two tiles see, 100 dbu about the borders, it begins where its
     * lower side says; and the same bar with x and y exchanged.
     */
    @Test
    void crossingsLieWhereSidesMeetTheLines() {
        TileFrame tile = new TileFrame(0, 0, 1_000, 1_000, 100, 50);
        long[] bar = {-500, 200, 1_500, 600, 1_500, 800, -500, 400};
        for (boolean steep : new boolean[] {false, true}) {
            long[] xy = new long[8];
            Arrays.setAll(xy, k -> bar[steep ? k ^ 1 : k]);
            Polygons polygons = new Polygons();
            polygons.addPolygon(0, xy, 4);
            polygons.addRectangle(0, 40, 40, 90, 90);
            try (Workers one = Workers.of(1)) {
                List<LargeShapes.Seen> seen = LargeShapes.of(Merge.of(polygons, 1, one, Progress.NONE), tile);
                assertEquals(1, seen.size(), "the square is no large shape");
                List<LargeShapes.Crossing> expected = new ArrayList<>();
                for (double line : new double[] {-100, 0, 100, 900, 1_000, 1_100}) {
                    expected.add(new LargeShapes.Crossing(steep, line, 0, Math.round(64 * (200 + 0.2 * (line + 500)))));
                }
                assertEquals(expected, seen.get(0).crossings());
                assertEquals(
                        steep ? new ShapeBox(200, -500, 800, 1_500) : new ShapeBox(-500, 200, 1_500, 800),
                        seen.get(0).box());
            }
        }
    }

    /** A comb whose back lies outside the tile: each of its teeth is a place of its own; teeth in two pieces that abut are one. */
    @Test
    void eachPlaceOnALineIsToldOnce() {
        TileFrame tile = new TileFrame(0, 0, 1_000, 1_000, 100, 50);
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 100, 2_000, 900, 2_100);
        for (int tooth = 0; tooth < 3; tooth++) {
            // Widened below y = 500, on the right alone.
            polygons.addRectangle(0, 200 + 200 * tooth, 500, 220 + 200 * tooth, 2_000);
            polygons.addRectangle(0, 200 + 200 * tooth, 300, 260 + 200 * tooth, 500);
        }
        try (Workers one = Workers.of(1)) {
            List<LargeShapes.Seen> seen = LargeShapes.of(Merge.of(polygons, 1, one, Progress.NONE), tile);
            assertEquals(1, seen.size());
            List<LargeShapes.Crossing> crossings = seen.get(0).crossings();
            assertEquals(9, crossings.size(), "three teeth on three lines");
            for (int k = 0; k < 9; k++) {
                double line = new double[] {900, 1_000, 1_100}[k / 3];
                assertEquals(new LargeShapes.Crossing(true, line, 0, 64 * (200 + 200 * (k % 3))), crossings.get(k));
            }
        }
    }

    @Test
    void onlyWhatExceedsTheLimitIsLarge() {
        TileFrame tile = new TileFrame(0, 0, 1_000, 1_000, 100, 50);
        assertFalse(tile.isLarge(100, 100));
        assertTrue(tile.isLarge(101, 5));
        assertTrue(tile.isLarge(5, 101));
        assertTrue(tile.holds(0, 0) && tile.holds(999, 999));
        assertFalse(tile.holds(1_000, 5) || tile.holds(5, 1_000) || tile.holds(-1, 5) || tile.holds(5, -1));
        assertTrue(tile.isBeyond(-300, 0, -100, 5) && tile.isBeyond(0, 1_100, 5, 1_200));
        assertFalse(tile.isBeyond(-300, 0, -99, 5) || tile.isBeyond(0, 1_099, 5, 1_200));
    }

    /** The teeth of a comb are parts of one shape in a tile that does not see its back, and a bar between them is not. */
    @Test
    void partsThatHangTogetherElsewhereAreOneShape() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 1_000, 24_000, 25_000, 24_500);
        long[] teeth = {2_000, 4_000, 9_000, 15_000};
        for (long x : teeth) {
            polygons.addRectangle(0, x, 500, x + 300, 24_000);
        }
        polygons.addRectangle(0, 3_000, 500, 3_300, 23_000);
        try (Workers one = Workers.of(1)) {
            List<List<LargeShapes.Seen>> seen = new ArrayList<>();
            for (TileFrame tile : tiles(3_000, 500)) {
                seen.add(LargeShapes.of(Merge.of(near(polygons, tile), 1, one, Progress.NONE), tile));
            }
            // The lower left tile sees two teeth, the bar between them, and a third one 2 um beyond its right border.
            Map<Integer, WholeShape> known = LargeShapes.whole(seen).get(0);
            ShapeBox comb = new ShapeBox(1_000, 500, 25_000, 24_500);
            assertEquals(
                    Map.of(
                            0, new WholeShape(comb, List.of(0, 2)),
                            1, new WholeShape(new ShapeBox(3_000, 500, 3_300, 23_000), List.of(1)),
                            2, new WholeShape(comb, List.of(0, 2))),
                    known);
            assertEquals(
                    new WholeShape(new ShapeBox(1_010, 480, 25_010, 24_480), List.of(0, 2)),
                    known.get(0).moved(10, -20));
        }
    }
}
