package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** What is told of the doses as written: residuals by hand, apart for units that are free, held at a bound and fixed. */
class ConvergenceTest {
    private static final Convergence ITERATION =
            new Convergence(true, 3, 0.9, 1e-4, 5e-5, 0, new double[] {0.9, 0.1, 0.01, 1e-4});
    private static final double[] TARGET = {0.5, 0.5, 0.4, 0.5, 0.5};

    @Test
    void freeUnitsAreTold() {
        DoseStatus[] status = {
            DoseStatus.OK, DoseStatus.CORNERS, DoseStatus.UNCONVERGED, DoseStatus.FIXED, DoseStatus.OK
        };
        Convergence told = ITERATION.written(
                new double[] {0.4, 0.55, 0.5, 5, 0.5}, new double[] {0.505, 0.49, 0.412, 5, 0.5}, TARGET, status);
        assertTrue(told.converged());
        assertEquals(3, told.iterations());
        // 0.4/0.5, 0.55/0.5 and 0.5/0.4 less 1; the fixed one is ten times its target and does not count.
        assertEquals(0.25, told.uncorrectedMaxResidual(), 1e-12);
        // 0.01, 0.02, 0.03 and 0.
        assertEquals(0.03, told.maxResidual(), 1e-12);
        assertEquals(Math.sqrt(14e-4 / 4), told.rmsResidual(), 1e-12);
        assertEquals(0, told.heldMaxResidual());
        assertArrayEquals(new double[] {0.9, 0.1, 0.01, 1e-4}, told.history());
    }

    @Test
    void heldUnitsAreToldApart() {
        DoseStatus[] status = {DoseStatus.OK, DoseStatus.AT_MAXIMUM, DoseStatus.OK, DoseStatus.BACKGROUND, DoseStatus.OK
        };
        double[] criterion = {0.505, 0.3, 0.4, 0.8, 0.51};
        Convergence told = ITERATION.written(new double[] {0.4, 0.3, 0.4, 1.5, 0.5}, criterion, TARGET, status);
        assertFalse(told.converged(), "two are held off their targets");
        assertEquals(2, told.uncorrectedMaxResidual(), 1e-12);
        assertEquals(0.02, told.maxResidual(), 1e-12);
        assertEquals(Math.sqrt(5e-4 / 3), told.rmsResidual(), 1e-12);
        assertEquals(0.6, told.heldMaxResidual(), 1e-12);
    }

    @Test
    void residualsOfHeldUnitsAreToldWhereNoOtherIsLeft() {
        DoseStatus[] status = {DoseStatus.AT_MINIMUM, DoseStatus.BELOW_BEAM};
        double[] half = {0.5, 0.5};
        Convergence told = ITERATION.written(half, new double[] {0.6, 0.3}, half, status);
        assertEquals(0.4, told.maxResidual(), 1e-12);
        assertEquals(Math.sqrt(0.1), told.rmsResidual(), 1e-12, "0.2 and 0.4");
        assertEquals(0.4, told.heldMaxResidual(), 1e-12);
    }

    @Test
    void withNothingToCorrectNothingIsOff() {
        Convergence told = ITERATION.written(
                new double[] {0.9}, new double[] {0.9}, new double[] {0.5}, new DoseStatus[] {DoseStatus.FIXED});
        assertTrue(told.converged());
        assertEquals(0, told.uncorrectedMaxResidual());
        assertEquals(0, told.maxResidual());
        assertEquals(0, told.rmsResidual());
    }

    @Test
    void anIterationThatFailedStaysFailed() {
        Convergence failed = new Convergence(false, 1, 0.9, 0.5, 0.5, 0, new double[] {0.9, 0.5});
        double[] half = {0.5};
        assertFalse(failed.written(half, half, half, new DoseStatus[] {DoseStatus.OK})
                .converged());
        assertEquals("Convergence[not converged after 1 updates, largest residual 5.00e-01]", failed.toString());
        assertEquals("Convergence[converged after 3 updates, largest residual 1.00e-04]", ITERATION.toString());
    }

    @Test
    void equalHistoriesAreEqualAndCopiesAreHandedOut() {
        double[] history = {0.9, 0.5};
        Convergence one = new Convergence(true, 1, 0.9, 0.5, 0.5, 0, history);
        Convergence same = new Convergence(true, 1, 0.9, 0.5, 0.5, 0, history.clone());
        assertEquals(one, same);
        assertEquals(one.hashCode(), same.hashCode());
        assertNotEquals(one, new Convergence(true, 1, 0.9, 0.5, 0.5, 0, new double[] {0.9, 0.4}));
        assertNotEquals(one.hashCode(), ITERATION.hashCode());
        history[0] = 7;
        one.history()[1] = 7;
        assertArrayEquals(new double[] {0.9, 0.5}, one.history());
    }
}
