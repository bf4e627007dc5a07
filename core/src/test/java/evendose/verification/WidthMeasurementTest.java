package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.List;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;

/** Widths of profiles whose crossings are simple: a line of 0.2 um, 0.1 um beside the next, along (0.6, 0.8) from (2, 3). */
class WidthMeasurementTest {
    private static final WidthGauge GAUGE = gauge(0.1);

    private static WidthGauge gauge(double gapUm) {
        return new WidthGauge("g", 2, 3, 0.6, 0.8, 0.2, gapUm, 0, 0);
    }

    /** An energy that depends on the distance from the middle of the line, along the gauge. */
    private static PointEnergy profile(DoubleUnaryOperator energy) {
        return (x, y) -> energy.applyAsDouble((x - 2) * 0.6 + (y - 3) * 0.8 - 0.1);
    }

    /** Half of the threshold's width {@code half} um off the middle, falling evenly: 1 - 0.5 |u| / half. */
    private static PointEnergy tent(double half) {
        return profile(u -> Math.max(0.05, 1 - 0.5 * Math.abs(u) / half));
    }

    /** Upright walls at +-0.1 um. */
    private static PointEnergy walls(double inside, double outside) {
        return profile(u -> Math.abs(u) < 0.1 ? inside : outside);
    }

    private static LineWidth measure(PointEnergy before, PointEnergy after, WidthGauge gauge) throws IOException {
        Exposure exposure =
                new TestExposure().rectangle(0, 0, 1, 1, 1).build(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
        assertEquals(0.5, exposure.threshold(), 1e-12);
        return new WidthMeasurement(exposure)
                .measure(before, after, List.of(gauge), Workers.of(1))
                .get(0);
    }

    private static LineWidth measure(PointEnergy energy) throws IOException {
        return measure(energy, energy, GAUGE);
    }

    /** A dose k times as high moves the crossing to 0.2 (1 - 0.5 / k). */
    @Test
    void aTentByHand() throws IOException {
        LineWidth width = measure(tent(0.15), tent(0.1), GAUGE);
        assertEquals(0.3, width.uncorrectedUm(), 1e-8);
        assertEquals(100, width.uncorrectedErrorNm(), 1e-5);
        assertEquals(0.2, width.correctedUm(), 1e-8);
        assertEquals(100 * (1.01 - 1 / 1.01), width.nmPerPercent(), 1e-4);
        assertEquals(100 * (1 - 0.5 / 0.55), width.doseDownPercent(), 1e-3);
        assertEquals(100 * (0.5 / 0.45 - 1), width.doseUpPercent(), 1e-3);
        // The middle has 1, that of the gap, 0.15 um from it, 0.25.
        assertEquals(0.75 / 1.25, width.contrast(), 1e-9);
        // Without a neighbour the place ten direct ranges from the edge counts, 0.3 um from the middle.
        assertEquals(
                0.3 / 1.7,
                measure(tent(0.5), tent(0.5), gauge(Double.POSITIVE_INFINITY)).contrast(),
                1e-9);
        assertEquals(10, measure(tent(0.1), tent(0.105), GAUGE).correctedErrorNm(), 1e-5);
    }

    @Test
    void aLineThatIsOffAlreadyHasNoRoomThatWay() throws IOException {
        // 0.17 and 0.23 um; the other end of the window by hand as above: 2 half (2 - 1 / k) = 0.22 or 0.18.
        LineWidth narrow = measure(tent(0.085));
        assertEquals(Double.NaN, narrow.doseDownPercent());
        assertEquals(100 * (1 / (2 - 0.22 / 0.17) - 1), narrow.doseUpPercent(), 1e-3);
        LineWidth wide = measure(tent(0.115));
        assertEquals(Double.NaN, wide.doseUpPercent());
        assertEquals(100 * (1 - 1 / (2 - 0.18 / 0.23)), wide.doseDownPercent(), 1e-3);
    }

    @Test
    void walledLinesHoldUntilTheyAreLostOrMeetTheirNeighbours() throws IOException {
        // 0.9 falls below 0.5 at a dose of 0.5 / 0.9, 0.3 rises to it at 0.5 / 0.3.
        LineWidth steep = measure(walls(0.9, 0.3));
        assertEquals(100 * (1 - 0.5 / 0.9), steep.doseDownPercent(), 1e-3);
        assertEquals(100 * (0.5 / 0.3 - 1), steep.doseUpPercent(), 1e-3);
        // Neither within a third and three times the dose: as far as was looked.
        LineWidth steady = measure(walls(2, 0.1));
        assertEquals(200 / 3.0, steady.doseDownPercent(), 1e-9);
        assertEquals(200, steady.doseUpPercent(), 1e-9);
        assertEquals(0, steady.nmPerPercent(), 1e-5);
    }

    @Test
    void whatHasNotTwoEdgesHasNoWidth() throws IOException {
        assertEquals(Double.NaN, measure(walls(0.4, 0.1)).correctedUm());
        assertEquals(Double.NaN, measure(walls(0.9, 0.6)).correctedUm());
    }
}
