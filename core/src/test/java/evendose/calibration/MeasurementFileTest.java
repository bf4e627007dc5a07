package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.files.BadInputException;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class MeasurementFileTest {
    @Test
    void rowsFilledInByHandAreUnderstood() {
        MeasurementFile file = MeasurementFile.parse(
                "m.csv",
                "# notes\n" + MeasurementFile.HEADER + "\n"
                        + "clearing,8,93,,,,,,1200,\u00b5C/cm\u00b2,30\n"
                        + "clearing,,93,,,,,,375,uC/cm2,\n"
                        + "\n"
                        + "width,,,0.3,0.6,207,124,680,312,nm,2\n"
                        + "Width,,,0.3,,,,1200,0.305,um,\n"
                        + "width,,,0.3,,,,1300,,nm,\n");
        assertEquals(4, file.measurements().size());
        assertEquals(1, file.empty());
        assertEquals(
                Measurement.clearing(new TestFigure.Ring(8, 93), 1200, OptionalDouble.of(30), 3),
                file.measurements().get(0));
        assertEquals(new TestFigure.Ring(0, 93), file.measurements().get(1).figure());
        assertEquals(
                Measurement.width(new TestFigure.Lines(0.3, 0.6, 207, 124), 680, 0.312, OptionalDouble.of(0.002), 6),
                file.measurements().get(2));
        assertEquals(
                Measurement.width(TestFigure.Lines.lone(0.3), 1200, 0.305, OptionalDouble.empty(), 7),
                file.measurements().get(3));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "clearing,8,93,,,,,,1200,C/m2,|unit of a clearing dose is 'C/m2'; give it in uC/cm2",
                "width,,,0.3,,,,1200,300,,|unit of a width is ''; give it in nm or um",
                "width,,,0.3,,,,1200,300,um,|a line drawn 0.3 um wide measured 300 um; is the unit right?",
                "width,,,300,,,,1200,300,nm,|a line drawn 300 um wide measured 0.3 um; is the unit right?",
                "width,,,0.3,0.6,,,1200,300,nm,|a pitch needs the number of lines",
                "width,,,0.3,0.6,4,,1200,300,nm,|the number of lines must be odd, so that there is one in the middle; got 4",
                "width,,,0.3,0.6,5,,,300,nm,|dose_uc_per_cm2 is missing",
                "width,,,0.3,0.6,5,,1200,610,nm,|the measured width is not below the pitch; the gap is closed there: leave it empty",
                "clearing,93,8,,,,,,1200,uC/cm2,|a ring needs 0 <= inner radius < outer radius, got 93.0 and 8.0",
                "clearing,8,93,,,,,,-3,uC/cm2,|measured must be positive, got -3.0",
                "clearing,8,93,,,,,,12,uC/cm2,40|the standard error must be positive and below the value, got 40.0",
                "clearing,8,93,,,,,,about,uC/cm2,|measured is 'about', not a number",
                "depth,8,93,,,,,,3,uC/cm2,|measurement is 'depth'; write clearing or width",
            })
    void badRowsAreNamed(String row, String message) {
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> MeasurementFile.parse("m.csv", MeasurementFile.HEADER + "\n" + row + "\n"));
        assertEquals("m.csv, line 2: " + message, e.getMessage());
    }

    @Test
    void anEmptyTemplateIsRefused() {
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", MeasurementFile.HEADER + "\n"));
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", ""));
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", "a,b\n1,2\n"));
    }
}
