package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.algorithm.distance.DiscreteHausdorffDistance;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.geom.util.AffineTransformation;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Small shapes of few pieces: units, pieces and the outline of each against JTS. */
class ShapeCutterTest {
    private static final double DBU_UM = 0.001;

    private static final double DIRECT_UM = 0.012;

    private static long[] circle(double x, double y, double radius, int n, boolean clockwise) {
        long[] xy = new long[2 * n + 2];
        for (int k = 0; k <= n; k++) {
            double a = 2 * Math.PI * (clockwise ? n - k : k) / n;
            xy[2 * k] = Math.round(x + radius * Math.cos(a));
            xy[2 * k + 1] = Math.round(y + radius * Math.sin(a));
        }
        return xy;
    }

    /** A ring whose hole is cut in by a double edge. */
    private static long[] ring(double x, double y, double radius, double width, int n) {
        long[] rim = circle(x, y, radius + 0.5 * width, n, false);
        long[] hole = circle(x, y, radius - 0.5 * width, n, true);
        long[] xy = new long[rim.length + hole.length];
        System.arraycopy(rim, 0, xy, 0, rim.length);
        System.arraycopy(hole, 0, xy, rim.length, hole.length);
        return xy;
    }

    private static long[] shape(String name) {
        return switch (name) {
            case "ring" -> ring(31, -17, 700, 200, 120);
            case "disc" -> circle(3, 5, 600, 90, false);
            case "bar" -> new long[] {0, 0, 90, -200, 1590, 270, 1500, 470};
            case "steps" -> new long[] {0, 0, 1000, 0, 1000, 503, 970, 503, 970, 1000, 30, 1000, 30, 500, 0, 500};
            case "wedge" -> new long[] {0, 0, 1400, 3, 500, 900};
            case "fork" -> new long[] {0, 0, 1200, 0, 1200, 900, 900, 1100, 800, 300, 400, 310, 310, 1000, 0, 1010};
            default -> throw new AssertionError(name);
        };
    }

    private static Geometry drawn(Trapezoids merged) {
        List<Geometry> all = new ArrayList<>();
        for (int i = 0; i < merged.size(); i++) {
            all.add(DrawnRings.polygon(
                    merged.xLeftBottom(i),
                    merged.yBottom(i),
                    merged.xRightBottom(i),
                    merged.yBottom(i),
                    merged.xRightTop(i),
                    merged.yTop(i),
                    merged.xLeftTop(i),
                    merged.yTop(i)));
        }
        return UnaryUnionOp.union(all);
    }

    private static ShapeCutter cutter(Trapezoids merged, PieceRules rules, double cellUm, List<CellRule> division) {
        double grid = rules.isExact() || rules.gridUm() == 0 ? DBU_UM : rules.gridUm();
        FractureOptions options = new FractureOptions(cellUm, DIRECT_UM, 5, FractureOptions.Judging.EDGES, rules);
        return new ShapeCutter(merged, ShapeRings.isOneGroup(merged), DBU_UM, grid, options, division);
    }

    private static Trapezoids merged(Polygons polygons, int groups) {
        try (Workers workers = Workers.of(1)) {
            return Merge.of(polygons, groups, workers, Progress.NONE);
        }
    }

    private static List<Polygon> pieces(ShapeCutter cutter, int u) {
        List<Polygon> all = DrawnRings.pieces(cutter.cut);
        return all.subList(cutter.unitFirst[u], cutter.unitFirst[u + 1]);
    }

    private static Geometry unit(ShapeCutter cutter, int u) {
        return UnaryUnionOp.union(pieces(cutter, u));
    }

    @ParameterizedTest
    @CsvSource({
        "ring, 0.5, 0, 10, 0.6", "ring, 1, 0, 10, 5", "ring, 0, 0, 0, 0.6", "ring, 3, 5, 10, 0.7",
        "disc, 0.5, 0, 10, 0.5", "disc, 2, 0, 30, 5", "bar, 0.5, 0, 10, 0.4", "bar, 0.5, 0, 10, 5",
        "bar, 0, 0, 0, 0.4", "steps, 0.5, 0, 10, 5", "steps, 0.5, 0, 10, 0.4", "wedge, 0.5, 0, 10, 0.45",
        "wedge, 0.5, 0, 10, 5", "wedge, 0, 0, 0, 0.45", "fork, 0.5, 0, 10, 5", "fork, 0.5, 0, 10, 0.35",
        "fork, 0, 0, 0, 0.35"
    })
    void piecesCoverTheShapeOnce(String name, double tolerance, double grid, double smallest, double cellUm) {
        PieceRules rules = new PieceRules(1e-3 * tolerance, 1e-3 * grid, 1e-3 * smallest);
        Polygons polygons = new Polygons();
        long[] xy = shape(name);
        polygons.addPolygon(0, xy, xy.length / 2);
        Trapezoids merged = merged(polygons, 1);
        double step = grid == 0 ? 1 : grid;
        Geometry drawn = new AffineTransformation().scale(1 / step, 1 / step).transform(drawn(merged));
        ShapeCutter cutter = cutter(merged, rules, cellUm, List.of());
        // Used again for the same shape, it finds the same.
        cutter.cut(0);
        int before = cutter.cut.pieces;
        cutter.cut(0);
        assertEquals(before, cutter.cut.pieces);
        List<Polygon> all = DrawnRings.pieces(cutter.cut);
        double sum = all.stream().mapToDouble(Polygon::getArea).sum();
        Geometry written = UnaryUnionOp.union(all);
        assertEquals(written.getArea(), sum, 1e-6 * sum);
        assertEquals(drawn.getArea(), sum, (tolerance == 0 ? 1e-7 : grid > 0 ? 2e-3 : 5e-4) * sum);
        double reach = tolerance == 0 ? 0.02 : Math.max(tolerance / step, Math.sqrt(0.5)) + 0.02;
        double away = DiscreteHausdorffDistance.distance(written.getBoundary(), drawn.getBoundary(), 0.1);
        assertTrue(away <= reach + 0.25, away + " steps away");
        if (tolerance > 0) {
            for (Polygon p : all) {
                for (Coordinate c : p.getCoordinates()) {
                    assertEquals(Math.rint(c.x), c.x, 0);
                    assertEquals(Math.rint(c.y), c.y, 0);
                }
            }
        }
        assertOutline(cutter, written);
        assertCells(cutter, drawn.getEnvelopeInternal(), cellUm / (DBU_UM * step));
        assertEquals(thin(all, smallest / step), cutter.cut.thin);
        assertTrue(cutter.cut.thin == 0 || "disc".equals(name) || "wedge".equals(name));
    }

    private static int thin(List<Polygon> pieces, double smallest) {
        int thin = 0;
        for (Polygon p : pieces) {
            Envelope box = p.getEnvelopeInternal();
            thin += Math.min(box.getWidth(), box.getHeight()) < smallest ? 1 : 0;
        }
        return thin;
    }

    /** All of the outline of all pieces together, each part at the unit that lies on its left. */
    private static void assertOutline(ShapeCutter cutter, Geometry written) {
        EdgeBuffer edges = cutter.edges();
        double length = 0;
        for (int e = 0; e < edges.size(); e++) {
            double dx = edges.x1(e) - edges.x0(e);
            double dy = edges.y1(e) - edges.y0(e);
            double f = 0.8 / Math.hypot(dx, dy);
            Coordinate left = new Coordinate(
                    0.5 * (edges.x0(e) + edges.x1(e)) - f * dy, 0.5 * (edges.y0(e) + edges.y1(e)) + f * dx);
            boolean inUnit =
                    pieces(cutter, edges.owner(e)).stream().anyMatch(p -> p.distance(JTS.createPoint(left)) < 0.8);
            assertTrue(inUnit, left + " lies in unit " + edges.owner(e));
            length += edges.length(e);
        }
        assertEquals(written.getLength(), length, 2e-4 * length);
    }

    /** Units lie in even cells, row by row, but for what reaches across a border by a little. */
    private static void assertCells(ShapeCutter cutter, Envelope box, double cell) {
        int columns = (int) Math.ceil(box.getWidth() / cell);
        int rows = (int) Math.ceil(box.getHeight() / cell);
        double width = box.getWidth() / columns;
        double height = box.getHeight() / rows;
        int last = -1;
        Set<Integer> numbers = new HashSet<>();
        for (int u = 0; u < cutter.units; u++) {
            Geometry unit = unit(cutter, u);
            Coordinate middle = unit.getCentroid().getCoordinate();
            int row = (int) ((middle.y - box.getMinY()) / height);
            int column = (int) ((middle.x - box.getMinX()) / width);
            assertTrue(row * columns + column > last, "unit " + u + " in row " + row + ", column " + column);
            last = row * columns + column;
            Envelope found = unit.getEnvelopeInternal();
            double slackX = 1 + width * (0.03 + 0.3);
            double slackY = 1 + height * (0.03 + 0.3);
            assertTrue(found.getMinX() >= box.getMinX() + column * width - slackX);
            assertTrue(found.getMaxX() <= box.getMinX() + (column + 1) * width + slackX);
            assertTrue(found.getMinY() >= box.getMinY() + row * height - slackY);
            assertTrue(found.getMaxY() <= box.getMinY() + (row + 1) * height + slackY);
            assertTrue(numbers.add(cutter.number[u]), "cells have numbers of their own");
        }
    }

    /** Halves cells that are longer than a length, in the direction in which they are. */
    private record Halves(double longest) implements CellRule {
        @Override
        public boolean concerns(int shape) {
            return true;
        }

        @Override
        public List<Border> borders(int shape, double left, double bottom, double right, double top) {
            boolean alongY = top - bottom > right - left;
            double at = 0.5 * (alongY ? bottom + top : left + right);
            return Math.max(top - bottom, right - left) > longest ? List.of(new Border(alongY, at)) : List.of();
        }
    }

    /** What rules divide lies on either side of borders; parents are the cells before the last rule. */
    @ParameterizedTest
    @ValueSource(strings = {"ring", "bar", "fork", "disc"})
    void rulesDivideCells(String name) {
        Polygons polygons = new Polygons();
        long[] xy = shape(name);
        polygons.addPolygon(0, xy, xy.length / 2);
        Trapezoids merged = merged(polygons, 1);
        PieceRules rules = new PieceRules(0.0005, 0, 0.01);
        ShapeCutter whole = cutter(merged, rules, 5, List.of());
        whole.cut(0);
        ShapeCutter once = cutter(merged, rules, 5, List.of(new Halves(1)));
        once.cut(0);
        ShapeCutter twice = cutter(merged, rules, 5, List.of(new Halves(1), new Halves(0.5)));
        twice.cut(0);
        assertEquals(1, whole.units);
        assertTrue(once.units > 1 && twice.units > once.units, once.units + ", then " + twice.units);
        Geometry all = unit(whole, 0);
        for (ShapeCutter divided : List.of(once, twice)) {
            List<Polygon> pieces = DrawnRings.pieces(divided.cut);
            double sum = pieces.stream().mapToDouble(Polygon::getArea).sum();
            assertEquals(all.getArea(), sum, 5e-4 * sum);
            assertEquals(UnaryUnionOp.union(pieces).getArea(), sum, 1e-6 * sum);
            assertOutline(divided, UnaryUnionOp.union(pieces));
        }
        for (int u = 0; u < once.units; u++) {
            assertEquals(0, once.parent[u]);
            assertEquals(u, once.number[u]);
        }
        // Parts of one parent are neighbours in the list, and lie in it but for what reaches across its border.
        int parent = 0;
        for (int u = 0; u < twice.units; u++) {
            assertTrue(twice.parent[u] == parent || twice.parent[u] == parent + 1);
            parent = twice.parent[u];
            double outside = unit(twice, u).difference(unit(once, parent)).getArea();
            assertTrue(outside < 0.25 * unit(twice, u).getArea(), "unit " + u + " strays from its parent");
            assertEquals(u, twice.number[u]);
        }
        assertEquals(once.units - 1, parent);
    }

    /** A border between two layers is no outline of either. */
    @Test
    void seamsAreNotExposed() {
        Polygons polygons = new Polygons();
        long[] disc = circle(0, 0, 600, 90, false);
        polygons.addPolygon(0, disc, disc.length / 2);
        polygons.addPolygon(1, new long[] {-1000, -100, 1000, -100, 1000, 2000, -1000, 1700}, 4);
        Trapezoids merged = merged(polygons, 2);
        ShapeCutter cutter = cutter(merged, new PieceRules(0.0005, 0, 0.01), 0.55, List.of());
        double exposed = 0;
        List<Polygon> both = new ArrayList<>();
        for (int s = 0; s < merged.shapes(); s++) {
            cutter.cut(s);
            exposed += cutter.cut.exposed();
            both.addAll(DrawnRings.pieces(cutter.cut));
        }
        Geometry all = UnaryUnionOp.union(both);
        assertEquals(all.getArea(), both.stream().mapToDouble(Polygon::getArea).sum(), 1e-4 * all.getArea());
        assertEquals(drawn(merged).getArea(), all.getArea(), 1e-4 * all.getArea());
        // What is exposed is the outline of both together.
        double outline = drawn(merged).getLength();
        assertEquals(outline, exposed, 1e-3 * outline);
    }
}
