package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Values worked out by hand from the definitions of charge, current and the SI's elementary charge. */
class ExposureArithmeticReferenceTest {
    private static final double UM2_PER_MM2 = 1e6;

    @ParameterizedTest
    @CsvSource({"250, 100, 2, 125000", "100, 1, 1, 1000"})
    void timeIsTenTimesDoseTimesAreaOverCurrent(double dose, double areaMm2, double currentNa, double seconds) {
        double charge = ExposureArithmetic.chargeUc(dose, areaMm2 * UM2_PER_MM2);
        assertEquals(seconds, ExposureArithmetic.beamOnS(charge, currentNa), 1e-9 * seconds);
        assertEquals(10 * dose * areaMm2 / currentNa, ExposureArithmetic.beamOnS(charge, currentNa), 1e-9 * seconds);
    }

    @Test
    void aDwellOf100NsIs10Mhz() {
        assertEquals(100, ExposureArithmetic.dwellNs(100, 10, 1), 1e-10);
        assertEquals(10, ExposureArithmetic.frequencyMhz(100, 10, 1), 1e-11);
        assertEquals(1, ExposureArithmetic.highestCurrentNa(100, 10, 10), 1e-12);
    }

    @Test
    void aSquareOf50NmGets156ElectronsPerMicrocoulomb() {
        double electrons = ExposureArithmetic.electrons(1, 0.05 * 0.05);
        assertEquals(156.04, electrons, 0.005);
        assertEquals(0.240, 3 * ExposureArithmetic.relativeSpread(electrons), 0.0005);
    }

    /** Dose at which five standard deviations of the electrons on a disc are 5 % of their number. */
    @ParameterizedTest
    @CsvSource({"40, 127.5", "28, 260.2", "20, 510.0", "14, 1040.8", "10, 2040", "7, 4163"})
    void smallDiscsNeedHighDoses(double diameterNm, double dose) {
        double area = Math.PI / 4 * diameterNm * diameterNm * 1e-6;
        double computed = ExposureArithmetic.doseForSpread(5, 0.05, area);
        assertEquals(dose, computed, 0.0005 * dose);
        assertEquals(0.01, ExposureArithmetic.relativeSpread(ExposureArithmetic.electrons(computed, area)), 1e-12);
    }

    /** Currents from 50 pA to 100 nA, the range of Gaussian-beam writers (common practice): the same formulas all along. */
    @ParameterizedTest
    @CsvSource({"0.05", "0.5", "2", "20", "100"})
    void currentDwellAndClockAreConsistent(double currentNa) {
        double dose = 735;
        double step = 4;
        double dwell = ExposureArithmetic.dwellNs(dose, step, currentNa);
        double frequency = ExposureArithmetic.frequencyMhz(dose, step, currentNa);
        assertEquals(1e3, dwell * frequency, 1e-9);
        assertEquals(currentNa, ExposureArithmetic.highestCurrentNa(dose, step, frequency), 1e-12 * currentNa);
        // All points of an area together take the time that its charge takes.
        double area = 12.34;
        double points = area * 1e6 / (step * step);
        assertEquals(
                ExposureArithmetic.beamOnS(ExposureArithmetic.chargeUc(dose, area), currentNa),
                points * dwell * 1e-9,
                1e-12 * points * dwell);
    }
}
