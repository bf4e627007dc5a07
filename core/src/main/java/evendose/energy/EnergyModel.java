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
import java.util.Optional;

/**
 * The linear map from dose factors of units to their criterion values,
 *
 * <pre>C_u = sum_j weight_j E(x_j, y_j)   over the samples j of unit u,</pre>
 *
 * for repeated use. For an interior unit the share of the direct terms is {@code w d_u / 2}, w their weight, instead of their value at the samples.
 *
 * <p>Each term of the point spread function is computed by one of two evaluators, as {@link EnginePlan} finds cheapest.
 * <em>Near</em>: a sparse matrix assembled once from closed forms; error below 1e-7. <em>Far</em>: coverage on a grid of a
 * quarter of the shortest range of those that share it (wider for weak terms), convolved by Fourier transform and interpolated by cubic B-splines; error
 * below 1e-4 of the clearing energy 1/2 (both held by {@code EnergyModelTest} against {@link ExactEnergy}).
 *
 * <p>Results do not depend on the number of threads. One model serves one caller at a time.
 */
public final class EnergyModel {
    private final Pieces pieces;
    private final PointSpreadFunction psf;
    private final PieceIndex index;
    private final List<TermGroup> groups;
    private final BuiltTerms terms;
    private final List<FarField> far;
    private final Workers workers;

    private EnergyModel(EnginePlan plan, BuiltTerms terms, Workers workers) {
        this.pieces = plan.pieces();
        this.psf = plan.psf();
        this.index = plan.index();
        this.groups = plan.groups();
        this.terms = terms;
        this.far = terms.far;
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
     * @return the map
     * @throws IllegalArgumentException if the numbers of units differ or a sample lies far from all pieces
     */
    public static EnergyModel build(
            Pieces pieces, Samples samples, PointSpreadFunction psf, Workers workers, Progress progress) {
        return build(EnginePlan.of(pieces, samples, psf, workers), workers, progress);
    }

    /**
     * Prepares the map as planned.
     *
     * @param plan what is exposed, where it is judged and how each term is computed
     * @param workers who computes, now and at every evaluation
     * @param progress hears the stages
     * @return the map
     * @throws IllegalArgumentException if a sample lies far from all pieces or a grid asked for is too large
     */
    public static EnergyModel build(EnginePlan plan, Workers workers, Progress progress) {
        BuiltTerms terms = BuiltTerms.build(
                plan.pieces(),
                plan.samples(),
                plan.index(),
                plan.copies(workers),
                plan.psf(),
                plan.groups(),
                plan.slack(),
                plan.boundsUm(),
                workers,
                progress);
        return new EnergyModel(plan, terms, workers);
    }

    /** {@return number of dose units} */
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
        terms.apply(doseOfUnit, criterion, workers);
    }

    /**
     * {@return the engine's energy at any point for given doses}
     *
     * @param doseOfUnit dose factor of each unit, finite; copied
     * @throws IllegalArgumentException if there is not one finite factor for each unit
     */
    public EnergyField field(double[] doseOfUnit) {
        return exposed(doseOfUnit).field(psf);
    }

    /**
     * {@return given doses, from which the energies of several point spread functions are to be found}
     *
     * @param doseOfUnit dose factor of each unit, finite; copied
     * @throws IllegalArgumentException if there is not one finite factor for each unit
     */
    public Exposed exposed(double[] doseOfUnit) {
        ExactEnergy.checkDoses(doseOfUnit, units(), "units");
        return new Exposed(doseOfUnit.clone());
    }

    /** Doses on the grids: what they take is found once for all point spread functions. */
    public final class Exposed {
        private final double[] doseOfPiece = new double[pieces.size()];
        private final double[][] coverages;
        private final List<Convolved> convolved = new ArrayList<>();

        private Exposed(double[] doseOfUnit) {
            for (int u = 0; u < units(); u++) {
                Arrays.fill(doseOfPiece, pieces.unitFirst(u), pieces.unitFirst(u + 1), doseOfUnit[u]);
            }
            coverages = new double[far.size()][];
            for (int f = 0; f < coverages.length; f++) {
                coverages[f] = new double[far.get(f).grid().nodes()];
                far.get(f).spread(doseOfUnit, coverages[f], workers);
            }
        }

        /**
         * {@return the energy with a point spread function: terms for which the model has a grid that is fine and wide enough
         * over that grid, all others in closed form}
         *
         * @param other the other point spread function
         */
        public EnergyField field(PointSpreadFunction other) {
            List<List<GaussianTerm>> gaussians = new ArrayList<>();
            far.forEach(f -> gaussians.add(new ArrayList<>()));
            List<GaussianTerm> closedForms = new ArrayList<>();
            for (GaussianTerm term : other.terms()) {
                int f = gridFor(new FarTerms(List.of(term), Optional.empty(), 0));
                (f < 0 ? closedForms : gaussians.get(f)).add(term);
            }
            Optional<FarTerms> table = other.table().map(t -> new FarTerms(List.of(), Optional.of(t), 0));
            int gridOfTable = table.map(EnergyModel.this::gridFor).orElse(-1);
            if (table.isPresent() && gridOfTable < 0) {
                throw new IllegalArgumentException("the model has no grid for the table");
            }
            List<EnergyField.Smooth> smooth = new ArrayList<>();
            for (int f = 0; f < coverages.length; f++) {
                FarTerms terms = new FarTerms(gaussians.get(f), f == gridOfTable ? other.table() : Optional.empty(), 0);
                if (!terms.isEmpty()) {
                    smooth.add(smooth(f, terms));
                }
            }
            return new EnergyField(ExactEnergy.ofNearTerms(pieces, doseOfPiece, closedForms, index), smooth);
        }

        /** The terms on grid {@code f}: convolved anew unless former ones were the same but for a factor. */
        private EnergyField.Smooth smooth(int f, FarTerms terms) {
            for (Convolved former : convolved) {
                if (former.grid == f && former.terms.isProportional(terms)) {
                    return new EnergyField.Smooth(
                            far.get(f).grid(), former.values, terms.weight() / former.terms.weight());
                }
            }
            double[] values = new double[coverages[f].length];
            far.get(f).blur(coverages[f], values, terms, workers);
            convolved.add(new Convolved(f, terms, values));
            return new EnergyField.Smooth(far.get(f).grid(), values, 1);
        }
    }

    /** Terms convolved with the doses of {@link Exposed}. */
    private record Convolved(int grid, FarTerms terms, double[] values) {}

    /** The coarsest grid that can carry some terms, or -1 if there is none: grids come by rising pitch. */
    private int gridFor(FarTerms terms) {
        for (int f = far.size() - 1; f >= 0; f--) {
            if (far.get(f).terms().cover(terms)) {
                return f;
            }
        }
        return -1;
    }

    /** {@return how each term is computed, by rising range} */
    public List<TermChoice> choices() {
        List<TermChoice> choices = new ArrayList<>();
        int f = 0;
        for (TermGroup group : groups) {
            FarField field = group.evaluator() == Evaluator.FAR ? far.get(f++) : null;
            choices.add(
                    field == null
                            ? new TermChoice(group, 0, 0, terms.near.entries(), terms.near.bytes())
                            : new TermChoice(
                                    group, field.grid().columns(), field.grid().rows(), 0, field.bytes()));
        }
        return choices;
    }
}
