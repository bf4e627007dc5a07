package evendose.verification;

import evendose.correction.CorrectionOptions;
import evendose.correction.Criterion;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
import evendose.correction.TwoBeamCorrection;
import evendose.energy.EnergyField;
import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.energy.ExactEnergy;
import evendose.files.BadInputException;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.UnaryOperator;
import java.util.stream.IntStream;

/**
 * Pieces with their doses, the point spread function, and the energy above which the resist develops.
 *
 * <p>"Uncorrected" is the same pattern with factor 1 for everything that is to be corrected; layers of fixed dose keep theirs.
 */
public final class Exposure {
    /** About how many points a verification, a map or a report asks for. */
    private static final double POINTS = 30_000;

    /** Energies that are wanted: with and without doses, or also with parameters varied either way. */
    private static final double FIELDS = 2;

    private static final double FIELDS_AROUND = 9;

    /** Cost of the integral over a slanted piece relative to that over a rectangle, measured. */
    private static final double SLANTED_COST = 10;

    /** About how many densities a user is told of. */
    private static final int DENSITIES = 2_000;

    private final ExposedUnits units;
    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final OptionalDouble baseDose;
    private final FarEffects effects;

    /** What another beam exposes in the same resist, or null. */
    private final Exposure added;

    private Exposure(
            ExposedUnits units,
            List<LayerRole> roles,
            CorrectionOptions options,
            OptionalDouble baseDose,
            Exposure added) {
        this(
                units,
                roles,
                options,
                baseDose,
                FarEffects.of(units.pieces, units.corrected, units.uncorrected, options),
                added);
    }

    private Exposure(
            ExposedUnits units,
            List<LayerRole> roles,
            CorrectionOptions options,
            OptionalDouble baseDose,
            FarEffects effects,
            Exposure added) {
        this.units = units;
        this.roles = List.copyOf(roles);
        this.options = options;
        this.baseDose = baseDose;
        this.effects = effects;
        this.added = added;
    }

    /** A part of {@code whole}: what reaches far still comes from all of it. */
    private Exposure(Exposure whole, ExposedUnits units, Exposure added) {
        this.units = units;
        this.roles = whole.roles;
        this.options = whole.options;
        this.baseDose = whole.baseDose;
        this.effects = whole.effects;
        this.added = added;
    }

    /**
     * {@return what a correction found}
     *
     * @param table the doses
     */
    public static Exposure of(DoseTable table) {
        DoseStatus[] status = new DoseStatus[table.pieces().units()];
        Arrays.setAll(status, table::status);
        return new Exposure(
                ExposedUnits.of(table.pieces(), table.roles(), table.factors(), status),
                table.roles(),
                table.options(),
                table.options().baseDoseUcPerCm2(),
                null);
    }

    /**
     * {@return what is known of layers and thresholds where energies are known already: without pieces}
     *
     * @param roles the layers and what each does
     * @param options how doses were found
     * @param density the density that the development is loaded by; empty without a loading
     */
    static Exposure ofEnergies(List<LayerRole> roles, CorrectionOptions options, Optional<EnergyField> density) {
        return new Exposure(
                ExposedUnits.of(
                        new Pieces(new double[6][0], new int[1], new int[1], new int[0]),
                        roles,
                        new double[0],
                        new DoseStatus[0]),
                roles,
                options,
                options.baseDoseUcPerCm2(),
                FarEffects.of(options.longRange().loading(), density),
                null);
    }

    /**
     * {@return what two beams expose together: pieces, options and thresholds are those of the fine beam, energies those of both} Uncorrected, the
     * fine beam keeps the shares of the seam.
     *
     * @param both the doses
     */
    public static Exposure of(TwoBeamCorrection both) {
        Exposure fine = of(both.fine());
        return new Exposure(
                fine.units.withUncorrected(both.shareOfShape()),
                fine.roles,
                fine.options,
                fine.baseDose,
                of(both.bulk()));
    }

    /**
     * {@return doses read back, for the layers and with the options they are said to be made for}
     *
     * @param doses the doses
     * @param roles what each layer does; layers of the doses are found by number and datatype, or by number alone where
     *     levels took the datatype's place
     * @param options with what options they were found
     * @param source name of where they come from, for messages
     * @throws BadInputException if the doses have a layer that {@code roles} does not know
     */
    public static Exposure of(StoredDoses doses, List<LayerRole> roles, CorrectionOptions options, String source) {
        Pieces p = doses.pieces();
        int[] index = new int[doses.layers().size()];
        for (int k = 0; k < index.length; k++) {
            index[k] = find(doses.layers().get(k), doses.rounded(), roles, source);
        }
        int[] layerOfShape = new int[p.shapes()];
        Arrays.setAll(layerOfShape, s -> index[p.layerOfShape(s)]);
        DoseStatus[] status = new DoseStatus[p.units()];
        Arrays.setAll(status, doses::status);
        OptionalDouble base =
                doses.baseDoseUcPerCm2().isPresent() ? doses.baseDoseUcPerCm2() : options.baseDoseUcPerCm2();
        return new Exposure(
                ExposedUnits.of(p.onLayers(layerOfShape), roles, doses.factors(), status), roles, options, base, null);
    }

    private static int find(Layer layer, boolean byNumber, List<LayerRole> roles, String source) {
        for (int g = 0; g < roles.size(); g++) {
            Layer role = roles.get(g).layer();
            if (role.equals(layer) || (byNumber && role.number() == layer.number())) {
                return g;
            }
        }
        throw new BadInputException(
                source,
                "",
                "has pieces on layer " + layer + ", which is not among the layers to verify; name it with --layer");
    }

    /** {@return what is exposed} */
    public Pieces pieces() {
        return units.pieces;
    }

    /**
     * The part of this that adds to the energy in some windows: units with a piece that lies within {@code reachUm} of one.
     *
     * @param windowsUm left, bottom, right, top of each window, um
     * @param reachUm how far to look around them, um
     */
    Exposure near(List<double[]> windowsUm, double reachUm) {
        return new Exposure(
                this, units.near(windowsUm, reachUm), added == null ? null : added.near(windowsUm, reachUm));
    }

    /** {@return the layers and what each does; layers of {@link #pieces} are indices into it} */
    public List<LayerRole> roles() {
        return roles;
    }

    /** {@return the options that the doses were found with} */
    public CorrectionOptions options() {
        return options;
    }

    /** {@return the point spread function that the doses were found for} */
    public PointSpreadFunction psf() {
        return options.psf();
    }

    /** {@return dose at factor 1, uC/cm^2, if known} */
    public OptionalDouble baseDoseUcPerCm2() {
        return baseDose;
    }

    /** Dose factors of the units; not to be changed. */
    double[] corrected() {
        return units.corrected;
    }

    /** {@return dose factors of all units, a new array} */
    public double[] factors() {
        return units.corrected.clone();
    }

    /**
     * {@return dose factor of unit {@code u}}
     *
     * @param u number of the unit, from 0
     */
    public double factor(int u) {
        return units.corrected[u];
    }

    /** Whether the dose of unit {@code u} should be the one its layout needs: it is neither given nor held at a bound. */
    boolean isJudged(int u) {
        return units.status[u] != DoseStatus.FIXED && !units.status[u].isHeld();
    }

    /** Status of unit {@code u}. */
    DoseStatus status(int u) {
        return units.status[u];
    }

    /**
     * {@return energy at which the resist develops: what the edge criterion puts on drawn edges; half of what the area criterion puts
     * into shapes}
     */
    public double threshold() {
        return wanted() * (options.criterion() == Criterion.EDGE ? 1 : 0.5);
    }

    /** Energy that the criterion asks for, as {@link WantedEnergy} has it. */
    double wanted() {
        return WantedEnergy.of(options.psf(), options.criterion(), options.referenceDensity());
    }

    /** {@return whether some layer is corrected towards an energy of its own: depths matter then, not edges} */
    public boolean isGreyTone() {
        return options.criterion() == Criterion.MEAN && roles.stream().anyMatch(r -> r.target() != 1);
    }

    /**
     * {@return threshold for shapes of layer {@code index}: scaled by its target where that is not 1}
     *
     * @param index number of the layer, from 0
     */
    public double threshold(int index) {
        return threshold() * roles.get(index).target();
    }

    /**
     * {@return threshold for shapes of layer {@code index} at a place: scaled by what a loading of the development wants there}
     *
     * @param index number of the layer, from 0
     * @param xUm x of the place, um
     * @param yUm y of the place, um
     */
    public double threshold(int index, double xUm, double yUm) {
        return threshold(index) * effects.wanted(xUm, yUm);
    }

    /** Energy that the criterion asks for in shapes of layer {@code index} at a place, um. */
    double wanted(int index, double xUm, double yUm) {
        return wanted() * roles.get(index).target() * effects.wanted(xUm, yUm);
    }

    /**
     * {@return an energy divided by {@link #wantedOverUsual}, so that {@link #threshold()} tells everywhere what develops}
     *
     * @param energy the energy; itself without a loading of the development
     */
    public PointEnergy overWanted(PointEnergy energy) {
        return effects.overWanted(energy);
    }

    /**
     * {@return energy wanted at a place over the usual one: 1 but for a loading of the development}
     *
     * @param xUm x of the place, um
     * @param yUm y of the place, um
     */
    public double wantedOverUsual(double xUm, double yUm) {
        return effects.wanted(xUm, yUm);
    }

    /**
     * {@return a new array of the smallest and largest density of what is exposed about units (some thousands at most are asked), 0 to 1,
     * averaged as the loading of the development asks for; empty without one}
     */
    public Optional<double[]> loadingDensities() {
        Pieces pieces = units.pieces;
        if (options.longRange().loading().isEmpty() || pieces.size() == 0) {
            return Optional.empty();
        }
        int step = Math.max(1, pieces.units() / DENSITIES);
        double[] density = IntStream.range(0, (pieces.units() - 1) / step + 1)
                .map(k -> pieces.unitFirst(k * step))
                .mapToDouble(i -> effects.density(pieces.middleXUm(i), pieces.middleYUm(i)))
                .sorted()
                .toArray();
        return Optional.of(new double[] {density[0], density[density.length - 1]});
    }

    /** Whether shapes of layer {@code index} are corrected, not exposed with a given dose. */
    boolean isCorrected(int index) {
        return roles.get(index).fixedDose().isEmpty();
    }

    /**
     * {@return energy from closed forms, with the doses or with factors 1}
     *
     * @param withDoses whether with the doses; if not, all factors are 1
     */
    public PointEnergy exact(boolean withDoses) {
        return exact(withDoses, psf -> psf);
    }

    /** Energy from closed forms if the point spread function of each beam were another. */
    PointEnergy exact(boolean withDoses, UnaryOperator<PointSpreadFunction> change) {
        PointSpreadFunction other = change.apply(psf());
        PointEnergy own = effects.with(
                withDoses,
                ClosedFormEnergy.of(ExactEnergy.ofUnits(units.pieces, units.factors(withDoses), other), other));
        return added == null ? own : new Superposed(1, own, added.exact(withDoses, change));
    }

    /** Estimate of what the energy at a point within the pattern costs, in closed-form integrals over rectangles. */
    double integralsPerPoint() {
        Pieces pieces = units.pieces;
        double[] b = pieces.boundsUm();
        if (b.length == 0) {
            return 1;
        }
        double cost = 0;
        for (int i = 0; i < pieces.size(); i++) {
            cost += pieces.isRectangle(i) ? 1 : SLANTED_COST;
        }
        double reach = 12 * psf().longestUm();
        double share = Math.min(1, reach / (b[2] - b[0])) * Math.min(1, reach / (b[3] - b[1]));
        return Math.max(1, cost * share);
    }

    /**
     * {@return the engine's energies, error below 5e-5: for many points, where closed forms would take too long}
     *
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    public ExposureFields fields(Workers workers, Progress progress) {
        return fields(0, workers, progress);
    }

    /**
     * As {@link #fields(Workers, Progress)}, for other point spread functions, too: doses are put on the grids once for all of them.
     *
     * @param slack by how much, relative, their ranges may differ from those of {@link #psf()}, at least 0 and below 1
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the energies
     */
    ExposureFields fields(double slack, Workers workers, Progress progress) {
        EnginePlan plan = EnginePlan.forPoints(pieces(), psf(), POINTS, slack > 0 ? FIELDS_AROUND : FIELDS, slack);
        return new ExposureFields(
                units,
                psf(),
                effects,
                EnergyModel.build(plan, workers, progress),
                added == null ? null : added.fields(slack, workers, progress));
    }
}
