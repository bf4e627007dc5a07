package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.energy.PixelGrid;
import evendose.parallel.Workers;
import org.junit.jupiter.api.Test;

class SuperposedTest {
    /** Tells what it was made ready for: plain 1 + x, on a line ten more, in a box twenty, about places thirty. */
    private record Ready(double more) implements PointEnergy {
        @Override
        public double at(double xUm, double yUm) {
            return 1 + xUm + 100 * yUm + more;
        }

        @Override
        public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
            return new Ready(10);
        }

        @Override
        public PointEnergy inBox(double x0Um, double y0Um, double x1Um, double y1Um, int points) {
            return new Ready(20);
        }

        @Override
        public PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
            return new Ready(30);
        }
    }

    private static final PointEnergy TWICE_AND_ONCE = new Superposed(2, new Ready(0), new Ready(0));

    @Test
    void bothAreMadeReady() {
        assertEquals(3 * 604, TWICE_AND_ONCE.at(3, 6));
        assertEquals(3 * 614, TWICE_AND_ONCE.onLine(0, 0, 1, 0, 0, 1).at(3, 6));
        assertEquals(3 * 624, TWICE_AND_ONCE.inBox(0, 0, 1, 1, 1).at(3, 6));
        assertEquals(
                3 * 634,
                TWICE_AND_ONCE
                        .about(new double[1], new double[1], 1, Workers.of(1))
                        .at(3, 6));
        assertEquals(
                2 * 614,
                Superposed.scaled(2, new Ready(0)).onLine(0, 0, 1, 0, 0, 1).at(3, 6));
    }

    /** Rows from below, columns from the left, at the middle of each pixel. */
    @Test
    void pixelsAreAddedOneByOne() {
        PixelGrid grid = new PixelGrid(2, 5, 1, 3, 2);
        float[] expected = {3 * 553.5f, 3 * 554.5f, 3 * 555.5f, 3 * 653.5f, 3 * 654.5f, 3 * 655.5f};
        assertArrayEquals(expected, TWICE_AND_ONCE.at(grid, Workers.of(1)));
    }
}
