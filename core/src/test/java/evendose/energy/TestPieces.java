package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.pieces.Trapezoid;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/** Makes pieces for tests, independent of the project's fracture. */
final class TestPieces {
    private final List<Trapezoid> trapezoids = new ArrayList<>();
    private final List<Integer> unitFirst = new ArrayList<>();

    /** Begins a dose unit. */
    TestPieces unit() {
        unitFirst.add(trapezoids.size());
        return this;
    }

    TestPieces trapezoid(double y0, double y1, double xl0, double xr0, double xl1, double xr1) {
        trapezoids.add(new Trapezoid(false, y0, y1, xl0, xr0, xl1, xr1));
        return this;
    }

    /** The same with x and y exchanged. */
    TestPieces standing(double x0, double x1, double yl0, double yr0, double yl1, double yr1) {
        trapezoids.add(
                yl0 == yl1 && yr0 == yr1
                        ? new Trapezoid(false, yl0, yr0, x0, x1, x0, x1)
                        : new Trapezoid(true, x0, x1, yl0, yr0, yl1, yr1));
        return this;
    }

    /** A unit of one rectangle. */
    TestPieces rectangle(double x0, double y0, double x1, double y1) {
        return unit().trapezoid(y0, y1, x0, x1, x0, x1);
    }

    /** A unit of a simple polygon {@code x0 y0 x1 y1 ...}, cut along x at the heights of its vertices. */
    TestPieces polygon(double... xy) {
        return unit().cut(xy, this::trapezoid);
    }

    /** A unit of a simple polygon, cut along y through its vertices. */
    TestPieces polygonStanding(double... xy) {
        double[] yx = new double[xy.length];
        for (int i = 0; i < xy.length; i++) {
            yx[i] = xy[i ^ 1];
        }
        return unit().cut(yx, this::standing);
    }

    @FunctionalInterface
    private interface Adder {
        void add(double low, double high, double fromLow, double toLow, double fromHigh, double toHigh);
    }

    private TestPieces cut(double[] xy, Adder adder) {
        int n = xy.length / 2;
        double[] heights = new double[n];
        for (int i = 0; i < n; i++) {
            heights[i] = xy[2 * i + 1];
        }
        heights = Arrays.stream(heights).sorted().distinct().toArray();
        for (int h = 0; h + 1 < heights.length; h++) {
            double y0 = heights[h];
            double y1 = heights[h + 1];
            List<double[]> sides = new ArrayList<>();
            for (int i = 0; i < n; i++) {
                double ax = xy[2 * i];
                double ay = xy[2 * i + 1];
                double bx = xy[2 * ((i + 1) % n)];
                double by = xy[2 * ((i + 1) % n) + 1];
                if (Math.min(ay, by) <= y0 && Math.max(ay, by) >= y1) {
                    sides.add(new double[] {
                        y0 == ay ? ax : y0 == by ? bx : ax + (bx - ax) * ((y0 - ay) / (by - ay)),
                        y1 == ay ? ax : y1 == by ? bx : ax + (bx - ax) * ((y1 - ay) / (by - ay))
                    });
                }
            }
            sides.sort((p, q) -> Double.compare(p[0] + p[1], q[0] + q[1]));
            for (int k = 0; k + 1 < sides.size(); k += 2) {
                adder.add(y0, y1, sides.get(k)[0], sides.get(k + 1)[0], sides.get(k)[1], sides.get(k + 1)[1]);
            }
        }
        return this;
    }

    /** A regular polygon about the origin whose corners lie on the circle. */
    static double[] regular(int corners, double radius) {
        double[] xy = new double[2 * corners];
        for (int i = 0; i < corners; i++) {
            xy[2 * i] = radius * Math.cos(2 * Math.PI * (i + 0.5) / corners);
            xy[2 * i + 1] = radius * Math.sin(2 * Math.PI * (i + 0.5) / corners);
        }
        return xy;
    }

    /** All units in one shape. */
    Pieces build() {
        int n = trapezoids.size();
        double[][] six = new double[6][n];
        boolean[] standing = new boolean[n];
        for (int i = 0; i < n; i++) {
            Trapezoid t = trapezoids.get(i);
            double[] values = {t.low(), t.high(), t.fromLow(), t.toLow(), t.fromHigh(), t.toHigh()};
            for (int k = 0; k < 6; k++) {
                six[k][i] = values[k];
            }
            standing[i] = t.standing();
        }
        int[] first = new int[unitFirst.size() + 1];
        for (int u = 0; u < unitFirst.size(); u++) {
            first[u] = unitFirst.get(u);
        }
        first[unitFirst.size()] = n;
        return new Pieces(six, standing, first, new int[] {0, unitFirst.size()}, new int[] {0});
    }

    /** The same pieces in the same units with x and y exchanged, so level ones stand. */
    static Pieces exchanged(Pieces p) {
        TestPieces builder = new TestPieces();
        for (int u = 0; u < p.units(); u++) {
            builder.unit();
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                Adder adder = p.standing(i) ? builder::trapezoid : builder::standing;
                adder.add(
                        p.lowUm()[i],
                        p.highUm()[i],
                        p.fromLowUm()[i],
                        p.toLowUm()[i],
                        p.fromHighUm()[i],
                        p.toHighUm()[i]);
            }
        }
        return builder.build();
    }

    static double[] ones(int n) {
        double[] d = new double[n];
        Arrays.fill(d, 1);
        return d;
    }

    /** For each unit {@code perSide} samples on each side of each of its pieces; units in {@code interior} are marked so. */
    static Samples sideSamples(Pieces p, int perSide, boolean[] interior) {
        double[] x = new double[4 * perSide * p.size()];
        double[] y = new double[x.length];
        float[] w = new float[x.length];
        int[] first = new int[p.units() + 1];
        int j = 0;
        for (int u = 0; u < p.units(); u++) {
            first[u] = j;
            int count = 4 * perSide * (p.unitFirst(u + 1) - p.unitFirst(u));
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                for (int k = 0; k < perSide; k++) {
                    double t = (k + 0.5) / perSide;
                    for (int side = 0; side < 4; side++) {
                        int next = (side + 1) % 4;
                        x[j] = p.cornerXUm(i, side) + t * (p.cornerXUm(i, next) - p.cornerXUm(i, side));
                        y[j] = p.cornerYUm(i, side) + t * (p.cornerYUm(i, next) - p.cornerYUm(i, side));
                        w[j++] = 1f / count;
                    }
                }
            }
        }
        first[p.units()] = j;
        return new Samples(x, y, w, first, interior);
    }
}
