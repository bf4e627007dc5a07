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
 * <p>Each term of the point spread function is computed by one of two evaluators, the cheaper one as {@link EnginePlan} finds.
 * <em>Near</em>: a sparse matrix assembled once from closed forms; error below 1e-7. <em>Far</em>: coverage on a grid of a
 * quarter of the range, blurred and interpolated by cubic B-splines; error below 1e-4 of the clearing energy 1/2 (both
 * held by {@code EnergyModelTest} against {@link ExactEnergy}).
 *
 * <p>Results do not depend on the number of threads. One model serves one caller at a time.
 */
public final class EnergyModel {
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
        return build(EnginePlan.of(pieces, samples, psf), workers, progress);
    }

    /**
     * Prepares the map as planned.
     *
     * @param plan what is exposed, where it is judged and how each term is computed
     * @param workers who computes, now and at every evaluation
     * @param progress hears the stages
     * @throws IllegalArgumentException if a sample lies far from all pieces or a grid asked for is too large
     */
    public static EnergyModel build(EnginePlan plan, Workers workers, Progress progress) {
        PointSpreadFunction psf = plan.psf();
        List<GaussianTerm> nearTerms = new ArrayList<>();
        int nearDirect = 0;
        List<FarField> far = new ArrayList<>();
        for (int k = 0; k < psf.terms().size(); k++) {
            GaussianTerm term = psf.terms().get(k);
            boolean direct = k < psf.directTerms();
            if (plan.evaluators().get(k) == Evaluator.NEAR) {
                nearTerms.add(term);
                nearDirect += direct ? 1 : 0;
            } else if (FarGrid.nodesFor(plan.boundsUm(), term.rangeUm()) > FarGrid.MOST_NODES) {
                throw new IllegalArgumentException(
                        "the layout is too large for a grid of range " + term.rangeUm() + " um");
            } else {
                far.add(new FarField(plan.pieces(), plan.samples(), plan.boundsUm(), term, direct, workers, progress));
            }
        }
        SparseMatrix near = NearField.assemble(
                plan.pieces(),
                plan.samples(),
                plan.index(),
                nearTerms,
                nearDirect,
                psf.direct().weight(),
                workers,
                progress);
        return new EnergyModel(plan.pieces(), psf, plan.index(), nearTerms, near, far, workers);
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
        return field(doseOfUnit, psf);
    }

    /**
     * The same if the weights of the terms were others: what the model has prepared depends on their ranges alone.
     *
     * @param doseOfUnit dose factor of each unit, finite; copied
     * @param other a point spread function whose ranges are among the model's
     * @throws IllegalArgumentException if there is not one finite factor for each unit, or a range is not the model's
     */
    public EnergyField field(double[] doseOfUnit, PointSpreadFunction other) {
        ExactEnergy.checkDoses(doseOfUnit, units(), "units");
        double[] doseOfPiece = new double[pieces.size()];
        for (int u = 0; u < units(); u++) {
            Arrays.fill(doseOfPiece, pieces.unitFirst(u), pieces.unitFirst(u + 1), doseOfUnit[u]);
        }
        List<GaussianTerm> closedForms = new ArrayList<>();
        List<EnergyField.Smooth> smooth = new ArrayList<>();
        for (GaussianTerm term : other.terms()) {
            FarField field = farOf(term.rangeUm());
            if (field == null) {
                closedForms.add(term);
                continue;
            }
            double[] spread = new double[field.grid().nodes()];
            double[] values = new double[field.grid().nodes()];
            field.spread(doseOfUnit, spread, workers);
            field.blur(spread, values, workers);
            smooth.add(new EnergyField.Smooth(field.grid(), values, term.weight()));
        }
        return new EnergyField(new ExactEnergy(pieces, doseOfPiece, closedForms, index), smooth);
    }

    /** The far term of a range, or null for a near one. */
    private FarField farOf(double rangeUm) {
        for (FarField field : far) {
            if (field.term().rangeUm() == rangeUm) {
                return field;
            }
        }
        if (nearTerms.stream().noneMatch(t -> t.rangeUm() == rangeUm)) {
            throw new IllegalArgumentException("the model has no term of range " + rangeUm + " um");
        }
        return null;
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
