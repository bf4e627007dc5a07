package evendose.layout;

import evendose.geometry.Polygons;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/** Flattened layouts in forms that tests can compare. */
public final class Listing {
    private Listing() {}

    /** All polygons of all layers: the layer, then {@code [x0 y0 x1 y1]} for a rectangle, {@code x0 y0 x1 y1 ...} for others. */
    public static List<String> of(Layout layout) {
        List<String> lines = new ArrayList<>();
        for (Layer layer : Flattener.of(layout).counts().keySet()) {
            Polygons polygons = new Polygons();
            Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
            for (long[] p : vertices(polygons)) {
                lines.add(layer + " " + Arrays.toString(p).replaceAll("[\\[\\],]", ""));
            }
        }
        return lines;
    }

    /** The polygons' vertices; rectangles from lower left counter-clockwise. */
    public static List<long[]> vertices(Polygons polygons) {
        List<long[]> all = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                all.add(new long[] {x0, y0, x1, y0, x1, y1, x0, y1});
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                all.add(Arrays.copyOfRange(xy, from, from + 2 * vertices));
            }
        });
        return all;
    }

    /** Flattens all layers into group 0. */
    public static Polygons flat(Layout layout) {
        Map<Layer, Integer> groups = new HashMap<>();
        Flattener.of(layout).counts().keySet().forEach(layer -> groups.put(layer, 0));
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(groups, polygons);
        return polygons;
    }

    /** Winding number of a polygon about a point that is not on its outline, by signed crossings of a ray to the right. */
    public static int winding(double[] xy, int points, double x, double y) {
        int winding = 0;
        for (int i = 0, j = points - 1; i < points; j = i++) {
            double x0 = xy[2 * j];
            double y0 = xy[2 * j + 1];
            double x1 = xy[2 * i];
            double y1 = xy[2 * i + 1];
            if ((y0 <= y) != (y1 <= y)) {
                double crossing = x0 + (y - y0) / (y1 - y0) * (x1 - x0);
                if (crossing > x) {
                    winding += y1 > y0 ? 1 : -1;
                }
            }
        }
        return winding;
    }

    /** Shoelace area, positive if counter-clockwise. */
    public static double area(double[] xy, int points) {
        double twice = 0;
        for (int i = 0, j = points - 1; i < points; j = i++) {
            twice += xy[2 * j] * xy[2 * i + 1] - xy[2 * i] * xy[2 * j + 1];
        }
        return twice / 2;
    }

    /** The same vertices as {@code double}. */
    public static double[] doubles(long[] xy) {
        return Arrays.stream(xy).asDoubleStream().toArray();
    }
}
