package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import java.io.IOException;
import java.nio.file.Files;
import java.util.List;
import org.junit.jupiter.api.Test;

class TidepoolMeasurementsTest {
    @Test
    void theBundledTableIsWhatTheGeneratorWrites() throws IOException {
        assertEquals(TidepoolMeasurements.text(), Files.readString(TestData.file("demo/tidepool-measured.csv")));
    }

    /** Each within 4 stated standard errors of the truth behind it: one table in 4,000 would miss by chance. */
    @Test
    void theFitFindsTheTruthBehindIt() {
        MeasurementFile file = MeasurementFile.read(TestData.file("demo/tidepool-measured.csv"));
        Calibration found = CalibrationFit.fit("demo", file.measurements(), FitOptions.USUAL);
        double[] truth = {
            TidepoolMeasurements.ALPHA_UM,
            TidepoolMeasurements.BETA_UM,
            TidepoolMeasurements.ETA,
            TidepoolMeasurements.CLEARING_DOSE
        };
        for (int k = 0; k < truth.length; k++) {
            FittedParameter p = found.parameters().get(k);
            assertEquals(truth[k], p.value(), 4 * p.standardError(), p.name());
            assertTrue(p.standardError() < 0.13 * p.value(), p.name() + " is determined well");
        }
        assertTrue(found.residuals().stream().noneMatch(FitResidual::outlier));
        assertEquals(
                2,
                found.parameter("width offset").value(),
                2 * found.parameter("width offset").standardError());
        assertEquals(List.of(), found.cautions());
    }
}
