package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.SplittableRandom;
import java.util.stream.DoubleStream;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

class PieceIndexTest {
    @Test
    void findsWhatWalkingThroughAllFinds() {
        SplittableRandom random = new SplittableRandom(1);
        TestPieces builder = new TestPieces();
        for (int i = 0; i < 1500; i++) {
            // Sizes over four orders of magnitude, in both directions on their own.
            double w = Math.pow(10, 4 * random.nextDouble() - 2);
            double h = Math.pow(10, 4 * random.nextDouble() - 2);
            double x = 300 * random.nextDouble();
            double y = 30 * random.nextDouble();
            if (i % 2 == 0) {
                builder.unit().trapezoid(y, y + h, x, x + w, x + 0.5 * w, x + 0.7 * w);
            } else {
                builder.unit().standing(x, x + w, y + 0.5 * h, y + 0.7 * h, y, y + h);
            }
        }
        Pieces p = builder.build();
        PieceIndex index = new PieceIndex(p);
        PieceIndex.Hits hits = new PieceIndex.Hits();
        for (int n = 0; n < 400; n++) {
            double x0 = 500 * random.nextDouble() - 100;
            double y0 = 200 * random.nextDouble() - 80;
            double x1 = x0 + Math.pow(10, 4 * random.nextDouble() - 2);
            double y1 = y0 + Math.pow(10, 4 * random.nextDouble() - 2);
            index.find(x0, y0, x1, y1, hits);
            int[] found = Arrays.copyOf(hits.piece, hits.size);
            Arrays.sort(found);
            int[] expected = IntStream.range(0, p.size())
                    .filter(i -> corners(p::cornerXUm, i).min().orElseThrow() <= x1
                            && corners(p::cornerXUm, i).max().orElseThrow() >= x0
                            && corners(p::cornerYUm, i).min().orElseThrow() <= y1
                            && corners(p::cornerYUm, i).max().orElseThrow() >= y0)
                    .toArray();
            assertArrayEquals(expected, found);
        }
    }

    /** Corners and boxes on whole numbers: what only touches counts, at every side and corner. */
    @Test
    void touchingCounts() {
        TestPieces builder = new TestPieces();
        for (int k = 0; k < 49; k++) {
            builder.rectangle(3 * (k % 7), 3 * (k / 7), 3 * (k % 7) + 2, 3 * (k / 7) + 1);
        }
        Pieces p = builder.build();
        PieceIndex index = new PieceIndex(p);
        assertEquals(1, index.classes(), "all of one size");
        PieceIndex.Hits hits = new PieceIndex.Hits();
        for (int i = 0; i < p.size(); i++) {
            assertEquals(p.leftUm(i), index.left(i));
            assertEquals(p.rightUm(i), index.right(i));
            assertEquals(p.bottomUm(i), index.bottom(i));
            assertEquals(p.topUm(i), index.top(i));
        }
        for (int x0 = -3; x0 < 24; x0++) {
            for (int y0 = -3; y0 < 24; y0 += 2) {
                for (int size = 0; size < 3; size++) {
                    int x1 = x0 + size;
                    int y1 = y0 + 2 - size;
                    index.find(x0, y0, x1, y1, hits);
                    int left = x0;
                    int bottom = y0;
                    long expected = IntStream.range(0, 49)
                            .filter(k -> 3 * (k % 7) <= x1
                                    && 3 * (k % 7) + 2 >= left
                                    && 3 * (k / 7) <= y1
                                    && 3 * (k / 7) + 1 >= bottom)
                            .count();
                    assertEquals(expected, hits.size, x0 + ", " + y0 + " to " + x1 + ", " + y1);
                }
            }
        }
    }

    @Test
    void sizesFarApartHaveClassesOfTheirOwn() {
        assertEquals(0, new PieceIndex(new TestPieces().build()).classes());
        Pieces two = new TestPieces()
                .rectangle(0, 0, 1, 1)
                .rectangle(2, 0, 3.1, 1.1)
                .rectangle(5, 0, 505, 1)
                .build();
        assertEquals(2, new PieceIndex(two).classes());
    }

    private interface Corner {
        double um(int i, int k);
    }

    private static DoubleStream corners(Corner corner, int i) {
        return IntStream.range(0, 4).mapToDouble(k -> corner.um(i, k));
    }
}
