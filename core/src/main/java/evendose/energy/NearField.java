package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.util.Arrays;
import java.util.List;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;

/**
 * Assembles the short-ranged terms into one matrix: entry (u, v) is what unit v, exposed at factor 1, adds to the criterion of
 * unit u,
 *
 * <pre>sum_j weight_j sum_k w_k sum_i G_k,i(x_j, y_j)</pre>
 *
 * over samples j of u, near terms k and pieces i of v. Pieces are left out that lie so far away that all of the term there is less than
 * {@link NearTerms#LOST} of the energy of a plane. Where units repeat, what one adds to another is computed once for each part of the rows.
 */
final class NearField {
    /** Entries below this are dropped. */
    private static final double SMALLEST_ENTRY = 1e-9;

    private static final int UNITS_PER_PART = 2048;

    private final Pieces pieces;
    private final Samples samples;
    private final PieceIndex index;
    private final NearTerms terms;
    private final UnitCopies copies;
    private final int[] unitOfPiece;
    private final int directTerms;
    private final double halfPlane;

    /**
     * Assembles the matrix.
     *
     * @param copies which units are copies of others
     * @param near the near terms by rising range, perhaps none
     * @param directTerms how many of them, from the first, are direct ones
     * @param directWeight weight of all direct terms, near or not: interior units take {@link Samples#interiorShare} of it from
     *     their own dose instead of the value of those terms
     */
    static SparseMatrix assemble(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            UnitCopies copies,
            List<GaussianTerm> near,
            int directTerms,
            double directWeight,
            Workers workers,
            Progress progress) {
        progress.begin("near field", pieces.units());
        NearField field = new NearField(
                pieces,
                samples,
                index,
                copies,
                new NearTerms(near),
                directTerms,
                samples.interiorShare() * directWeight);
        SparseMatrix.Block[] blocks = new SparseMatrix.Block[Workers.partCount(pieces.units(), UNITS_PER_PART)];
        Queue<Rows> spare = new ConcurrentLinkedQueue<>();
        workers.runRanges(pieces.units(), UNITS_PER_PART, (from, to, part) -> {
            Rows former = spare.poll();
            Rows rows = former == null ? field.new Rows() : former;
            blocks[part] = rows.fill(from, to);
            spare.add(rows);
            progress.advance(to - from);
        });
        return new SparseMatrix(blocks);
    }

    private NearField(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            UnitCopies copies,
            NearTerms terms,
            int directTerms,
            double halfPlane) {
        this.pieces = pieces;
        this.samples = samples;
        this.index = index;
        this.terms = terms;
        this.copies = copies;
        this.unitOfPiece = pieces.unitOfPiece();
        this.directTerms = directTerms;
        this.halfPlane = halfPlane;
    }

    /** Fills some rows after others. */
    private final class Rows {
        private final SparseMatrix.Rows entries = new SparseMatrix.Rows();
        private final PieceIndex.Hits hits = new PieceIndex.Hits();
        private final PairMemory memory = new PairMemory();
        private final NearSums sums = new NearSums(pieces, samples, index, terms);

        // Units with pieces near the row's unit, in rising order: pieces first[n] to first[n + 1] - 1 of the hits.
        private int neighbours;
        private int[] unit = new int[32];
        private int[] first = new int[33];
        private double[] adds = new double[32];

        SparseMatrix.Block fill(int from, int to) {
            entries.begin(from, to);
            memory.clear();
            for (int u = from; u < to; u++) {
                boolean interior = samples.interior(u);
                neighbours = 0;
                int firstTerm = interior ? directTerms : 0;
                if (firstTerm < terms.size()) {
                    find(u);
                    compute(u, firstTerm);
                }
                append(u, interior ? halfPlane : 0);
                entries.endRow();
            }
            return entries.toBlock();
        }

        private void find(int u) {
            sums.at(u);
            sums.find(hits);
            Arrays.sort(hits.piece, 0, hits.size);
            for (int h = 0; h < hits.size; h++) {
                int v = unitOfPiece[hits.piece[h]];
                if (neighbours == 0 || unit[neighbours - 1] != v) {
                    if (neighbours == unit.length) {
                        unit = Arrays.copyOf(unit, 2 * neighbours);
                        first = Arrays.copyOf(first, 2 * neighbours + 1);
                        adds = Arrays.copyOf(adds, 2 * neighbours);
                    }
                    first[neighbours] = h;
                    unit[neighbours++] = v;
                }
            }
            first[neighbours] = hits.size;
        }

        /** What each neighbour adds: remembered, or summed over its pieces. */
        private void compute(int u, int firstTerm) {
            int ofSamples = copies.ofSamples(u);
            for (int n = 0; n < neighbours; n++) {
                int v = unit[n];
                int ofPieces = ofSamples < 0 ? -1 : copies.ofPieces(v);
                adds[n] = ofPieces < 0
                        ? Double.NaN
                        : memory.get(ofSamples, ofPieces, copies.right(u, v), copies.above(u, v));
                if (Double.isNaN(adds[n])) {
                    for (int h = first[n]; h < first[n + 1]; h++) {
                        sums.add(hits.piece[h]);
                    }
                }
            }
            if (sums.size() == 0) {
                return;
            }
            sums.compute(firstTerm);
            int k = 0;
            for (int n = 0; n < neighbours; n++) {
                if (Double.isNaN(adds[n])) {
                    adds[n] = 0;
                    for (int h = first[n]; h < first[n + 1]; h++) {
                        adds[n] += sums.of(k++);
                    }
                    int v = unit[n];
                    int ofPieces = ofSamples < 0 ? -1 : copies.ofPieces(v);
                    if (ofPieces >= 0) {
                        memory.put(ofSamples, ofPieces, copies.right(u, v), copies.above(u, v), adds[n]);
                    }
                }
            }
        }

        /** The row's entries by rising unit; {@code own} is what the unit adds to itself besides. */
        private void append(int u, double own) {
            int n = 0;
            for (; n < neighbours && unit[n] < u; n++) {
                appendEntry(unit[n], adds[n]);
            }
            boolean isNear = n < neighbours && unit[n] == u;
            appendEntry(u, own + (isNear ? adds[n++] : 0));
            for (; n < neighbours; n++) {
                appendEntry(unit[n], adds[n]);
            }
        }

        private void appendEntry(int column, double entry) {
            if (entry > SMALLEST_ENTRY) {
                entries.add(column, entry);
            }
        }
    }
}
