package evendose.pieces;

import evendose.geometry.Trapezoids;
import java.util.Arrays;
import java.util.List;

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
    boolean[] nearCorners = new boolean[256];
    boolean[] outside = new boolean[256];
    boolean[] tied = new boolean[256];
    int[] parent = new int[256];
    int[] number = new int[256];
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

    /** Points where the outcome is measured, by unit. */
    final PointBuffer measured = new PointBuffer();

    private final Trapezoids merged;
    private final double gridUm;
    private final double dbuUm;

    /** Grid units in a um if that is a whole number, else 0. */
    private final double gridPerUm;

    private final FractureOptions options;
    private final Measuring measuring;
    private final int measuredEvery;
    private final TileView tile;
    private final ShapeCutter cutter;
    private final EdgeSampler edgeSampler;
    private final AreaSampler areaSampler;

    /**
     * A part.
     *
     * @param measuring where to measure, or null to measure nowhere
     * @param measuredEvery of shapes that are not divided any more, one in this number is measured
     * @param tile what is cut, or null for everything
     */
    FracturePart(
            Trapezoids merged,
            boolean oneGroup,
            double dbuUm,
            FractureOptions options,
            Measuring measuring,
            int measuredEvery,
            List<CellRule> cellRules,
            TileView tile) {
        this.merged = merged;
        this.measuring = measuring;
        this.measuredEvery = measuredEvery;
        this.tile = tile;
        this.dbuUm = dbuUm;
        PieceRules rules = options.rules();
        this.gridUm = rules.isExact() || rules.gridUm() == 0 ? dbuUm : rules.gridUm();
        double whole = Math.rint(1 / gridUm);
        this.gridPerUm = Math.abs(1 / gridUm - whole) < 1e-9 * whole ? whole : 0;
        this.options = options;
        this.cutter = new ShapeCutter(merged, oneGroup, dbuUm, gridUm, options, cellRules);
        this.edgeSampler = new EdgeSampler(options, measuring == null ? Double.MAX_VALUE : measuring.spacingUm());
        this.areaSampler = new AreaSampler(options);
    }

    /** Appends shape {@code s} as it was cut before. */
    void copy(Fracture.Result former, int s) {
        beginShape(s);
        Pieces from = former.pieces();
        int firstUnit = from.shapeFirst(s);
        int firstPiece = from.unitFirst(firstUnit);
        int lastUnit = from.shapeFirst(s + 1);
        int count = from.unitFirst(lastUnit) - firstPiece;
        reservePieces(count);
        from.copyInto(firstPiece, count, coordinates, standing, pieces);
        OutlinePoints points = former.measured();
        for (int k = points.firstOfShape(firstUnit); k < points.size() && points.unit()[k] < lastUnit; k++) {
            measured.add(points, k, units + points.unit()[k] - firstUnit);
        }
        for (int u = firstUnit; u < lastUnit; u++) {
            beginUnit(pieces + from.unitFirst(u) - firstPiece, former.cell()[u], former.cell()[u]);
            judged[units - 1] = former.judged()[u];
            nearCorners[units - 1] = former.nearCorners()[u];
            outside[units - 1] = former.outside()[u];
            tied[units - 1] = former.tied()[u];
            interior[units - 1] = former.samples().interior(u);
            int samplesFrom = former.samples().first(u);
            int samplesTo = former.samples().first(u + 1);
            reserve(samplesTo - samplesFrom);
            for (int j = samplesFrom; j < samplesTo; j++) {
                x[samples] = former.samples().xUm(j);
                y[samples] = former.samples().yUm(j);
                weight[samples++] = former.samples().weight(j);
            }
        }
        pieces += count;
    }

    private void beginShape(int s) {
        if (shapes == shapeFirst.length) {
            shapeFirst = Arrays.copyOf(shapeFirst, 2 * shapes);
            layerOfShape = Arrays.copyOf(layerOfShape, 2 * shapes);
        }
        shapeFirst[shapes] = units;
        layerOfShape[shapes++] = merged.group(merged.first(s));
    }

    /** Cuts shape {@code s} and appends its pieces, units and samples. */
    void shape(int s) {
        if (tile == null) {
            whole(s, false);
            return;
        }
        double[] box = merged.box(s);
        if (tile.frame().isBeyond(box[0], box[1], box[2], box[3])) {
            return;
        }
        if (tile.frame().isLarge(box[2] - box[0], box[3] - box[1])) {
            WholeShape whole = tile.whole(s, ShapeBox.of(box));
            if (whole.parts().get(0) != s) {
                // Cut with the first.
                return;
            }
            cutter.cut(whole, tile.frame());
            if (cutter.units > 0) {
                beginShape(s);
                appendCut(s);
            }
        } else {
            whole(s, !tile.frame().holds(0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])));
        }
    }

    /** Cuts shape {@code s} as a whole. */
    private void whole(int s, boolean isOutside) {
        int before = units;
        beginShape(s);
        if (isSmallRectangle(s)) {
            appendRectangle(merged.first(s), isMeasured(s));
        } else {
            cutter.cut(s);
            appendCut(s);
        }
        Arrays.fill(outside, before, units, isOutside);
    }

    /** Appends what {@code cutter} has made of shape {@code s}. */
    private void appendCut(int s) {
        int from = pieces;
        appendPieces();
        boolean edges = options.judging() == FractureOptions.Judging.EDGES;
        if (edges) {
            edgeSampler.sample(cutter, merged.group(merged.first(s)), gridUm, isMeasured(s));
            int first = measured.size;
            appendMeasured();
            bringIntoCells(first);
        }
        for (int u = 0; u < cutter.units; u++) {
            int begin = from + cutter.unitFirst[u];
            int end = from + cutter.unitFirst[u + 1];
            beginUnit(begin, cutter.parent[u], cutter.number[u]);
            outside[units - 1] = cutter.outside[u];
            tied[units - 1] = cutter.tied[u];
            if (!edges) {
                areaSampler.sample(coordinates, standing, begin, end);
                appendNormalised(areaSampler.samples, 0, areaSampler.samples.size);
            } else if (edgeSampler.first[u] == edgeSampler.first[u + 1]) {
                // Parts of one cell are judged at one place.
                int first = u;
                int last = u + 1;
                while (cutter.tied[first]) {
                    first--;
                }
                while (last < cutter.units && cutter.tied[last]) {
                    last++;
                }
                appendCentroid(from + cutter.unitFirst[first], from + cutter.unitFirst[last]);
            } else {
                nearCorners[units - 1] = edgeSampler.clear[u] < 0.5;
                appendNormalised(edgeSampler.samples, edgeSampler.first[u], edgeSampler.first[u + 1]);
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

    private void appendRectangle(int i, boolean measure) {
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
        edgeSampler.sampleRectangle(merged.group(i), x0, coordinates[0][pieces], x1, coordinates[1][pieces], measure);
        appendMeasured();
        beginUnit(pieces, 0, 0);
        nearCorners[units - 1] = edgeSampler.clear[0] < 0.5;
        appendNormalised(edgeSampler.samples, 0, edgeSampler.first[1]);
        pieces++;
    }

    /** Whether the outcome is measured on shape {@code s}. */
    private boolean isMeasured(int s) {
        if (measuring == null) {
            return false;
        }
        // Every so many, but not in step with a layout that repeats.
        if (Math.floorMod(s * 0x9E3779B1L >>> 7, measuredEvery) == 0) {
            return true;
        }
        double[] box = merged.box(s);
        return Math.max(box[2] - box[0], box[3] - box[1]) * dbuUm > measuring.divisibleUm();
    }

    /** The points of the shape that is being cut; its units come next. */
    private void appendMeasured() {
        PointBuffer found = edgeSampler.measured;
        for (int k = 0; k < found.size; k++) {
            measured.add(found, k, units + found.unit[k]);
        }
    }

    /** Lets points from {@code first} on count in the cells that the cutter gave their units. */
    private void bringIntoCells(int first) {
        for (int k = first; k < measured.size; k++) {
            double[] box = cutter.boxes[measured.unit[k] - units];
            if (box != null) {
                measured.bringInto(k, toUm(box[0]), toUm(box[1]), toUm(box[2]), toUm(box[3]));
            }
        }
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

    private void beginUnit(int firstPiece, int parentCell, int cell) {
        if (units == unitFirst.length) {
            unitFirst = Arrays.copyOf(unitFirst, 2 * units);
            sampleFirst = Arrays.copyOf(sampleFirst, 2 * units);
            interior = Arrays.copyOf(interior, 2 * units);
            judged = Arrays.copyOf(judged, 2 * units);
            nearCorners = Arrays.copyOf(nearCorners, 2 * units);
            outside = Arrays.copyOf(outside, 2 * units);
            tied = Arrays.copyOf(tied, 2 * units);
            parent = Arrays.copyOf(parent, 2 * units);
            number = Arrays.copyOf(number, 2 * units);
        }
        unitFirst[units] = firstPiece;
        sampleFirst[units] = samples;
        judged[units] = 0;
        nearCorners[units] = false;
        outside[units] = false;
        tied[units] = false;
        parent[units] = parentCell;
        number[units] = cell;
        interior[units++] = false;
    }

    private void appendNormalised(SampleBuffer s, int from, int to) {
        double sum = 0;
        for (int k = from; k < to; k++) {
            sum += s.weight[k];
        }
        judged[units - 1] = (float) sum;
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
            double low = c[3][i] - c[2][i];
            double high = c[5][i] - c[4][i];
            double height = c[1][i] - c[0][i];
            double a = (low + high) * height;
            area += a;
            // Centroid of a trapezoid: the middles of its parallel sides, each by its own length and half of the
            // other's.
            double rise = (low + 2 * high) / (3 * (low + high));
            double u = 0.5 * (c[2][i] + c[3][i] + rise * (c[4][i] + c[5][i] - c[2][i] - c[3][i]));
            double v = c[0][i] + rise * height;
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
