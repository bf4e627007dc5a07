package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;

class EdgeLinksTest {
    private final EdgeBuffer edges = new EdgeBuffer();

    /** Adds the sides of a polygon, counter-clockwise, each with its number. */
    private void ring(double... xy) {
        for (int k = 0; k < xy.length; k += 2) {
            int n = (k + 2) % xy.length;
            edges.add(xy[k], xy[k + 1], xy[n], xy[n + 1], edges.size());
        }
    }

    private int[] links() {
        EdgeLinks links = new EdgeLinks();
        links.link(edges);
        return Arrays.copyOf(links.next(), edges.size());
    }

    @Test
    void aRingIsFollowedRound() {
        ring(100, 50, 140, 50, 140, 90, 100, 90);
        assertArrayEquals(new int[] {1, 2, 3, 0}, links());
        assertEquals(40, edges.length(1), 1e-12);
        assertEquals(140, edges.x1(0));
        assertEquals(90, edges.y1(1));
    }

    /** Squares that touch at (10, 10) keep to themselves, whichever comes first. */
    @Test
    void contoursThatTouchKeepToThemselves() {
        ring(0, 0, 10, 0, 10, 10, 0, 10);
        ring(10, 10, 20, 10, 20, 20, 10, 20);
        assertArrayEquals(new int[] {1, 2, 3, 0, 5, 6, 7, 4}, links());
        edges.clear();
        ring(10, 10, 20, 10, 20, 20, 10, 20);
        ring(0, 0, 10, 0, 10, 10, 0, 10);
        assertArrayEquals(new int[] {1, 2, 3, 0, 5, 6, 7, 4}, links());
    }

    /** Five triangles around (10, 20), slanted and with gaps between, in many orders of their sides: each keeps to its own sides. */
    @Test
    void sharpestLeftTurnsGoOn() {
        List<double[]> sides = new ArrayList<>();
        for (int k = 0; k < 5; k++) {
            double from = Math.toRadians(11 + 72 * k);
            double to = from + Math.toRadians(k < 3 ? 50 : 20);
            double[] c = {
                10, 20, 10 + 9 * Math.cos(from), 20 + 9 * Math.sin(from), 10 + 7 * Math.cos(to), 20 + 7 * Math.sin(to)
            };
            for (int s = 0; s < 6; s += 2) {
                int t = (s + 2) % 6;
                sides.add(new double[] {c[s], c[s + 1], c[t], c[t + 1], k});
            }
        }
        Random random = new Random(5);
        for (int trial = 0; trial < 200; trial++) {
            Collections.shuffle(sides, random);
            edges.clear();
            for (double[] s : sides) {
                edges.add(s[0], s[1], s[2], s[3], (int) s[4]);
            }
            int[] next = links();
            for (int e = 0; e < next.length; e++) {
                assertEquals((int) sides.get(e)[4], edges.owner(e));
                assertEquals(edges.owner(e), edges.owner(next[e]));
                assertEquals(e, next[next[next[e]]]);
            }
        }
    }

    /** Ends within a hundredth of a dbu are one point, also beside the middle between two grid points; others end a contour. */
    @Test
    void endsThatDifferByRoundingAreOne() {
        for (double x : new double[] {7, 7.499, 7.5, 7.501}) {
            for (double off : new double[] {-0.012, -0.009, 0.009, 0.012}) {
                edges.clear();
                edges.add(0, 3, x, 3.5, 0);
                edges.add(x + off, 3.5, 9, 8, 1);
                edges.add(9, 8, x, 20.5, 2);
                edges.add(x, 20.5 + off, 0, 3, 3);
                boolean same = Math.abs(off) < 0.01;
                assertArrayEquals(new int[] {same ? 1 : -1, 2, same ? 3 : -1, 0}, links(), x + " " + off);
            }
        }
    }

    /** Where two edges end and one begins, only one goes on. */
    @Test
    void anEdgeFollowsOneOnly() {
        edges.add(0, 0, 5, 5, 0);
        edges.add(0, 9, 5, 5, 1);
        edges.add(5, 5, 9, 5, 2);
        assertArrayEquals(new int[] {2, -1, -1}, links());
    }

    /** Thousands of triangles in any order, then few again with the same instance. */
    @Test
    void manyRingsInAnyOrder() {
        int n = 3000;
        List<double[]> sides = new ArrayList<>();
        for (int k = 0; k < n; k++) {
            double x = 7 * (k % 60);
            double y = 9 * (k / 60);
            double[] c = {x, y, x + 5, y + 1.25, x + 2, y + 6};
            for (int s = 0; s < 6; s += 2) {
                int t = (s + 2) % 6;
                sides.add(new double[] {c[s], c[s + 1], c[t], c[t + 1], k});
            }
        }
        Collections.shuffle(sides, new Random(3));
        for (double[] s : sides) {
            edges.add(s[0], s[1], s[2], s[3], (int) s[4]);
        }
        EdgeLinks links = new EdgeLinks();
        links.link(edges);
        int[] next = links.next();
        for (int e = 0; e < 3 * n; e++) {
            assertEquals(edges.owner(e), edges.owner(next[e]));
            assertEquals(edges.x1(e), edges.x0(next[e]));
            assertEquals(edges.y1(e), edges.y0(next[e]));
            assertEquals(e, next[next[next[e]]]);
        }
        edges.clear();
        ring(100, 50, 140, 50, 140, 90, 100, 90);
        links.link(edges);
        assertArrayEquals(new int[] {1, 2, 3, 0}, Arrays.copyOf(links.next(), 4));
    }
}
