package evendose.geometry;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.TreeSet;

/**
 * A slow and simple merger to test the fast one against: cuts the plane at the height of every vertex and every crossing of any
 * two edges, and looks at the middle of every slab. Plain floating point.
 */
final class SlabOracle {
    private static final double TOUCH = 1e-7;

    private final List<long[]> polygons = new ArrayList<>();
    private final List<Integer> groups = new ArrayList<>();
    private final int groupCount;

    /** Area that each group owns. */
    final double[] area;
    /** Length of the outline of the union of all groups. */
    double outline;
    /**
     * By how much areas may differ from exact ones if crossings are moved up by at most one step of the height grid: a triangle of
     * that height, between the two edges, on both sides of each crossing.
     */
    double areaAllowance;
    /** Number of shapes: parts of one group that hang together along more than a point. */
    int shapes;

    /** An interval of one owner at the middle of a slab, with its ends at the slab's bottom and top. */
    private record Piece(int owner, double x0, double x1, double bottom0, double bottom1, double top0, double top1) {}

    private record Crossed(double x, double bottom, double top, int polygon, int change, double slope) {}

    SlabOracle(Polygons input, int groupCount) {
        this.groupCount = groupCount;
        input.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                polygons.add(new long[] {x0, y0, x1, y0, x1, y1, x0, y1});
                groups.add(group);
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                polygons.add(Arrays.copyOfRange(xy, from, from + 2 * vertices));
                groups.add(group);
            }
        });
        area = new double[groupCount];
        sweep();
    }

    private void sweep() {
        List<double[]> edges = new ArrayList<>();
        TreeSet<Double> heights = new TreeSet<>();
        for (int p = 0; p < polygons.size(); p++) {
            long[] xy = polygons.get(p);
            for (int i = 0, n = xy.length / 2; i < n; i++) {
                int j = (i + 1) % n;
                heights.add((double) xy[2 * i + 1]);
                if (xy[2 * i + 1] != xy[2 * j + 1]) {
                    edges.add(new double[] {xy[2 * i], xy[2 * i + 1], xy[2 * j], xy[2 * j + 1], p});
                }
            }
        }
        for (int a = 0; a < edges.size(); a++) {
            for (int b = 0; b < a; b++) {
                double y = crossing(edges.get(a), edges.get(b));
                Double near = heights.floor(y + 1e-9);
                if (!Double.isNaN(y)) {
                    areaAllowance += Math.abs(slope(edges.get(a)) - slope(edges.get(b))) / Lines.STEPS / Lines.STEPS;
                }
                if (!Double.isNaN(y) && (near == null || near < y - 1e-9)) {
                    heights.add(y);
                }
            }
        }
        List<Piece> below = new ArrayList<>();
        int[] parent = new int[0];
        List<Piece> all = new ArrayList<>();
        double last = Double.NaN;
        for (double height : heights) {
            List<Piece> above = new ArrayList<>();
            if (!Double.isNaN(last)) {
                above = slab(edges, last, height);
                int from = all.size();
                int fromBelow = from - below.size();
                all.addAll(above);
                parent = Arrays.copyOf(parent, all.size());
                for (int i = from; i < parent.length; i++) {
                    parent[i] = i;
                }
                for (int i = 0; i < below.size(); i++) {
                    for (int j = 0; j < above.size(); j++) {
                        Piece p = below.get(i);
                        Piece q = above.get(j);
                        double contact = Math.min(p.top1, q.bottom1) - Math.max(p.top0, q.bottom0);
                        if (p.owner == q.owner && contact > TOUCH) {
                            Connected.join(parent, fromBelow + i, from + j);
                        }
                    }
                }
                outline += difference(below, above);
            }
            below = above;
            last = height;
        }
        outline += difference(below, List.of());
        for (int i = 0; i < parent.length; i++) {
            shapes += parent[i] == i ? 1 : 0;
        }
    }

    private List<Piece> slab(List<double[]> edges, double bottom, double top) {
        double middle = 0.5 * (bottom + top);
        List<Crossed> crossed = new ArrayList<>();
        for (double[] e : edges) {
            if (Math.min(e[1], e[3]) <= bottom && Math.max(e[1], e[3]) >= top) {
                double slope = (e[2] - e[0]) / (e[3] - e[1]);
                double x = e[0] + slope * (middle - e[1]);
                double half = slope * 0.5 * (top - bottom);
                crossed.add(new Crossed(x, x - half, x + half, (int) e[4], e[3] > e[1] ? 1 : -1, slope));
            }
        }
        crossed.sort((a, b) -> Double.compare(a.x, b.x));
        List<Piece> pieces = new ArrayList<>();
        int[] winding = new int[polygons.size()];
        int[] covered = new int[groupCount];
        int owner = -1;
        Crossed left = null;
        for (int i = 0; i < crossed.size(); i++) {
            Crossed c = crossed.get(i);
            int group = groups.get(c.polygon);
            covered[group] -= winding[c.polygon] != 0 ? 1 : 0;
            winding[c.polygon] += c.change;
            covered[group] += winding[c.polygon] != 0 ? 1 : 0;
            if (i + 1 < crossed.size() && crossed.get(i + 1).x - c.x < 1e-8) {
                continue;
            }
            int next = -1;
            for (int g = groupCount - 1; g >= 0; g--) {
                next = covered[g] > 0 ? g : next;
            }
            if (next != owner) {
                if (owner >= 0) {
                    pieces.add(new Piece(owner, left.x, c.x, left.bottom, c.bottom, left.top, c.top));
                    area[owner] += (c.x - left.x) * (top - bottom);
                }
                if (owner < 0 || next < 0) {
                    outline += (top - bottom) * Math.sqrt(1 + c.slope * c.slope);
                }
                owner = next;
                left = c;
            }
        }
        return pieces;
    }

    /** Length of what is covered just below a height or just above it, but not both. */
    private static double difference(List<Piece> below, List<Piece> above) {
        double sum = 0;
        for (Piece p : below) {
            sum += p.top1 - p.top0;
        }
        for (Piece q : above) {
            sum += q.bottom1 - q.bottom0;
            for (Piece p : below) {
                sum -= 2 * Math.max(0, Math.min(p.top1, q.bottom1) - Math.max(p.top0, q.bottom0));
            }
        }
        return sum;
    }

    private static double slope(double[] edge) {
        return (edge[2] - edge[0]) / (edge[3] - edge[1]);
    }

    private static double crossing(double[] a, double[] b) {
        double slopeA = slope(a);
        double slopeB = slope(b);
        double y = (b[0] - a[0] - slopeB * b[1] + slopeA * a[1]) / (slopeA - slopeB);
        boolean inside = y > Math.max(Math.min(a[1], a[3]), Math.min(b[1], b[3]))
                && y < Math.min(Math.max(a[1], a[3]), Math.max(b[1], b[3]));
        return inside ? y : Double.NaN;
    }
}
