package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.pieces.OutlinePoints;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Errors told by parts against those of all points, which are sorted. */
class TileOutlineTest {
    @ParameterizedTest
    @ValueSource(ints = {1, 4, 49})
    void partsTellWhatAllPointsDo(int tiles) {
        SplittableRandom random = new SplittableRandom(tiles);
        int n = 40_000;
        OutlinePoints all = points(n);
        double[] off = new double[n];
        TileOutline sum = new TileOutline();
        for (int t = 0; t < tiles; t++) {
            int from = (int) ((long) n * t / tiles);
            int to = (int) ((long) n * (t + 1) / tiles);
            OutlinePoints part = points(to - from);
            double[] ofPart = new double[to - from];
            for (int k = from; k < to; k++) {
                all.xUm()[k] = 100 * t + random.nextDouble();
                all.yUm()[k] = -50 * t + random.nextDouble();
                all.lengthUm()[k] = (float) (0.1 + random.nextDouble());
                all.unit()[k] = k / 3;
                // Few tiles are far worse than others, some points are exactly right, some do not count.
                double size = 0.01 * (1 + t % 5) * random.nextDouble();
                off[k] = k % 7 == 0 ? 0 : k % 11 == 0 ? Double.NaN : k % 2 == 0 ? size : -size;
                part.xUm()[k - from] = all.xUm()[k] - 100 * t;
                part.yUm()[k - from] = all.yUm()[k] + 50 * t;
                part.lengthUm()[k - from] = all.lengthUm()[k];
                part.unit()[k - from] = all.unit()[k];
                ofPart[k - from] = off[k];
            }
            sum.add(new TileOutline(part, ofPart), 100 * t, -50 * t);
        }
        OutlineError exact = OutlineError.of(all, off);
        OutlineError told = sum.error();
        assertEquals(exact.points(), told.points());
        assertEquals(exact.rms(), told.rms(), 1e-12 * exact.rms());
        assertEquals(exact.p95(), told.p95(), 0.0051 * exact.p95());
        assertEquals(exact.max(), told.max());
        assertEquals(exact.places().size(), told.places().size());
        for (int k = 0; k < told.places().size(); k++) {
            assertEquals(exact.places().get(k).off(), told.places().get(k).off());
            assertEquals(exact.places().get(k).xUm(), told.places().get(k).xUm(), 1e-9);
            assertEquals(exact.places().get(k).yUm(), told.places().get(k).yUm(), 1e-9);
        }
    }

    @Test
    void withoutPointsNothingIsOff() {
        TileOutline sum = new TileOutline();
        sum.add(new TileOutline(points(1), new double[] {Double.NaN}), 1, 1);
        assertEquals(OutlineError.of(points(0), new double[0]), sum.error());
    }

    private static OutlinePoints points(int n) {
        return OutlinePoints.ofSize(n);
    }
}
