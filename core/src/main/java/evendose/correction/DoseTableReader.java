package evendose.correction;

import evendose.Supported;
import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.files.OutputFolder;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Trapezoid;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.TreeMap;
import java.util.regex.Pattern;

/**
 * Reads doses back: from a piece table as {@link DoseTableCsv} writes it, perhaps edited by hand, or from a layout of pieces with
 * the dose level as datatype and the table {@code levels.csv} beside it.
 *
 * <p>Of a piece table, the four corners and {@code dose_factor} are needed; columns may be in any order, others may be
 * missing or added. Corners may go either way round from any of them. Lines that begin with {@code #} and blank ones are left out. Rows may be in any order, removed or repeated.
 * {@code status} and {@code level} do not count for the dose; absolute doses that contradict the factors are told.
 */
@Supported
public final class DoseTableReader {
    private static final String FACTOR = "dose_factor";
    /** The corners come first. */
    private static final String[] NEEDED = {
        "x1_um", "y1_um", "x2_um", "y2_um", "x3_um", "y3_um", "x4_um", "y4_um", FACTOR
    };

    private static final String ABSOLUTE = "dose_uc_per_cm2";
    private static final int CONTRADICTIONS_TOLD = 5;
    /** Factors carry nine decimals, so absolute doses agree far better than this. */
    private static final double SAME_DOSE = 1e-5;

    /** Names of the tables of tiles; numbers are as long as each other. */
    private static final Pattern PART = Pattern.compile("doses-part-\\d+\\.csv\\.gz");

    private DoseTableReader() {}

    /**
     * {@return the name of the table of a tile}
     *
     * @param tile number of the tile
     */
    public static String part(int tile) {
        return String.format(Locale.ROOT, "doses-part-%06d.csv.gz", tile);
    }

    /**
     * Reads doses from a file of either kind, or from a folder that holds {@code doses.csv}, or the tables of tiles.
     *
     * @param file the file or folder
     * @return the doses
     * @throws BadInputException if the file cannot be read or is not sound; the message names file and place
     */
    public static StoredDoses read(Path file) {
        if (Files.isDirectory(file)) {
            OutputFolder.settle(file);
            Path one = file.resolve("doses.csv");
            Path places = file.resolve(TilePlace.FILE);
            return read(
                    !Files.exists(one) && Files.exists(places)
                            ? TilePlace.read(places)
                            : List.of(new TilePlace.Part(one, 0, 0)));
        }
        return LayoutFiles.looksLikeText(file) ? read(List.of(new TilePlace.Part(file, 0, 0))) : readLayout(file);
    }

    static boolean isPart(String name) {
        return PART.matcher(name).matches();
    }

    private static StoredDoses read(List<TilePlace.Part> parts) {
        CsvRows rows = new CsvRows();
        for (TilePlace.Part part : parts) {
            try (CsvTable table = CsvTable.open(part.file(), NEEDED)) {
                rows.read(table, part.dxUm(), part.dyUm());
            }
        }
        return rows.build();
    }

    /** Rows of a piece table. */
    private static final class CsvRows {
        private CsvTable table;
        private final PieceRows rows = new PieceRows();

        /** Each table numbers its shapes and units from 0. */
        private long firstNumber;

        private long lastNumber = -1;
        private final List<String> contradictions = new ArrayList<>();
        private int contradicting;
        private OptionalDouble base = OptionalDouble.empty();

        void read(CsvTable next, double dxUm, double dyUm) {
            table = next;
            firstNumber = lastNumber + 1;
            table.requireWholeRows();
            boolean layers = table.has("layer");
            boolean datatypes = table.has("datatype");
            boolean shapes = table.has("shape");
            boolean units = table.has("unit");
            Layer on = new Layer(1, 0);
            double[] corners = new double[8];
            for (long row = 0; table.next(); row++) {
                for (int k = 0; k < 8; k++) {
                    corners[k] = table.number(NEEDED[k]) + (k % 2 == 0 ? dxUm : dyUm);
                }
                Trapezoid piece = Trapezoid.ofCorners(corners)
                        .orElseThrow(() -> table.error("the corners x1_um, y1_um to x4_um, y4_um must be those of a "
                                + "trapezoid with two sides along x or two along y, in order, and enclose an area"));
                double factor = table.positive(FACTOR);
                int number = layers ? layerNumber("layer") : 1;
                int type = datatypes ? layerNumber("datatype") : 0;
                if (number != on.number() || type != on.datatype()) {
                    on = new Layer(number, type);
                }
                compareAbsolute(factor);
                long unit = units ? table.whole("unit") : row;
                long shape = shapes ? table.whole("shape") : unit;
                lastNumber = Math.max(lastNumber, firstNumber + Math.max(unit, shape));
                rows.add(piece, on, firstNumber + shape, firstNumber + unit, factor, status(), table.line());
            }
        }

        StoredDoses build() {
            if (contradicting > CONTRADICTIONS_TOLD) {
                contradictions.add((contradicting - CONTRADICTIONS_TOLD) + " more rows do");
            }
            return rows.build("line", base, 1, false, contradictions);
        }

        private int layerNumber(String column) {
            long value = table.whole(column);
            if (value < 0 || value > 0xffff) {
                throw table.error("layer and datatype must lie in 0 to 65535, not " + value);
            }
            return (int) value;
        }

        private DoseStatus status() {
            String word = table.text("status");
            if (word.isEmpty()) {
                return DoseStatus.OK;
            }
            try {
                return DoseStatus.of(word);
            } catch (IllegalArgumentException e) {
                throw table.error(e.getMessage() + "; write ok, or remove the column");
            }
        }

        /** The first absolute dose sets the base; later ones must follow it. */
        private void compareAbsolute(double factor) {
            if (table.text(ABSOLUTE).isEmpty()) {
                return;
            }
            double dose = table.number(ABSOLUTE);
            if (base.isEmpty()) {
                base = OptionalDouble.of(dose / factor);
            } else if (Math.abs(dose / factor / base.getAsDouble() - 1) > SAME_DOSE
                    && ++contradicting <= CONTRADICTIONS_TOLD) {
                contradictions.add(String.format(
                        Locale.ROOT,
                        "line %d: %s uC/cm^2 is not the factor %s times the base dose of %.6g uC/cm^2",
                        table.line(),
                        table.text(ABSOLUTE),
                        factor,
                        base.getAsDouble()));
            }
        }
    }

    private static StoredDoses readLayout(Path file) {
        Path levelFile = file.resolveSibling("levels.csv");
        if (!Files.exists(levelFile)) {
            throw new BadInputException(
                    file.toString(), "", "is a layout, and there is no levels.csv beside it that gives the doses");
        }
        TreeMap<Integer, Double> levels = readLevels(levelFile);
        Layout layout = LayoutFiles.read(file);
        Flattener flattener = Flattener.of(layout);
        List<Layer> found = new ArrayList<>(flattener.counts().keySet());
        Map<Layer, Integer> groups = new HashMap<>();
        for (int g = 0; g < found.size(); g++) {
            if (!levels.containsKey(found.get(g).datatype())) {
                throw new BadInputException(
                        file.toString(),
                        "layer " + found.get(g),
                        "its datatype is no level that " + levelFile.getFileName() + " lists");
            }
            groups.put(found.get(g), g);
        }
        Polygons polygons = new Polygons();
        flattener.flatten(groups, polygons);
        LayoutRows rows = new LayoutRows(layout, found, levels);
        polygons.forEach(rows);
        return rows.rows.build("polygon", OptionalDouble.empty(), ratio(levels), true, List.of());
    }

    private static TreeMap<Integer, Double> readLevels(Path file) {
        TreeMap<Integer, Double> levels = new TreeMap<>();
        try (CsvTable table = CsvTable.open(file, "level", FACTOR)) {
            table.requireWholeRows();
            while (table.next()) {
                if (levels.put((int) table.whole("level"), table.positive(FACTOR)) != null) {
                    throw table.error("level " + table.whole("level") + " occurs twice");
                }
            }
        }
        return levels;
    }

    /** Largest ratio of neighbouring levels, taking into account that unused ones are not listed. */
    private static double ratio(TreeMap<Integer, Double> levels) {
        double largest = 1;
        Map.Entry<Integer, Double> last = null;
        for (Map.Entry<Integer, Double> level : levels.entrySet()) {
            if (last != null) {
                double steps = level.getKey() - last.getKey();
                largest = Math.max(largest, Math.pow(level.getValue() / last.getValue(), 1 / steps));
            }
            last = level;
        }
        return largest;
    }

    /** Turns polygons back into pieces; neighbours of one layer and level in the file are taken for a unit. */
    private static final class LayoutRows implements Polygons.Visitor {
        private final Layout layout;
        private final List<Layer> layers;
        private final TreeMap<Integer, Double> levels;
        private final PieceRows rows = new PieceRows();
        private int count;
        private int unit = -1;
        private int lastGroup = -1;

        LayoutRows(Layout layout, List<Layer> layers, TreeMap<Integer, Double> levels) {
            this.layout = layout;
            this.layers = layers;
            this.levels = levels;
        }

        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            count++;
            add(group, new Trapezoid(false, um(y0), um(y1), um(x0), um(x1), um(x0), um(x1)));
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            count++;
            double[] corners = new double[2 * vertices];
            Arrays.setAll(corners, k -> um(xy[from + k]));
            Optional<Trapezoid> piece = Trapezoid.ofCorners(corners);
            if (piece.isPresent()) {
                add(group, piece.get());
                return;
            }
            // Not a shape that a correction writes: somebody drew it, and it is taken as it is.
            Polygons single = new Polygons();
            single.addPolygon(0, Arrays.copyOfRange(xy, from, from + 2 * vertices), vertices);
            Trapezoids t = Merge.of(single, 1, Workers.of(1), Progress.NONE);
            for (int i = 0; i < t.size(); i++) {
                add(
                        group,
                        new Trapezoid(
                                false,
                                um(t.yBottom(i)),
                                um(t.yTop(i)),
                                um(t.xLeftBottom(i)),
                                um(t.xRightBottom(i)),
                                um(t.xLeftTop(i)),
                                um(t.xRightTop(i))));
            }
        }

        private double um(double dbu) {
            return layout.unit().toUm(dbu);
        }

        private void add(int group, Trapezoid piece) {
            if (group != lastGroup) {
                lastGroup = group;
                unit++;
            }
            Layer layer = layers.get(group);
            rows.add(
                    piece,
                    new Layer(layer.number(), 0),
                    unit,
                    unit,
                    levels.get(layer.datatype()),
                    DoseStatus.OK,
                    count);
        }
    }
}
