package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import java.util.Arrays;

/**
 * What single pieces, exposed at factor 1, add to the criterion of a unit by the near terms. To be used again and again: {@link #at} a unit,
 * {@link #add} pieces, {@link #compute}.
 */
final class NearSums {
    private final Pieces pieces;
    private final Samples samples;
    private final PieceIndex index;
    private final NearTerms terms;
    private final double widestUm;

    private final SampleBox box = new SampleBox();
    private final SampleAxes axes = new SampleAxes();
    private int unit;

    private int size;
    private int[] piece = new int[64];
    private double[] sum = new double[64];

    /** Squared distance of each piece's box from that of the samples, um^2. */
    private double[] square = new double[64];

    /** Numbers of each piece's four ends on the axes; -1 first where it is no rectangle or the samples share no places. */
    private int[] end = new int[256];

    NearSums(Pieces pieces, Samples samples, PieceIndex index, NearTerms terms) {
        this.pieces = pieces;
        this.samples = samples;
        this.index = index;
        this.terms = terms;
        this.widestUm = terms.widestUm();
    }

    /** Goes to the samples of unit {@code u}, without pieces. */
    void at(int u) {
        unit = u;
        box.around(samples, u);
        size = 0;
    }

    /** Replaces the content of {@code hits} by the pieces that any term reaches. */
    void find(PieceIndex.Hits hits) {
        index.find(box.left - widestUm, box.bottom - widestUm, box.right + widestUm, box.top + widestUm, hits);
    }

    /** Takes in a piece, as number {@link #size} before. */
    void add(int i) {
        if (size == piece.length) {
            piece = Arrays.copyOf(piece, 2 * size);
            sum = new double[2 * size];
            square = new double[2 * size];
            end = new int[8 * size];
        }
        piece[size++] = i;
    }

    /** Number of pieces taken in. */
    int size() {
        return size;
    }

    /** What piece number {@code k} adds. */
    double of(int k) {
        return sum[k];
    }

    /** Computes what the pieces add by the terms from {@code firstTerm} on: term by term, since rectangles share what belongs to common ends. */
    void compute(int firstTerm) {
        prepare();
        for (int t = firstTerm; t < terms.size(); t++) {
            double within = terms.reachUm(t) * terms.reachUm(t);
            double perUm = terms.perUm(t);
            axes.scale(perUm);
            for (int k = 0; k < size; k++) {
                if (square[k] <= within) {
                    int e = 4 * k;
                    sum[k] += terms.weight(t)
                            * (end[e] < 0
                                    ? share(piece[k], perUm)
                                    : axes.rectangle(end[e], end[e + 1], end[e + 2], end[e + 3]));
                }
            }
        }
    }

    private void prepare() {
        axes.of(samples, unit);
        for (int k = 0; k < size; k++) {
            int i = piece[k];
            double left = index.left(i);
            double right = index.right(i);
            double bottom = index.bottom(i);
            double top = index.top(i);
            sum[k] = 0;
            square[k] = box.squaredDistance(left, bottom, right, top);
            end[4 * k] = -1;
            if (axes.isShared() && pieces.isRectangle(i)) {
                end[4 * k] = axes.endAlongX(left);
                end[4 * k + 1] = axes.endAlongX(right);
                end[4 * k + 2] = axes.endAlongY(bottom);
                end[4 * k + 3] = axes.endAlongY(top);
            }
        }
    }

    /** Weighted mean of piece {@code i}'s integral over the samples. */
    private double share(int i, double scale) {
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
        double integral = 0;
        for (int j = samples.first(unit); j < samples.first(unit + 1); j++) {
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
            integral += samples.weight(j) * g;
        }
        return integral;
    }
}
