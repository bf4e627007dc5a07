package evendose.pieces;

import static evendose.pieces.DrawnRings.JTS;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.algorithm.distance.DiscreteHausdorffDistance;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.LinearRing;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/**
 * A slab with staggered rows of round holes, drawn as polygons of 32 corners on the grid: what the pieces cover against the drawn slab,
 * by JTS, and how many they are.
 */
class RoundHolesTest {
    private static final int HOLES = 6;
    private static final int ROWS = 3;
    private static final int RADIUS = 110;
    private static final int CORNERS = 32;
    private static final int PITCH = 420;
    private static final int RISE = 364;
    private static final int WIDTH = HOLES * PITCH + 400;
    private static final int HEIGHT = ROWS * RISE + 200;

    private static Polygon slab(double turn) {
        LinearRing[] holes = new LinearRing[HOLES * ROWS];
        for (int h = 0; h < holes.length; h++) {
            int row = h / HOLES;
            Coordinate[] c = new Coordinate[CORNERS + 1];
            for (int k = 0; k < CORNERS; k++) {
                double angle = 2 * Math.PI * (k + turn) / CORNERS;
                c[k] = new Coordinate(
                        300 + PITCH * (h % HOLES) + PITCH / 2 * (row % 2) + Math.rint(RADIUS * Math.cos(angle)),
                        300 + RISE * row + Math.rint(RADIUS * Math.sin(angle)));
            }
            c[CORNERS] = c[0];
            holes[h] = JTS.createLinearRing(c);
        }
        Polygon rim = DrawnRings.polygon(0, 0, WIDTH, 0, WIDTH, HEIGHT, 0, HEIGHT);
        return JTS.createPolygon(rim.getExteriorRing(), holes);
    }

    /**
     * Level pieces between two holes of a row are counted: {@code most} of them, and one between rows. The drawn corners make 16 with a corner
     * on top of each hole.
     */
    @ParameterizedTest
    @CsvSource({"0.5, 0, 16", "0.5, 0.5, 15", "1, 0, 10", "1, 0.5, 11"})
    void piecesBetweenHolesAreFewAndFollowThem(double tolerance, double turn, int most) {
        Polygon slab = slab(turn);
        DrawnRings from = new DrawnRings(slab, c -> c.x == 0 || c.y == 0 || c.x == WIDTH || c.y == HEIGHT);
        Cut cut = new RegionSweep(from.drawn, false, tolerance, 10).cut(from.rings, false, 0, 1, true, 1e6);
        List<Polygon> pieces = DrawnRings.pieces(cut);
        assertTrue(cut.pieces <= ROWS * (HOLES + 1) * most + ROWS + 1, cut.pieces + " pieces");
        Geometry covered = UnaryUnionOp.union(pieces);
        double sum = 0;
        for (Polygon piece : pieces) {
            sum += piece.getArea();
            for (Coordinate c : piece.getCoordinates()) {
                assertEquals(Math.rint(c.x), c.x);
                assertEquals(Math.rint(c.y), c.y);
            }
        }
        assertEquals(covered.getArea(), sum, 1e-3, "pieces lie on each other");
        assertEquals(covered.getArea() - slab.getArea(), cut.addedArea, 1e-3);
        assertEquals(slab.getArea(), covered.getArea(), 1e-5 * slab.getArea());
        // Where the grid leaves no way within the tolerance, half its diagonal is allowed.
        double allowed = Math.max(tolerance, Math.sqrt(0.5)) + 1e-6;
        double away = DiscreteHausdorffDistance.distance(covered.getBoundary(), slab.getBoundary(), 0.05);
        assertTrue(away <= allowed, away + " away");
    }
}
