package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

class CopiesTest {
    private static final int MOST = Integer.MAX_VALUE;

    private static List<Long> numbers(Copies copies) {
        List<Long> numbers = new ArrayList<>();
        for (long k = copies.next(); k >= 0; k = copies.next()) {
            numbers.add(k);
        }
        assertEquals(-1, copies.next());
        return numbers;
    }

    private static List<Long> in(double left, double bottom, double right, double top, Repetition repetition) {
        Box box = new Box().include(left, bottom).include(right, top);
        return numbers(Copies.in(box, repetition, 1, 0, 0, 1));
    }

    private static Repetition.Grid grid(int columns, int rows, long ux, long uy, long vx, long vy) {
        return new Repetition.Grid(columns, rows, columns * ux, columns * uy, rows * vx, rows * vy);
    }

    @Test
    void all() {
        assertEquals(List.of(0L), numbers(Copies.all(Repetition.ONCE)));
        assertEquals(List.of(0L, 1L, 2L, 3L, 4L, 5L), numbers(Copies.all(grid(2, 3, 1, 0, 0, 1))));
        assertEquals(List.of(0L, 1L), numbers(Copies.all(new Repetition.Places(new long[] {0, 0, 5, 5}))));
    }

    @Test
    void rowByRow() {
        Repetition grid = grid(10, 10, 100, 0, 0, 200);
        assertEquals(List.of(32L, 33L, 42L, 43L), in(150, 550, 350, 850, grid));
        // The sides belong to the box.
        assertEquals(List.of(0L, 1L), in(-5, -5, 100, 0, grid));
        assertEquals(List.of(99L), in(900, 1800, 5000, 5000, grid));
        assertEquals(List.of(), in(110, 0, 190, 2000, grid));
        assertEquals(List.of(), in(901, 0, 5000, 2000, grid));
        assertEquals(100, in(-1, -1, 1000, 2000, grid).size());
    }

    @Test
    void columnsMayRunAlongY() {
        assertEquals(List.of(13L, 14L, 23L, 24L), in(1, 25, 2, 45, grid(10, 10, 0, 10, 1, 0)));
        assertEquals(List.of(13L, 14L, 23L, 24L), in(-2, -45, -1, -25, grid(10, 10, 0, -10, -1, 0)));
    }

    @Test
    void slantedSteps() {
        // Rows lean to the right: places (100 i + 30 j, 40 j).
        assertEquals(List.of(11L, 12L, 20L, 21L), in(60, 40, 240, 80, grid(10, 10, 100, 0, 30, 40)));
    }

    /** Turned by 45 degrees, places are (5 (i - j), 5 (i + j)) sqrt 2: two diagonals of the grid pass through the box. */
    @Test
    void turnedGrid() {
        double h = Math.sqrt(0.5);
        Box box = new Box().include(-1, 3).include(1, 18);
        assertEquals(List.of(11L), numbers(Copies.in(box, grid(10, 10, 10, 0, 0, 10), h, -h, h, h)));
        box.include(7.2, 18);
        assertEquals(List.of(1L, 11L), numbers(Copies.in(box, grid(10, 10, 10, 0, 0, 10), h, -h, h, h)));
    }

    @Test
    void oneDirectionOnly() {
        assertEquals(List.of(3L, 4L), in(25, -1, 45, 1, grid(9, 1, 10, 0, 7, 7)));
        assertEquals(List.of(3L, 4L), in(25, -1, 45, 1, grid(1, 9, 7, 7, 10, 0)));
        assertEquals(List.of(), in(25, 1, 45, 2, grid(9, 1, 10, 0, 7, 7)));
        assertEquals(List.of(), in(25, 1, 45, 2, grid(1, 9, 7, 7, 10, 0)));
        assertEquals(List.of(0L), in(-1, -1, 1, 1, grid(1, 1, 100, 0, 0, 100)));
        assertEquals(List.of(), in(1, -1, 2, 1, grid(1, 1, 100, 0, 0, 100)));
    }

    @Test
    void copiesInOnePlace() {
        assertEquals(List.of(0L, 1L, 2L, 3L), in(-1, -1, 1, 1, grid(2, 2, 0, 0, 0, 0)));
        assertEquals(List.of(), in(1, -1, 2, 1, grid(2, 2, 0, 0, 0, 0)));
        assertEquals(List.of(1L, 4L, 7L), in(5, -1, 15, 1, grid(3, 3, 10, 0, 0, 0)));
        assertEquals(List.of(3L, 4L, 5L), in(5, -1, 15, 1, grid(3, 3, 0, 0, 10, 0)));
    }

    /** Columns and rows along one line: places 10 i + 3 j. */
    @Test
    void parallelSteps() {
        assertEquals(List.of(2L, 6L, 13L), in(19, -1, 23, 1, grid(4, 4, 10, 0, 3, 0)));
        assertEquals(List.of(2L, 6L, 13L), in(19, 19, 23, 23, grid(4, 4, 10, 10, 3, 3)));
        assertEquals(List.of(), in(19, 24, 23, 28, grid(4, 4, 10, 10, 3, 3)));
        assertEquals(
                List.of(0L, 5L), in(-1, -1, 1, 1, grid(4, 4, 10, 0, -10, 0)).subList(0, 2));
    }

    @Test
    void placesOfTheirOwn() {
        Repetition places = new Repetition.Places(new long[] {0, 0, 50, 5, -7, 9, 51, 5});
        assertEquals(List.of(1L, 3L), in(40, 0, 60, 10, places));
        Box box = new Box().include(0, 40).include(10, 60);
        assertEquals(List.of(1L, 3L), numbers(Copies.in(box, places, 0, 1, 1, 0)));
    }

    /** The largest grids there are, straight, leaning and turned by many angles: a few copies, at once. */
    @Test
    @Timeout(value = 30, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
    void theNumberOfCopiesDoesNotCount() {
        long middle = MOST / 2;
        long k = middle + middle * MOST;
        double at = 1000.0 * middle;
        assertEquals(List.of(k, k + 1), in(at, at, at + 1000, at + 10, grid(MOST, MOST, 1000, 0, 0, 1000)));
        assertEquals(
                List.of(k, k + 1),
                in(at + 300.0 * middle, at, at + 300.0 * middle + 1000, at + 10, grid(MOST, MOST, 1000, 0, 300, 1000)));
        for (double degrees = 0.1; degrees < 90; degrees += 5) {
            double cos = Math.cos(Math.toRadians(degrees));
            double sin = Math.sin(Math.toRadians(degrees));
            double x = cos * at - sin * at;
            double y = sin * at + cos * at;
            Box box = new Box().include(x - 10, y - 10).include(x + 10, y + 10);
            Repetition grid = grid(MOST, MOST, 1000, 0, 0, 1000);
            assertEquals(List.of(k), numbers(Copies.in(box, grid, cos, -sin, sin, cos)));
            // Beside the grid, and between its places.
            assertEquals(List.of(), numbers(Copies.in(box, grid, -cos, sin, sin, cos)));
            Box between = new Box().include(x - 99, y - 99).include(x - 50, y - 50);
            assertEquals(List.of(), numbers(Copies.in(between, grid, cos, -sin, sin, cos)));
        }
        assertEquals(List.of(), in(1, -1, 2, 1, grid(MOST, MOST, 1000, 0, 0, 0)));
        assertEquals(List.of(), in(1, -1, 2, 1, grid(MOST, MOST, 0, 0, 1000, 0)));
    }
}
