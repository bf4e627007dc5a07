package evendose.layout.gdsii;

import evendose.files.BadInputException;
import evendose.layout.Cell;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.PathStyle;
import evendose.layout.Reference;
import evendose.layout.Repetition;
import evendose.layout.Shapes;
import evendose.layout.Transform;
import evendose.layout.Warnings;
import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * Reads GDSII Stream in one pass.
 *
 * <p>Taken over: BOUNDARY, BOX (its BOXTYPE counts as the datatype), PATH with all its ends, SREF and AREF. TEXT, NODE,
 * properties and records that are unknown or say nothing about geometry are skipped.
 *
 * <p>Put up with, and said in {@link Layout#warnings()} where geometry might suffer: element records in any order, repeated XY
 * records, XY records longer than 32,767 bytes, layer numbers up to 65,535, strings of odd length, a missing ENDEL or
 * DATATYPE, boundaries that are not closed, shapes without area, one-point paths, missing cells, cells defined twice, and
 * anything behind ENDLIB. The cell {@code $$$CONTEXT_INFO$$$}, in which some programs keep notes, is dropped with all that
 * it places.
 *
 * <p>A negative WIDTH is absolute: it is not magnified. BGNEXTN and ENDEXTN always follow the magnification.
 */
public final class GdsiiReader {
    private static final int BUFFER = 1 << 20;
    private static final int NO_ELEMENT = -1;
    private static final int ABSOLUTE_MAGNIFICATION_OR_ANGLE = 0x0006;
    private static final int MIRRORED = 0x8000;
    private static final VarHandle INT = MethodHandles.byteArrayViewVarHandle(int[].class, ByteOrder.BIG_ENDIAN);
    private static final VarHandle LONG = MethodHandles.byteArrayViewVarHandle(long[].class, ByteOrder.BIG_ENDIAN);

    private final InputStream in;
    private final String source;
    private final byte[] buffer = new byte[BUFFER];
    private int at;
    private int end;
    /** Offset in the stream of {@code buffer[0]}. */
    private long base;

    private final Warnings warnings = new Warnings();
    private final Map<String, Cell> cells = new LinkedHashMap<>();
    private final Map<String, String> names = new HashMap<>();
    private DatabaseUnit unit;
    private boolean inCell;
    private boolean inContextCell;
    private Cell cell;
    private final Map<Integer, Shapes> shapesOfCell = new HashMap<>();
    private int lastLayerKey;
    private Shapes lastShapes;

    // The element being read.
    private int element = NO_ELEMENT;
    private long elementOffset;
    private int layer;
    private int datatype;
    private int pathType;
    private long width;
    private long beginExtension;
    private long endExtension;
    private String placed;
    private int strans;
    private double magnification;
    private double angle;
    private int columns;
    private int rows;
    private long[] xy = new long[64];
    private int coordinates;

    private GdsiiReader(InputStream in, String source) {
        this.in = in;
        this.source = source;
    }

    /**
     * {@return whether a file that begins with these bytes is a GDSII stream: it begins with a HEADER record of two-byte numbers}
     *
     * @param start first bytes of a file
     */
    public static boolean recognises(byte[] start) {
        return start.length >= 4 && start[0] == 0 && start[2] == Record.HEADER && start[3] == 2;
    }

    /**
     * Reads a whole stream.
     *
     * @param in the stream, not compressed; need not be buffered and is not closed
     * @param source the file's name for messages, as the user gave it
     * @return the layout
     * @throws BadInputException if the stream is not sound GDSII; the message names byte offset and record
     * @throws IOException if reading fails
     */
    public static Layout read(InputStream in, String source) throws IOException {
        return new GdsiiReader(in, source).read();
    }

    private Layout read() throws IOException {
        if (!need(4)) {
            throw new BadInputException(
                    source,
                    "",
                    end == 0 ? "the file is empty" : "the file has " + end + " bytes only and is no GDSII stream");
        }
        if (!recognises(Arrays.copyOf(buffer, 4))) {
            throw new BadInputException(
                    source, "byte 0", "no GDSII HEADER record stands here; the file is of another format or damaged");
        }
        for (int type = -1; type != Record.ENDLIB; ) {
            if (!need(4)) {
                throw cutShort(end == at ? "before the ENDLIB record" : "inside a record");
            }
            int length = unsigned16(at);
            type = buffer[at + 2] & 0xff;
            if (length < 4) {
                throw bad(
                        type,
                        "gives its length as " + length + " bytes, which is less than its own header; "
                                + "the file is damaged here");
            }
            if (!need(length)) {
                throw cutShort("inside a " + Record.name(type) + " record of " + length + " bytes");
            }
            record(type, at + 4, length - 4);
            at += length;
        }
        return new Layout(source, unit, cells.values(), warnings.sentences());
    }

    /** Makes {@code bytes} bytes available at {@code at}; false if the stream ends before. */
    private boolean need(int bytes) throws IOException {
        if (end - at >= bytes) {
            return true;
        }
        System.arraycopy(buffer, at, buffer, 0, end - at);
        base += at;
        end -= at;
        at = 0;
        try {
            end += in.readNBytes(buffer, end, BUFFER - end);
        } catch (EOFException e) {
            throw cutShort("inside its compressed data");
        }
        return end >= bytes;
    }

    private void record(int type, int from, int length) {
        switch (type) {
            case Record.UNITS -> units(from, length);
            case Record.BGNSTR -> {
                if (inCell) {
                    throw bad(type, "begins a cell inside " + cellName() + "; its ENDSTR is missing");
                }
                inCell = true;
                cell = null;
            }
            case Record.STRNAME -> beginCell(string(type, from, length));
            case Record.ENDSTR -> {
                finishUnended();
                if (cell == null) {
                    throw bad(type, inCell ? "ends a cell that has no name" : "ends a cell that was not begun");
                }
                inCell = false;
                cell = null;
            }
            case Record.ENDLIB -> {
                if (inCell) {
                    throw bad(type, "stands inside " + cellName() + "; its ENDSTR is missing");
                }
                if (unit == null) {
                    throw bad(type, "is reached without a UNITS record, so the size of the database unit is unknown");
                }
            }
            case Record.BOUNDARY, Record.PATH, Record.SREF, Record.AREF, Record.TEXT, Record.NODE, Record.BOX ->
                beginElement(type);
            case Record.ENDEL -> {
                if (element != NO_ELEMENT) {
                    finishElement();
                }
            }
            default -> {
                if (element == NO_ELEMENT && type == Record.XY) {
                    throw bad(type, "stands outside an element; the file is damaged before here");
                }
                if (element != NO_ELEMENT && element != Record.TEXT && element != Record.NODE) {
                    attribute(type, from, length);
                }
            }
        }
    }

    private void attribute(int type, int from, int length) {
        switch (type) {
            case Record.LAYER -> layer = unsigned16(type, from, length);
            case Record.DATATYPE, Record.BOXTYPE -> datatype = unsigned16(type, from, length);
            case Record.PATHTYPE -> pathType = unsigned16(type, from, length);
            case Record.WIDTH -> width = signed32(type, from, length);
            case Record.BGNEXTN -> beginExtension = signed32(type, from, length);
            case Record.ENDEXTN -> endExtension = signed32(type, from, length);
            case Record.XY -> points(from, length);
            case Record.SNAME -> {
                String name = string(type, from, length);
                String known = names.putIfAbsent(name, name);
                placed = known == null ? name : known;
            }
            case Record.STRANS -> strans = unsigned16(type, from, length);
            case Record.MAG -> magnification = real(type, from, length);
            case Record.ANGLE -> angle = real(type, from, length);
            case Record.COLROW -> {
                atLeast(type, length, 4);
                columns = unsigned16(from);
                rows = unsigned16(from + 2);
            }
            default -> {
                // Says nothing about geometry.
            }
        }
    }

    private void units(int from, int length) {
        atLeast(Record.UNITS, length, 16);
        double metres = Real8.decode((long) LONG.get(buffer, from + 8));
        if (!(metres >= 1e-15 && metres <= 1e-3)) {
            throw bad(Record.UNITS, "gives a database unit of " + metres + " m; between 1e-15 and 1e-3 m are accepted");
        }
        unit = DatabaseUnit.fromMetres(metres);
    }

    private void beginCell(String name) {
        if (!inCell || cell != null) {
            throw bad(Record.STRNAME, "stands outside the head of a cell");
        }
        inContextCell = name.equals(Cell.CONTEXT);
        if (inContextCell) {
            cell = new Cell(name);
        } else {
            cell = cells.get(name);
            if (cell == null) {
                cell = new Cell(name);
                cells.put(name, cell);
            } else {
                warnings.add("cell " + name + " is defined more than once; all its definitions are joined", place());
            }
        }
        shapesOfCell.clear();
        lastShapes = null;
    }

    private void beginElement(int type) {
        finishUnended();
        if (cell == null) {
            throw bad(type, "stands outside a cell");
        }
        element = type;
        elementOffset = base + at;
        layer = -1;
        datatype = 0;
        pathType = 0;
        width = 0;
        beginExtension = 0;
        endExtension = 0;
        placed = null;
        strans = 0;
        magnification = 1;
        angle = 0;
        columns = 0;
        rows = 0;
        coordinates = 0;
    }

    private void finishUnended() {
        if (element != NO_ELEMENT) {
            warnings.add("an element lacks its ENDEL; taken as complete", elementPlace());
            finishElement();
        }
    }

    private void finishElement() {
        switch (inContextCell ? NO_ELEMENT : element) {
            case Record.BOUNDARY, Record.BOX -> finishPolygon();
            case Record.PATH -> finishPath();
            case Record.SREF, Record.AREF -> finishReference();
            default -> {
                // TEXT and NODE carry no shapes, and notes are no part of the layout.
            }
        }
        element = NO_ELEMENT;
    }

    private void finishPolygon() {
        Shapes shapes = shapes();
        int n = coordinates / 2;
        if (n > 1 && (xy[0] != xy[2 * n - 2] || xy[1] != xy[2 * n - 1])) {
            warnings.add("a boundary is not closed; closed by a straight edge", elementPlace());
        }
        if (!shapes.addPolygon(xy, n)) {
            warnings.add("a boundary without area; left out", elementPlace());
        }
    }

    private void finishPath() {
        Shapes shapes = shapes();
        int n = coordinates / 2;
        if (n == 0) {
            throw badElement("has no XY");
        }
        PathStyle.End ends = switch (pathType) {
            case 0 -> PathStyle.End.FLUSH;
            case 1 -> PathStyle.End.ROUND;
            case 2 -> PathStyle.End.HALF_WIDTH;
            case 4 -> PathStyle.End.EXTENDED;
            default -> throw badElement("has PATHTYPE " + pathType + "; 0, 1, 2 and 4 are known");
        };
        boolean extended = ends == PathStyle.End.EXTENDED;
        PathStyle style = new PathStyle(
                Math.abs(width), width < 0, ends, extended ? beginExtension : 0, extended ? endExtension : 0);
        if (n == 1) {
            warnings.add("a path has one point only; its ends alone are drawn", elementPlace());
        }
        if (!shapes.addPath(style, xy, n)) {
            warnings.add("a path without area; left out", elementPlace());
        }
    }

    private void finishReference() {
        if (placed == null) {
            throw badElement("has no SNAME");
        }
        boolean array = element == Record.AREF;
        if (coordinates != (array ? 6 : 2)) {
            throw badElement("has " + coordinates / 2 + " points where " + (array ? 3 : 1) + " are wanted");
        }
        if (placed.equals(Cell.CONTEXT)) {
            return;
        }
        if (!(magnification > 0)) {
            throw badElement("has a magnification of " + magnification + "; it must be positive");
        }
        if ((strans & ABSOLUTE_MAGNIFICATION_OR_ANGLE) != 0) {
            warnings.add("a reference asks for absolute magnification or angle; taken as relative", elementPlace());
        }
        Repetition repetition = Repetition.ONCE;
        if (array) {
            if (columns == 0 || rows == 0) {
                throw badElement(
                        "is an array of " + columns + " columns and " + rows + " rows; give at least 1 of each");
            }
            repetition = new Repetition.Grid(columns, rows, xy[2] - xy[0], xy[3] - xy[1], xy[4] - xy[0], xy[5] - xy[1]);
        }
        Transform transform = new Transform(xy[0], xy[1], (strans & MIRRORED) != 0, magnification, angle);
        cell.add(new Reference(placed, transform, repetition));
    }

    private Shapes shapes() {
        if (layer < 0) {
            throw badElement("has no LAYER");
        }
        int key = layer << 16 | datatype;
        if (lastShapes == null || key != lastLayerKey) {
            lastLayerKey = key;
            lastShapes = shapesOfCell.computeIfAbsent(key, k -> cell.on(new Layer(layer, datatype)));
        }
        return lastShapes;
    }

    private void points(int from, int length) {
        if ((length & 7) != 0) {
            throw bad(
                    Record.XY,
                    "has " + length + " bytes of coordinates, not a multiple of 8; the file is damaged here");
        }
        int more = length >> 2;
        if (coordinates + more > xy.length) {
            xy = Arrays.copyOf(xy, Math.max(coordinates + more, 2 * xy.length));
        }
        for (int i = 0; i < more; i++) {
            xy[coordinates + i] = (int) INT.get(buffer, from + 4 * i);
        }
        coordinates += more;
    }

    private int unsigned16(int from) {
        return (buffer[from] & 0xff) << 8 | (buffer[from + 1] & 0xff);
    }

    private int unsigned16(int type, int from, int length) {
        atLeast(type, length, 2);
        return unsigned16(from);
    }

    private int signed32(int type, int from, int length) {
        atLeast(type, length, 4);
        return (int) INT.get(buffer, from);
    }

    private double real(int type, int from, int length) {
        atLeast(type, length, 8);
        return Real8.decode((long) LONG.get(buffer, from));
    }

    /** A name, without the zero byte that pads it to even length. */
    private String string(int type, int from, int length) {
        int n = length;
        while (n > 0 && buffer[from + n - 1] == 0) {
            n--;
        }
        if (n == 0) {
            throw bad(type, "holds no name");
        }
        return Cell.decodeName(buffer, from, n);
    }

    private void atLeast(int type, int length, int wanted) {
        if (length < wanted) {
            throw bad(type, "holds " + length + " bytes where " + wanted + " are wanted; the file is damaged here");
        }
    }

    private String place() {
        return "byte " + (base + at);
    }

    private String elementPlace() {
        return "byte " + elementOffset;
    }

    private String cellName() {
        return cell == null ? "a cell without a name" : "cell " + cell.name();
    }

    private BadInputException bad(int type, String problem) {
        return new BadInputException(source, place() + ", record " + Record.name(type), problem);
    }

    private BadInputException badElement(String problem) {
        return new BadInputException(
                source, elementPlace() + ", record " + Record.name(element) + " in " + cellName(), problem);
    }

    private BadInputException cutShort(String where) {
        return new BadInputException(
                source, "byte " + (base + end), "the file ends " + where + "; it was cut short, get a complete copy");
    }
}
