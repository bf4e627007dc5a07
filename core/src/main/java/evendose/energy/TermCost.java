package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;

/**
 * What one term would cost by either evaluator, estimated before anything is built: operations are counted on a sample of
 * units and multiplied by what one takes.
 *
 * <p>The estimate counts ten evaluations, as many as a correction with some difficulty takes. {@code TermCostTest} holds the
 * choice against measured times of both evaluators.
 *
 * @param nearNs time of the near evaluator on one core, ns; where counting stopped early, a lower bound beyond {@code farNs}
 * @param nearBytes memory of its matrix, a lower bound in the same case
 * @param farNs time of the far evaluator on one core, ns; infinite if its grid would be too large
 * @param farBytes memory of its grids and weights
 */
record TermCost(double nearNs, double nearBytes, double farNs, double farBytes) {
    private static final double EVALUATIONS = 10;

    private static final int UNITS_COUNTED = 500;

    /** The cheaper one. */
    Evaluator cheaper() {
        return nearNs <= farNs ? Evaluator.NEAR : Evaluator.FAR;
    }

    /** Memory of the given one. */
    double bytes(Evaluator evaluator) {
        return evaluator == Evaluator.NEAR ? nearBytes : farBytes;
    }

    /**
     * Estimates.
     *
     * @param pieces pieces, at least one
     * @param boundsUm what a grid would have to cover
     * @param skipInterior whether interior units take nothing from this term
     */
    static TermCost of(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            double[] boundsUm,
            GaussianTerm term,
            boolean skipInterior) {
        int units = pieces.units();
        int counted = Math.min(units, UNITS_COUNTED);
        double scale = (double) units / counted;
        double nodes = FarGrid.nodesFor(boundsUm, term.rangeUm());
        double farNs = Double.POSITIVE_INFINITY;
        double farBytes = Double.POSITIVE_INFINITY;
        if (nodes <= FarGrid.MOST_NODES) {
            GridWork grid = new GridWork(nodes);
            for (int c = 0; c < counted; c++) {
                grid.count(pieces, samples, unit(c, units, counted), term, skipInterior, scale);
            }
            farNs = grid.ns();
            farBytes = grid.bytes();
        }
        MatrixWork matrix = new MatrixWork();
        PieceIndex.Hits hits = new PieceIndex.Hits();
        // Counting stops when the outcome is known: for a wide term after a few units of many neighbours.
        for (int c = 0; c < counted && matrix.ns() <= farNs; c++) {
            int u = unit(c, units, counted);
            if (!(skipInterior && samples.interior(u))) {
                matrix.count(pieces, samples, index, u, term.rangeUm(), hits, scale);
            }
        }
        return new TermCost(matrix.ns(), matrix.bytes(), farNs, farBytes);
    }

    /** Units spread evenly over all. */
    private static int unit(int c, int units, int counted) {
        return (int) ((c + 0.5) * units / counted);
    }

    /** What assembling the sparse matrix and multiplying with it takes. */
    static final class MatrixWork {
        // Times in ns on one core, fitted to the measurements of EvaluatorTimes; only their ratios matter.
        private static final double ROW = 23;
        private static final double CLASS = 50;
        private static final double FOUND = 75;
        private static final double SKIPPED = 5;
        private static final double UPRIGHT = 19;
        private static final double SLANTED = 86;
        private static final double EVALUATION = 4.7;
        private static final double PRODUCT = 0.8;

        /** Half again of 8 bytes an entry, for the lists that grow. */
        private static final double BYTES_PER_ENTRY = 12;

        private final SampleBox box = new SampleBox();
        double rows;
        double classes;
        double found;
        double skipped;
        double upright;
        double slanted;
        double evaluations;
        double entries;

        void count(
                Pieces pieces,
                Samples samples,
                PieceIndex index,
                int u,
                double rangeUm,
                PieceIndex.Hits hits,
                double scale) {
            double reach = NearField.REACH * rangeUm;
            int from = samples.first(u);
            int to = samples.first(u + 1);
            box.around(samples, u);
            index.find(box.left - reach, box.bottom - reach, box.right + reach, box.top + reach, hits);
            rows += scale;
            classes += scale * index.classes();
            found += scale * hits.size;
            entries += scale * hits.size * pieces.units() / pieces.size();
            for (int h = 0; h < hits.size; h++) {
                int i = hits.piece[h];
                int within = 0;
                for (int j = from; j < to; j++) {
                    boolean meets = index.left(i) <= samples.xUm(j) + reach
                            && index.right(i) >= samples.xUm(j) - reach
                            && index.bottom(i) <= samples.yUm(j) + reach
                            && index.top(i) >= samples.yUm(j) - reach;
                    within += meets ? 1 : 0;
                }
                skipped += scale * (to - from - within);
                if (pieces.isRectangle(i)) {
                    upright += scale * within;
                } else {
                    slanted += scale * within;
                    evaluations += scale * within * evaluations(pieces, i, rangeUm);
                }
            }
        }

        private static double evaluations(Pieces pieces, int i, double rangeUm) {
            return GaussianKernel.ENGINE.evaluations(
                    (pieces.highUm()[i] - pieces.lowUm()[i]) / rangeUm,
                    (pieces.toHighUm()[i] - pieces.toLowUm()[i]) / rangeUm,
                    (pieces.fromHighUm()[i] - pieces.fromLowUm()[i]) / rangeUm);
        }

        double ns() {
            return ROW * rows
                    + CLASS * classes
                    + FOUND * found
                    + SKIPPED * skipped
                    + UPRIGHT * upright
                    + SLANTED * slanted
                    + EVALUATION * evaluations
                    + PRODUCT * EVALUATIONS * entries;
        }

        double bytes() {
            return 4 * rows + BYTES_PER_ENTRY * entries;
        }
    }

    /** What the weights of a grid, spreading, blurring and gathering take. */
    static final class GridWork {
        // As above.
        private static final double EACH = 150_000;
        private static final double UNIT = 25;
        private static final double SLANTED = 24;
        private static final double BUILT = 7.5;
        private static final double SAMPLE = 38;
        private static final double WEIGHT = 1;
        private static final double NODE = 17.7;

        private static final double BYTES_PER_UNIT = 32;
        private static final double BYTES_PER_WEIGHT = 6;
        private static final double BYTES_PER_NODE = 16;

        final double nodes;
        double units;
        double slanted;
        double spreading;
        double samples;
        double gathering;

        GridWork(double nodes) {
            this.nodes = nodes;
        }

        void count(Pieces pieces, Samples all, int u, GaussianTerm term, boolean skipInterior, double scale) {
            double perPitch = FarGrid.NODES_PER_RANGE / term.rangeUm();
            units += scale;
            double apart = 0;
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                double window =
                        window(pieces.rightUm(i) - pieces.leftUm(i), pieces.topUm(i) - pieces.bottomUm(i), perPitch);
                slanted += pieces.isRectangle(i) ? 0 : scale * window;
                apart += window;
            }
            double[] box = pieces.unitBoundsUm(u);
            double together = window(box[2] - box[0], box[3] - box[1], perPitch);
            spreading += scale * Math.min(together, apart);
            int count = all.first(u + 1) - all.first(u);
            if (count > 0 && !(skipInterior && all.interior(u))) {
                samples += scale * count;
                // Samples lie within the unit or on its outline.
                gathering += scale * Math.min(together, 16.0 * count);
            }
        }

        private static double window(double width, double height, double perPitch) {
            return (width * perPitch + 4) * (height * perPitch + 4);
        }

        double ns() {
            return EACH * EVALUATIONS
                    + UNIT * units
                    + SLANTED * slanted
                    + BUILT * spreading
                    + SAMPLE * samples
                    + WEIGHT * EVALUATIONS * (spreading + gathering)
                    + NODE * EVALUATIONS * nodes;
        }

        double bytes() {
            return BYTES_PER_UNIT * units + BYTES_PER_WEIGHT * (spreading + gathering) + BYTES_PER_NODE * nodes;
        }
    }
}
