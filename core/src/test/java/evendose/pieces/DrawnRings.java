package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.function.Predicate;
import org.locationtech.jts.algorithm.Area;
import org.locationtech.jts.algorithm.Orientation;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.LinearRing;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.geom.util.GeometryFixer;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Polygons of JTS as the rings that are cut, the inside on the left, each edge with its number among the drawn ones. */
final class DrawnRings {
    static final GeometryFactory JTS = new GeometryFactory();

    final List<Ring> rings = new ArrayList<>();
    final EdgeBuffer drawn = new EdgeBuffer();

    /** All of the outline is exposed; {@code corners} says which vertices pieces must keep. */
    DrawnRings(Polygon polygon, Predicate<Coordinate> corners) {
        add(polygon.getExteriorRing(), true, corners);
        for (int h = 0; h < polygon.getNumInteriorRing(); h++) {
            add(polygon.getInteriorRingN(h), false, corners);
        }
    }

    private void add(LinearRing line, boolean anticlockwise, Predicate<Coordinate> corners) {
        Coordinate[] c = line.getCoordinates();
        if (Orientation.isCCW(c) != anticlockwise) {
            c = line.reverse().getCoordinates();
        }
        Ring ring = new Ring(1);
        for (int k = 0; k + 1 < c.length; k++) {
            byte mark = (byte) (Ring.EXPOSED | (corners.test(c[k]) ? Ring.CORNER : 0));
            ring.add(c[k].x, c[k].y, mark, drawn.size());
            drawn.add(c[k].x, c[k].y, c[k + 1].x, c[k + 1].y, 0);
        }
        ring.close();
        rings.add(ring);
    }

    /** A polygon of {@code n} corners on a grid, as seen from its middle at even angles, with a hole. */
    static Polygon star(SplittableRandom random, int n, int least, int most, int grid) {
        LinearRing rim = ring(random, n, least, most, grid);
        LinearRing hole = ring(random, Math.max(3, n / 2), least / 4, least / 2, grid);
        return JTS.createPolygon(rim, new LinearRing[] {hole});
    }

    private static LinearRing ring(SplittableRandom random, int n, int least, int most, int grid) {
        Coordinate[] c = new Coordinate[n + 1];
        for (int k = 0; k < n; k++) {
            double r = least + random.nextInt(most - least + 1);
            double a = 2 * Math.PI * (k + 0.3) / n;
            c[k] = new Coordinate(grid * Math.rint(r * Math.cos(a) / grid), grid * Math.rint(r * Math.sin(a) / grid));
        }
        c[n] = c[0];
        return JTS.createLinearRing(c);
    }

    /** A closed ring of corners x, y, x, y. */
    static Polygon polygon(double... xy) {
        Coordinate[] c = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < c.length; k++) {
            c[k] = new Coordinate(xy[2 * k % xy.length], xy[2 * k % xy.length + 1]);
        }
        return JTS.createPolygon(c);
    }

    /** The area that rings bound, holes taken away, without any of our geometry. */
    static Geometry area(List<Ring> rings) {
        List<Geometry> rims = new ArrayList<>();
        List<Geometry> holes = new ArrayList<>();
        for (Ring r : rings) {
            Coordinate[] c = new Coordinate[r.size + 1];
            for (int k = 0; k <= r.size; k++) {
                c[k] = new Coordinate(r.x[k % r.size], r.y[k % r.size]);
            }
            // Where a ring touches itself, only its signed area tells which it is.
            (Area.ofRingSigned(c) < 0 ? rims : holes).add(GeometryFixer.fix(JTS.createPolygon(c)));
        }
        return UnaryUnionOp.union(rims, JTS).difference(UnaryUnionOp.union(holes, JTS));
    }

    /** The pieces of a cut as polygons. */
    static List<Polygon> pieces(Cut cut) {
        List<Polygon> found = new ArrayList<>();
        double[][] c = cut.coordinates;
        for (int i = 0; i < cut.pieces; i++) {
            double[] u = {c[2][i], c[3][i], c[5][i], c[4][i]};
            double[] v = {c[0][i], c[0][i], c[1][i], c[1][i]};
            double[] xy = new double[8];
            for (int k = 0; k < 4; k++) {
                xy[2 * k] = cut.standing[i] ? v[k] : u[k];
                xy[2 * k + 1] = cut.standing[i] ? u[k] : v[k];
            }
            found.add(polygon(xy));
        }
        return found;
    }
}
