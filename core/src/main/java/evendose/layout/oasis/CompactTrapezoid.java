package evendose.layout.oasis;

import java.util.Arrays;

/**
 * The 26 shapes of CTRAPEZOID: trapezoids and triangles whose slanted sides run at 45 degrees, told by a type and the extents
 * w and h of their bounding box.
 */
final class CompactTrapezoid {
    /** Number of types. */
    static final int TYPES = 26;

    private static final int FIRST_TIED_HEIGHT = 16;

    /** Corners by type; x then y of each: 0, w, h, a = w - h, b = h - w. */
    private static final String[] CORNERS = {
        "00 0h ah w0", "00 0h wh a0", "00 hh wh w0", "h0 0h wh w0",
        "00 hh ah w0", "h0 0h wh a0", "00 hh wh a0", "h0 0h ah w0",
        "00 0h wb w0", "00 0b wh w0", "00 0h wh ww", "0w 0h wh w0",
        "00 0h wb ww", "0w 0b wh w0", "00 0b wh ww", "0w 0h wb w0",
        "00 0h w0", "00 0h wh", "00 wh w0", "0h wh w0",
        "00 hh w0", "0h wh h0", "00 0h ww", "w0 0w wh",
        "00 0h wh w0", "00 0h wh w0"
    };

    private CompactTrapezoid() {}

    /** Whether the type's width follows from its height: types 20 and 21, twice as wide as high. */
    static boolean widthFollows(int type) {
        return type == 20 || type == 21;
    }

    /** Whether the type's height follows from its width: 16 to 19 and 25, as high as wide; 22 and 23, twice as high. */
    static boolean heightFollows(int type) {
        return type >= FIRST_TIED_HEIGHT && !widthFollows(type) && type != 24;
    }

    /** The width that belongs to a height, where {@link #widthFollows}. */
    static long width(long height) {
        return 2 * height;
    }

    /** The height that belongs to a width, where {@link #heightFollows}. */
    static long height(int type, long width) {
        return type == 22 || type == 23 ? 2 * width : width;
    }

    /** Whether the bounding box has room for the slanted sides. */
    static boolean fits(int type, long w, long h) {
        return switch (type) {
            case 0, 1, 2, 3, 6, 7 -> w >= h;
            case 4, 5 -> w >= 2 * h;
            case 8, 9, 10, 11, 14, 15 -> h >= w;
            case 12, 13 -> h >= 2 * w;
            default -> true;
        };
    }

    /** Corners x0, y0, x1, y1, ... of a shape whose box begins at ({@code x}, {@code y}). */
    static long[] corners(int type, long x, long y, long w, long h) {
        String codes = CORNERS[type];
        long[] xy = new long[(codes.length() + 1) / 3 * 2];
        Arrays.setAll(xy, i -> (i % 2 == 0 ? x : y) + value(codes.charAt(i / 2 * 3 + i % 2), w, h));
        return xy;
    }

    private static long value(char code, long w, long h) {
        return switch (code) {
            case 'w' -> w;
            case 'h' -> h;
            case 'a' -> w - h;
            case 'b' -> h - w;
            default -> 0;
        };
    }
}
