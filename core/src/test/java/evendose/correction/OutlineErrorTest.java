package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.OutlinePoints;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Errors along the outline and residuals as written, counted by hand. */
class OutlineErrorTest {
    private static OutlinePoints points(float[] length, int... unit) {
        int n = unit.length;
        double[] x = new double[n];
        double[] y = new double[n];
        Arrays.setAll(x, k -> 10 + k);
        Arrays.setAll(y, k -> -k);
        return new OutlinePoints(x, y, length, unit, new boolean[x.length], x, y);
    }

    @Test
    void meansAreByLengthAndWhatDoesNotCountIsLeftOut() {
        OutlinePoints points = points(new float[] {1, 2, 1, 5, 1}, 0, 0, 1, 2, 3);
        OutlineError error = OutlineError.of(points, new double[] {0.1, -0.2, 0.3, Double.NaN, -0.4});
        assertEquals(4, error.points());
        assertEquals(Math.sqrt((0.01 + 2 * 0.04 + 0.09 + 0.16) / 5), error.rms(), 1e-15);
        assertEquals(0.4, error.max());
        // Of 5 um, 5 % are 0.25: less than the worst point stands for.
        assertEquals(0.4, error.p95());
        assertEquals(
                List.of(3, 1, 0),
                List.of(
                        (int) Math.round(error.places().get(0).xUm() - 11),
                        (int) Math.round(error.places().get(1).xUm() - 11),
                        (int) Math.round(error.places().get(2).xUm() - 11)),
                "worst first, one place a unit");
        assertEquals(3, error.places().size());
        assertEquals(-0.4, error.places().get(0).off());
        assertEquals(-4, error.places().get(0).yUm());
    }

    /** 100 points of equal length: the fifth worst is what 95 % keep within, as 4 % lie beyond it. */
    @Test
    void ninetyFivePercentKeepWithin() {
        float[] length = new float[100];
        Arrays.fill(length, 0.5f);
        int[] unit = new int[100];
        double[] off = new double[100];
        for (int k = 0; k < 100; k++) {
            unit[k] = k / 10;
            off[k] = (k % 2 == 0 ? 1 : -1) * 0.001 * (k * 37 % 100);
        }
        OutlineError error = OutlineError.of(points(length, unit), off);
        assertEquals(0.095, error.p95(), 0.001 + 1e-9);
        assertEquals(0.099, error.max(), 1e-12);
        assertEquals(5, error.places().size(), "five places at most");
        assertEquals(0, OutlineError.of(points(new float[0]), new double[0]).points());
    }

    @Test
    void fewerPointsStandForThoseLeftOut() {
        OutlinePoints points = points(new float[] {1, 2, 3, 4, 5, 6, 7}, 0, 0, 1, 1, 2, 2, 3);
        assertEquals(points, points.atMost(7));
        OutlinePoints some = points.atMost(3);
        assertEquals(3, some.size());
        assertEquals(13, some.xUm()[1]);
        assertEquals(3 * 4, some.lengthUm()[1]);
        assertEquals(1, some.unit()[1]);
        assertEquals(-6, some.yUm()[2]);
    }

    /** Residuals as written: of those that are free, and of those held at a bound apart; fixed ones do not count. */
    @Test
    void residualsAsWritten() {
        Convergence iteration = new Convergence(true, 3, 9, 9, 9, 9, new double[] {1});
        double[] target = {0.5, 0.5, 0.5, 0.5};
        double[] before = {0.4, 0.7, 0.6, 3};
        double[] after = {0.51, 0.48, 0.65, 2};
        Convergence free = iteration.written(before, after, target, new DoseStatus[] {
            DoseStatus.OK, DoseStatus.OK, DoseStatus.UNCONVERGED, DoseStatus.FIXED
        });
        assertTrue(free.converged());
        assertEquals(0.4, free.uncorrectedMaxResidual(), 1e-12);
        assertEquals(0.3, free.maxResidual(), 1e-12);
        assertEquals(Math.sqrt((0.02 * 0.02 + 0.04 * 0.04 + 0.09) / 3), free.rmsResidual(), 1e-12);
        assertEquals(0, free.heldMaxResidual());
        Convergence held = iteration.written(before, after, target, new DoseStatus[] {
            DoseStatus.OK, DoseStatus.OK, DoseStatus.AT_MAXIMUM, DoseStatus.FIXED
        });
        assertFalse(held.converged());
        assertEquals(0.04, held.maxResidual(), 1e-12);
        assertEquals(0.3, held.heldMaxResidual(), 1e-12);
        Convergence all = iteration.written(before, after, target, new DoseStatus[] {
            DoseStatus.AT_MINIMUM, DoseStatus.FIXED, DoseStatus.AT_MAXIMUM, DoseStatus.FIXED
        });
        assertEquals(0.3, all.maxResidual(), 1e-12, "of the held ones if there is no other");
        assertEquals(3, all.iterations());
    }
}
