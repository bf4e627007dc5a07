package evendose.geometry;

import java.util.Arrays;

/**
 * Edges that are no edges of the polygons themselves but parts of them: the outline of polygons that wind backwards somewhere,
 * taken one by one. {@code FIELDS} numbers each: {@code x, y, dx, dy} of the line (dbu), lower and upper end (height grid),
 * change of the winding number, group.
 */
final class UnwoundEdges {
    static final int FIELDS = 8;

    int size;
    long[] data = new long[0];

    void add(long x, long y, long dx, long dy, long low, long high, int change, int group) {
        int at = size * FIELDS;
        if (at == data.length) {
            data = Arrays.copyOf(data, Math.max(16 * FIELDS, 2 * at));
        }
        data[at] = x;
        data[at + 1] = y;
        data[at + 2] = dx;
        data[at + 3] = dy;
        data[at + 4] = low;
        data[at + 5] = high;
        data[at + 6] = change;
        data[at + 7] = group;
        size++;
    }
}
