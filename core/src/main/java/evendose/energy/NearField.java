package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.util.Arrays;
import java.util.List;
import org.apache.commons.numbers.gamma.InverseErfc;

/**
 * Assembles the short-ranged terms into one matrix: entry (u, v) is what unit v, exposed at factor 1, adds to the criterion of
 * unit u,
 *
 * <pre>sum_j weight_j sum_k w_k sum_i G_k,i(x_j, y_j)</pre>
 *
 * over samples j of u, near terms k and pieces i of v. Pieces are left out where all of the term beyond them is less than {@link #LOST} of
 * the energy of a plane.
 */
final class NearField {
    /** What of a term may be lost to either side of a sample, as energy of a plane. */
    private static final double LOST = 1e-8;

    /** Entries below this are dropped. */
    private static final double SMALLEST_ENTRY = 1e-9;

    private static final int UNITS_PER_PART = 2048;

    private final Pieces pieces;
    private final Samples samples;
    private final PieceIndex index;
    private final int[] unitOfPiece;
    private final double[] weight;
    private final double[] perRange;
    private final double[] reach;
    private final double widest;
    private final int directTerms;
    private final double halfPlane;

    /**
     * Assembles the matrix.
     *
     * @param near the near terms by rising range, perhaps none
     * @param directTerms how many of them, from the first, are direct ones
     * @param directWeight weight of all direct terms, near or not: interior units take half of it from their own dose instead
     *     of the value of those terms
     */
    static SparseMatrix assemble(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            List<GaussianTerm> near,
            int directTerms,
            double directWeight,
            Workers workers,
            Progress progress) {
        NearField field = new NearField(pieces, samples, index, near, directTerms, directWeight);
        progress.begin("near field", pieces.units());
        SparseMatrix.Block[] blocks = new SparseMatrix.Block[Workers.partCount(pieces.units(), UNITS_PER_PART)];
        workers.runRanges(pieces.units(), UNITS_PER_PART, (from, to, part) -> {
            SparseMatrix.Block block = new SparseMatrix.Block(from, to);
            PieceIndex.Hits hits = new PieceIndex.Hits();
            SampleBox box = new SampleBox();
            SampleAxes axes = new SampleAxes();
            for (int u = from; u < to; u++) {
                field.fillRow(u, block, box, axes, hits);
                block.endRow();
            }
            blocks[part] = block.trim();
            progress.advance(to - from);
        });
        return new SparseMatrix(blocks);
    }

    private NearField(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            List<GaussianTerm> near,
            int directTerms,
            double directWeight) {
        this.pieces = pieces;
        this.samples = samples;
        this.index = index;
        this.unitOfPiece = pieces.unitOfPiece();
        this.directTerms = directTerms;
        this.halfPlane = samples.interiorShare() * directWeight;
        this.weight = near.stream().mapToDouble(GaussianTerm::weight).toArray();
        this.perRange = near.stream().mapToDouble(t -> 1 / t.rangeUm()).toArray();
        this.reach = near.stream().mapToDouble(NearField::reachUm).toArray();
        this.widest = Arrays.stream(reach).max().orElse(-1);
    }

    /** Distance, um, beyond which a piece does not count for a term: a weaker term is done with sooner. */
    static double reachUm(GaussianTerm term) {
        double share = Math.min(0.5, LOST / term.weight());
        return term.rangeUm() * Math.min(GaussianKernel.ENGINE.reach(), InverseErfc.value(2 * share));
    }

    private void fillRow(int u, SparseMatrix.Block block, SampleBox box, SampleAxes axes, PieceIndex.Hits hits) {
        boolean interior = samples.interior(u);
        int firstTerm = interior ? directTerms : 0;
        int from = samples.first(u);
        int to = samples.first(u + 1);
        box.around(samples, u);
        axes.of(samples, u);
        hits.size = 0;
        if (firstTerm < weight.length) {
            index.find(box.left - widest, box.bottom - widest, box.right + widest, box.top + widest, hits);
            Arrays.sort(hits.piece, 0, hits.size);
        }
        // Hits in rising order bring the pieces of a unit one after the other, and units in rising order.
        int unit = -1;
        double entry = 0;
        boolean ownIsDue = interior;
        for (int h = 0; h < hits.size; h++) {
            int i = hits.piece[h];
            int v = unitOfPiece[i];
            if (v != unit) {
                add(block, unit, entry);
                if (ownIsDue && v > u) {
                    add(block, u, halfPlane);
                    ownIsDue = false;
                }
                unit = v;
                entry = ownIsDue && v == u ? halfPlane : 0;
                ownIsDue &= v != u;
            }
            double left = index.left(i);
            double right = index.right(i);
            double bottom = index.bottom(i);
            double top = index.top(i);
            boolean together = axes.isShared() && pieces.isRectangle(i);
            for (int k = firstTerm; k < weight.length; k++) {
                double r = reach[k];
                if (left <= box.right + r && right >= box.left - r && bottom <= box.top + r && top >= box.bottom - r) {
                    entry += weight[k]
                            * (together
                                    ? axes.rectangle(left, right, bottom, top, perRange[k], GaussianKernel.ENGINE)
                                    : share(i, from, to, perRange[k]));
                }
            }
        }
        add(block, unit, entry);
        if (ownIsDue) {
            add(block, u, halfPlane);
        }
    }

    private static void add(SparseMatrix.Block block, int unit, double entry) {
        if (entry > SMALLEST_ENTRY) {
            block.add(unit, entry);
        }
    }

    /** Weighted mean of piece {@code i}'s integral over the samples {@code from} to {@code to - 1}. */
    private double share(int i, int from, int to, double scale) {
        double low = pieces.lowUm()[i];
        double high = pieces.highUm()[i];
        double fromLow = pieces.fromLowUm()[i];
        double toLow = pieces.toLowUm()[i];
        double fromHigh = pieces.fromHighUm()[i];
        double toHigh = pieces.toHighUm()[i];
        boolean rectangle = fromLow == fromHigh && toLow == toHigh;
        boolean standing = pieces.standing(i);
        double[] along = standing ? samples.yUm() : samples.xUm();
        double[] across = standing ? samples.xUm() : samples.yUm();
        double sum = 0;
        for (int j = from; j < to; j++) {
            double a = along[j];
            double c = across[j];
            double g = rectangle
                    ? GaussianKernel.ENGINE.rectangle(
                            (fromLow - a) * scale, (toLow - a) * scale, (low - c) * scale, (high - c) * scale)
                    : GaussianKernel.ENGINE.trapezoid(
                            (low - c) * scale,
                            (high - c) * scale,
                            (fromLow - a) * scale,
                            (toLow - a) * scale,
                            (fromHigh - a) * scale,
                            (toHigh - a) * scale);
            sum += samples.weight(j) * g;
        }
        return sum;
    }
}
