package evendose.geometry;

import java.util.Arrays;

/**
 * Horizontal sides that meet at one height: tops of the trapezoids that end there and bottoms of those that begin there, each
 * from left to right. Finds which of them touch, and which parts of them nothing touches.
 */
final class TouchingSides {
    /** Shorter exposed parts are dropped: they come from crossings moved up to the height grid. In dbu. */
    static final double SHORTEST_PART = 1.0 / 64;

    private final Sides tops = new Sides();
    private final Sides bottoms = new Sides();

    /** Takes what {@link #find} finds. */
    interface Sink {
        /** The two touch along more than a point, and are of one group. */
        void join(int top, int bottom);

        /** Nothing touches this part. */
        void exposed(int trapezoid, boolean onTop, double from, double to);
    }

    void clear() {
        tops.size = 0;
        bottoms.size = 0;
    }

    void addTop(int trapezoid, int group, double from, double to) {
        tops.add(trapezoid, group, from, to);
    }

    void addBottom(int trapezoid, int group, double from, double to) {
        bottoms.add(trapezoid, group, from, to);
    }

    void find(Sink sink) {
        int t = 0;
        int b = 0;
        while (t < tops.size && b < bottoms.size) {
            double from = Math.max(tops.from[t], bottoms.from[b]);
            double to = Math.min(tops.to[t], bottoms.to[b]);
            if (from < to) {
                if (tops.group[t] == bottoms.group[b]) {
                    sink.join(tops.trapezoid[t], bottoms.trapezoid[b]);
                }
                tops.cover(t, from, to, true, sink);
                bottoms.cover(b, from, to, false, sink);
            }
            if (tops.to[t] <= bottoms.to[b]) {
                tops.finish(t++, true, sink);
            } else {
                bottoms.finish(b++, false, sink);
            }
        }
        while (t < tops.size) {
            tops.finish(t++, true, sink);
        }
        while (b < bottoms.size) {
            bottoms.finish(b++, false, sink);
        }
    }

    private static final class Sides {
        int size;
        int[] trapezoid = new int[16];
        int[] group = new int[16];
        double[] from = new double[16];
        double[] to = new double[16];
        /** Where the part begins that is not yet known to be touched. */
        double[] rest = new double[16];

        void add(int number, int owner, double start, double end) {
            if (size == trapezoid.length) {
                trapezoid = Arrays.copyOf(trapezoid, 2 * size);
                group = Arrays.copyOf(group, 2 * size);
                from = Arrays.copyOf(from, 2 * size);
                to = Arrays.copyOf(to, 2 * size);
                rest = Arrays.copyOf(rest, 2 * size);
            }
            trapezoid[size] = number;
            group[size] = owner;
            from[size] = start;
            to[size] = end;
            rest[size++] = start;
        }

        void cover(int i, double start, double end, boolean onTop, Sink sink) {
            expose(i, start, onTop, sink);
            rest[i] = Math.max(rest[i], end);
        }

        void finish(int i, boolean onTop, Sink sink) {
            expose(i, to[i], onTop, sink);
        }

        private void expose(int i, double end, boolean onTop, Sink sink) {
            if (end - rest[i] >= SHORTEST_PART) {
                sink.exposed(trapezoid[i], onTop, rest[i], end);
            }
        }
    }
}
