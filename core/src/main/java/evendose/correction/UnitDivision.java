package evendose.correction;

import evendose.pieces.CellRule;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.List;

/**
 * Divides the cells in which the energy along the outline still varies: each along its best border ({@link BestBorder}), and again, as
 * long as the border is worth it. What lies in a cell is known from the points where it was measured.
 */
final class UnitDivision implements CellRule {
    /** Points this near to the border of a cell belong to it, um. */
    private static final double ROUNDING = 1e-6;

    private final OutlinePoints points;
    private final BestBorder borders;
    private final double worth;
    private final double apart;

    /** Points of each shape that is divided: firstOfShape[s] to firstOfShape[s + 1] - 1 in points. */
    private final int[] firstOfShape;

    private final boolean[] divided;

    // Points in the order of the buckets that they lie in.
    private final double bucketUm;
    private final double originXUm;
    private final double originYUm;
    private final int[] order;
    private final long[] places;

    /**
     * A rule.
     *
     * @param borders where to divide
     * @param worth what a border has to be worth, unless...
     * @param apart ...means of both parts differ by at least this
     * @param isDivided for each unit whether a border across it is
     * @param bucketUm about the size of the smaller cells, um: only speed depends on it
     */
    UnitDivision(
            Pieces pieces,
            OutlinePoints points,
            BestBorder borders,
            double worth,
            double apart,
            boolean[] isDivided,
            double bucketUm) {
        this.points = points;
        this.borders = borders;
        this.worth = worth;
        this.apart = apart;
        this.firstOfShape = new int[pieces.shapes() + 1];
        this.divided = new boolean[pieces.shapes()];
        int p = 0;
        for (int s = 0; s < pieces.shapes(); s++) {
            firstOfShape[s] = p;
            int end = pieces.shapeFirst(s + 1);
            while (p < points.size() && points.unit()[p] < end) {
                p++;
            }
            for (int u = pieces.shapeFirst(s); u < end; u++) {
                divided[s] |= isDivided[u];
            }
        }
        firstOfShape[pieces.shapes()] = p;
        this.bucketUm = bucketUm;
        this.originXUm = Arrays.stream(points.inCellXUm()).min().orElse(0);
        this.originYUm = Arrays.stream(points.inCellYUm()).min().orElse(0);
        this.order = new int[points.size()];
        this.places = new long[points.size()];
        sortIntoBuckets();
    }

    @Override
    public boolean concerns(int shape) {
        return divided[shape];
    }

    @Override
    public List<Border> borders(int shape, double leftUm, double bottomUm, double rightUm, double topUm) {
        if (!divided[shape]) {
            return List.of();
        }
        return borders
                .of(inside(shape, leftUm, bottomUm, rightUm, topUm), worth, apart, leftUm, bottomUm, rightUm, topUm)
                .stream()
                .map(b -> new Border(b.alongY(), b.at()))
                .toList();
    }

    private int[] inside(int shape, double left, double bottom, double right, double top) {
        int[] found = new int[16];
        int n = 0;
        long row = row(bottom - ROUNDING);
        long lastRow = row(top + ROUNDING);
        for (long column = column(left - ROUNDING); column <= column(right + ROUNDING); column++) {
            for (int k = firstFrom(place(column, row)); k < places.length && places[k] <= place(column, lastRow); k++) {
                int p = order[k];
                double x = points.inCellXUm()[p];
                double y = points.inCellYUm()[p];
                if (p >= firstOfShape[shape]
                        && p < firstOfShape[shape + 1]
                        && x >= left - ROUNDING
                        && x <= right + ROUNDING
                        && y >= bottom - ROUNDING
                        && y <= top + ROUNDING) {
                    if (n == found.length) {
                        found = Arrays.copyOf(found, 2 * n);
                    }
                    found[n++] = p;
                }
            }
        }
        int[] inside = Arrays.copyOf(found, n);
        Arrays.sort(inside);
        return inside;
    }

    private long column(double xUm) {
        return (long) Math.floor((xUm - originXUm) / bucketUm);
    }

    private long row(double yUm) {
        return (long) Math.floor((yUm - originYUm) / bucketUm);
    }

    /** Buckets by column, then row; what lies outside of all points is brought to their rim. */
    private static long place(long column, long row) {
        return Math.max(-1, column) << 32 | Math.max(0, Math.min(0xFFFFFFFFL, row));
    }

    /** First place that is not before the given one. */
    private int firstFrom(long place) {
        int k = Arrays.binarySearch(places, place);
        if (k < 0) {
            return -k - 1;
        }
        while (k > 0 && places[k - 1] == place) {
            k--;
        }
        return k;
    }

    private void sortIntoBuckets() {
        int n = points.size();
        long[] keys = new long[n];
        Integer[] byPlace = new Integer[n];
        for (int p = 0; p < n; p++) {
            keys[p] = place(column(points.inCellXUm()[p]), row(points.inCellYUm()[p]));
            byPlace[p] = p;
        }
        Arrays.sort(byPlace, (a, b) -> Long.compare(keys[a], keys[b]));
        for (int k = 0; k < n; k++) {
            order[k] = byPlace[k];
            places[k] = keys[order[k]];
        }
    }

    /**
     * What of the errors doses could take away: means over about the shortest part that can have a dose of its own, so that corners of drawn
     * polygons, which no dose smooths, do not divide units.
     *
     * @param off by how much the energy at each point is off
     * @return a new array
     */
    static double[] lasting(OutlinePoints points, double[] off, double directUm) {
        double reach = 0.5 * BestBorder.SHORTEST * directUm;
        double[] mean = new double[off.length];
        for (int p = 0; p < off.length; p++) {
            double length = 0;
            double sum = 0;
            for (int way = -1; way <= 1; way += 2) {
                for (int q = way < 0 ? p : p + 1; isWithin(points, p, q, reach); q += way) {
                    length += points.lengthUm()[q];
                    sum += points.lengthUm()[q] * off[q];
                }
            }
            mean[p] = sum / length;
        }
        return mean;
    }

    private static boolean isWithin(OutlinePoints points, int p, int q, double reachUm) {
        return q >= 0
                && q < points.size()
                && points.unit()[q] == points.unit()[p]
                && Math.hypot(points.xUm()[q] - points.xUm()[p], points.yUm()[q] - points.yUm()[p]) <= reachUm;
    }
}
