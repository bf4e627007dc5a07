package evendose.correction;

import evendose.Supported;
import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.files.WholeFile;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.OptionalDouble;
import java.util.zip.Deflater;
import java.util.zip.GZIPOutputStream;

/**
 * Dose tables as CSV files: one row a piece, numbers with a decimal dot, lines ended by a line feed. The corners of a piece go
 * anticlockwise from the lowest one, the left of two; a triangle repeats the corner that stands for its side without length.
 */
@Supported
public final class DoseTableCsv {
    /** Columns of the piece table. Absolute doses stay empty when the base dose is not known. */
    public static final String HEADER = "piece,shape,unit,layer,datatype,x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,"
            + "x4_um,y4_um,dose_factor,dose_uc_per_cm2,level,energy_uncorrected,energy_corrected,status";

    /** Columns of the level table. */
    public static final String LEVEL_HEADER = "level,dose_factor,dose_uc_per_cm2,pieces,area_um2";

    private static final int ROWS_PER_PART = 1 << 13;
    private static final int LONGEST_ROW = 19 * (NumberText.LONGEST + 1);

    private DoseTableCsv() {}

    /**
     * Writes the piece table. Coordinates read back to the same doubles; factors and energies have nine decimals.
     *
     * @param table the doses
     * @param file the file to write
     * @throws BadInputException if the file cannot be written
     */
    public static void write(DoseTable table, Path file) {
        try (Workers workers = Workers.of(table.options().threads())) {
            write(table, file, workers, table.options().progress());
        }
    }

    /**
     * As {@link #write(DoseTable, Path)}, compressed by gzip. The file appears whole, also where several processes write it at once; what one
     * leaves that is killed has another name.
     *
     * @param table the doses
     * @param file the file to write
     * @throws BadInputException if the file cannot be written
     */
    public static void writeCompressed(DoseTable table, Path file) {
        WholeFile.write(file, beside -> {
            try (Workers workers = Workers.of(table.options().threads());
                    OutputStream out = new GZIPOutputStream(Files.newOutputStream(beside), 1 << 16) {
                        {
                            // Higher levels take longer than all else and save little.
                            def.setLevel(Deflater.BEST_SPEED);
                        }
                    }) {
                write(table, out, workers, table.options().progress());
            }
        });
    }

    static void write(DoseTable table, Path file, Workers workers, Progress progress) {
        try (OutputStream out = Files.newOutputStream(file)) {
            write(table, out, workers, progress);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    private static void write(DoseTable table, OutputStream out, Workers workers, Progress progress)
            throws IOException {
        Pieces pieces = table.pieces();
        int n = pieces.size();
        progress.begin("writing the dose table", n);
        int[] unit = pieces.unitOfPiece();
        int[] shape = pieces.shapeOfUnit();
        int parts = Workers.partCount(n, ROWS_PER_PART);
        int atOnce = 4 * workers.threads();
        byte[][] texts = new byte[atOnce][ROWS_PER_PART * LONGEST_ROW / 2];
        int[] lengths = new int[atOnce];
        out.write((HEADER + "\n").getBytes(StandardCharsets.US_ASCII));
        for (int wave = 0; wave < parts; wave += atOnce) {
            int first = wave;
            int count = Math.min(atOnce, parts - wave);
            workers.run(count, k -> {
                int from = (first + k) * ROWS_PER_PART;
                int to = Math.min(n, from + ROWS_PER_PART);
                RowText rows = new RowText(table, unit, shape, texts[k]);
                rows.append(from, to);
                texts[k] = rows.text;
                lengths[k] = rows.length;
                progress.advance(to - from);
            });
            for (int k = 0; k < count; k++) {
                out.write(texts[k], 0, lengths[k]);
            }
        }
    }

    /** Text of some rows; what the rows of a unit share is formatted once. */
    private static final class RowText {
        private final DoseTable table;
        private final int[] unitOfPiece;
        private final int[] shapeOfUnit;
        private final byte[] tail = new byte[6 * (NumberText.LONGEST + 1)];
        private final double[] corner = new double[8];
        private final int[] begin = new int[8];
        private byte[] text;
        private int length;

        RowText(DoseTable table, int[] unitOfPiece, int[] shapeOfUnit, byte[] text) {
            this.table = table;
            this.unitOfPiece = unitOfPiece;
            this.shapeOfUnit = shapeOfUnit;
            this.text = text;
        }

        void append(int from, int to) {
            Pieces p = table.pieces();
            int lastUnit = -1;
            int tailLength = 0;
            for (int i = from; i < to; i++) {
                if (length + LONGEST_ROW > text.length) {
                    text = java.util.Arrays.copyOf(text, 2 * text.length);
                }
                int u = unitOfPiece[i];
                int s = shapeOfUnit[u];
                Layer layer = table.roles().get(p.layerOfShape(s)).layer();
                if (u != lastUnit) {
                    lastUnit = u;
                    tailLength = tail(u);
                }
                int at = length;
                at = comma(NumberText.append(text, at, i));
                at = comma(NumberText.append(text, at, s));
                at = comma(NumberText.append(text, at, u));
                at = comma(NumberText.append(text, at, layer.number()));
                at = comma(NumberText.append(text, at, layer.datatype()));
                at = corners(p, i, at);
                System.arraycopy(tail, 0, text, at, tailLength);
                at += tailLength;
                length = at;
            }
        }

        /** Corners share coordinates: a number that stood before is copied, which is quicker than to find its digits again. */
        private int corners(Pieces p, int i, int from) {
            int at = from;
            for (int k = 0; k < 8; k++) {
                corner[k] = k % 2 == 0 ? p.cornerXUm(i, k / 2) : p.cornerYUm(i, k / 2);
                begin[k] = at;
                int same = k % 2;
                while (corner[same] != corner[k]) {
                    same += 2;
                }
                if (same < k) {
                    int bytes = begin[same + 1] - begin[same];
                    System.arraycopy(text, begin[same], text, at, bytes);
                    at += bytes;
                } else {
                    at = comma(NumberText.appendExact(text, at, corner[k]));
                }
            }
            return at;
        }

        private int comma(int at) {
            text[at] = ',';
            return at + 1;
        }

        private int tail(int u) {
            int at = NumberText.appendNineDecimals(tail, 0, table.factor(u));
            tail[at++] = ',';
            if (table.options().baseDoseUcPerCm2().isPresent()) {
                double base = table.options().baseDoseUcPerCm2().getAsDouble();
                at = NumberText.appendNineDecimals(tail, at, base * table.factor(u));
            }
            tail[at++] = ',';
            at = NumberText.append(tail, at, table.level(u));
            tail[at++] = ',';
            at = NumberText.appendNineDecimals(tail, at, table.energyUncorrected(u));
            tail[at++] = ',';
            at = NumberText.appendNineDecimals(tail, at, table.energyCorrected(u));
            tail[at++] = ',';
            at = NumberText.append(tail, at, table.status(u).word());
            tail[at++] = '\n';
            return at;
        }
    }

    /**
     * Writes the level table: one row for each level that is used.
     *
     * @param table the doses
     * @param file the file to write
     * @throws BadInputException if the file cannot be written
     */
    public static void writeLevels(DoseTable table, Path file) {
        DoseLevels levels = table.levels();
        long[] count = new long[levels.size()];
        double[] area = new double[levels.size()];
        Pieces pieces = table.pieces();
        for (int u = 0; u < pieces.units(); u++) {
            int k = table.level(u);
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                count[k]++;
                area[k] += pieces.areaUm2(i);
            }
        }
        writeLevels(levels, count, area, table.options().baseDoseUcPerCm2(), file);
    }

    static void writeLevels(DoseLevels levels, long[] count, double[] area, OptionalDouble baseDose, Path file) {
        StringBuilder text = new StringBuilder(LEVEL_HEADER).append('\n');
        for (int k = 0; k < levels.size(); k++) {
            if (count[k] > 0) {
                double factor = levels.factor(k);
                String dose =
                        baseDose.isPresent() ? String.format(Locale.ROOT, "%.9g", factor * baseDose.getAsDouble()) : "";
                text.append(String.format(Locale.ROOT, "%d,%.9f,%s,%d,%.9g%n", k, factor, dose, count[k], area[k]));
            }
        }
        try {
            Files.writeString(file, text.toString().replace("\r\n", "\n"), StandardCharsets.US_ASCII);
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }
}
