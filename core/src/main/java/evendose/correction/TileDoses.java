package evendose.correction;

import evendose.energy.EnergyField;
import evendose.energy.GridPart;
import evendose.energy.TileModel;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import java.io.Serializable;
import java.util.Arrays;
import java.util.DoubleSummaryStatistics;
import java.util.List;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * The doses of a tile's units, those of its surroundings included, on their way to what the criterion asks for. Surroundings are corrected along
 * with the tile, by the same steps as the tile that owns them takes, so near terms find their doses without asking. What is missing beyond them
 * reaches the tile through near terms only, which pass on less than a hundredth from unit to unit.
 *
 * <p>Each step takes the energy of the shared grids that the doses before it gave, and tells what the new doses add to them.
 *
 * @serial exclude
 */
public final class TileDoses implements Serializable {
    private static final long serialVersionUID = 1L;

    private final double minFactor;
    private final double maxFactor;
    private final boolean[] outside;
    private final char[] role;
    private final double[] target;
    private final double[] fixed;
    private final boolean onePerShape;

    /** Units that have one dose together, or null if each has its own. */
    private final UnitGroups groups;

    /** Energy wanted of each unit over the usual one, and at each place where the outcome is measured; empty without a loading of the development. */
    private float[] local = new float[0];

    private float[] localAt = new float[0];

    /** Smallest and largest density about units that the tile writes, or null without a loading. */
    private double[] densities;

    /** Logarithms of doses, as floats since they are written and read each round: their rounding is 3e-8 of a dose. */
    private float[] x;

    private float[] former;
    private float[] uncorrected;

    /** Criterion values with doses right for wide areas, or null. */
    private float[] wide;

    /** Doses that are final, or null as long as they are not. */
    private double[] joined;

    private double joining;

    /** Levels on their way, or null. */
    private TileLevels levels;

    /** All corrected factors are 1, whatever the bounds are. */
    TileDoses(TileUnits units, List<LayerRole> roles, CorrectionOptions options) {
        int n = units.pieces.units();
        this.minFactor = options.minFactor();
        this.maxFactor = options.maxFactor();
        this.outside = units.outside;
        this.role = new char[n];
        Pieces pieces = units.pieces;
        for (int s = 0; s < pieces.shapes(); s++) {
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                role[u] = (char) pieces.layerOfShape(s);
            }
        }
        this.target =
                roles.stream().mapToDouble(r -> options.target() * r.target()).toArray();
        this.fixed = roles.stream()
                .mapToDouble(r -> r.fixedDose().orElse(Double.NaN))
                .toArray();
        this.onePerShape = options.oneDosePerShape();
        this.groups = onePerShape
                ? UnitGroups.ofShapes(pieces, units.judged)
                : units.hasTied() ? UnitGroups.tied(units.tied, units.judged) : null;
        this.x = new float[n];
        this.former = new float[0];
        this.uncorrected = new float[0];
    }

    /**
     * Takes the loading of the development into account, before the first step.
     *
     * @param loading the loading
     * @param density the density about each place; empty to find it from what the tile sees
     * @param units the tile's units
     * @param samples where they are judged
     * @param workers threads to compute on
     */
    public void load(
            DevelopmentLoading loading,
            Optional<EnergyField> density,
            TileUnits units,
            Samples samples,
            Workers workers) {
        LocalTarget place = density.map(d -> LocalTarget.of(loading, d, workers))
                .orElseGet(() ->
                        LocalTarget.of(Optional.of(loading), units.pieces, samples.size(), workers, Progress.NONE));
        double[] ofUnits = place.ofUnits(samples);
        local = floats(groups == null ? ofUnits : groups.toUnits(groups.means(ofUnits)));
        localAt = floats(place.at(units.measured.xUm(), units.measured.yUm()));
        int[] first = IntStream.range(0, local.length)
                .filter(u -> units.written[u])
                .map(samples::first)
                .toArray();
        DoubleSummaryStatistics rho = Arrays.stream(place.densityAt(
                        Arrays.stream(first).mapToDouble(samples::xUm).toArray(),
                        Arrays.stream(first).mapToDouble(samples::yUm).toArray()))
                .summaryStatistics();
        densities = new double[] {rho.getMin(), rho.getMax()};
    }

    /** {@return a new array of the smallest and largest density about units that the tile writes; empty without a loading of the development} */
    public Optional<double[]> densities() {
        return Optional.ofNullable(densities).map(double[]::clone);
    }

    private static float[] floats(double[] values) {
        float[] floats = new float[values.length];
        for (int i = 0; i < values.length; i++) {
            floats[i] = (float) values[i];
        }
        return floats;
    }

    private double wanted(int u) {
        return local.length == 0 ? target[role[u]] : target[role[u]] * local[u];
    }

    private boolean isFree(int u) {
        return Double.isNaN(fixed[role[u]]);
    }

    /**
     * {@return dose factor of each unit, surroundings included, a new array}
     *
     * @param withDoses whether with the doses as they are; if not, those that are not fixed are 1
     */
    public double[] factors(boolean withDoses) {
        if (withDoses) {
            return doses().clone();
        }
        double[] factors = new double[x.length];
        for (int u = 0; u < factors.length; u++) {
            factors[u] = isFree(u) ? 1 : fixed[role[u]];
        }
        return factors;
    }

    private double[] doses() {
        if (joined != null) {
            return joined;
        }
        double[] dose = new double[x.length];
        // Before the first step doses are 1 even where the bounds do not allow it.
        boolean begun = hasBegun();
        float low = (float) Math.log(minFactor);
        float high = (float) Math.log(maxFactor);
        for (int u = 0; u < dose.length; u++) {
            double within = x[u] <= low ? minFactor : x[u] >= high ? maxFactor : Math.exp(x[u]);
            double factor = begun ? within : 1;
            dose[u] = isFree(u) ? factor : fixed[role[u]];
        }
        return dose;
    }

    /** The tile's sums with the doses as they are. */
    private TileSums sums(TileModel model, TileSums.Residual residual, Workers workers) {
        return sums(doses(), model, residual, workers);
    }

    private TileSums sums(double[] dose, TileModel model, TileSums.Residual residual, Workers workers) {
        double min = Double.POSITIVE_INFINITY;
        double max = 0;
        for (int u = 0; u < dose.length; u++) {
            if (!outside[u]) {
                min = Math.min(min, dose[u]);
                max = Math.max(max, dose[u]);
            }
        }
        return new TileSums(model.contribution(dose, workers), residual, min, max);
    }

    /** {@return whether there was a step: before, all factors that are not fixed are 1} */
    public boolean hasBegun() {
        return uncorrected.length > 0;
    }

    /**
     * {@return what the doses to begin with add to the shared grids}
     *
     * @param model the tile's energy
     * @param workers threads to compute on
     */
    public TileSums begin(TileModel model, Workers workers) {
        return sums(model, TileSums.Residual.NONE, workers);
    }

    /**
     * Steps.
     *
     * @param model the tile's energy
     * @param energy its parts of the shared grids, blurred
     * @param momentum how far to step
     * @param workers threads to compute on
     * @return what the new doses add, and how far the doses before were off
     */
    public TileSums step(TileModel model, List<GridPart> energy, Momentum momentum, Workers workers) {
        double[] criterion = criterion(model, energy, workers);
        float low = (float) Math.log(minFactor);
        float high = (float) Math.log(maxFactor);
        if (!hasBegun()) {
            uncorrected = floats(criterion);
            former = x.clone();
        }
        double largest = 0;
        double squares = 0;
        long count = 0;
        for (int u = 0; u < x.length; u++) {
            if (!isFree(u)) {
                continue;
            }
            double wanted = wanted(u);
            double f = Math.log(wanted / criterion[u]);
            boolean isHeld = (x[u] <= low && f < 0) || (x[u] >= high && f > 0);
            if (!isHeld && !outside[u]) {
                double off = Math.abs(criterion[u] / wanted - 1);
                largest = Math.max(largest, off);
                squares += off * off;
                count++;
            }
            double stepped = former[u] + momentum.omega() * (momentum.gamma() * f + x[u] - former[u]);
            former[u] = x[u];
            x[u] = (float) Math.min(high, Math.max(low, stepped));
        }
        return sums(model, new TileSums.Residual(largest, squares, count), workers);
    }

    /** As its factor each corrected unit has the energy that it should get. */
    private double[] wideDoses() {
        double[] dose = new double[x.length];
        for (int u = 0; u < dose.length; u++) {
            dose[u] = isFree(u) ? wanted(u) : fixed[role[u]];
        }
        return dose;
    }

    /**
     * {@return what doses right for wide areas would add to the shared grids}
     *
     * @param model the tile's energy
     * @param workers threads to compute on
     */
    public TileSums exposeWide(TileModel model, Workers workers) {
        return sums(wideDoses(), model, TileSums.Residual.NONE, workers);
    }

    /**
     * Judges doses right for wide areas.
     *
     * @param model the tile's energy
     * @param energy its parts of the shared grids, blurred, with such doses in all tiles
     * @param units the tile's units
     * @param workers threads to compute on
     * @return what the doses that were found add
     */
    public TileSums judgeWide(TileModel model, List<GridPart> energy, TileUnits units, Workers workers) {
        double[] criterion = new double[x.length];
        model.apply(wideDoses(), energy, criterion, workers);
        // Units of a shape that has one dose are judged one by one here.
        UnitGroups parted = onePerShape ? UnitGroups.tied(units.tied, units.judged) : groups;
        wide = floats(parted == null ? criterion : parted.toUnits(parted.means(criterion)));
        return sums(model, TileSums.Residual.NONE, workers);
    }

    private double[] criterion(TileModel model, List<GridPart> energy, Workers workers) {
        double[] criterion = new double[x.length];
        model.apply(doses(), energy, criterion, workers);
        return groups == null ? criterion : groups.toUnits(groups.means(criterion));
    }

    /**
     * Ends the stepping: doses of a shape that agree within the tolerance become equal.
     *
     * @param model the tile's energy
     * @param units the tile's units
     * @param options how to correct
     * @param workers threads to compute on
     * @return what the final doses add
     */
    public TileSums join(TileModel model, TileUnits units, CorrectionOptions options, Workers workers) {
        // Doses on levels that were tried are gone.
        levels = null;
        joined = null;
        joined = doses();
        if (!onePerShape) {
            double[] given = new double[joined.length];
            for (int u = 0; u < given.length; u++) {
                given[u] = fixed[role[u]];
            }
            EqualDoses equal = new EqualDoses(units.pieces, options.tolerance());
            if (equal.apply(joined, given, minFactor, maxFactor)) {
                joining = equal.mostMoved();
            }
        }
        former = new float[0];
        return sums(model, TileSums.Residual.NONE, workers);
    }

    /**
     * Ends the stepping: doses are to take levels.
     *
     * @param model the tile's energy
     * @param energy its parts of the shared grids, blurred
     * @param units the tile's units
     * @param marks numbers of places
     * @param options how to correct
     * @param samples where units are judged, if widths are asked for
     * @param workers threads to compute on
     * @return the tile's own doses, by which levels are placed
     */
    public LevelHistogram collect(
            TileModel model,
            List<GridPart> energy,
            TileUnits units,
            TileLevels.Marks marks,
            CorrectionOptions options,
            Optional<Samples> samples,
            Workers workers) {
        double[] wanted = new double[x.length];
        boolean[] isFree = new boolean[x.length];
        for (int u = 0; u < wanted.length; u++) {
            wanted[u] = wanted(u);
            isFree[u] = isFree(u);
        }
        double[] dose = doses();
        float[] perUm = samples.map(s -> units.slopes(s, dose, groups, options, workers))
                .orElse(new float[0]);
        levels = new TileLevels(dose, criterion(model, energy, workers), wanted, isFree, units, groups, perUm, marks);
        former = new float[0];
        return levels.histogram();
    }

    /**
     * Judges doses on levels and moves them.
     *
     * @param model the tile's energy
     * @param energy its parts of the shared grids, blurred
     * @param move what becomes of them
     * @param workers threads to compute on
     * @return what is told of the doses before they moved, and what they add now
     */
    public TileLevels.Told move(TileModel model, List<GridPart> energy, TileLevels.Move move, Workers workers) {
        TileLevels.Told told = levels.move(move, criterion(model, energy, workers));
        joined = levels.doses();
        return told.with(sums(model, TileSums.Residual.NONE, workers));
    }

    /**
     * {@return a new array of different doses of the tile's own units, before levels were imposed}
     *
     * @param most so many at most
     */
    public double[] different(int most) {
        return levels.different(most);
    }

    /**
     * {@return how far the energy along the outline of the tile's own units is off its target}
     *
     * @param field the energy in the tile
     * @param units the tile's units
     * @param workers threads to compute on
     */
    public TileOutline outline(EnergyField field, TileUnits units, Workers workers) {
        OutlinePoints points = units.measured;
        if (points.size() == 0) {
            return new TileOutline();
        }
        double[] off = field.at(points.xUm(), points.yUm(), workers);
        for (int p = 0; p < off.length; p++) {
            int unit = points.unit()[p];
            double wanted = target[role[unit]] * (localAt.length == 0 ? 1 : localAt[p]);
            off[p] = isFree(unit) ? off[p] / wanted - 1 : Double.NaN;
        }
        return new TileOutline(points, off);
    }

    /**
     * {@return the doses of the units that the tile writes, judged; perhaps of none}
     *
     * @param model the tile's energy
     * @param energy its parts of the shared grids, blurred
     * @param units the tile's units
     * @param used levels that group the doses of all tiles, or that were imposed on them
     * @param unit unit of the layout's coordinates
     * @param roles what each layer does
     * @param options how to correct
     * @param convergence how the iteration over all tiles went
     * @param workers threads to compute on
     */
    public DoseTable table(
            TileModel model,
            List<GridPart> energy,
            TileUnits units,
            DoseLevels used,
            DatabaseUnit unit,
            List<LayerRole> roles,
            CorrectionOptions options,
            Convergence convergence,
            Workers workers) {
        double[] dose = doses();
        double[] criterion = criterion(model, energy, workers);
        int n = units.writtenUnits();
        double[] factor = new double[n];
        double[] before = new double[n];
        double[] after = new double[n];
        double[] wanted = new double[n];
        int[] level = new int[n];
        float[] judged = new float[n];
        DoseStatus[] status = new DoseStatus[n];
        StatusRule rule = StatusRule.of(options, joining);
        int k = 0;
        for (int u = 0; u < outside.length; u++) {
            if (!units.written[u]) {
                continue;
            }
            factor[k] = dose[u];
            before[k] = uncorrected[u];
            after[k] = criterion[u];
            wanted[k] = wanted(u);
            level[k] = used.nearest(dose[u]);
            judged[k] = units.judged[u];
            status[k] = levels == null
                    ? units.status(u, rule, dose[u], criterion[u], wanted[k], isFree(u))
                    : levels.status(u, units, rule, criterion[u]);
            k++;
        }
        Pieces own = units.pieces.ofUnits(units.written);
        return new DoseTable(
                own,
                new DrawnPattern(new Polygons(), unit, roles),
                options,
                convergence.written(before, after, wanted, status),
                used,
                factor,
                level,
                before,
                after,
                status,
                List.of(),
                Optional.empty(),
                List.of(),
                Optional.ofNullable(wide)
                        .map(w -> IntStream.range(0, w.length)
                                .filter(u -> units.written[u])
                                .mapToDouble(u -> w[u])
                                .toArray()),
                judged,
                OutlineError.of(OutlinePoints.ofSize(0), new double[0]),
                new DoseTable.Counts(n, own.size()),
                wanted);
    }
}
