package evendose.layout.oasis;

/** Record types of OASIS, by their number. */
final class Record {
    static final int PAD = 0;
    static final int START = 1;
    static final int END = 2;
    static final int CELLNAME = 3;
    static final int CELLNAME_NUMBERED = 4;
    static final int LAYERNAME_TEXT = 12;
    static final int CELL_NUMBERED = 13;
    static final int CELL_NAMED = 14;
    static final int XYABSOLUTE = 15;
    static final int XYRELATIVE = 16;
    static final int PLACEMENT = 17;
    static final int PLACEMENT_TRANSFORMED = 18;
    static final int TEXT = 19;
    static final int RECTANGLE = 20;
    static final int POLYGON = 21;
    static final int PATH = 22;
    static final int TRAPEZOID = 23;
    static final int TRAPEZOID_A = 24;
    static final int TRAPEZOID_B = 25;
    static final int CTRAPEZOID = 26;
    static final int CIRCLE = 27;
    static final int PROPERTY = 28;
    static final int PROPERTY_REPEATED = 29;
    static final int XNAME = 30;
    static final int XNAME_NUMBERED = 31;
    static final int XELEMENT = 32;
    static final int XGEOMETRY = 33;
    static final int CBLOCK = 34;

    private static final String[] NAMES = {
        "PAD", "START", "END", "CELLNAME", "CELLNAME", "TEXTSTRING", "TEXTSTRING", "PROPNAME",
        "PROPNAME", "PROPSTRING", "PROPSTRING", "LAYERNAME", "LAYERNAME", "CELL", "CELL", "XYABSOLUTE",
        "XYRELATIVE", "PLACEMENT", "PLACEMENT", "TEXT", "RECTANGLE", "POLYGON", "PATH", "TRAPEZOID",
        "TRAPEZOID", "TRAPEZOID", "CTRAPEZOID", "CIRCLE", "PROPERTY", "PROPERTY", "XNAME", "XNAME",
        "XELEMENT", "XGEOMETRY", "CBLOCK"
    };

    private Record() {}

    /** The standard's name, or the number where it has none. */
    static String name(long type) {
        return type >= 0 && type < NAMES.length ? NAMES[(int) type] : Long.toString(type);
    }
}
