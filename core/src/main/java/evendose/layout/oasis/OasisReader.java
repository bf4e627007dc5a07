package evendose.layout.oasis;

import evendose.files.BadInputException;
import evendose.layout.Cell;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.PathStyle;
import evendose.layout.ReadLimits;
import evendose.layout.Reference;
import evendose.layout.Repetition;
import evendose.layout.Shapes;
import evendose.layout.Transform;
import evendose.layout.Warnings;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Reads OASIS in one pass, compressed blocks included.
 *
 * <p>Taken over: RECTANGLE, POLYGON, PATH, TRAPEZOID, CTRAPEZOID, CIRCLE and PLACEMENT with their repetitions, which stay
 * repetitions until the layout is flattened. TEXT, names other than cells', properties and extensions are skipped. Names may
 * come before or after their use.
 *
 * <p>A circle is drawn as the round ends of a path are: see {@link PathStyle.End#ROUND}.
 *
 * <p>Checked: the CRC-32 or checksum in the END record, where there is one. Tables of offsets serve programs that do not read
 * the whole file; one that points to a wrong place is warned of, not needed.
 *
 * <p>Put up with, and said in {@link Layout#warnings()}: shapes without area, missing cells, XGEOMETRY. The cell
 * {@link Cell#CONTEXT} is dropped with all that it places.
 */
public final class OasisReader {
    private static final byte[] MAGIC = "%SEMI-OASIS\r\n".getBytes(StandardCharsets.US_ASCII);
    private static final long UNDEFINED = Long.MIN_VALUE;
    private static final int NO_VALIDATION = 0;
    private static final int CRC_32 = 1;
    private static final int CHECKSUM_32 = 2;
    /** Rough sizes of what is kept in memory, bytes. */
    private static final int CELL_BYTES = 600;

    private static final int PLACEMENT_BYTES = 160;
    private static final int SHAPE_BYTES = 24;

    /** Kinds of name in the order of the offset tables: CELLNAME, TEXTSTRING, PROPNAME, PROPSTRING, LAYERNAME, XNAME. */
    private static final int TABLES = 6;

    private final OasisInput in;
    private final String source;
    private final Warnings warnings = new Warnings();
    private DatabaseUnit unit;
    private boolean offsetsInEnd;
    private final boolean[] strict = new boolean[TABLES];
    private final long[] tableOffset = new long[TABLES];
    private final long[] firstName = new long[TABLES];

    private final Map<Long, String> cellNames = new HashMap<>();
    private long nextCellName;
    private final List<Draft> drafts = new ArrayList<>();
    private Draft draft;
    private final Map<Integer, Shapes> shapesOfCell = new HashMap<>();

    // Modal variables: what a record leaves out is as in an earlier one of the same cell.
    private boolean relative;
    private long placementX;
    private long placementY;
    private long geometryX;
    private long geometryY;
    private long textX;
    private long textY;
    private long layer;
    private long datatype;
    private long width;
    private long height;
    private long halfWidth;
    private long startExtension;
    private long endExtension;
    private long radius;
    private long trapezoidType;
    private long[] polygonPoints;
    private long[] pathPoints;
    private Repetition repetition;
    private boolean cellGiven;
    private long placedNumber;
    private String placedName;

    /** A cell whose name may not be known yet. */
    private record Draft(long number, String name, String place, Cell cell, List<Placement> placements) {}

    /** A placement of a cell that is told by its name, or by a number that stands for a name. */
    private record Placement(long number, String name, Transform transform, Repetition repetition) {}

    private OasisReader(InputStream in, String source, ReadLimits limits) {
        this.in = new OasisInput(in, source, limits);
        this.source = source;
    }

    /**
     * {@return whether a file that begins with these bytes is OASIS}
     *
     * @param start first bytes of a file
     */
    public static boolean recognises(byte[] start) {
        return start.length >= MAGIC.length && Arrays.equals(start, 0, MAGIC.length, MAGIC, 0, MAGIC.length);
    }

    /**
     * Reads a whole file.
     *
     * @param in the file; need not be buffered and is not closed
     * @param source the file's name for messages, as the user gave it
     * @param limits how much a file may ask for
     * @return the layout
     * @throws BadInputException if the file is not sound OASIS or asks for more than the limits; the message names byte offset
     *     and record
     * @throws IOException if reading fails
     */
    public static Layout read(InputStream in, String source, ReadLimits limits) throws IOException {
        OasisReader reader = new OasisReader(in, source, limits);
        try {
            return reader.read();
        } finally {
            reader.in.close();
        }
    }

    private Layout read() throws IOException {
        for (byte expected : MAGIC) {
            if (in.next() != expected) {
                throw new BadInputException(
                        source, "byte 0", "does not begin with %SEMI-OASIS; the file is of another format or damaged");
            }
        }
        if (in.beginRecord() != Record.START) {
            throw in.bad("stands where the START record is wanted");
        }
        start();
        for (int type = in.beginRecord(); type != Record.END; type = in.beginRecord()) {
            record(type);
        }
        end();
        return new Layout(source, unit, finish(), warnings.sentences());
    }

    private void record(int type) throws IOException {
        switch (type) {
            case Record.PAD -> {}
            case Record.CELLNAME, Record.CELLNAME_NUMBERED -> cellName(type);
            case 5, 7, 9 -> {
                beginName(type);
                in.skipString();
            }
            case 6, 8, 10 -> {
                beginName(type);
                in.skipString();
                in.skipInteger();
            }
            case 11, Record.LAYERNAME_TEXT -> {
                beginName(type);
                in.skipString();
                interval();
                interval();
            }
            case Record.CELL_NUMBERED -> beginCell(in.unsigned(), null);
            case Record.CELL_NAMED -> beginCell(-1, in.name());
            case Record.XYABSOLUTE -> relative = false;
            case Record.XYRELATIVE -> relative = true;
            case Record.PLACEMENT, Record.PLACEMENT_TRANSFORMED -> placement(type == Record.PLACEMENT_TRANSFORMED);
            case Record.TEXT -> text();
            case Record.RECTANGLE -> rectangle();
            case Record.POLYGON -> polygon();
            case Record.PATH -> path();
            case Record.TRAPEZOID, Record.TRAPEZOID_A, Record.TRAPEZOID_B -> trapezoid(type);
            case Record.CTRAPEZOID -> compactTrapezoid();
            case Record.CIRCLE -> circle();
            case Record.PROPERTY -> property();
            case Record.PROPERTY_REPEATED -> {
                // The last property once more.
            }
            case Record.XNAME, Record.XNAME_NUMBERED -> {
                beginName(type);
                in.skipInteger();
                in.skipString();
                if (type == Record.XNAME_NUMBERED) {
                    in.skipInteger();
                }
            }
            case Record.XELEMENT -> {
                in.skipInteger();
                in.skipString();
            }
            case Record.XGEOMETRY -> extension();
            case Record.CBLOCK -> in.beginBlock();
            default -> throw in.bad("is of no known type; the file is damaged here or before");
        }
    }

    // Head and tail

    private void start() throws IOException {
        String version = in.name();
        if (!version.equals("1.0")) {
            warnings.add("the file is of OASIS version " + version + "; read as 1.0", in.place());
        }
        double perUm = in.real();
        double metres = 1e-6 / perUm;
        if (!(metres >= 1e-15 && metres <= 1e-3)) {
            throw in.bad("gives " + perUm + " database units for 1 um; between 1e-3 and 1e9 are accepted");
        }
        unit = DatabaseUnit.fromMetres(metres);
        offsetsInEnd = in.unsigned() != 0;
        if (!offsetsInEnd) {
            offsets();
        }
    }

    private void offsets() throws IOException {
        for (int k = 0; k < TABLES; k++) {
            strict[k] = in.unsigned() != 0;
            tableOffset[k] = in.unsigned();
        }
    }

    private void end() throws IOException {
        if (in.inBlock()) {
            throw in.bad("stands inside a compressed block");
        }
        long endOffset = in.recordOffset();
        if (offsetsInEnd) {
            offsets();
        }
        in.skipString();
        long scheme = in.unsigned();
        if (scheme == CRC_32 || scheme == CHECKSUM_32) {
            long computed = scheme == CRC_32 ? in.crc32() : in.checksum32();
            if (in.littleEndian(4) != computed) {
                throw in.bad("holds a " + (scheme == CRC_32 ? "CRC-32" : "checksum")
                        + " that is not the file's; the file is damaged, get a sound copy");
            }
        } else if (scheme != NO_VALIDATION) {
            warnings.add("the file is validated by an unknown scheme; not checked", in.place());
        }
        for (int k = 0; k < TABLES; k++) {
            boolean wrong = strict[k] ? tableOffset[k] != firstName[k] : tableOffset[k] >= endOffset;
            if (tableOffset[k] != 0 && wrong) {
                warnings.add("a table of offsets points to a wrong place; not needed", in.place());
            }
        }
    }

    private void interval() throws IOException {
        long type = in.unsigned();
        if (type > 4) {
            throw in.bad("has an interval of type " + type + "; 0 to 4 are known");
        }
        for (int bounds = type == 0 ? 0 : type == 4 ? 2 : 1; bounds > 0; bounds--) {
            in.skipInteger();
        }
    }

    // Names and cells

    /** A name record ends the cell before it. */
    private void beginName(int type) {
        int table = type <= Record.LAYERNAME_TEXT ? (type - Record.CELLNAME) / 2 : TABLES - 1;
        if (firstName[table] == 0) {
            firstName[table] = in.recordOffset();
        }
        draft = null;
    }

    private void cellName(int type) throws IOException {
        beginName(type);
        String name = in.name();
        long number = type == Record.CELLNAME ? nextCellName++ : in.unsigned();
        if (cellNames.putIfAbsent(number, name) != null) {
            throw in.bad("gives cell number " + number + " a second name");
        }
        in.keep(CELL_BYTES / 4);
    }

    private void beginCell(long number, String name) {
        draft = new Draft(number, name, in.place(), new Cell(""), new ArrayList<>(0));
        drafts.add(draft);
        in.keep(CELL_BYTES);
        shapesOfCell.clear();
        relative = false;
        placementX = 0;
        placementY = 0;
        geometryX = 0;
        geometryY = 0;
        textX = 0;
        textY = 0;
        layer = UNDEFINED;
        datatype = UNDEFINED;
        width = UNDEFINED;
        height = UNDEFINED;
        halfWidth = UNDEFINED;
        startExtension = UNDEFINED;
        endExtension = UNDEFINED;
        radius = UNDEFINED;
        trapezoidType = UNDEFINED;
        polygonPoints = null;
        pathPoints = null;
        repetition = null;
        cellGiven = false;
    }

    /** Gives cells their names. */
    private List<Cell> finish() {
        Map<String, Cell> cells = new LinkedHashMap<>();
        for (Draft d : drafts) {
            String name = d.name != null ? d.name : cellNames.get(d.number);
            if (name == null) {
                throw new BadInputException(
                        source, d.place, "cell number " + d.number + " has no CELLNAME record; the file is incomplete");
            }
            if (name.equals(Cell.CONTEXT)) {
                continue;
            }
            Cell cell = d.cell.renamed(name);
            if (cells.put(name, cell) != null) {
                throw new BadInputException(source, d.place, "cell " + name + " is defined a second time");
            }
            for (Placement p : d.placements) {
                String placed = p.name != null ? p.name : cellNames.get(p.number);
                if (placed == null) {
                    throw new BadInputException(
                            source,
                            d.place,
                            "cell " + name + " places cell number " + p.number
                                    + ", which has no CELLNAME record; the file is incomplete");
                }
                if (!placed.equals(Cell.CONTEXT)) {
                    cell.add(new Reference(placed, p.transform, p.repetition));
                }
            }
            d.placements.clear();
        }
        return new ArrayList<>(cells.values());
    }

    // Elements

    private void beginElement() {
        if (draft == null) {
            throw in.bad("stands outside a cell");
        }
    }

    private long defined(long value, String what) {
        if (value == UNDEFINED) {
            throw in.bad("takes its " + what + " from an earlier record, but none in this cell gives one");
        }
        return value;
    }

    private long moved(long from) throws IOException {
        long value = in.coordinate();
        return relative ? in.inRange(from + value) : value;
    }

    private Repetition repetition(boolean given) throws IOException {
        if (!given) {
            return Repetition.ONCE;
        }
        repetition = in.repetition(repetition);
        return repetition;
    }

    private void placement(boolean transformed) throws IOException {
        beginElement();
        int info = in.next();
        if ((info & 0x80) != 0) {
            boolean numbered = (info & 0x40) != 0;
            placedNumber = numbered ? in.unsigned() : -1;
            placedName = numbered ? null : in.name();
            cellGiven = true;
        } else if (!cellGiven) {
            defined(UNDEFINED, "cell");
        }
        double magnification = 1;
        double angle = transformed ? 0 : 90 * (info >> 1 & 3);
        if (transformed && (info & 4) != 0) {
            magnification = in.real();
            if (!(magnification > 0)) {
                throw in.bad("has a magnification of " + magnification + "; it must be positive");
            }
        }
        if (transformed && (info & 2) != 0) {
            angle = in.real();
        }
        placementX = (info & 0x20) != 0 ? moved(placementX) : placementX;
        placementY = (info & 0x10) != 0 ? moved(placementY) : placementY;
        Repetition copies = repetition((info & 8) != 0);
        Transform transform = new Transform(placementX, placementY, (info & 1) != 0, magnification, angle);
        in.keep(PLACEMENT_BYTES);
        draft.placements.add(new Placement(placedNumber, placedName, transform, copies));
    }

    private void text() throws IOException {
        beginElement();
        int info = in.next();
        if ((info & 0x40) != 0) {
            if ((info & 0x20) != 0) {
                in.skipInteger();
            } else {
                in.skipString();
            }
        }
        if ((info & 1) != 0) {
            in.skipInteger();
        }
        if ((info & 2) != 0) {
            in.skipInteger();
        }
        textX = (info & 0x10) != 0 ? moved(textX) : textX;
        textY = (info & 8) != 0 ? moved(textY) : textY;
        repetition((info & 4) != 0);
    }

    /** Reads the layer, if given: bits 0 and 1 of all geometry. */
    private void layer(int info) throws IOException {
        layer = (info & 1) != 0 ? layerNumber() : layer;
        datatype = (info & 2) != 0 ? layerNumber() : datatype;
    }

    private long layerNumber() throws IOException {
        long number = in.unsigned();
        if (number > 0xffff) {
            throw in.bad("has the layer or datatype " + number + "; at most 65535 are accepted");
        }
        return number;
    }

    /** Reads position and repetition, if given: bits 2 to 4 of all geometry. */
    private Repetition position(int info) throws IOException {
        geometryX = (info & 0x10) != 0 ? moved(geometryX) : geometryX;
        geometryY = (info & 8) != 0 ? moved(geometryY) : geometryY;
        return repetition((info & 4) != 0);
    }

    private Shapes shapes(int points) {
        in.keep(SHAPE_BYTES + 8L * points);
        int number = (int) defined(layer, "layer");
        int type = (int) defined(datatype, "datatype");
        return shapesOfCell.computeIfAbsent(number << 16 | type, key -> draft.cell.on(new Layer(number, type)));
    }

    private void keepIf(boolean kept, String what) {
        if (!kept) {
            warnings.add("a " + what + " without area; left out", in.place());
        }
    }

    private void size(boolean widthGiven, boolean heightGiven) throws IOException {
        width = widthGiven ? in.length() : width;
        height = heightGiven ? in.length() : height;
    }

    private void rectangle() throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        boolean square = (info & 0x80) != 0;
        if (square && (info & 0x20) != 0) {
            throw in.bad("is a square with a height of its own; the file is damaged here");
        }
        size((info & 0x40) != 0, (info & 0x20) != 0);
        defined(width, "width");
        height = square ? width : defined(height, "height");
        Repetition copies = position(info);
        keepIf(
                shapes(2).addRectangle(geometryX, geometryY, geometryX + width, geometryY + height, copies),
                "rectangle");
    }

    private void polygon() throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        if ((info & 0x20) != 0) {
            polygonPoints = in.pointList(true);
        } else if (polygonPoints == null) {
            defined(UNDEFINED, "points");
        }
        Repetition copies = position(info);
        addPolygon(placed(polygonPoints), copies, "polygon");
    }

    private long[] placed(long[] points) {
        long[] xy = new long[points.length];
        Arrays.setAll(xy, i -> in.inRange(points[i] + ((i & 1) == 0 ? geometryX : geometryY)));
        return xy;
    }

    private void addPolygon(long[] xy, Repetition copies, String what) {
        keepIf(shapes(xy.length / 2).addPolygon(xy, xy.length / 2, copies), what);
    }

    private void path() throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        halfWidth = (info & 0x40) != 0 ? in.length() : halfWidth;
        defined(halfWidth, "width");
        if ((info & 0x80) != 0) {
            int scheme = (int) (in.unsigned() & 0xf);
            startExtension = extension(scheme >> 2, startExtension);
            endExtension = extension(scheme & 3, endExtension);
        }
        defined(startExtension, "extension");
        defined(endExtension, "extension");
        if ((info & 0x20) != 0) {
            pathPoints = in.pointList(false);
        } else if (pathPoints == null) {
            defined(UNDEFINED, "points");
        }
        Repetition copies = position(info);
        long[] spine = placed(pathPoints);
        PathStyle style = new PathStyle(2 * halfWidth, false, PathStyle.End.EXTENDED, startExtension, endExtension);
        keepIf(shapes(spine.length / 2).addPath(style, spine, spine.length / 2, copies), "path");
    }

    private long extension(int scheme, long last) throws IOException {
        return switch (scheme) {
            case 0 -> last;
            case 1 -> 0;
            case 2 -> halfWidth;
            default -> in.coordinate();
        };
    }

    private void trapezoid(int type) throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        size((info & 0x40) != 0, (info & 0x20) != 0);
        long a = type == Record.TRAPEZOID_B ? 0 : in.coordinate();
        long b = type == Record.TRAPEZOID_A ? 0 : in.coordinate();
        Repetition copies = position(info);
        long w = defined(width, "width");
        long h = defined(height, "height");
        boolean upright = (info & 0x80) != 0;
        // Along the parallel sides: where the lower (or right) one begins and ends, and where the upper (or left) one
        // does.
        long span = upright ? h : w;
        long firstFrom = Math.max(0, -a);
        long firstTo = span - Math.max(0, b);
        long secondFrom = Math.max(0, a);
        long secondTo = span + Math.min(0, b);
        if (firstFrom > firstTo || secondFrom > secondTo) {
            throw in.bad("has slanted sides that cross; the file is damaged here");
        }
        long x = geometryX;
        long y = geometryY;
        long[] xy = upright
                ? new long[] {x, y + secondFrom, x + w, y + firstFrom, x + w, y + firstTo, x, y + secondTo}
                : new long[] {x + firstFrom, y, x + firstTo, y, x + secondTo, y + h, x + secondFrom, y + h};
        addPolygon(xy, copies, "trapezoid");
    }

    private void compactTrapezoid() throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        if ((info & 0x80) != 0) {
            trapezoidType = in.unsigned();
            if (trapezoidType >= CompactTrapezoid.TYPES) {
                throw in.bad("is of type " + trapezoidType + "; 0 to 25 are known");
            }
        }
        int type = (int) defined(trapezoidType, "type");
        size((info & 0x40) != 0, (info & 0x20) != 0);
        // Later records take over an extent that follows from the other as if it had been given.
        if (CompactTrapezoid.widthFollows(type)) {
            width = in.inRange(CompactTrapezoid.width(defined(height, "height")));
        } else if (CompactTrapezoid.heightFollows(type)) {
            height = in.inRange(CompactTrapezoid.height(type, defined(width, "width")));
        }
        long w = defined(width, "width");
        long h = defined(height, "height");
        if (!CompactTrapezoid.fits(type, w, h)) {
            throw in.bad("of type " + type + " has slanted sides that cross at " + w + " x " + h
                    + "; the file is damaged here");
        }
        Repetition copies = position(info);
        addPolygon(CompactTrapezoid.corners(type, geometryX, geometryY, w, h), copies, "trapezoid");
    }

    private void circle() throws IOException {
        beginElement();
        int info = in.next();
        layer(info);
        radius = (info & 0x20) != 0 ? in.length() : radius;
        long r = defined(radius, "radius");
        Repetition copies = position(info);
        // The two round ends of a path that goes nowhere.
        PathStyle style = PathStyle.of(2 * r, PathStyle.End.ROUND);
        keepIf(shapes(2).addPath(style, new long[] {geometryX, geometryY}, 1, copies), "circle");
    }

    private void property() throws IOException {
        int info = in.next();
        if ((info & 4) != 0) {
            if ((info & 2) != 0) {
                in.skipInteger();
            } else {
                in.skipString();
            }
        }
        boolean asLast = (info & 8) != 0;
        long values = asLast ? 0 : info >> 4;
        if (values == 15) {
            values = in.unsigned();
        }
        for (long i = 0; i < values; i++) {
            long type = in.unsigned();
            switch ((int) Math.min(type, 16)) {
                case 0, 1, 2, 3, 4, 5, 6, 7 -> in.skipReal(type);
                case 8, 9, 13, 14, 15 -> in.skipInteger();
                case 10, 11, 12 -> in.skipString();
                default -> throw in.bad("has a value of type " + type + "; 0 to 15 are known");
            }
        }
    }

    private void extension() throws IOException {
        beginElement();
        int info = in.next();
        in.skipInteger();
        layer(info);
        in.skipString();
        position(info);
        warnings.add("an XGEOMETRY record has no common meaning; left out", in.place());
    }
}
