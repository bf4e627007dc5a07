package evendose.layout.gdsii;

import java.util.Locale;

/** Record types of GDSII Stream, by their number. */
final class Record {
    static final int HEADER = 0x00;
    static final int BGNLIB = 0x01;
    static final int LIBNAME = 0x02;
    static final int UNITS = 0x03;
    static final int ENDLIB = 0x04;
    static final int BGNSTR = 0x05;
    static final int STRNAME = 0x06;
    static final int ENDSTR = 0x07;
    static final int BOUNDARY = 0x08;
    static final int PATH = 0x09;
    static final int SREF = 0x0a;
    static final int AREF = 0x0b;
    static final int TEXT = 0x0c;
    static final int LAYER = 0x0d;
    static final int DATATYPE = 0x0e;
    static final int WIDTH = 0x0f;
    static final int XY = 0x10;
    static final int ENDEL = 0x11;
    static final int SNAME = 0x12;
    static final int COLROW = 0x13;
    static final int NODE = 0x15;
    static final int STRANS = 0x1a;
    static final int MAG = 0x1b;
    static final int ANGLE = 0x1c;
    static final int PATHTYPE = 0x21;
    static final int BOX = 0x2d;
    static final int BOXTYPE = 0x2e;
    static final int BGNEXTN = 0x30;
    static final int ENDEXTN = 0x31;

    private static final String[] NAMES = {
        "HEADER", "BGNLIB", "LIBNAME", "UNITS", "ENDLIB", "BGNSTR", "STRNAME", "ENDSTR",
        "BOUNDARY", "PATH", "SREF", "AREF", "TEXT", "LAYER", "DATATYPE", "WIDTH",
        "XY", "ENDEL", "SNAME", "COLROW", "0x14", "NODE", "TEXTTYPE", "PRESENTATION",
        "0x18", "STRING", "STRANS", "MAG", "ANGLE", "0x1d", "0x1e", "REFLIBS",
        "FONTS", "PATHTYPE", "GENERATIONS", "ATTRTABLE", "0x24", "0x25", "ELFLAGS", "0x27",
        "0x28", "0x29", "NODETYPE", "PROPATTR", "PROPVALUE", "BOX", "BOXTYPE", "PLEX",
        "BGNEXTN", "ENDEXTN", "0x32", "0x33", "0x34", "0x35", "FORMAT", "MASK",
        "ENDMASKS", "LIBDIRSIZE", "SRFNAME", "LIBSECUR"
    };

    private Record() {}

    /** The manual's name, or the number where it has none. */
    static String name(int type) {
        return type < NAMES.length ? NAMES[type] : String.format(Locale.ROOT, "0x%02x", type);
    }
}
