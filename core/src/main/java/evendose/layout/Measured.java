package evendose.layout;

import evendose.geometry.PolygonSink;

/**
 * How much there is of some polygons.
 *
 * @param polygons number of polygons
 * @param area sum of their areas, dbu^2, where they overlap more than once
 * @param extent a window that holds all of them, if there are any
 */
public record Measured(double polygons, double area, Window extent) {
    /** Measures what it is given and keeps nothing of it. */
    static final class Sum implements PolygonSink {
        private final Box box = new Box();
        private long polygons;
        private double area;

        @Override
        public void addRectangle(int group, long xa, long ya, long xb, long yb) {
            polygons++;
            area += Math.abs((double) (xb - xa) * (yb - ya));
            box.include(xa, ya).include(xb, yb);
        }

        @Override
        public void addPolygon(int group, long[] xy, int points) {
            polygons++;
            double twice = 0;
            for (int i = 0; i < points; i++) {
                int next = 2 * ((i + 1) % points);
                // From the first corner, or rounding would count far from the origin.
                twice += (double) (xy[2 * i] - xy[0]) * (xy[next + 1] - xy[1])
                        - (double) (xy[next] - xy[0]) * (xy[2 * i + 1] - xy[1]);
                box.include(xy[2 * i], xy[2 * i + 1]);
            }
            area += Math.abs(0.5 * twice);
        }

        Measured measured() {
            return new Measured(polygons, area, polygons == 0 ? new Window(0, 0, 0, 0) : box.window());
        }
    }
}
