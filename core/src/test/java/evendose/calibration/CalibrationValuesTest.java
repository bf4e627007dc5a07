package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;

/** What goes into a fit and what comes out, as values: ranges, correlations, equality. */
class CalibrationValuesTest {
    private static final OptionalDouble NONE = OptionalDouble.empty();
    private static final TestFigure.Ring RING = new TestFigure.Ring(5, 10);
    private static final TestFigure.Lines LINES = new TestFigure.Lines(0.2, 0.5, 5, 20);

    private static void refused(String naming, Runnable make) {
        String message = assertThrows(IllegalArgumentException.class, make::run).getMessage();
        assertTrue(message.contains(naming), message);
    }

    @Test
    void fixedParametersMustBePositive() {
        for (double bad : new double[] {0, -1, Double.NaN, Double.POSITIVE_INFINITY}) {
            OptionalDouble value = OptionalDouble.of(bad);
            FitOptions.WidthOffset usual = FitOptions.WidthOffset.USUAL;
            refused("alpha", () -> new FitOptions(value, NONE, NONE, false, false, usual));
            refused("beta", () -> new FitOptions(NONE, value, NONE, false, false, usual));
            refused("eta", () -> new FitOptions(NONE, NONE, value, false, false, usual));
        }
        for (double bad : new double[] {1000, -1000, Double.NaN}) {
            refused("-1000 to 1000", () -> new FitOptions.WidthOffset(bad, 3));
        }
        refused("error of the width offset", () -> new FitOptions.WidthOffset(0, -1));
        assertEquals(-999, new FitOptions.WidthOffset(-999, 0).nm());
    }

    @Test
    void measurementsThatCannotBeAreRefused() {
        refused("must be positive", () -> Measurement.clearing(RING, 0, NONE, 1));
        refused("must be positive", () -> Measurement.width(LINES, 100, -0.2, NONE, 1));
        refused("below the first", () -> Measurement.clearing(RING, 110, 100, NONE, 1));
        refused("below the first that did (100)", () -> Measurement.clearing(RING, 110, 100, NONE, 1));
        refused("a value or one end", () -> Measurement.clearing(RING, 0, Double.POSITIVE_INFINITY, NONE, 1));
        refused("the dose it was written with", () -> Measurement.width(LINES, 0, 0.2, NONE, 1));
        refused("the dose it was written with", () -> Measurement.width(LINES, Double.POSITIVE_INFINITY, 0.2, NONE, 1));
        refused("standard error", () -> Measurement.clearing(RING, 100, OptionalDouble.of(0), 1));
        refused("standard error", () -> Measurement.clearing(RING, 100, OptionalDouble.of(100.1), 1));
        // Of a bound the end that is known counts.
        refused("standard error", () -> Measurement.clearing(RING, 0, 50, OptionalDouble.of(51), 1));
        assertEquals(
                50, Measurement.clearing(RING, 0, 50, OptionalDouble.of(49), 1).value());
        refused("an interval", () -> new Measurement(Measurement.Kind.WIDTH, LINES, 100, 0.1, 0.2, NONE, 1));
        refused("belong", () -> new Measurement(Measurement.Kind.WIDTH, RING, 100, 0.2, 0.2, NONE, 1));
        refused("belong", () -> new Measurement(Measurement.Kind.CLEARING, LINES, 100, 0.2, 0.2, NONE, 1));
        assertEquals(
                100, Measurement.clearing(RING, 100, OptionalDouble.of(100), 1).value());
    }

    @Test
    void labelsNameTheFigure() {
        assertEquals("ring 5-10 um", Measurement.clearing(RING, 100, NONE, 1).label());
        assertEquals(
                "disc 8 um",
                Measurement.clearing(new TestFigure.Ring(0, 8), 100, NONE, 1).label());
        assertEquals(
                "lines 0.2/0.5 um", Measurement.width(LINES, 100, 0.2, NONE, 1).label());
        assertEquals(
                "lone line 0.3 um",
                Measurement.width(TestFigure.Lines.lone(0.3), 100, 0.3, NONE, 1).label());
        // Of an interval the middle of the logarithms.
        assertEquals(20, Measurement.clearing(RING, 10, 40, NONE, 1).value(), 1e-12);
    }

    private static ParameterCovariance covariance(double last) {
        double[][] matrix = {{4, 3, 0}, {3, 9, -1.5}, {0, -1.5, last}};
        return new ParameterCovariance(
                List.of("a", "b", "c"),
                matrix,
                List.of(new ParameterCovariance.Part(Measurement.Kind.WIDTH, 5, new double[][] {{last}})));
    }

    /** Standard errors of 2, 3 and 0.5. */
    @Test
    void correlationsByHand() {
        double[][] expected = {{1, 0.5, 0}, {0.5, 1, -1}, {0, -1, 1}};
        double[][] correlation = covariance(0.25).correlation();
        for (int a = 0; a < 3; a++) {
            for (int b = 0; b < 3; b++) {
                assertEquals(expected[a][b], correlation[a][b], 1e-15);
            }
        }
    }

    @Test
    void covariancesAreEqualByWhatTheyHold() {
        assertEquals(covariance(0.25), covariance(0.25));
        assertEquals(covariance(0.25).hashCode(), covariance(0.25).hashCode());
        assertNotEquals(covariance(0.25), covariance(0.26));
        assertNotEquals(covariance(0.25).hashCode(), covariance(0.26).hashCode());
        assertNotEquals(covariance(0.25), (Object) "covariance");
        assertEquals(covariance(0.25).parts().get(0), covariance(0.25).parts().get(0));
        assertNotEquals(
                covariance(0.25).parts().get(0), covariance(0.26).parts().get(0));
        assertNotEquals(
                covariance(0.25).parts().get(0).hashCode(),
                covariance(0.26).parts().get(0).hashCode());
        assertNotEquals(covariance(0.25).parts().get(0), (Object) "part");
    }
}
