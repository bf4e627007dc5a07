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
    private final double dbuUm;

    /** Database units in a um if that is a whole number, else 0. */
    private final double dbuPerUm;

    private final FractureOptions options;
    private final ShapeCutter cutter;
    private final EdgeSampler edgeSampler;
    private final AreaSampler areaSampler;

    FracturePart(Trapezoids merged, double dbuUm, FractureOptions options) {
        this.merged = merged;
        this.dbuUm = dbuUm;
        double whole = Math.rint(1 / dbuUm);
        this.dbuPerUm = Math.abs(1 / dbuUm - whole) < 1e-9 * whole ? whole : 0;
        this.options = options;
        this.cutter = new ShapeCutter(merged, dbuUm, options);
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
        reservePieces(cutter.pieces);
        appendPieces();
        if (options.judging() == FractureOptions.Judging.EDGES) {
            edgeSampler.sample(cutter, dbuUm);
            for (int u = 0; u < cutter.units; u++) {
                beginUnit(from + cutter.unitFirst[u]);
                if (edgeSampler.first[u] == edgeSampler.first[u + 1]) {
                    appendCentroid(from + cutter.unitFirst[u], from + cutter.unitFirst[u + 1]);
                } else {
                    appendNormalised(edgeSampler.samples, edgeSampler.first[u], edgeSampler.first[u + 1], dbuUm);
                }
            }
        } else {
            for (int u = 0; u < cutter.units; u++) {
                beginUnit(from + cutter.unitFirst[u]);
                areaSampler.sample(coordinates, from + cutter.unitFirst[u], from + cutter.unitFirst[u + 1]);
                appendNormalised(areaSampler.samples, 0, areaSampler.samples.size, 1);
            }
        }
    }

    /** Most shapes of most layouts: one rectangle that fits a cell and touches nothing. The shortcut saves most of the time. */
    private boolean isSmallRectangle(int s) {
        int i = merged.first(s);
        double width = merged.xRightBottom(i) - merged.xLeftBottom(i);
        double height = merged.yTop(i) - merged.yBottom(i);
        return merged.first(s + 1) == i + 1
                && options.judging() == FractureOptions.Judging.EDGES
                && merged.xLeftTop(i) == merged.xLeftBottom(i)
                && merged.xRightTop(i) == merged.xRightBottom(i)
                && cutter.isOneCell(width)
                && cutter.isOneCell(height)
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
        coordinates[0][pieces] = toUm(merged.yBottom(i));
        coordinates[1][pieces] = toUm(merged.yTop(i));
        double left = toUm(merged.xLeftBottom(i));
        double right = toUm(merged.xRightBottom(i));
        coordinates[2][pieces] = left;
        coordinates[3][pieces] = right;
        coordinates[4][pieces] = left;
        coordinates[5][pieces] = right;
        beginUnit(pieces);
        edgeSampler.sampleRectangle(left, coordinates[0][pieces], right, coordinates[1][pieces]);
        appendNormalised(edgeSampler.samples, 0, edgeSampler.first[1], 1);
        pieces++;
    }

    private void reservePieces(int n) {
        if (pieces + n > coordinates[0].length) {
            int length = Math.max(pieces + n, pieces + pieces / 2);
            for (int c = 0; c < 6; c++) {
                coordinates[c] = Arrays.copyOf(coordinates[c], length);
            }
        }
    }

    private void appendPieces() {
        for (int k = 0; k < cutter.pieces; k++) {
            int i = cutter.order[k];
            for (int c = 0; c < 6; c++) {
                coordinates[c][pieces] = toUm(cutter.coordinates[c][i]);
            }
            pieces++;
        }
    }

    /** Whole dbu become the double nearest to their decimal value, so that tables show them short. */
    private double toUm(double dbu) {
        return dbuPerUm > 0 ? dbu / dbuPerUm : dbu * dbuUm;
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
            mx += a * 0.25 * (c[2][i] + c[3][i] + c[4][i] + c[5][i]);
            my += a * 0.5 * (c[0][i] + c[1][i]);
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
