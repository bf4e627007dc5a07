package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;

/** What assembling the sparse matrix of a near term and multiplying with it takes, by operations counted on some units. */
final class MatrixWork {
    // Times in ns on one core, fitted to the measurements of EvaluatorTimes on the layouts named there; only ratios
    // matter.
    private static final double ROW = 12;
    private static final double CLASS = 65;
    private static final double FRESH = 70;
    private static final double REMEMBERED = 25;
    private static final double SKIPPED = 4.6;
    private static final double UPRIGHT = 12;
    private static final double PLACE = 3.5;
    private static final double SHARED = 2;
    private static final double SLANTED = 30;
    private static final double EVALUATION = 4;
    private static final double PRODUCT = 1.3;

    private static final double BYTES_PER_ROW = 4;
    private static final double BYTES_PER_ENTRY = 8;

    /** The nearest unit before with the same samples is looked for among so many. */
    private static final int LATELY = 16;

    private final Pieces pieces;
    private final Samples samples;
    private final PieceIndex index;
    private final UnitCopies copies;
    private final int[] unitOfPiece;

    private final PieceIndex.Hits hits = new PieceIndex.Hits();
    private final PairMemory memory = new PairMemory();
    private final SampleBox box = new SampleBox();
    private final SampleAxes axes = new SampleAxes();
    double rows;
    double classes;
    double fresh;
    double remembered;
    double skipped;
    double upright;
    double places;
    double shared;
    double slanted;
    double evaluations;
    double entries;

    MatrixWork(Pieces pieces, Samples samples, PieceIndex index, UnitCopies copies) {
        this.pieces = pieces;
        this.samples = samples;
        this.index = index;
        this.copies = copies;
        this.unitOfPiece = pieces.unitOfPiece();
    }

    /** Counts the row of unit {@code u}, {@code scale} times. */
    void count(int u, GaussianTerm term, double scale) {
        double reach = NearTerms.reachUm(term);
        remember(u, reach);
        find(u, reach);
        axes.of(samples, u);
        rows += scale;
        classes += scale * index.classes();
        entries += scale * hits.size * pieces.units() / pieces.size();
        for (int h = 0; h < hits.size; h++) {
            if (isRemembered(u, hits.piece[h])) {
                remembered += scale;
            } else {
                fresh += scale;
                countIntegral(u, hits.piece[h], term.rangeUm(), reach, scale);
            }
        }
    }

    private void find(int u, double reach) {
        box.around(samples, u);
        index.find(box.left - reach, box.bottom - reach, box.right + reach, box.top + reach, hits);
    }

    /** What is known when the row of a unit is filled, as far as the latest copy of the unit tells. */
    private void remember(int u, double reach) {
        memory.clear();
        int twin = u - 1;
        while (twin >= Math.max(0, u - LATELY) && copies.ofSamples(twin) != copies.ofSamples(u)) {
            twin--;
        }
        if (copies.ofSamples(u) < 0 || twin < Math.max(0, u - LATELY)) {
            return;
        }
        find(twin, reach);
        for (int h = 0; h < hits.size; h++) {
            int v = unitOfPiece[hits.piece[h]];
            if (copies.ofPieces(v) >= 0) {
                memory.put(copies.ofSamples(twin), copies.ofPieces(v), copies.right(twin, v), copies.above(twin, v), 0);
            }
        }
    }

    private boolean isRemembered(int u, int piece) {
        int v = unitOfPiece[piece];
        return copies.ofSamples(u) >= 0
                && copies.ofPieces(v) >= 0
                && !Double.isNaN(
                        memory.get(copies.ofSamples(u), copies.ofPieces(v), copies.right(u, v), copies.above(u, v)));
    }

    private void countIntegral(int u, int i, double rangeUm, double reach, double scale) {
        int from = samples.first(u);
        int to = samples.first(u + 1);
        if (axes.isShared() && pieces.isRectangle(i)) {
            places += scale * axes.places();
            shared += scale * (to - from);
            return;
        }
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
            evaluations += scale * within * evaluations(i, rangeUm);
        }
    }

    private double evaluations(int i, double rangeUm) {
        return GaussianKernel.ENGINE.evaluations(
                (pieces.highUm()[i] - pieces.lowUm()[i]) / rangeUm,
                (pieces.toHighUm()[i] - pieces.toLowUm()[i]) / rangeUm,
                (pieces.fromHighUm()[i] - pieces.fromLowUm()[i]) / rangeUm);
    }

    /** The way over all pieces, and the products: the same for all near terms together, by the widest. */
    double walkNs() {
        return ROW * rows
                + CLASS * classes
                + FRESH * fresh
                + REMEMBERED * remembered
                + PRODUCT * TermCost.EVALUATIONS * entries;
    }

    /** The term's own integrals. */
    double integralsNs() {
        return SKIPPED * skipped
                + UPRIGHT * upright
                + PLACE * places
                + SHARED * shared
                + SLANTED * slanted
                + EVALUATION * evaluations;
    }

    double ns() {
        return walkNs() + integralsNs();
    }

    double bytes() {
        return BYTES_PER_ROW * rows + BYTES_PER_ENTRY * entries;
    }
}
