package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.SplittableRandom;
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
            builder.unit().trapezoid(y, y + h, x, x + w, x + 0.5 * w, x + 0.7 * w);
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
                    .filter(i -> p.xLeftBottomUm()[i] <= x1
                            && p.xRightBottomUm()[i] >= x0
                            && p.yBottomUm()[i] <= y1
                            && p.yTopUm()[i] >= y0)
                    .toArray();
            assertArrayEquals(expected, found);
        }
    }
}
