package evendose.calibration;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;

/**
 * The table of a dose test that a person fills in: a row a measurement. Rows whose {@code measured} is empty count as not measured.
 *
 * <p>Columns: {@code measurement} ({@code clearing} or {@code width}); {@code inner_radius_um} and {@code outer_radius_um} of a ring (the inner
 * empty or 0 for a disc); {@code line_width_um}, {@code pitch_um}, {@code lines}, {@code line_length_um} of lines (no pitch and
 * one line or none given: a lone line; no length: a long one); {@code dose_uc_per_cm2} that lines were written with; {@code measured},
 * its {@code unit} ({@code uC/cm2} for clearing doses; {@code nm} or {@code um} for widths) and, if it is known, its
 * {@code standard_error} in the same unit.
 *
 * @param measurements what was measured, in the order of the rows
 * @param empty number of rows not filled in
 */
public record MeasurementFile(List<Measurement> measurements, int empty) {
    /** The columns in their usual order. */
    public static final String HEADER = "measurement,inner_radius_um,outer_radius_um,line_width_um,pitch_um,lines,"
            + "line_length_um,dose_uc_per_cm2,measured,unit,standard_error";

    private static final String[] NEEDED = {"measurement", "measured", "unit"};

    /** A measured width this many times off the drawn one is more likely in another unit than true. */
    private static final double UNBELIEVABLE = 20;

    public MeasurementFile {
        measurements = List.copyOf(measurements);
    }

    /**
     * Reads a table.
     *
     * @throws BadInputException naming the line of the first row that is not sound
     */
    public static MeasurementFile read(Path file) {
        try (CsvTable table = CsvTable.open(file, NEEDED)) {
            return from(table);
        }
    }

    /**
     * As {@link #read}, from a text.
     *
     * @param name name to use in messages
     */
    public static MeasurementFile parse(String name, String text) {
        try (CsvTable table = CsvTable.of(name, text, NEEDED)) {
            return from(table);
        }
    }

    private static MeasurementFile from(CsvTable table) {
        List<Measurement> measurements = new ArrayList<>();
        int empty = 0;
        while (table.next()) {
            if (table.text("measured").isEmpty()) {
                empty++;
                continue;
            }
            try {
                measurements.add(
                        switch (table.text("measurement").toLowerCase(Locale.ROOT)) {
                            case "clearing" -> clearing(table);
                            case "width" -> width(table);
                            default ->
                                throw table.error(
                                        "measurement is '" + table.text("measurement") + "'; write clearing or width");
                        });
            } catch (IllegalArgumentException e) {
                throw table.error(e.getMessage());
            }
        }
        if (measurements.isEmpty()) {
            throw new BadInputException(
                    table.file(), "", "holds no measurement yet; fill in the column 'measured' of some rows");
        }
        return new MeasurementFile(measurements, empty);
    }

    private static Measurement clearing(CsvTable table) {
        String unit = unit(table);
        if (!unit.equals("uc/cm2")) {
            throw table.error("unit of a clearing dose is '" + table.text("unit") + "'; give it in uC/cm2");
        }
        TestFigure.Ring ring = new TestFigure.Ring(
                table.optionalNumber("inner_radius_um").orElse(0), table.positive("outer_radius_um"));
        return Measurement.clearing(ring, table.positive("measured"), standardError(table, 1), table.line());
    }

    private static Measurement width(CsvTable table) {
        double umPerUnit = switch (unit(table)) {
            case "nm" -> 1e-3;
            case "um" -> 1;
            default -> throw table.error("unit of a width is '" + table.text("unit") + "'; give it in nm or um");
        };
        double drawn = table.positive("line_width_um");
        double count = table.optionalNumber("lines").orElse(1);
        if (count != Math.rint(count) || Math.abs(count) > 1e6) {
            throw table.error("lines is " + count + ", not a whole number");
        }
        OptionalDouble pitch = table.optionalNumber("pitch_um");
        if (count == 1 && pitch.isPresent()) {
            throw table.error("a pitch needs the number of lines");
        }
        if (count > 1 && pitch.isEmpty()) {
            throw table.error("several lines need a pitch_um");
        }
        TestFigure.Lines lines = new TestFigure.Lines(
                drawn,
                pitch.orElse(Double.POSITIVE_INFINITY),
                (int) count,
                table.optionalNumber("line_length_um").orElse(Double.POSITIVE_INFINITY));
        double measured = table.positive("measured") * umPerUnit;
        if (measured > UNBELIEVABLE * drawn || measured < drawn / UNBELIEVABLE) {
            throw table.error("a line drawn " + Measurement.brief(drawn) + " um wide measured "
                    + Measurement.brief(measured) + " um; is the unit right?");
        }
        if (count > 1 && measured >= pitch.getAsDouble()) {
            throw table.error("the measured width is not below the pitch; the gap is closed there: leave it empty");
        }
        return Measurement.width(
                lines, table.positive("dose_uc_per_cm2"), measured, standardError(table, umPerUnit), table.line());
    }

    private static String unit(CsvTable table) {
        return table.text("unit")
                .toLowerCase(Locale.ROOT)
                .replace("\u00b5", "u")
                .replace("\u03bc", "u")
                .replace("\u00b2", "2")
                .replace("^", "")
                .replace(" ", "");
    }

    private static OptionalDouble standardError(CsvTable table, double scale) {
        OptionalDouble given = table.optionalNumber("standard_error");
        return given.isPresent() ? OptionalDouble.of(given.getAsDouble() * scale) : given;
    }
}
