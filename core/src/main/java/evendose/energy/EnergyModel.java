package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * The linear map from dose factors of units to their criterion values,
 *
 * <pre>C_u = sum_j weight_j E(x_j, y_j)   over the samples j of unit u,</pre>
 *
 * for repeated use. For an interior unit the share of the direct terms is {@code w d_u / 2}, w their weight, instead of their value at the samples.
 *
 * <p>Each term of the point spread function is computed by the cheaper of two evaluators. <em>Near</em>: a sparse matrix
 * assembled once from closed forms; error below 1e-7. <em>Far</em>: coverage on a grid of a quarter of the range, blurred and
 * interpolated by cubic B-splines; error below 1e-4 of the clearing energy 1/2 (both held by {@code EnergyModelTest} against
 * {@link ExactEnergy}). The estimate is for ten evaluations: a near term costs 15 ns a sample and rectangle within 4.5 ranges of
 * it (100 ns a trapezoid), counted at 500 of the units, and 3 ns a matrix entry and evaluation; a far one 1,000 ns a unit, and 60 ns a
 * unit and 16 ns a grid node for each evaluation.
 *
 * <p>Results do not depend on the number of threads. One model serves one caller at a time.
 */
public final class EnergyModel {
    /** Costs in ns on one core, measured by {@code EnergyModelBenchmark}; only their ratios matter. */
    private static final double NS_PER_RECTANGLE = 15;

    private static final double NS_PER_TRAPEZOID = 100;
    private static final double EVALUATIONS = 10;
    private static final double NS_PER_ENTRY = 3 * EVALUATIONS;
    private static final double NS_PER_FAR_UNIT = 1000 + 60 * EVALUATIONS;
    private static final double NS_PER_NODE = 16 * EVALUATIONS;

    private static final int UNITS_COUNTED = 500;

    private final Pieces pieces;
    private final PointSpreadFunction psf;
    private final PieceIndex index;
    private final List<GaussianTerm> nearTerms;
    private final SparseMatrix near;
    private final List<FarField> far;
    private final Workers workers;
    private double[] coverage = new double[0];
    private double[] blurred = new double[0];

    private EnergyModel(
            Pieces pieces,
            PointSpreadFunction psf,
            PieceIndex index,
            List<GaussianTerm> nearTerms,
            SparseMatrix near,
            List<FarField> far,
            Workers workers) {
        this.pieces = pieces;
        this.psf = psf;
        this.index = index;
        this.nearTerms = nearTerms;
        this.near = near;
        this.far = far;
        this.workers = workers;
    }

    /**
     * Prepares the map, each term by the cheaper evaluator.
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @param workers who computes, now and at every evaluation
     * @param progress hears the stages
     * @throws IllegalArgumentException if the numbers of units differ or a sample lies far from all pieces
     */
    public static EnergyModel build(
            Pieces pieces, Samples samples, PointSpreadFunction psf, Workers workers, Progress progress) {
        return build(pieces, samples, psf, null, workers, progress);
    }

    /**
     * Prepares the map with a given evaluator for each term, for comparisons.
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @param evaluators one for each of {@link PointSpreadFunction#terms()}, or null for the cheaper ones
     * @param workers who computes, now and at every evaluation
     * @param progress hears the stages
     * @throws IllegalArgumentException if the numbers of units or terms differ, a sample lies far from all pieces, or a grid
     *     asked for is too large
     */
    public static EnergyModel build(
            Pieces pieces,
            Samples samples,
            PointSpreadFunction psf,
            List<Evaluator> evaluators,
            Workers workers,
            Progress progress) {
        return build(pieces, samples, psf, evaluators, pieces.boundsUm(), workers, progress);
    }

    /**
     * Prepares the map of one tile of a larger layout, on grids that all tiles share; see {@link #contribution}.
     *
     * @param pieces pieces of the tile and of its surroundings as far as near terms reach
     * @param samples where each unit is judged
     * @param psf the point spread function
     * @param evaluators one for each of {@link PointSpreadFunction#terms()}, the same for all tiles
     * @param boundsUm smallest x, smallest y, largest x, largest y of all tiles, um
     * @param workers who computes, now and at every evaluation
     * @param progress hears the stages
     * @throws IllegalArgumentException as above
     */
    public static EnergyModel buildTile(
            Pieces pieces,
            Samples samples,
            PointSpreadFunction psf,
            List<Evaluator> evaluators,
            double[] boundsUm,
            Workers workers,
            Progress progress) {
        return build(pieces, samples, psf, List.copyOf(evaluators), boundsUm, workers, progress);
    }

    private static EnergyModel build(
            Pieces pieces,
            Samples samples,
            PointSpreadFunction psf,
            List<Evaluator> evaluators,
            double[] boundsUm,
            Workers workers,
            Progress progress) {
        if (pieces.units() != samples.units()) {
            throw new IllegalArgumentException(pieces.units() + " units with samples for " + samples.units());
        }
        List<GaussianTerm> terms = psf.terms();
        if (evaluators != null && evaluators.size() != terms.size()) {
            throw new IllegalArgumentException(evaluators.size() + " evaluators for " + terms.size() + " terms");
        }
        PieceIndex index = new PieceIndex(pieces);
        List<GaussianTerm> nearTerms = new ArrayList<>();
        int nearDirect = 0;
        List<FarField> far = new ArrayList<>();
        for (int k = 0; k < terms.size(); k++) {
            GaussianTerm term = terms.get(k);
            Evaluator evaluator = pieces.size() == 0
                    ? Evaluator.NEAR
                    : evaluators != null ? evaluators.get(k) : cheaper(pieces, samples, index, term);
            if (evaluator == Evaluator.NEAR) {
                nearTerms.add(term);
                nearDirect += k < psf.directTerms() ? 1 : 0;
            } else if (FarGrid.nodesFor(boundsUm, term.rangeUm()) > FarGrid.MOST_NODES) {
                throw new IllegalArgumentException(
                        "the layout is too large for a grid of range " + term.rangeUm() + " um");
            } else {
                far.add(new FarField(pieces, samples, boundsUm, term, k < psf.directTerms(), workers, progress));
            }
        }
        SparseMatrix near = NearField.assemble(
                pieces, samples, index, nearTerms, nearDirect, psf.direct().weight(), workers, progress);
        return new EnergyModel(pieces, psf, index, nearTerms, near, far, workers);
    }

    private static Evaluator cheaper(Pieces pieces, Samples samples, PieceIndex index, GaussianTerm term) {
        double nodes = FarGrid.nodesFor(pieces.boundsUm(), term.rangeUm());
        if (nodes > FarGrid.MOST_NODES) {
            return Evaluator.NEAR;
        }
        double reach = NearField.REACH * term.rangeUm();
        PieceIndex.Hits hits = new PieceIndex.Hits();
        int units = pieces.units();
        int counted = Math.min(units, UNITS_COUNTED);
        double far = counted * NS_PER_FAR_UNIT + nodes * NS_PER_NODE * counted / units;
        double near = 0;
        // Counting stops when the outcome is known: for a wide term after a few units of many neighbours.
        for (int c = 0; c < counted && near <= far; c++) {
            int u = (int) ((c + 0.5) * units / counted);
            double x0 = Double.MAX_VALUE;
            double y0 = Double.MAX_VALUE;
            double x1 = -Double.MAX_VALUE;
            double y1 = -Double.MAX_VALUE;
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                x0 = Math.min(x0, samples.xUm(j));
                y0 = Math.min(y0, samples.yUm(j));
                x1 = Math.max(x1, samples.xUm(j));
                y1 = Math.max(y1, samples.yUm(j));
            }
            index.find(x0 - reach, y0 - reach, x1 + reach, y1 + reach, hits);
            double kernels = 0;
            for (int h = 0; h < hits.size; h++) {
                int i = hits.piece[h];
                boolean rectangle = pieces.xLeftBottomUm()[i] == pieces.xLeftTopUm()[i]
                        && pieces.xRightBottomUm()[i] == pieces.xRightTopUm()[i];
                kernels += rectangle ? NS_PER_RECTANGLE : NS_PER_TRAPEZOID;
            }
            near += kernels * (samples.first(u + 1) - samples.first(u))
                    + NS_PER_ENTRY * hits.size * units / pieces.size();
        }
        return near <= far ? Evaluator.NEAR : Evaluator.FAR;
    }

    /** Number of dose units. */
    public int units() {
        return pieces.units();
    }

    /**
     * Evaluates the map.
     *
     * @param doseOfUnit dose factor of each unit
     * @param criterion receives the criterion value of each unit; another array
     * @throws IllegalArgumentException if an array's length is not the number of units, or both are the same array
     */
    public void apply(double[] doseOfUnit, double[] criterion) {
        if (doseOfUnit.length != units() || criterion.length != units() || doseOfUnit == criterion) {
            throw new IllegalArgumentException("two different arrays of " + units() + " values are needed");
        }
        near.multiply(doseOfUnit, criterion, workers);
        for (FarField field : far) {
            if (coverage.length < field.grid().nodes()) {
                coverage = new double[field.grid().nodes()];
                blurred = new double[field.grid().nodes()];
            }
            field.spread(doseOfUnit, coverage, workers);
            field.blur(coverage, blurred, workers);
            field.gather(blurred, criterion, workers);
        }
    }

    /**
     * What units add to the grids of the far terms, one array a term, a value a node. The sum over all tiles is what {@link
     * #apply(double[], double[][], double[])} wants.
     *
     * @param doseOfUnit dose factor of each unit; 0 for those that another tile counts
     */
    public double[][] contribution(double[] doseOfUnit) {
        double[][] sums = new double[far.size()][];
        for (int f = 0; f < sums.length; f++) {
            sums[f] = new double[far.get(f).grid().nodes()];
            far.get(f).spread(doseOfUnit, sums[f], workers);
        }
        return sums;
    }

    /**
     * Evaluates the map of a tile: near terms from its own units and their surroundings, far terms from the grids of all tiles.
     *
     * @param doseOfUnit dose factor of each unit
     * @param coverageOfAll sum of the contributions of all tiles, see {@link #contribution}
     * @param criterion receives the criterion value of each unit; another array
     */
    public void apply(double[] doseOfUnit, double[][] coverageOfAll, double[] criterion) {
        near.multiply(doseOfUnit, criterion, workers);
        for (int f = 0; f < far.size(); f++) {
            double[] spread = new double[far.get(f).grid().nodes()];
            far.get(f).blur(coverageOfAll[f], spread, workers);
            far.get(f).gather(spread, criterion, workers);
        }
    }

    /**
     * The engine's energy at any point for given doses.
     *
     * @param doseOfUnit dose factor of each unit, finite; copied
     * @throws IllegalArgumentException if there is not one finite factor for each unit
     */
    public EnergyField field(double[] doseOfUnit) {
        ExactEnergy.checkDoses(doseOfUnit, units(), "units");
        double[] doseOfPiece = new double[pieces.size()];
        for (int u = 0; u < units(); u++) {
            Arrays.fill(doseOfPiece, pieces.unitFirst(u), pieces.unitFirst(u + 1), doseOfUnit[u]);
        }
        FarGrid[] grids = new FarGrid[far.size()];
        double[][] values = new double[far.size()][];
        double[] weights = new double[far.size()];
        for (int f = 0; f < far.size(); f++) {
            FarField field = far.get(f);
            double[] spread = new double[field.grid().nodes()];
            values[f] = new double[field.grid().nodes()];
            field.spread(doseOfUnit, spread, workers);
            field.blur(spread, values[f], workers);
            grids[f] = field.grid();
            weights[f] = field.term().weight();
        }
        return new EnergyField(new ExactEnergy(pieces, doseOfPiece, nearTerms, index), grids, weights, values);
    }

    /** How each term is computed, by rising range. */
    public List<TermChoice> choices() {
        List<TermChoice> choices = new ArrayList<>();
        int f = 0;
        for (GaussianTerm term : psf.terms()) {
            if (f < far.size() && far.get(f).term().equals(term)) {
                FarField field = far.get(f++);
                choices.add(new TermChoice(
                        term,
                        Evaluator.FAR,
                        field.grid().columns(),
                        field.grid().rows(),
                        0,
                        field.bytes()));
            } else {
                choices.add(new TermChoice(term, Evaluator.NEAR, 0, 0, near.entries(), near.bytes()));
            }
        }
        return choices;
    }
}
