package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Optional;
import org.junit.jupiter.api.Test;

class FarCornerTest {
    private static final double DBU_UM = 1e-3;

    private static Polygons squares() {
        Polygons polygons = new Polygons();
        for (int i = 0; i < 50; i++) {
            polygons.addRectangle(0, 2000L * i, 0, 2000L * i + 1000, 1000);
        }
        return polygons;
    }

    private static Polygons withCornerAt(long y) {
        Polygons polygons = squares();
        polygons.addPolygon(0, new long[] {500, 3000, 540, 3000, 540, y, 500, 3100}, 4);
        return polygons;
    }

    /** Bit 25 of a coordinate: a needle of 33.6 mm on a base of 40 nm to 100 nm. */
    @Test
    void aNeedleIsToldWithItsPlace() {
        FarCorner far = FarCorner.of(withCornerAt(3100 + (1 << 25)), DBU_UM).orElseThrow();
        assertEquals(0.54, far.xUm(), 1e-9);
        assertEquals(33557.532, far.yUm(), 1e-9);
        assertEquals(
                "has a corner at (0.540, 33557.532) um that lies 33.55 mm from its neighbours in the outline, which are"
                        + " 0.1077 um apart: is the file damaged?",
                far.why());
    }

    @Test
    void whatCanBeMeantIsTaken() {
        assertEquals(Optional.empty(), FarCorner.of(squares(), DBU_UM));
        assertEquals(Optional.empty(), FarCorner.of(new Polygons(), DBU_UM));
        // A taper that ends in a point, 4 mm long, and a line across a wafer.
        assertEquals(Optional.empty(), FarCorner.of(withCornerAt(4_000_000), DBU_UM));
        Polygons line = squares();
        line.addPolygon(0, new long[] {0, 5000, 300_000_000, 5000, 300_000_000, 5100, 150_000_000, 5101, 0, 5100}, 5);
        assertEquals(Optional.empty(), FarCorner.of(line, DBU_UM));
        // A wedge that fills a wafer.
        Polygons wedge = squares();
        wedge.addPolygon(0, new long[] {0, 5000, 1_000_000, 5000, 1_000_000, 80_000_000}, 3);
        assertEquals(Optional.empty(), FarCorner.of(wedge, DBU_UM));
    }

    @Test
    void aShapeFartherOffThanAnyStageGoesIsTold() {
        Polygons polygons = squares();
        polygons.addRectangle(0, 1L << 30, 0, (1L << 30) + 1000, 1000);
        FarCorner far = FarCorner.of(polygons, DBU_UM).orElseThrow();
        assertEquals(1073742.824, far.xUm(), 1e-9);
        assertTrue(far.why().startsWith("reaches over 1074 mm, farther than any writer (500 mm); "), far.why());
        assertTrue(far.why().contains("at (1073742.824, 1.000) um"), far.why());
    }

    /** Along both axes and both ways, whichever vertex comes first; of two needles the longer one. */
    @Test
    void needlesPointAnywhere() {
        long[] thin = {0, 0, 0, 40, 20_000_000, 40, 0, 80};
        for (int way = 0; way < 4; way++) {
            for (int first = 0; first < 4; first++) {
                long[] xy = new long[8];
                for (int k = 0; k < 4; k++) {
                    long x = thin[2 * ((k + first) % 4)] * (way % 2 == 0 ? 1 : -1);
                    long y = thin[2 * ((k + first) % 4) + 1];
                    xy[2 * k] = 7_000 + (way < 2 ? x : y);
                    xy[2 * k + 1] = 9_000 + (way < 2 ? y : x);
                }
                Polygons polygons = squares();
                polygons.addPolygon(0, new long[] {0, 5000, 6_000_000, 5020, 0, 5040}, 3);
                polygons.addPolygon(0, xy, 4);
                FarCorner far = FarCorner.of(polygons, DBU_UM).orElseThrow();
                double tip = way % 2 == 0 ? 20_000 : -20_000;
                assertEquals(7 + (way < 2 ? tip : 0.04), far.xUm(), 1e-9);
                assertEquals(9 + (way < 2 ? 0.04 : tip), far.yUm(), 1e-9);
                assertTrue(
                        far.why().contains("lies 20.00 mm from its neighbours in the outline, which are 0.04000 um"),
                        far.why());
            }
        }
    }

    /** Away from most others, along either axis and either way, a rectangle or a triangle. */
    @Test
    void theShapeFarthestOffIsToldWhereverItIs() {
        long far = 600_000_000;
        for (int way = 0; way < 8; way++) {
            long x = way % 2 == 0 ? (way % 4 == 0 ? far : -far) : 300;
            long y = way % 2 == 0 ? 300 : way % 4 == 1 ? far : -far;
            Polygons polygons = new Polygons();
            for (int i = 0; i < 50; i++) {
                polygons.addRectangle(0, 2000L * i, 0, 2000L * i + 1000, 1000);
                polygons.addPolygon(0, new long[] {2000L * i, 5000, 2000L * i + 900, 5000, 2000L * i, 6000}, 3);
            }
            if (way < 4) {
                polygons.addRectangle(0, x, y, x + 500, y + 500);
            } else {
                polygons.addPolygon(0, new long[] {x, y, x + 500, y, x, y + 500}, 3);
            }
            FarCorner told = FarCorner.of(polygons, DBU_UM).orElseThrow();
            assertEquals(1e-3 * x, told.xUm(), 0.5001);
            assertEquals(1e-3 * y, told.yUm(), 0.5001);
            assertTrue(told.why().startsWith("reaches over 600."), told.why());
        }
    }
}
