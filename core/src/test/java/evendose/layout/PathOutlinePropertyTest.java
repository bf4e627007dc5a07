package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.PathStyle.End;
import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Outlines of paths against closed forms, and against the plain union of segments, joins and ends at random points. */
class PathOutlinePropertyTest {
    private static double area(PathStyle style, long... spine) {
        PathOutline outline = new PathOutline();
        int n = outline.outline(style, spine, spine.length / 2, 1);
        return Math.abs(Listing.area(outline.xy(), n));
    }

    @Test
    void straightPaths() {
        assertEquals(10 * 50, area(PathStyle.of(10, End.FLUSH), 0, 0, 30, 40), 1e-9);
        assertEquals(10 * 60, area(PathStyle.of(10, End.HALF_WIDTH), 0, 0, 30, 40), 1e-9);
        assertEquals(10 * (50 + 7 - 20), area(new PathStyle(10, false, End.EXTENDED, 7, -20), 0, 0, 30, 40), 1e-9);
        assertEquals(10 * 10, area(PathStyle.of(10, End.HALF_WIDTH), 3, 3), 1e-9);
        assertEquals(10 * 12, area(new PathStyle(10, false, End.EXTENDED, 5, 7), 3, 3), 1e-9);
    }

    /** Chords with a sagitta of r/1000 span t = 2 acos(0.999), so the polygon lacks 1 - sin(t)/t = 0.13 % of the disc. */
    @Test
    void roundEnds() {
        double disc = Math.PI * 1000 * 1000;
        double round = area(PathStyle.of(2000, End.ROUND), 0, 0, 3000, 4000) - 2000 * 5000;
        assertTrue(round < disc && round > (1 - 1.34e-3) * disc, "area " + round + " for " + disc);
        double dot = area(PathStyle.of(2000, End.ROUND), 3, 3);
        assertTrue(dot < disc && dot > (1 - 1.34e-3) * disc, "area " + dot + " for " + disc);
    }

    @Test
    void rightAnglesAreWhole() {
        assertEquals(10 * 100 + 10 * 100, area(PathStyle.of(10, End.FLUSH), 0, 0, 100, 0, 100, 100), 1e-9);
    }

    /** A turn of 45 degrees: the mitre adds outside what the corner loses inside. */
    @Test
    void bluntCornersKeepTheLength() {
        double length = 100 + Math.hypot(70, 70);
        assertEquals(10 * length, area(PathStyle.of(10, End.FLUSH), 0, 0, 100, 0, 170, 70), 1e-9);
    }

    /** A fold back ends half a width beyond the fold. */
    @Test
    void foldBack() {
        PathOutline outline = new PathOutline();
        int n = outline.outline(PathStyle.of(10, End.FLUSH), new long[] {0, 0, 100, 0, 20, 0}, 3, 1);
        double right = 0;
        for (int i = 0; i < n; i++) {
            right = Math.max(right, outline.xy()[2 * i]);
        }
        assertEquals(105, right, 1e-9);
    }

    @Test
    void repeatedPointsAndPointsAlongALineAddNothing() {
        PathOutline outline = new PathOutline();
        int n = outline.outline(PathStyle.of(10, End.FLUSH), new long[] {0, 0, 0, 0, 50, 0, 50, 0, 100, 0}, 5, 1);
        double[] xy = Arrays.copyOf(outline.xy(), 2 * n);
        assertEquals(1000, Math.abs(Listing.area(xy, n)), 1e-9);
        for (int i = 0; i < n; i++) {
            assertEquals(5, Math.abs(xy[2 * i + 1]), 1e-12);
        }
    }

    @Test
    void absoluteWidthIsDividedByTheMagnification() {
        PathOutline outline = new PathOutline();
        PathStyle style = new PathStyle(10, true, End.HALF_WIDTH, 0, 0);
        int n = outline.outline(style, new long[] {0, 0, 100, 0}, 2, 4);
        assertEquals(2.5 * 102.5, Math.abs(Listing.area(outline.xy(), n)), 1e-9);
    }

    @ParameterizedTest
    @EnumSource(End.class)
    void coversTheUnionOfItsParts(End end) {
        SplittableRandom random = new SplittableRandom(end.ordinal());
        PathOutline outline = new PathOutline();
        int inside = 0;
        for (int round = 0; round < 400; round++) {
            int n = random.nextInt(2, 9);
            long[] spine = new long[2 * n];
            boolean rightAngles = random.nextBoolean();
            for (int i = 0; i < n; i++) {
                boolean sideways = i % 2 == 1;
                spine[2 * i] = rightAngles && i > 0 && !sideways ? spine[2 * i - 2] : random.nextLong(1000);
                spine[2 * i + 1] = rightAngles && i > 0 && sideways ? spine[2 * i - 1] : random.nextLong(1000);
                if (i > 0 && spine[2 * i] == spine[2 * i - 2] && spine[2 * i + 1] == spine[2 * i - 1]) {
                    spine[2 * i] += 1;
                }
            }
            PathStyle style = new PathStyle(random.nextLong(1, 300), false, end, 40, 90);
            if (end != End.EXTENDED) {
                style = PathStyle.of(style.width(), end);
            }
            int points = outline.outline(style, spine, n, 1);
            for (int k = 0; k < 100; k++) {
                double x = random.nextDouble(-200, 1200);
                double y = random.nextDouble(-200, 1200);
                Boolean expected = covered(style, spine, n, x, y);
                if (expected != null) {
                    boolean actual = Listing.winding(outline.xy(), points, x, y) != 0;
                    assertEquals(expected, actual, () -> Arrays.toString(spine) + " at " + x + ", " + y);
                    inside += actual ? 1 : 0;
                }
            }
        }
        assertTrue(inside > 4000, "only " + inside + " points were inside");
    }

    /** Whether a point lies in the union of the path's parts; null if it is within reach of the approximation of arcs. */
    private static Boolean covered(PathStyle style, long[] spine, int n, double x, double y) {
        double half = style.width() / 2.0;
        double margin = style.end() == End.ROUND ? 0.6 : 1e-7;
        boolean any = false;
        boolean doubtful = false;
        for (int i = 0; i + 1 < n; i++) {
            double ux = spine[2 * i + 2] - spine[2 * i];
            double uy = spine[2 * i + 3] - spine[2 * i + 1];
            double length = Math.hypot(ux, uy);
            double along = ((x - spine[2 * i]) * ux + (y - spine[2 * i + 1]) * uy) / length;
            double across = ((y - spine[2 * i + 1]) * ux - (x - spine[2 * i]) * uy) / length;
            double before = i > 0 ? 0 : extension(style, half, style.beginExtension());
            double after = i + 2 < n ? 0 : extension(style, half, style.endExtension());
            double depth = Math.min(half - Math.abs(across), Math.min(along + before, length + after - along));
            any |= depth > 0;
            doubtful |= Math.abs(depth) < 1e-7;
            if (style.end() == End.ROUND && (i == 0 || i + 2 == n)) {
                for (int e = i == 0 ? 0 : 1; e <= (i + 2 == n ? 1 : 0); e++) {
                    double distance = Math.hypot(x - spine[2 * (i + e)], y - spine[2 * (i + e) + 1]);
                    boolean beyond = e == 0 ? along < 0 : along > length;
                    any |= beyond && distance < half;
                    doubtful |= Math.abs(distance - half) < margin;
                }
            }
            if (i + 2 < n) {
                double depthOfJoin = join(spine, i, half, x, y);
                any |= depthOfJoin > 0;
                doubtful |= Math.abs(depthOfJoin) < 1e-7;
            }
        }
        return doubtful ? null : any;
    }

    private static double extension(PathStyle style, double half, long own) {
        return switch (style.end()) {
            case FLUSH, ROUND -> 0;
            case HALF_WIDTH -> half;
            case EXTENDED -> own;
        };
    }

    /**
     * How deep a point lies in the join behind segment {@code i}: ahead of the first segment's end, behind the second one's
     * beginning, within half the width of both their lines, and no more than half a width ahead along either.
     */
    private static double join(long[] spine, int i, double half, double x, double y) {
        double px = x - spine[2 * i + 2];
        double py = y - spine[2 * i + 3];
        double[] a = direction(spine, i);
        double[] b = direction(spine, i + 1);
        double alongA = px * a[0] + py * a[1];
        double alongB = px * b[0] + py * b[1];
        double acrossA = Math.abs(py * a[0] - px * a[1]);
        double acrossB = Math.abs(py * b[0] - px * b[1]);
        double depth = Math.min(alongA, -alongB);
        depth = Math.min(depth, Math.min(half - acrossA, half - acrossB));
        double cross = a[0] * b[1] - a[1] * b[0];
        double dot = a[0] * b[0] + a[1] * b[1];
        if (dot < 0) {
            // Cut off between the points half a width ahead of the two segments' outer corners.
            double side = cross > 0 ? -1 : 1;
            double fromX = half * (a[0] - side * a[1]);
            double fromY = half * (a[1] + side * a[0]);
            double toX = half * (-b[0] - side * b[1]);
            double toY = half * (-b[1] + side * b[0]);
            double edge = Math.hypot(toX - fromX, toY - fromY);
            double distance = ((toX - fromX) * (py - fromY) - (toY - fromY) * (px - fromX)) / edge;
            depth = Math.min(depth, cross > 0 ? distance : -distance);
        }
        return depth;
    }

    private static double[] direction(long[] spine, int i) {
        double x = spine[2 * i + 2] - spine[2 * i];
        double y = spine[2 * i + 3] - spine[2 * i + 1];
        double length = Math.hypot(x, y);
        return new double[] {x / length, y / length};
    }
}
