package evendose.calibration;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.units.Plausible;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;
import java.util.Set;

/**
 * The table of a dose test that a person fills in: a row a measurement. Rows without a value count as not measured.
 *
 * <p>Columns: {@code measurement} ({@code clearing} or {@code width}); {@code inner_radius_um} and {@code outer_radius_um} of a ring (the inner
 * empty or 0 for a disc); {@code line_width_um}, {@code pitch_um}, {@code lines}, {@code line_length_um} of lines (no pitch and
 * one line or none given: a lone line; no length: a long one); {@code dose_uc_per_cm2} that lines were written with.
 *
 * <p>What is seen of a ring or disc is an interval: {@code last_uncleared_uc_per_cm2}, the last dose that did not clear, and
 * {@code first_cleared_uc_per_cm2}, the first that did. One alone is enough where {@code ladder_step_percent} says how far apart doses are,
 * or where the table's own doses lie on such a ladder; the lowest or highest dose of the row, {@code ladder_from_uc_per_cm2} and {@code
 * ladder_to_uc_per_cm2}, has nothing beyond it and bounds the value on one side. {@code measured} holds a width, or a
 * clearing dose known as a number, with its {@code unit} ({@code uC/cm2} for clearing doses; {@code nm} or {@code um} for widths). {@code
 * standard_error}, if it is known, has the same unit.
 *
 * @param measurements what was measured, in the order of the rows
 * @param empty number of rows not filled in
 * @param notes what the user should know of how rows were understood, a phrase each
 */
public record MeasurementFile(List<Measurement> measurements, int empty, List<String> notes) {
    private static final String LAST = "last_uncleared_uc_per_cm2";
    private static final String FIRST = "first_cleared_uc_per_cm2";

    /** The columns in their usual order. */
    public static final String HEADER = "measurement,inner_radius_um,outer_radius_um,line_width_um,pitch_um,lines,"
            + "line_length_um,dose_uc_per_cm2,ladder_from_uc_per_cm2,ladder_to_uc_per_cm2,ladder_step_percent," + LAST
            + "," + FIRST + ",measured,unit,standard_error";

    private static final String NEEDED = "measurement";

    /** A measured width this many times off the drawn one is more likely in another unit than true. */
    private static final double UNBELIEVABLE = 20;

    /** Doses written with few digits are those of the ladder if they agree as well as this. */
    private static final double SAME_DOSE = 2e-3;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public MeasurementFile {
        measurements = List.copyOf(measurements);
        notes = List.copyOf(notes);
    }

    /**
     * Reads a table.
     *
     * @param file the CSV file
     * @return the measurements
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
     * @param text the text of the table
     * @return the measurements
     */
    static MeasurementFile parse(String name, String text) {
        try (CsvTable table = CsvTable.of(name, text, NEEDED)) {
            return from(table);
        }
    }

    private static MeasurementFile from(CsvTable table) {
        if (!table.has("measured") && !table.has(LAST) && !table.has(FIRST)) {
            throw table.error("the header row needs a column measured, " + LAST + " or " + FIRST);
        }
        List<Measurement> measurements = new ArrayList<>();
        int empty = 0;
        Set<Long> ends = new HashSet<>();
        while (table.next()) {
            if (table.text("measured").isEmpty()
                    && table.text(LAST).isEmpty()
                    && table.text(FIRST).isEmpty()) {
                empty++;
                continue;
            }
            try {
                measurements.add(
                        switch (table.text(NEEDED).toLowerCase(Locale.ROOT)) {
                            case "clearing" -> clearing(table, ends);
                            case "width" -> width(table);
                            default ->
                                throw table.error(
                                        "measurement is '" + table.text(NEEDED) + "'; write clearing or width");
                        });
            } catch (IllegalArgumentException e) {
                throw table.error(e.getMessage());
            }
        }
        if (measurements.isEmpty()) {
            throw new BadInputException(
                    table.file(),
                    "",
                    "holds no measurement yet; fill in " + LAST + " and " + FIRST + " of rings and discs and 'measured'"
                            + " of lines in some rows");
        }
        List<String> notes = new ArrayList<>();
        List<Measurement> told = withLadder(measurements, ends, notes);
        return new MeasurementFile(told, empty, notes);
    }

    /**
     * Where one end of an interval is given and nothing says how far the other is, doses that lie on a ladder say it; where they
     * do not, the end is a bound. Values that lie on a ladder are more likely doses that were written than clearing doses.
     *
     * @param ends lines whose only end is known to be that of the row's doses
     */
    private static List<Measurement> withLadder(List<Measurement> read, Set<Long> ends, List<String> notes) {
        List<Measurement> told = new ArrayList<>();
        DoseLadder bounds = DoseLadder.of(
                read.stream().filter(m -> m.bound() && !ends.contains(m.line())).toList());
        int completed = 0;
        int open = 0;
        for (Measurement m : read) {
            if (m.bound() && !ends.contains(m.line()) && bounds.found()) {
                completed++;
                told.add(
                        m.low() == 0
                                ? between(m, m.high() / bounds.ratio(), m.high())
                                : between(m, m.low(), m.low() * bounds.ratio()));
            } else {
                open += m.bound() ? 1 : 0;
                told.add(m);
            }
        }
        if (completed > 0) {
            notes.add(String.format(
                    Locale.ROOT,
                    "%d clearing doses have one end only; they lie on a ladder with steps of %s %%, so the other end was"
                            + " taken one step away",
                    completed,
                    bounds.stepPercent()));
        }
        if (open > 0) {
            notes.add(
                    open == 1
                            ? "1 clearing dose is known from one side only and counts as a bound"
                            : open + " clearing doses are known from one side only and count as bounds");
        }
        DoseLadder values = DoseLadder.of(read.stream()
                .filter(m -> m.kind() == Measurement.Kind.CLEARING && m.exact())
                .toList());
        if (values.found()) {
            notes.add(String.format(
                    Locale.ROOT,
                    "the clearing doses lie on a ladder with steps of %s %%: if they are the first doses that cleared, the"
                            + " base dose comes out %.2g %% high; put them into %s instead",
                    values.stepPercent(),
                    100 * (Math.sqrt(values.ratio()) - 1),
                    FIRST));
        }
        return told;
    }

    private static Measurement between(Measurement m, double low, double high) {
        return Measurement.clearing((TestFigure.Ring) m.figure(), low, high, m.standardError(), m.line());
    }

    private static Measurement clearing(CsvTable table, Set<Long> ends) {
        TestFigure.Ring ring = new TestFigure.Ring(
                table.optionalNumber("inner_radius_um").orElse(0), table.positive("outer_radius_um"));
        OptionalDouble error = standardError(table, 1);
        boolean last = !table.text(LAST).isEmpty();
        boolean first = !table.text(FIRST).isEmpty();
        if (!table.text("measured").isEmpty()) {
            if (last || first) {
                throw table.error("give either measured, or " + LAST + " and " + FIRST + ", not both");
            }
            if (!unit(table).equals("uc/cm2")) {
                throw table.error("unit of a clearing dose is '" + table.text("unit") + "'; give it in uC/cm2");
            }
            return Measurement.clearing(
                    ring, table.positive("measured", Plausible.DOSE::objection), error, table.line());
        }
        double low = last ? table.positive(LAST, Plausible.DOSE::objection) : 0;
        double high = first ? table.positive(FIRST, Plausible.DOSE::objection) : Double.POSITIVE_INFINITY;
        if (last != first) {
            OptionalDouble step = table.optionalNumber("ladder_step_percent");
            double edge = table.optionalNumber(first ? "ladder_from_uc_per_cm2" : "ladder_to_uc_per_cm2")
                    .orElse(Double.NaN);
            if (Math.abs((first ? high : low) / edge - 1) < SAME_DOSE) {
                ends.add((long) table.line());
            } else if (step.isPresent()) {
                double ratio = 1 + table.positive("ladder_step_percent") / 100;
                low = first ? high / ratio : low;
                high = first ? high : low * ratio;
            }
        }
        return Measurement.clearing(ring, low, high, error, table.line());
    }

    private static Measurement width(CsvTable table) {
        if (table.text("measured").isEmpty()) {
            throw table.error("a width belongs into the column measured");
        }
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
