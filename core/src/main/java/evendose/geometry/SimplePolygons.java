package evendose.geometry;

/**
 * Tells in one walk that a polygon does not meet itself, where that is easy to see: its outline is divided into stretches that rise or
 * fall, and each two of them keep their order from left to right over all heights they share. Drawn curves have thousands of
 * vertices and a handful of such stretches. Keeps its arrays for the next polygon; one instance serves one thread.
 */
final class SimplePolygons {
    /** More stretches are left to the sweep: pairs would take longer. */
    private static final int MOST_STRETCHES = 12;

    /** What two places have to be apart to count so, dbu, and relative to their size: far above what interpolation may err. */
    private static final double APART = 1e-4;

    private static final double APART_RELATIVE = 1e-12;

    private long[] x = new long[256];
    private long[] y = new long[256];
    private final int[] first = new int[MOST_STRETCHES + 1];
    private final boolean[] rises = new boolean[MOST_STRETCHES];
    private int stretches;

    // The stretch seen at a height: the x it takes there, and the vertex from which it goes on.
    private double least;
    private double most;
    private int next;

    /**
     * Whether the polygon surely neither crosses nor touches itself; false may mean anything.
     *
     * @param xy x and y by turns
     * @param from index of the first x
     * @param vertices number of vertices
     */
    boolean surely(long[] xy, int from, int vertices) {
        if (!divide(xy, from, vertices)) {
            return false;
        }
        for (int a = 0; a < stretches; a++) {
            for (int b = a + 1; b < stretches; b++) {
                if (!keepOrder(a, b)) {
                    return false;
                }
            }
        }
        return true;
    }

    /** Copies the outline stretch by stretch; level edges at a turn end the stretch before it. */
    private boolean divide(long[] xy, int from, int vertices) {
        int start = turn(xy, from, vertices);
        if (start < 0) {
            return false;
        }
        if (x.length < vertices + MOST_STRETCHES + 1) {
            x = new long[2 * vertices + MOST_STRETCHES + 1];
            y = new long[x.length];
        }
        stretches = 0;
        int size = 0;
        int direction = 0;
        int level = 0;
        for (int k = 0; k < vertices; k++) {
            int i = from + 2 * ((start + k) % vertices);
            int j = from + 2 * ((start + k + 1) % vertices);
            int now = Long.signum(xy[j + 1] - xy[i + 1]);
            if (now != 0 && now != direction) {
                if (stretches == MOST_STRETCHES) {
                    return false;
                }
                direction = now;
                rises[stretches] = now > 0;
                first[stretches++] = size;
                x[size] = xy[i];
                y[size++] = xy[i + 1];
            }
            int sideways = Long.signum(xy[j] - xy[i]);
            if (now == 0 && sideways * level < 0) {
                // Back along a level edge.
                return false;
            }
            level = now != 0 ? 0 : sideways != 0 ? sideways : level;
            x[size] = xy[j];
            y[size++] = xy[j + 1];
        }
        first[stretches] = size;
        return true;
    }

    /** A vertex from which the outline goes up after it went down, or the other way round; -1 if there is none. */
    private static int turn(long[] xy, int from, int vertices) {
        int before = 0;
        for (int k = 0; k < 2 * vertices; k++) {
            int i = from + 2 * (k % vertices);
            int j = from + 2 * ((k + 1) % vertices);
            int now = Long.signum(xy[j + 1] - xy[i + 1]);
            if (now != 0 && before != 0 && now != before) {
                return k % vertices;
            }
            before = now == 0 ? before : now;
        }
        return -1;
    }

    private boolean keepOrder(int a, int b) {
        long low = Math.max(bottom(a), bottom(b));
        long high = Math.min(top(a), top(b));
        if (low > high) {
            return true;
        }
        int atA = lowest(a);
        int atB = lowest(b);
        int order = 0;
        int before = 1;
        long height = low;
        while (true) {
            look(a, atA, height);
            atA = next;
            double leastA = least;
            double mostA = most;
            look(b, atB, height);
            atB = next;
            int now = order(a, b, leastA, mostA, height);
            if (now == MEET || now * order < 0 || (now == 0 && before == 0)) {
                return false;
            }
            order = now == 0 ? order : now;
            before = now;
            if (height == high) {
                return true;
            }
            height = Math.min(high, Math.min(heightAfter(a, atA), heightAfter(b, atB)));
        }
    }

    private static final int MEET = 2;

    /** -1 where stretch {@code a} lies left of what {@link #look} has seen of {@code b}, 0 where they share their end. */
    private int order(int a, int b, double leastA, double mostA, long height) {
        double apart = APART + APART_RELATIVE * Math.max(Math.abs(leastA), Math.abs(mostA));
        if (least - mostA > apart) {
            return -1;
        }
        if (leastA - most > apart) {
            return 1;
        }
        boolean left = least == mostA && isJoint(a, b, mostA, height);
        boolean right = leastA == most && isJoint(a, b, leastA, height);
        return left && right ? 0 : left ? -1 : right ? 1 : MEET;
    }

    private boolean isJoint(int a, int b, double at, long height) {
        return (isNext(a, b) && endsAt(a, at, height)) || (isNext(b, a) && endsAt(b, at, height));
    }

    private boolean isNext(int a, int b) {
        return (a + 1 == stretches ? 0 : a + 1) == b;
    }

    private boolean endsAt(int s, double at, long height) {
        int end = first[s + 1] - 1;
        return x[end] == at && y[end] == height;
    }

    /** Sets {@link #least}, {@link #most} and {@link #next} for a stretch at a height, from a vertex at or below it on. */
    private void look(int s, int from, long height) {
        int step = rises[s] ? 1 : -1;
        int last = rises[s] ? first[s + 1] - 1 : first[s];
        int i = from;
        while (i != last && y[i + step] <= height) {
            i += step;
            if (y[i] == height) {
                break;
            }
        }
        if (y[i] != height) {
            int j = i + step;
            least = x[i] + (double) (x[j] - x[i]) * (height - y[i]) / (y[j] - y[i]);
            most = least;
            next = i;
            return;
        }
        least = x[i];
        most = x[i];
        // A look from the height itself has passed level edges before.
        for (int j = i; j != (rises[s] ? first[s] : first[s + 1] - 1) && y[j - step] == height; j -= step) {
            least = Math.min(least, x[j - step]);
            most = Math.max(most, x[j - step]);
        }
        while (i != last && y[i + step] == height) {
            i += step;
            least = Math.min(least, x[i]);
            most = Math.max(most, x[i]);
        }
        next = i;
    }

    private long heightAfter(int s, int i) {
        int step = rises[s] ? 1 : -1;
        return i == (rises[s] ? first[s + 1] - 1 : first[s]) ? Long.MAX_VALUE : y[i + step];
    }

    private int lowest(int s) {
        return rises[s] ? first[s] : first[s + 1] - 1;
    }

    private long bottom(int s) {
        return y[lowest(s)];
    }

    private long top(int s) {
        return y[rises[s] ? first[s + 1] - 1 : first[s]];
    }
}
