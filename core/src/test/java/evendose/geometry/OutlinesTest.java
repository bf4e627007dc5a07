package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigInteger;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** The sign of a polygon's area against sums of whole numbers of any length. */
class OutlinesTest {
    @Test
    void polygonsOfAlmostNoAreaTurnAsWholeNumbersSay() {
        Random random = new Random(41);
        int[] found = new int[3];
        for (int round = 0; round < 20_000; round++) {
            // Two neighbours of a continued fraction: long and thin, with twice an area of 1.
            long ax = 1;
            long ay = 0;
            long bx = 0;
            long by = 1;
            while (Math.max(bx, by) < Polygons.MAX_COORDINATE / 64) {
                int k = 1 + random.nextInt(9);
                long nextX = ax + k * bx;
                long nextY = ay + k * by;
                ax = bx;
                ay = by;
                bx = nextX;
                by = nextY;
            }
            long x = -random.nextInt(1 << 30);
            long y = random.nextInt(1 << 30);
            long ux = x + random.nextInt();
            long uy = y + random.nextInt();
            // There and back again, but for that neighbour, or with nothing between.
            long apart = round % 3 == 0 ? 0 : 1;
            long[] xy = {7, 7, x, y, ux, uy, x + bx, y + by, ux + apart * ax, uy + apart * ay};
            int sign = Outlines.orientation(xy, 2, 4);
            assertEquals(twiceArea(xy, 2, 4).signum(), sign);
            found[sign + 1]++;
        }
        for (int sign = -1; sign <= 1; sign++) {
            assertTrue(found[sign + 1] > 1000, "polygons of sign " + sign);
        }
    }

    private static BigInteger twiceArea(long[] xy, int from, int vertices) {
        BigInteger sum = BigInteger.ZERO;
        for (int i = 0; i < vertices; i++) {
            int a = from + 2 * i;
            int b = from + 2 * ((i + 1) % vertices);
            sum = sum.add(BigInteger.valueOf(xy[a]).multiply(BigInteger.valueOf(xy[b + 1])))
                    .subtract(BigInteger.valueOf(xy[b]).multiply(BigInteger.valueOf(xy[a + 1])));
        }
        return sum;
    }
}
