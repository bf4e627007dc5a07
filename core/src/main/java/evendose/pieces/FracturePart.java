package evendose.pieces;

import evendose.geometry.Trapezoids;
import java.util.Arrays;

/**
 * Fractures shapes one after the other and collects the results in growing arrays. One instance serves one part of the
 * parallel work; nothing here is checked again.
 */
final class FracturePart {
    // Results, in um. See Pieces and Samples for their meaning; "first" arrays hold starts only, ends are implied.
    final double[][] coordinates = new double[6][256];
    boolean[] standing = new boolean[256];
    int[] unitFirst = new int[256];
    int[] sampleFirst = new int[256];
    boolean[] interior = new boolean[256];
    float[] judged = new float[256];
    int[] shapeFirst = new int[256];
    int[] layerOfShape = new int[256];
    double[] x = new double[1024];
    double[] y = new double[1024];
    float[] weight = new float[1024];
    int pieces;
    int units;
    int shapes;
    int samples;

    private final Trapezoids merged;
    private final double gridUm;

    /** Grid units in a um if that is a whole number, else 0. */
    private final double gridPerUm;

    private final FractureOptions options;
    private final ShapeCutter cutter;
    private final EdgeSampler edgeSampler;
    private final AreaSampler areaSampler;

    FracturePart(Trapezoids merged, boolean oneGroup, double dbuUm, FractureOptions options) {
        this.merged = merged;
        PieceRules rules = options.rules();
        this.gridUm = rules.isExact() || rules.gridUm() == 0 ? dbuUm : rules.gridUm();
        double whole = Math.rint(1 / gridUm);
        this.gridPerUm = Math.abs(1 / gridUm - whole) < 1e-9 * whole ? whole : 0;
        this.options = options;
        this.cutter = new ShapeCutter(merged, oneGroup, dbuUm, gridUm, options);
        this.edgeSampler = new EdgeSampler(options);
        this.areaSampler = new AreaSampler(options);
    }

    /** Cuts shape {@code s} and appends its pieces, units and samples. */
    void shape(int s) {
        if (shapes == shapeFirst.length) {
            shapeFirst = Arrays.copyOf(shapeFirst, 2 * shapes);
            layerOfShape = Arrays.copyOf(layerOfShape, 2 * shapes);
        }
        shapeFirst[shapes] = units;
        layerOfShape[shapes++] = merged.group(merged.first(s));
        if (isSmallRectangle(s)) {
            appendRectangle(merged.first(s));
            return;
        }
        cutter.cut(s);
        int from = pieces;
        appendPieces();
        boolean edges = options.judging() == FractureOptions.Judging.EDGES;
        if (edges) {
            edgeSampler.sample(cutter, gridUm);
        }
        for (int u = 0; u < cutter.units; u++) {
            int begin = from + cutter.unitFirst[u];
            int end = from + cutter.unitFirst[u + 1];
            beginUnit(begin);
            if (!edges) {
                areaSampler.sample(coordinates, standing, begin, end);
                appendNormalised(areaSampler.samples, 0, areaSampler.samples.size, 1);
            } else if (edgeSampler.first[u] == edgeSampler.first[u + 1]) {
                appendCentroid(begin, end);
            } else {
                appendNormalised(edgeSampler.samples, edgeSampler.first[u], edgeSampler.first[u + 1], gridUm);
            }
        }
    }

    /** Most shapes of most layouts: one rectangle that fits a cell and touches nothing. The shortcut saves most of the time. */
    private boolean isSmallRectangle(int s) {
        int i = merged.first(s);
        double width = merged.xRightBottom(i) - merged.xLeftBottom(i);
        return merged.first(s + 1) == i + 1
                && options.judging() == FractureOptions.Judging.EDGES
                && cutter.isOneUpright(s)
                && merged.leftExposed(i)
                && merged.rightExposed(i)
                && merged.exposedFirst(i + 1) - merged.exposedFirst(i) == 2
                && isWhole(merged.exposedFirst(i), width)
                && isWhole(merged.exposedFirst(i) + 1, width);
    }

    private boolean isWhole(int exposed, double width) {
        return merged.exposedTo(exposed) - merged.exposedFrom(exposed) == width;
    }

    private void appendRectangle(int i) {
        reservePieces(1);
        double bottom = cutter.toGrid(merged.yBottom(i));
        double top = cutter.toGrid(merged.yTop(i));
        double left = cutter.toGrid(merged.xLeftBottom(i));
        double right = cutter.toGrid(merged.xRightBottom(i));
        double x0 = toUm(left);
        double x1 = toUm(right);
        coordinates[0][pieces] = toUm(bottom);
        coordinates[1][pieces] = toUm(top);
        coordinates[2][pieces] = x0;
        coordinates[3][pieces] = x1;
        coordinates[4][pieces] = x0;
        coordinates[5][pieces] = x1;
        standing[pieces] = false;
        beginUnit(pieces);
        edgeSampler.sampleRectangle(x0, coordinates[0][pieces], x1, coordinates[1][pieces]);
        appendNormalised(edgeSampler.samples, 0, edgeSampler.first[1], 1);
        pieces++;
    }

    private void reservePieces(int n) {
        if (pieces + n > standing.length) {
            int length = Math.max(pieces + n, pieces + pieces / 2);
            for (int c = 0; c < 6; c++) {
                coordinates[c] = Arrays.copyOf(coordinates[c], length);
            }
            standing = Arrays.copyOf(standing, length);
        }
    }

    private void appendPieces() {
        Cut cut = cutter.cut;
        reservePieces(cut.pieces);
        for (int c = 0; c < 6; c++) {
            for (int k = 0; k < cut.pieces; k++) {
                coordinates[c][pieces + k] = toUm(cut.coordinates[c][k]);
            }
        }
        System.arraycopy(cut.standing, 0, standing, pieces, cut.pieces);
        pieces += cut.pieces;
    }

    /** Whole grid units become the double nearest to their decimal value, so that tables show them short. */
    private double toUm(double grid) {
        return gridPerUm > 0 ? grid / gridPerUm : grid * gridUm;
    }

    private void beginUnit(int firstPiece) {
        if (units == unitFirst.length) {
            unitFirst = Arrays.copyOf(unitFirst, 2 * units);
            sampleFirst = Arrays.copyOf(sampleFirst, 2 * units);
            interior = Arrays.copyOf(interior, 2 * units);
            judged = Arrays.copyOf(judged, 2 * units);
        }
        unitFirst[units] = firstPiece;
        sampleFirst[units] = samples;
        judged[units] = 0;
        interior[units++] = false;
    }

    private void appendNormalised(SampleBuffer s, int from, int to, double scale) {
        double sum = 0;
        for (int k = from; k < to; k++) {
            sum += s.weight[k];
        }
        judged[units - 1] = (float) (sum * scale);
        reserve(to - from);
        for (int k = from; k < to; k++) {
            x[samples] = s.x[k];
            y[samples] = s.y[k];
            weight[samples++] = (float) (s.weight[k] / sum);
        }
    }

    /** A unit without exposed outline is judged at its centroid by the half-plane rule. */
    private void appendCentroid(int from, int to) {
        interior[units - 1] = true;
        double area = 0;
        double mx = 0;
        double my = 0;
        double[][] c = coordinates;
        for (int i = from; i < to; i++) {
            double a = c[3][i] - c[2][i] + c[5][i] - c[4][i];
            a *= c[1][i] - c[0][i];
            area += a;
            double u = 0.25 * (c[2][i] + c[3][i] + c[4][i] + c[5][i]);
            double v = 0.5 * (c[0][i] + c[1][i]);
            mx += a * (standing[i] ? v : u);
            my += a * (standing[i] ? u : v);
        }
        reserve(1);
        x[samples] = mx / area;
        y[samples] = my / area;
        weight[samples++] = 1;
    }

    private void reserve(int more) {
        if (samples + more > x.length) {
            int length = Math.max(samples + more, samples + samples / 2);
            x = Arrays.copyOf(x, length);
            y = Arrays.copyOf(y, length);
            weight = Arrays.copyOf(weight, length);
        }
    }
}
