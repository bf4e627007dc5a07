package evendose.writing;

import evendose.correction.DoseTable;
import evendose.files.BadInputException;
import evendose.pieces.Pieces;
import java.io.BufferedReader;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.OptionalDouble;

/**
 * What a writer needs of a dose table: trapezoids with a dose factor each, as parallel arrays. Piece {@code i} has horizontal sides
 * at {@code yBottomUm(i) < yTopUm(i)} and a dose factor, a level and the number of the merged shape it belongs to.
 */
public final class DosedPieces {
    private static final List<String> NEEDED = List.of(
            "shape",
            "y_bottom_um",
            "y_top_um",
            "x_left_bottom_um",
            "x_right_bottom_um",
            "x_left_top_um",
            "x_right_top_um",
            "dose_factor",
            "level");

    private static final int SHAPE = 0;
    private static final int FIRST_COORDINATE = 1;
    private static final int FACTOR = 7;
    private static final int LEVEL = 8;
    private static final int FIRST_SIZE = 1024;

    private int size;
    private final double[][] coordinates;
    private double[] factor;
    private int[] level;
    private int[] shape;

    private DosedPieces(int room) {
        coordinates = new double[6][room];
        factor = new double[room];
        level = new int[room];
        shape = new int[room];
    }

    /** The pieces of a table that was just computed. */
    public static DosedPieces of(DoseTable table) {
        Pieces pieces = table.pieces();
        DosedPieces result = new DosedPieces(0);
        result.size = pieces.size();
        double[][] from = {
            pieces.yBottomUm(),
            pieces.yTopUm(),
            pieces.xLeftBottomUm(),
            pieces.xRightBottomUm(),
            pieces.xLeftTopUm(),
            pieces.xRightTopUm()
        };
        System.arraycopy(from, 0, result.coordinates, 0, from.length);
        result.factor = new double[result.size];
        result.level = new int[result.size];
        result.shape = new int[result.size];
        for (int s = 0; s < pieces.shapes(); s++) {
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                int begin = pieces.unitFirst(u);
                int end = pieces.unitFirst(u + 1);
                Arrays.fill(result.factor, begin, end, table.factor(u));
                Arrays.fill(result.level, begin, end, table.level(u));
                Arrays.fill(result.shape, begin, end, s);
            }
        }
        return result;
    }

    /**
     * Reads the piece table that a correction writes, also after a person edited it: columns are found by name, others are
     * ignored, the numbers of shapes need not be in order.
     *
     * @throws BadInputException if the file cannot be read, a column is missing, or a row is not sound; the message names the
     *     line
     */
    public static DosedPieces read(Path file) {
        try (BufferedReader reader = Files.newBufferedReader(file, StandardCharsets.UTF_8)) {
            return read(reader, file.toString());
        } catch (NoSuchFileException e) {
            throw new BadInputException(file.toString(), "", "no such file", e);
        } catch (IOException e) {
            throw new BadInputException(file.toString(), "", "cannot be read as UTF-8 text", e);
        }
    }

    private static DosedPieces read(BufferedReader reader, String file) throws IOException {
        String header = reader.readLine();
        if (header == null) {
            throw new BadInputException(file, "", "is empty; give the doses.csv that 'correct' writes");
        }
        List<String> names = Arrays.stream(header.replace("\ufeff", "").split(",", -1))
                .map(String::strip)
                .toList();
        int[] column = new int[NEEDED.size()];
        for (int k = 0; k < column.length; k++) {
            column[k] = names.indexOf(NEEDED.get(k));
            if (column[k] < 0) {
                throw new BadInputException(
                        file,
                        "line 1",
                        "has no column " + NEEDED.get(k) + "; give the doses.csv that 'correct' writes");
            }
        }
        DosedPieces result = new DosedPieces(FIRST_SIZE);
        int[] starts = new int[names.size() + 1];
        double[] value = new double[column.length];
        long line = 1;
        for (String row = reader.readLine(); row != null; row = reader.readLine()) {
            line++;
            if (row.isBlank()) {
                continue;
            }
            int fields = split(row, starts);
            if (fields != names.size()) {
                throw new BadInputException(
                        file, "line " + line, "has " + fields + " fields where the header has " + names.size());
            }
            for (int k = 0; k < column.length; k++) {
                String text = row.substring(starts[column[k]], starts[column[k] + 1] - 1);
                value[k] = number(text.strip(), NEEDED.get(k), file, line);
            }
            result.add(value, file, line);
        }
        if (result.size == 0) {
            throw new BadInputException(file, "", "holds no piece");
        }
        return result;
    }

    /** Puts the start of each field and one past the end of the last separator into {@code starts}; the number of fields. */
    private static int split(String row, int[] starts) {
        int fields = 0;
        int from = 0;
        while (true) {
            int comma = row.indexOf(',', from);
            if (fields < starts.length) {
                starts[fields] = from;
            }
            fields++;
            if (comma < 0) {
                break;
            }
            from = comma + 1;
        }
        if (fields < starts.length) {
            starts[fields] = row.length() + 1;
        }
        return fields;
    }

    private static double number(String text, String name, String file, long line) {
        try {
            double value = Double.parseDouble(text);
            if (Double.isFinite(value)) {
                return value;
            }
        } catch (NumberFormatException e) {
            // Said below.
        }
        throw new BadInputException(file, "line " + line, name + " is '" + text + "', not a number");
    }

    private void add(double[] value, String file, long line) {
        if (!(value[FACTOR] > 0)) {
            throw new BadInputException(file, "line " + line, "dose_factor must be positive, got " + value[FACTOR]);
        }
        if (value[SHAPE] < 0
                || value[SHAPE] != (int) value[SHAPE]
                || value[LEVEL] < 0
                || value[LEVEL] != (int) value[LEVEL]) {
            throw new BadInputException(file, "line " + line, "shape and level must be whole numbers from 0");
        }
        if (size == factor.length) {
            int room = size + (size >> 1);
            for (int k = 0; k < coordinates.length; k++) {
                coordinates[k] = Arrays.copyOf(coordinates[k], room);
            }
            factor = Arrays.copyOf(factor, room);
            level = Arrays.copyOf(level, room);
            shape = Arrays.copyOf(shape, room);
        }
        for (int k = 0; k < coordinates.length; k++) {
            coordinates[k][size] = value[FIRST_COORDINATE + k];
        }
        factor[size] = value[FACTOR];
        level[size] = (int) value[LEVEL];
        shape[size] = (int) value[SHAPE];
        if (!(yTopUm(size) > yBottomUm(size))
                || xRightBottomUm(size) < xLeftBottomUm(size)
                || xRightTopUm(size) < xLeftTopUm(size)
                || !(areaUm2(size) > 0)) {
            throw new BadInputException(
                    file, "line " + line, "the piece has no area: top must lie above bottom and right beyond left");
        }
        size++;
    }

    /** Number of pieces. */
    public int size() {
        return size;
    }

    public double yBottomUm(int i) {
        return coordinates[0][i];
    }

    public double yTopUm(int i) {
        return coordinates[1][i];
    }

    public double xLeftBottomUm(int i) {
        return coordinates[2][i];
    }

    public double xRightBottomUm(int i) {
        return coordinates[3][i];
    }

    public double xLeftTopUm(int i) {
        return coordinates[4][i];
    }

    public double xRightTopUm(int i) {
        return coordinates[5][i];
    }

    /** Dose of piece {@code i} over the base dose. */
    public double factor(int i) {
        return factor[i];
    }

    /** Dose level of piece {@code i}. */
    public int level(int i) {
        return level[i];
    }

    /** Merged shape of piece {@code i}. */
    public int shape(int i) {
        return shape[i];
    }

    /** Area of piece {@code i}, um^2. */
    public double areaUm2(int i) {
        double[][] c = coordinates;
        return 0.5 * (c[3][i] - c[2][i] + c[5][i] - c[4][i]) * (c[1][i] - c[0][i]);
    }

    /** Area of all pieces, um^2. */
    public double areaUm2() {
        double sum = 0;
        for (int i = 0; i < size; i++) {
            sum += areaUm2(i);
        }
        return sum;
    }

    /** Area times factor of all pieces, um^2. */
    public double dosedAreaUm2() {
        double sum = 0;
        for (int i = 0; i < size; i++) {
            sum += factor[i] * areaUm2(i);
        }
        return sum;
    }

    /** Smallest dose factor; empty if there is no piece. */
    public OptionalDouble smallestFactor() {
        return Arrays.stream(factor, 0, size).min();
    }

    /** Smallest x, smallest y, largest x, largest y of all pieces, um. */
    public double[] boundsUm() {
        double[] b = {Double.MAX_VALUE, Double.MAX_VALUE, -Double.MAX_VALUE, -Double.MAX_VALUE};
        for (int i = 0; i < size; i++) {
            b[0] = Math.min(b[0], Math.min(xLeftBottomUm(i), xLeftTopUm(i)));
            b[1] = Math.min(b[1], yBottomUm(i));
            b[2] = Math.max(b[2], Math.max(xRightBottomUm(i), xRightTopUm(i)));
            b[3] = Math.max(b[3], yTopUm(i));
        }
        return b;
    }
}
