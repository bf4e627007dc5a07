package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import org.junit.jupiter.api.Test;

class OutlineScanTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    private static OutlineScan scan(TestExposure shapes) throws IOException {
        Exposure exposure = shapes.build(PSF);
        return OutlineScan.of(exposure, shapes.edges(), exposure.exact(true), EdgeGauges.Region.ALL, Workers.of(1));
    }

    @Test
    void anUnderexposedLineIsLost() throws IOException {
        OutlineScan scan = scan(new TestExposure().rectangle(0, 0, 0.03, 4, 1));
        assertEquals(TroubleSpot.Kind.LOST_LINE, scan.spots().get(0).kind());
        assertEquals(0.015, scan.spots().get(0).xUm(), 1e-9);
    }

    @Test
    void aNarrowGapBetweenOverexposedPadsCloses() throws IOException {
        OutlineScan scan = scan(new TestExposure().rectangle(-5, 0, 0, 10, 2).rectangle(0.02, 0, 5, 10, 2));
        assertTrue(scan.spots().stream()
                .anyMatch(s -> s.kind() == TroubleSpot.Kind.CLOSED_GAP && Math.abs(s.xUm() - 0.01) < 1e-9));
    }

    @Test
    void soundLinesGiveNoAlarm() throws IOException {
        OutlineScan scan =
                scan(new TestExposure().rectangle(0, 0, 0.2, 10, 1.58).rectangle(1, 0, 1.2, 10, 1.58));
        assertTrue(scan.spots().isEmpty(), scan.spots().toString());
    }
}
