package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;

/**
 * What an {@link EnergyModel} is to be built from, and how each term is to be computed: by default by the evaluator that costs
 * less in a correction, by an estimate from a sample of units ({@code TermCostTest} holds it against measured times).
 */
public final class EnginePlan {
    private final Pieces pieces;
    private final Samples samples;
    private final PointSpreadFunction psf;
    private final double[] boundsUm;
    private final PieceIndex index;
    private final List<Evaluator> evaluators;
    private final double bytes;

    private EnginePlan(
            Pieces pieces,
            Samples samples,
            PointSpreadFunction psf,
            double[] boundsUm,
            PieceIndex index,
            List<Evaluator> evaluators,
            double bytes) {
        if (evaluators.size() != psf.terms().size()) {
            throw new IllegalArgumentException(
                    evaluators.size() + " evaluators for " + psf.terms().size() + " terms");
        }
        this.pieces = pieces;
        this.samples = samples;
        this.psf = psf;
        this.boundsUm = boundsUm;
        this.index = index;
        this.evaluators = List.copyOf(evaluators);
        this.bytes = bytes;
    }

    /**
     * Each term by the cheaper evaluator.
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @throws IllegalArgumentException if the numbers of units differ
     */
    public static EnginePlan of(Pieces pieces, Samples samples, PointSpreadFunction psf) {
        int terms = psf.terms().size();
        checkUnits(pieces, samples);
        if (pieces.size() == 0) {
            return with(pieces, samples, psf, Collections.nCopies(terms, Evaluator.NEAR));
        }
        PieceIndex index = new PieceIndex(pieces);
        double[] boundsUm = pieces.boundsUm();
        List<Evaluator> evaluators = new ArrayList<>();
        double bytes = 0;
        for (int k = 0; k < terms; k++) {
            GaussianTerm term = psf.terms().get(k);
            TermCost cost = TermCost.of(pieces, samples, index, boundsUm, term, k < psf.directTerms());
            evaluators.add(cost.cheaper());
            bytes += cost.bytes(cost.cheaper());
        }
        return new EnginePlan(pieces, samples, psf, boundsUm, index, evaluators, bytes);
    }

    /**
     * Each term by a given evaluator, for comparisons.
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @param evaluators one for each of {@link PointSpreadFunction#terms()}
     * @throws IllegalArgumentException if the numbers of units or terms differ
     */
    public static EnginePlan with(Pieces pieces, Samples samples, PointSpreadFunction psf, List<Evaluator> evaluators) {
        return ofTile(pieces, samples, psf, evaluators, pieces.boundsUm());
    }

    /**
     * One tile of a larger layout, on grids that all tiles share; see {@link EnergyModel#contribution}.
     *
     * @param pieces pieces of the tile and of its surroundings as far as near terms reach
     * @param samples where each unit is judged
     * @param psf the point spread function
     * @param evaluators one for each of {@link PointSpreadFunction#terms()}, the same for all tiles
     * @param boundsUm smallest x, smallest y, largest x, largest y of all tiles, um
     * @throws IllegalArgumentException if the numbers of units or terms differ
     */
    public static EnginePlan ofTile(
            Pieces pieces, Samples samples, PointSpreadFunction psf, List<Evaluator> evaluators, double[] boundsUm) {
        checkUnits(pieces, samples);
        return new EnginePlan(pieces, samples, psf, boundsUm.clone(), new PieceIndex(pieces), evaluators, Double.NaN);
    }

    private static void checkUnits(Pieces pieces, Samples samples) {
        if (pieces.units() != samples.units()) {
            throw new IllegalArgumentException(pieces.units() + " units with samples for " + samples.units());
        }
    }

    /** How each of {@link PointSpreadFunction#terms()} is to be computed. */
    public List<Evaluator> evaluators() {
        return evaluators;
    }

    /** Estimated memory of the model, bytes; NaN where evaluators were given. */
    public double bytes() {
        return bytes;
    }

    Pieces pieces() {
        return pieces;
    }

    Samples samples() {
        return samples;
    }

    PointSpreadFunction psf() {
        return psf;
    }

    double[] boundsUm() {
        return boundsUm;
    }

    PieceIndex index() {
        return index;
    }
}
