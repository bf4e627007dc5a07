package evendose.correction;

import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.energy.TermGroup;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.List;

/**
 * One tile's part of a correction that is shared among machines. A step is a pure function of the tile's doses and of what all tiles
 * together put on the grids of the far terms; only those grids travel between machines.
 *
 * <p>A tile holds its own units and, as surroundings, those around it. Surroundings are corrected along with the tile, so that
 * near terms find their doses without asking another machine; they add nothing to the grids. They must be several units deep: what is
 * missing beyond them reaches the tile only through near terms, which pass on less than a hundredth from unit to unit.
 *
 * <p>The plain step {@code d <- d T / C} is taken: it contracts by {@code 2 eta / (1 + 2 eta)} a round for the edge criterion.
 *
 * @serial exclude
 */
final class TileStep implements Serializable {
    private static final long serialVersionUID = 1L;

    private final Pieces pieces;
    private final Samples samples;
    private final boolean[] own;
    private final double[] target;
    private final PointSpreadFunction psf;
    private final TermGroup[] groups;
    private final double[] boundsUm;
    private final double minFactor;
    private final double maxFactor;
    private transient EnergyModel model;

    /**
     * A tile.
     *
     * @param pieces pieces of the tile and its surroundings
     * @param samples where their units are judged
     * @param own for each unit whether it is the tile's own
     * @param target energy that the criterion asks for, one a unit
     * @param options point spread function and bounds of the doses
     * @param groups how the terms are computed, the same for all tiles
     * @param boundsUm smallest x, smallest y, largest x, largest y of all tiles, um
     * @throws IllegalArgumentException if the numbers of units differ
     */
    public TileStep(
            Pieces pieces,
            Samples samples,
            boolean[] own,
            double[] target,
            CorrectionOptions options,
            List<TermGroup> groups,
            double[] boundsUm) {
        if (own.length != pieces.units() || target.length != pieces.units() || samples.units() != pieces.units()) {
            throw new IllegalArgumentException("numbers of units differ");
        }
        this.pieces = pieces;
        this.samples = samples;
        this.own = own.clone();
        this.target = target.clone();
        this.psf = options.longRange().with(options.psf());
        this.groups = groups.toArray(TermGroup[]::new);
        this.boundsUm = boundsUm.clone();
        this.minFactor = options.minFactor();
        this.maxFactor = options.maxFactor();
    }

    /** {@return number of units, surroundings included} */
    public int units() {
        return pieces.units();
    }

    /**
     * {@return what the tile's own units add to the grids}
     *
     * @param dose dose factor of each unit
     * @param workers threads to compute on
     */
    public double[][] contribution(double[] dose, Workers workers) {
        double[] counted = new double[dose.length];
        for (int u = 0; u < dose.length; u++) {
            counted[u] = own[u] ? dose[u] : 0;
        }
        return model(workers).contribution(counted);
    }

    /**
     * The next doses.
     *
     * @param dose dose factor of each unit
     * @param coverageOfAll sum of the contributions of all tiles
     * @param workers threads to compute on
     * @return dose factors, and the largest residual of the tile's own units before this step
     */
    public Result next(double[] dose, double[][] coverageOfAll, Workers workers) {
        double[] criterion = new double[dose.length];
        model(workers).apply(dose, coverageOfAll, criterion);
        double[] next = new double[dose.length];
        double worst = 0;
        for (int u = 0; u < dose.length; u++) {
            next[u] = Math.min(maxFactor, Math.max(minFactor, dose[u] * target[u] / criterion[u]));
            if (own[u] && next[u] > minFactor && next[u] < maxFactor) {
                worst = Math.max(worst, Math.abs(criterion[u] / target[u] - 1));
            }
        }
        return new Result(next, worst);
    }

    /**
     * What a step gives.
     *
     * @param dose dose factor of each unit
     * @param maxResidual largest {@code |C / T - 1|} of the tile's own units before the step
     * @serial exclude
     */
    public record Result(double[] dose, double maxResidual) implements Serializable {}

    private EnergyModel model(Workers workers) {
        if (model == null) {
            EnginePlan plan = EnginePlan.ofTile(pieces, samples, psf, List.of(groups), boundsUm);
            model = EnergyModel.build(plan, workers, Progress.NONE);
        }
        return model;
    }
}
