package evendose.correction;

import evendose.Supported;
import evendose.energy.PieceIndex;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Overlap;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.Locale;

/**
 * One dose factor for each drawn polygon: the mean over its area, weighted by area, of the factors of the pieces on its own layer.
 * Where these are all the same, as with one dose per shape, it is exactly that one.
 *
 * <p>Polygons that overlap or touch on one layer are merged before they get doses, so a place where several lie has one dose, and counts
 * for each of them: exposing all of them would dose it several times. Where a layer named before owns the place, it does not count. What
 * of a polygon remains after all this may be nothing; its factor is then NaN, as for a polygon without area or, in a table
 * limited to a window, one outside it.
 *
 * <p>Polygons are numbered from 0 in the order of {@link DrawnPattern#polygons}; on one layer that is the order in which they were
 * added to a {@link evendose.layout.LayoutBuilder}, or that of the file with references expanded.
 */
@Supported
public final class PolygonDoses {
    private final DrawnPattern pattern;
    private final int[] layer;
    private final double[] factor;

    private PolygonDoses(DrawnPattern pattern, int[] layer, double[] factor) {
        this.pattern = pattern;
        this.layer = layer;
        this.factor = factor;
    }

    /**
     * {@return factors of the polygons that a table was made for}
     *
     * @param doses the table
     * @throws IllegalArgumentException if there are more polygons than an array can hold
     */
    public static PolygonDoses of(DoseTable doses) {
        DrawnPattern pattern = doses.pattern();
        if (pattern.size() > Integer.MAX_VALUE - 8) {
            throw new IllegalArgumentException(pattern.size() + " polygons are too many for doses of their own");
        }
        Means means = new Means(doses, (int) pattern.size());
        pattern.polygons().forEach(means);
        return new PolygonDoses(pattern, means.layer, means.factor);
    }

    /** {@return number of polygons} */
    public int size() {
        return factor.length;
    }

    /**
     * {@return layer of polygon {@code i}}
     *
     * @param i number of the polygon, below {@link #size}
     */
    public Layer layer(int i) {
        return pattern.roles().get(layer[i]).layer();
    }

    /**
     * {@return dose factor of polygon {@code i}; NaN where no piece of its layer lies in it}
     *
     * @param i number of the polygon, below {@link #size}
     */
    public double factor(int i) {
        return factor[i];
    }

    /**
     * {@return dose factors of the polygons of one layer, in their order, a new array}
     *
     * @param of the layer
     * @throws IllegalArgumentException if the layer was not exposed
     */
    public double[] factors(Layer of) {
        for (int g = 0; g < pattern.roles().size(); g++) {
            if (pattern.roles().get(g).layer().equals(of)) {
                int wanted = g;
                double[] found = new double[factor.length];
                int n = 0;
                for (int i = 0; i < factor.length; i++) {
                    if (layer[i] == wanted) {
                        found[n++] = factor[i];
                    }
                }
                return Arrays.copyOf(found, n);
            }
        }
        throw new IllegalArgumentException("layer " + of + " was not exposed; there are doses for " + pattern);
    }

    @Override
    public String toString() {
        return String.format(
                Locale.ROOT,
                "PolygonDoses[%d polygons, factors %.4f to %.4f]",
                factor.length,
                Arrays.stream(factor).filter(f -> !Double.isNaN(f)).min().orElse(Double.NaN),
                Arrays.stream(factor).filter(f -> !Double.isNaN(f)).max().orElse(Double.NaN));
    }

    /** Takes the means one by one. */
    private static final class Means implements Polygons.Visitor {
        private final DoseTable doses;
        private final Pieces pieces;
        private final DatabaseUnit unit;
        private final int[] unitOfPiece;
        private final int[] layerOfUnit;
        private final PieceIndex index;
        private final PieceIndex.Hits hits = new PieceIndex.Hits();
        private final Workers self = Workers.of(1);
        private final int[] layer;
        private final double[] factor;
        private int at;

        private double area;
        private double dosed;
        private double least;
        private double most;

        Means(DoseTable doses, int polygons) {
            this.doses = doses;
            pieces = doses.pieces();
            unit = doses.pattern().unit();
            unitOfPiece = pieces.unitOfPiece();
            layerOfUnit = pieces.shapeOfUnit();
            Arrays.setAll(layerOfUnit, u -> pieces.layerOfShape(layerOfUnit[u]));
            index = new PieceIndex(pieces);
            layer = new int[polygons];
            factor = new double[polygons];
        }

        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            begin();
            add(group, level(new double[][] {{y0}, {y1}, {x0}, {x1}, {x0}, {x1}}));
            end(group);
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            Polygons single = new Polygons();
            single.addPolygon(0, Arrays.copyOfRange(xy, from, from + 2 * vertices), vertices);
            Trapezoids t = Merge.of(single, 1, self, Progress.NONE);
            double[][] six = new double[6][t.size()];
            for (int i = 0; i < t.size(); i++) {
                six[0][i] = t.yBottom(i);
                six[1][i] = t.yTop(i);
                six[2][i] = t.xLeftBottom(i);
                six[3][i] = t.xRightBottom(i);
                six[4][i] = t.xLeftTop(i);
                six[5][i] = t.xRightTop(i);
            }
            begin();
            add(group, level(six));
            end(group);
        }

        /** The trapezoids of one polygon, dbu, in um. */
        private Pieces level(double[][] six) {
            for (double[] c : six) {
                Arrays.setAll(c, i -> unit.toUm(c[i]));
            }
            int n = six[0].length;
            return new Pieces(six, new int[] {0, n}, new int[] {0, 1}, new int[1]);
        }

        private void begin() {
            area = 0;
            dosed = 0;
            least = Double.POSITIVE_INFINITY;
            most = 0;
        }

        private void add(int group, Pieces polygon) {
            for (int k = 0; k < polygon.size(); k++) {
                index.find(polygon.leftUm(k), polygon.bottomUm(k), polygon.rightUm(k), polygon.topUm(k), hits);
                for (int h = 0; h < hits.size(); h++) {
                    int i = hits.piece(h);
                    int u = unitOfPiece[i];
                    double shared = layerOfUnit[u] == group ? Overlap.areaUm2(polygon, k, pieces, i) : 0;
                    if (shared > 0) {
                        double dose = doses.factor(u);
                        area += shared;
                        dosed += shared * dose;
                        least = Math.min(least, dose);
                        most = Math.max(most, dose);
                    }
                }
            }
        }

        private void end(int group) {
            layer[at] = group;
            factor[at++] = area == 0 ? Double.NaN : least == most ? least : dosed / area;
        }
    }
}
