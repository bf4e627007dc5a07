package evendose.geometry;

import java.util.Locale;
import java.util.Optional;

/**
 * A corner so far from all else that it was never drawn: what one wrong bit makes of a coordinate. Told before the work, which
 * would take as long as the spike or the empty plane is large.
 *
 * <p>Two kinds: shapes that reach over more than {@value #WIDEST_UM} um, farther than the stage of any writer goes (common
 * practice: wafers end at 300 mm), and a corner that lies more than {@value #NEEDLE_UM} um from both its neighbours, with these
 * {@value #SLENDER} times nearer to each other.
 *
 * @param xUm where it lies, um
 * @param yUm where it lies, um
 * @param why what is wrong with it, to follow the name of the file
 */
public record FarCorner(double xUm, double yUm, String why) {
    private static final double WIDEST_UM = 500_000;
    private static final double NEEDLE_UM = 5_000;
    private static final double SLENDER = 100;

    /**
     * {@return the gravest such corner of all polygons, if there is one; takes no time where all of them lie within a few millimetres}
     *
     * @param polygons what is to be looked at
     * @param dbuUm size of a database unit, um
     */
    public static Optional<FarCorner> of(Polygons polygons, double dbuUm) {
        double width = dbuUm * Math.max(polygons.right() - polygons.left(), polygons.top() - polygons.bottom());
        if (polygons.size() == 0 || width <= NEEDLE_UM) {
            return Optional.empty();
        }
        Search search = new Search(dbuUm);
        polygons.forEach(search);
        if (search.needleUm > 0) {
            return Optional.of(new FarCorner(
                    search.xUm,
                    search.yUm,
                    String.format(
                            Locale.ROOT,
                            "has a corner at (%.3f, %.3f) um that lies %.4g mm from its neighbours in the outline, which are"
                                    + " %.4g um apart: is the file damaged?",
                            search.xUm,
                            search.yUm,
                            1e-3 * search.needleUm,
                            search.baseUm)));
        }
        return width > WIDEST_UM ? Optional.of(farthest(polygons, dbuUm, search, width)) : Optional.empty();
    }

    /** Most shapes lie near the mean corner, so a single one far off is farthest from it. */
    private static FarCorner farthest(Polygons polygons, double dbuUm, Search search, double width) {
        double meanX = search.sumX / polygons.size();
        double meanY = search.sumY / polygons.size();
        double[] far = new double[3];
        polygons.forEach(new EachCorner() {
            @Override
            void corner(double x, double y) {
                double off = Math.max(Math.abs(x - meanX), Math.abs(y - meanY));
                if (off > far[2]) {
                    far[0] = x;
                    far[1] = y;
                    far[2] = off;
                }
            }
        });
        double xUm = dbuUm * far[0];
        double yUm = dbuUm * far[1];
        return new FarCorner(
                xUm,
                yUm,
                String.format(
                        Locale.ROOT,
                        "reaches over %.4g mm, farther than any writer (%.0f mm); the shape farthest off has a corner at"
                                + " (%.3f, %.3f) um: is the file damaged, or its unit?",
                        1e-3 * width,
                        1e-3 * WIDEST_UM,
                        xUm,
                        yUm));
    }

    /** Sees the corners of all polygons. */
    private abstract static class EachCorner implements Polygons.Visitor {
        abstract void corner(double x, double y);

        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            corner(x0, y0);
            corner(x1, y1);
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            for (int i = 0; i < vertices; i++) {
                corner(xy[from + 2 * i], xy[from + 2 * i + 1]);
            }
        }
    }

    /** The longest needle, and the mean of first corners. */
    private static final class Search implements Polygons.Visitor {
        private final double dbuUm;
        private double sumX;
        private double sumY;
        private double needleUm;
        private double baseUm;
        private double xUm;
        private double yUm;

        Search(double dbuUm) {
            this.dbuUm = dbuUm;
        }

        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            sumX += x0;
            sumY += y0;
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            sumX += xy[from];
            sumY += xy[from + 1];
            int before = from + 2 * (vertices - 1);
            for (int i = from; i < from + 2 * vertices; i += 2) {
                int after = i + 2 < from + 2 * vertices ? i + 2 : from;
                if (isFar(xy, before, i) && isFar(xy, i, after)) {
                    double length = dbuUm * Math.min(distance(xy, before, i), distance(xy, i, after));
                    double base = dbuUm * distance(xy, before, after);
                    if (length > NEEDLE_UM && length > needleUm && length > SLENDER * base) {
                        needleUm = length;
                        baseUm = base;
                        xUm = dbuUm * xy[i];
                        yUm = dbuUm * xy[i + 1];
                    }
                }
                before = i;
            }
        }

        /** Whether two corners may be as far apart as a needle is long, found without a root. */
        private boolean isFar(long[] xy, int a, int b) {
            return dbuUm * (Math.abs(xy[a] - xy[b]) + Math.abs(xy[a + 1] - xy[b + 1])) > NEEDLE_UM;
        }

        private static double distance(long[] xy, int a, int b) {
            return Math.hypot(xy[a] - xy[b], xy[a + 1] - xy[b + 1]);
        }
    }
}
