package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.util.List;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class MeasurementFileTest {
    /** Columns of a table without intervals. */
    private static final String VALUES = "measurement,inner_radius_um,outer_radius_um,line_width_um,pitch_um,lines,"
            + "line_length_um,dose_uc_per_cm2,measured,unit,standard_error";

    private static final String INTERVALS = "measurement,inner_radius_um,outer_radius_um,ladder_from_uc_per_cm2,"
            + "ladder_to_uc_per_cm2,ladder_step_percent,last_uncleared_uc_per_cm2,first_cleared_uc_per_cm2";

    private static final String NO_LADDER =
            "measurement,outer_radius_um,last_uncleared_uc_per_cm2,first_cleared_uc_per_cm2,measured,unit";

    private static void assertInterval(double low, double high, Measurement m) {
        assertEquals(low, m.low(), 1e-9 * low);
        assertEquals(high, m.high(), Double.isInfinite(high) ? 0 : 1e-9 * high);
    }

    @Test
    void clearingDosesAreIntervals() {
        MeasurementFile file = MeasurementFile.parse(
                "m.csv",
                INTERVALS + "\n"
                        + "clearing,8,93,800,1200,5,1000,1050\n"
                        + "clearing,8,93,800,1200,5,1000,\n"
                        + "clearing,8,93,800,1200,5,,1050\n"
                        + "clearing,8,93,800,1200,5,,800\n"
                        + "clearing,8,93,800,1200,5,1200,\n"
                        + "clearing,8,93,800,1200,5,,\n");
        assertEquals(1, file.empty());
        assertInterval(1000, 1050, file.measurements().get(0));
        assertInterval(1000, 1050, file.measurements().get(1));
        assertInterval(1000, 1050, file.measurements().get(2));
        assertInterval(0, 800, file.measurements().get(3));
        assertInterval(1200, Double.POSITIVE_INFINITY, file.measurements().get(4));
        assertEquals(List.of("2 clearing doses are known from one side only and count as bounds"), file.notes());
    }

    @Test
    void oneEndAloneIsCompletedFromTheLadderThatTheTableShows() {
        StringBuilder text = new StringBuilder(NO_LADDER + "\n");
        double[] first = {390, 409.5, 429.98, 451.47, 635.3, 700.4};
        for (double dose : first) {
            text.append("clearing,93,,").append(dose).append(",,\n");
        }
        MeasurementFile file = MeasurementFile.parse("m.csv", text.toString());
        for (int k = 0; k < first.length; k++) {
            assertEquals(first[k] / 1.05, file.measurements().get(k).low(), 1e-3 * first[k]);
        }
        assertTrue(
                file.notes().get(0).startsWith("6 clearing doses have one end only"),
                file.notes().toString());
        MeasurementFile other = MeasurementFile.parse("m.csv", NO_LADDER + "\nclearing,93,,390,,\nclearing,9,,511,,\n");
        assertTrue(other.measurements().stream().allMatch(Measurement::bound));
    }

    @Test
    void valuesThatAreDosesOfALadderAreTold() {
        StringBuilder text = new StringBuilder(NO_LADDER + "\n");
        for (int k : new int[] {0, 3, 4, 9, 11, 20}) {
            text.append("clearing,93,,,")
                    .append(Math.round(390 * Math.pow(1.05, k)))
                    .append(",uC/cm2\n");
        }
        MeasurementFile ladder = MeasurementFile.parse("m.csv", text.toString());
        assertEquals(1, ladder.notes().size());
        assertTrue(
                ladder.notes().get(0).startsWith("the clearing doses lie on a ladder with steps of 5 %"),
                ladder.notes().get(0));
        MeasurementFile free = MeasurementFile.parse(
                "m.csv",
                NO_LADDER + "\nclearing,3,,,976,uC/cm2\nclearing,4,,,1135,uC/cm2\nclearing,5,,,1327,uC/cm2\n"
                        + "clearing,6,,,1620,uC/cm2\nclearing,7,,,2168,uC/cm2\nclearing,8,,,410,uC/cm2\n");
        assertEquals(List.of(), free.notes());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "clearing,93,400,380,,|the last dose that did not clear must lie below the first that did (380), got 400.0",
                "clearing,93,400,420,410,uC/cm2|give either measured, or last_uncleared_uc_per_cm2 and first_cleared_uc_per_cm2,"
                        + " not both",
                "width,93,400,420,,|a width belongs into the column measured",
                "clearing,93,0,420,,|last_uncleared_uc_per_cm2 must be positive, got 0.0",
            })
    void badIntervalsAreNamed(String row, String message) {
        BadInputException e = assertThrows(
                BadInputException.class, () -> MeasurementFile.parse("m.csv", NO_LADDER + "\n" + row + "\n"));
        assertEquals("m.csv, line 2: " + message, e.getMessage());
    }

    @Test
    void rowsFilledInByHandAreUnderstood() {
        MeasurementFile file = MeasurementFile.parse(
                "m.csv",
                "# notes\n" + VALUES + "\n"
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
        BadInputException e =
                assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", VALUES + "\n" + row + "\n"));
        assertEquals("m.csv, line 2: " + message, e.getMessage());
    }

    @Test
    void anEmptyTemplateIsRefused() {
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", MeasurementFile.HEADER + "\n"));
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", ""));
        assertThrows(BadInputException.class, () -> MeasurementFile.parse("m.csv", "a,b\n1,2\n"));
    }
}
