package evendose.correction;

import evendose.energy.EnergyModel;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.List;

/**
 * The main job: polygons in, a dose for every piece out.
 *
 * <p>Merges the polygons, cuts them into pieces and units, builds the energy model and solves for the doses. Doses that
 * cannot be found are flagged in the table, not thrown.
 */
public final class Corrector {
    private Corrector() {}

    /**
     * Corrects.
     *
     * @param polygons polygons in dbu; group {@code g} belongs to {@code roles.get(g)}; where groups overlap, the lowest
     *     owns the place
     * @param dbuUm size of a database unit, um
     * @param roles what each group does, at least one
     * @param options how to correct
     * @param workers threads to use; the result does not depend on their number
     * @param progress hears about stages
     */
    public static DoseTable correct(
            Polygons polygons,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        if (roles.isEmpty()) {
            throw new IllegalArgumentException("at least one layer is needed");
        }
        Trapezoids merged = Merge.of(polygons, roles.size(), workers, progress);
        Fracture.Result cut = Fracture.of(merged, dbuUm, options.fracture(), workers, progress);
        return solve(cut, roles, options, workers, progress);
    }

    private static DoseTable solve(
            Fracture.Result cut, List<LayerRole> roles, CorrectionOptions options, Workers workers, Progress progress) {
        Pieces pieces = cut.pieces();
        EnergyModel model = EnergyModel.build(pieces, cut.samples(), options.psf(), workers, progress);
        int[] shape = pieces.shapeOfUnit();
        int units = pieces.units();
        double[] target = new double[units];
        double[] fixed = new double[units];
        for (int u = 0; u < units; u++) {
            LayerRole role = roles.get(pieces.layerOfShape(shape[u]));
            target[u] = options.target() * role.target();
            fixed[u] = role.fixedDose().orElse(Double.NaN);
        }
        Shared shared = options.oneDosePerShape() ? new Shared(pieces, cut.judged()) : null;
        Solver solver = shared == null
                ? new Solver((dose, criterion) -> model.apply(dose, criterion), target, fixed, workers)
                : new Solver(
                        (dose, criterion) -> shared.apply(model, dose, criterion),
                        shared.ofShapes(target),
                        shared.ofShapes(fixed),
                        workers);
        solver.solve(options.minFactor(), options.maxFactor(), options.tolerance(), options.maxIterations(), progress);

        double[] factor = shared == null ? solver.dose : shared.toUnits(solver.dose);
        double[] judged = shared == null ? solver.criterion : shared.toUnits(solver.criterion);
        double[] before = shared == null ? solver.uncorrected : shared.toUnits(solver.uncorrected);
        DoseLevels levels = levels(factor, options);
        int[] level = new int[units];
        for (int u = 0; u < units; u++) {
            level[u] = levels.nearest(factor[u]);
        }
        if (options.levels().isPresent()) {
            for (int u = 0; u < units; u++) {
                factor[u] = levels.factor(level[u]);
            }
            if (shared == null) {
                model.apply(factor, judged);
            } else {
                judged = shared.toUnits(shared.means(model, factor));
            }
        }
        DoseStatus[] status = new DoseStatus[units];
        for (int u = 0; u < units; u++) {
            status[u] = status(factor[u], judged[u] / target[u] - 1, !Double.isNaN(fixed[u]), options);
        }
        return new DoseTable(
                pieces,
                roles,
                options,
                solver.convergence,
                levels,
                factor,
                level,
                before,
                judged,
                status,
                model.choices());
    }

    private static DoseStatus status(double factor, double off, boolean fixed, CorrectionOptions options) {
        if (fixed) {
            return DoseStatus.FIXED;
        }
        if (Math.abs(off) <= options.tolerance()) {
            return DoseStatus.OK;
        }
        if (factor <= options.minFactor() && off > 0) {
            return DoseStatus.AT_MINIMUM;
        }
        if (factor >= options.maxFactor() && off < 0) {
            return DoseStatus.AT_MAXIMUM;
        }
        return DoseStatus.UNCONVERGED;
    }

    private static DoseLevels levels(double[] factor, CorrectionOptions options) {
        if (factor.length == 0) {
            return DoseLevels.geometric(1, 1, 1);
        }
        double min = Arrays.stream(factor).min().orElseThrow();
        double max = Arrays.stream(factor).max().orElseThrow();
        return DoseLevels.geometric(min, max, options.levels().orElse(DoseLevels.USUAL));
    }

    /** One dose for all units of a shape: its criterion is the mean over units, weighted by the outline or area judged. */
    private static final class Shared {
        private final Pieces pieces;
        private final float[] weight;
        private final double[] unitDose;
        private final double[] unitCriterion;

        Shared(Pieces pieces, float[] judged) {
            this.pieces = pieces;
            this.weight = new float[judged.length];
            this.unitDose = new double[judged.length];
            this.unitCriterion = new double[judged.length];
            for (int s = 0; s < pieces.shapes(); s++) {
                int from = pieces.shapeFirst(s);
                int to = pieces.shapeFirst(s + 1);
                double sum = 0;
                for (int u = from; u < to; u++) {
                    sum += judged[u];
                }
                for (int u = from; u < to; u++) {
                    weight[u] = (float) (sum > 0 ? judged[u] / sum : 1.0 / (to - from));
                }
            }
        }

        void apply(EnergyModel model, double[] dose, double[] criterion) {
            for (int s = 0; s < dose.length; s++) {
                Arrays.fill(unitDose, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), dose[s]);
            }
            System.arraycopy(means(model, unitDose), 0, criterion, 0, criterion.length);
        }

        double[] means(EnergyModel model, double[] dose) {
            model.apply(dose, unitCriterion);
            double[] mean = new double[pieces.shapes()];
            for (int s = 0; s < mean.length; s++) {
                double sum = 0;
                double weights = 0;
                for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                    sum += weight[u] * unitCriterion[u];
                    weights += weight[u];
                }
                mean[s] = sum / weights;
            }
            return mean;
        }

        /** The value of each shape's first unit. */
        double[] ofShapes(double[] ofUnits) {
            double[] values = new double[pieces.shapes()];
            for (int s = 0; s < values.length; s++) {
                values[s] = ofUnits[pieces.shapeFirst(s)];
            }
            return values;
        }

        double[] toUnits(double[] ofShapes) {
            double[] values = new double[pieces.units()];
            for (int s = 0; s < ofShapes.length; s++) {
                Arrays.fill(values, pieces.shapeFirst(s), pieces.shapeFirst(s + 1), ofShapes[s]);
            }
            return values;
        }
    }
}
