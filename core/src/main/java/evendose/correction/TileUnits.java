package evendose.correction;

import evendose.energy.EnergyField;
import evendose.energy.EnergyModel;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.files.BadInputException;
import evendose.geometry.Merge;
import evendose.geometry.Trapezoids;
import evendose.layout.Flattener;
import evendose.layout.Window;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.pieces.TileFrame;
import evendose.pieces.TileView;
import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;

/**
 * What a tile cuts out of a layout: its own units, and those of its surroundings. A pure function of the layout, the tile and the options.
 *
 * @serial exclude
 */
public final class TileUnits implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Places of a tile at which the outcome is measured, however many tiles there are. */
    private static final int FEWEST_PLACES = 2_000;

    final Pieces pieces;
    final boolean[] outside;
    final boolean[] tied;

    /** Which of the tile's own units are written. */
    final boolean[] written;

    final float[] judged;

    /** Where the outcome is measured: points of the tile's own units. */
    final OutlinePoints measured;

    private final boolean[] nearCorners;

    /** Whether units are judged in their inside, and their direct energy for each unit of dose; null unless there are levels to impose. */
    boolean[] interior;

    float[] direct;
    private transient Samples samples;

    private TileUnits(Fracture.Result cut, Optional<double[]> windowUm, double directShare, int places) {
        this.pieces = cut.pieces();
        this.outside = cut.outside();
        this.tied = cut.tied();
        this.written = written(pieces, outside, tied, windowUm);
        this.judged = cut.judged();
        this.measured = cut.measured().offCorners().without(outside).atMost(places);
        this.nearCorners = cut.nearCorners();
        this.samples = cut.samples().withInteriorShare(directShare);
    }

    /** The own units whose middle lies in the window; that of a unit which a border parts is the middle of all its parts. */
    private static boolean[] written(Pieces pieces, boolean[] outside, boolean[] tied, Optional<double[]> windowUm) {
        boolean[] written = new boolean[outside.length];
        int end;
        for (int first = 0; first < written.length; first = end) {
            double[] box = pieces.unitBoundsUm(first);
            for (end = first + 1; end < written.length && tied[end]; end++) {
                double[] part = pieces.unitBoundsUm(end);
                box[0] = Math.min(box[0], part[0]);
                box[1] = Math.min(box[1], part[1]);
                box[2] = Math.max(box[2], part[2]);
                box[3] = Math.max(box[3], part[3]);
            }
            boolean isIn = windowUm.isEmpty() || DoseTable.holdsMiddle(windowUm.get(), box);
            for (int u = first; u < end; u++) {
                written[u] = isIn && !outside[u];
            }
        }
        return written;
    }

    /**
     * Flattens what a tile sees.
     *
     * @param flattener gives the layout's shapes
     * @param roles the layers to expose and what each does
     * @param tile the tile
     * @return what is drawn there
     */
    public static DrawnPattern seen(Flattener flattener, List<LayerRole> roles, TileFrame tile) {
        return DrawnPattern.in(window(flattener, roles, tile), flattener, roles);
    }

    /**
     * Merges what a tile sees.
     *
     * @param seen what {@link #seen} gave
     * @param workers threads to compute on
     * @return the drawn shapes, dbu
     */
    public static Trapezoids merged(DrawnPattern seen, Workers workers) {
        return Merge.of(seen.polygons(), seen.roles().size(), workers, Progress.NONE);
    }

    /**
     * Finds what is exposed so that what is drawn develops.
     *
     * @param drawn what {@link #merged} gave
     * @param source what the layout is called
     * @param dbuUm size of a database unit, um
     * @param roles the layers to expose and what each does
     * @param options how to correct
     * @param tile the tile
     * @param workers threads to compute on
     * @return the exposed shapes, dbu
     * @throws BadInputException if shapes cannot be exposed with the bias of the options, or are to have one dose and one does not fit the tile
     */
    public static ExposedShapes exposed(
            Trapezoids drawn,
            String source,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            TileFrame tile,
            Workers workers) {
        ExposedShapes exposed = ExposedShapes.within(tile, drawn, dbuUm, roles, options, workers, Progress.NONE);
        if (options.oneDosePerShape()) {
            requireWhole(exposed.shapes(), tile, dbuUm, source);
        }
        return exposed;
    }

    /**
     * Cuts what a tile sees.
     *
     * @param exposed what {@link #exposed} gave
     * @param dbuUm size of a database unit, um
     * @param options how to correct
     * @param tile the tile, and the boxes of large shapes
     * @param windowUm left, lower, right and upper side of the window whose doses are written, um; empty for all
     * @param tiles number of tiles: the more there are, the fewer places of each are measured
     * @param workers threads to compute on
     * @return the units; empty if the tile has none of its own
     */
    public static Optional<TileUnits> cut(
            ExposedShapes exposed,
            double dbuUm,
            CorrectionOptions options,
            TileView tile,
            Optional<double[]> windowUm,
            int tiles,
            Workers workers) {
        Fracture.Result cut = Fracture.ofTile(
                exposed.shapes(),
                dbuUm,
                exposed.fracture(),
                Correction.measuring(exposed.shapes(), dbuUm, options),
                tile,
                workers,
                Progress.NONE);
        boolean isEmpty = true;
        for (boolean outside : cut.outside()) {
            isEmpty &= outside;
        }
        return isEmpty
                ? Optional.empty()
                : Optional.of(new TileUnits(
                        cut,
                        windowUm,
                        exposed.directShare(),
                        Math.max(FEWEST_PLACES, Correction.PLACES_OF_OUTCOME / tiles)));
    }

    private static void requireWhole(Trapezoids merged, TileFrame tile, double dbuUm, String source) {
        for (int s = 0; s < merged.shapes(); s++) {
            double[] box = merged.box(s);
            if (tile.isLarge(box[2] - box[0], box[3] - box[1]) && !tile.isBeyond(box[0], box[1], box[2], box[3])) {
                throw new BadInputException(
                        source,
                        String.format(
                                Locale.ROOT,
                                "shape from (%.3f, %.3f) to (%.3f, %.3f) um",
                                box[0] * dbuUm,
                                box[1] * dbuUm,
                                box[2] * dbuUm,
                                box[3] * dbuUm),
                        String.format(
                                Locale.ROOT,
                                "is larger than the %.1f um that a tile can give one dose; take fewer tiles, or leave out"
                                        + " --one-dose-per-shape",
                                tile.wholeDbu() * dbuUm));
            }
        }
    }

    private static Window window(Flattener flattener, List<LayerRole> roles, TileFrame tile) {
        Window extent = flattener.extent(roles.stream().map(LayerRole::layer).collect(Collectors.toSet()));
        // A polygon that meets this part and what the tile sees meets what both have in common, since boxes do.
        Window all = flattener.window().map(extent::and).orElse(extent);
        double m = tile.margin() + 1;
        return new Window(
                (long) Math.max(all.left(), Math.floor(tile.left() - m)),
                (long) Math.max(all.bottom(), Math.floor(tile.bottom() - m)),
                (long) Math.min(all.right(), Math.ceil(tile.right() + m)),
                (long) Math.min(all.top(), Math.ceil(tile.top() + m)));
    }

    /** {@return the pieces, those of the surroundings included} */
    public Pieces pieces() {
        return pieces;
    }

    /**
     * {@return the energy model; to be called before these units have travelled, since where they are judged does not}
     *
     * @param shared the grids of all tiles
     * @param workers threads to compute on
     */
    public TileModel model(SharedGrids shared, Workers workers) {
        return TileModel.build(pieces, samples, outside, shared, workers, Progress.NONE);
    }

    /** {@return where units are judged; to be asked for before these units have travelled} */
    public Samples samples() {
        return samples;
    }

    /**
     * {@return what the tile's own units, exposed at factor 1, add to grids}
     *
     * @param shared the grids
     * @param workers threads to compute on
     */
    public List<GridPart> coverage(SharedGrids shared, Workers workers) {
        return shared.coverage(pieces, outside, workers);
    }

    /**
     * {@return the energy of the shared terms alone, at any point of the tile}
     *
     * @param shared the grids
     * @param energy the tile's parts of them, blurred
     */
    public EnergyField field(SharedGrids shared, List<GridPart> energy) {
        return shared.field(pieces, energy);
    }

    /** Mean slope of the direct energy at the places of each unit, for each um. */
    float[] slopes(Samples where, double[] dose, UnitGroups groups, CorrectionOptions options, Workers workers) {
        PointSpreadFunction alone =
                PointSpreadFunction.from(List.of(options.psf().direct()));
        double[] perUm = LevelTrials.gradients(pieces, where, dose, alone, workers);
        double share = options.psf().direct().weight();
        double[] ofUnits = groups == null ? perUm : groups.toUnits(groups.means(perUm));
        float[] slopes = new float[perUm.length];
        for (int u = 0; u < slopes.length; u++) {
            slopes[u] = (float) (share * ofUnits[u]);
        }
        return slopes;
    }

    /**
     * {@return the density that the development is loaded by, at any point of the tile, from what the tile sees alone}
     *
     * @param loading the loading
     * @param workers threads to compute on
     */
    public EnergyField density(DevelopmentLoading loading, Workers workers) {
        return LocalTarget.density(loading, pieces, pieces.units(), workers, Progress.NONE);
    }

    /**
     * Finds what dose levels are placed by; to be called before these units have travelled.
     *
     * @param options the point spread function is theirs
     * @param workers threads to compute on
     */
    public void prepareLevels(CorrectionOptions options, Workers workers) {
        int n = pieces.units();
        PointSpreadFunction alone =
                PointSpreadFunction.from(List.of(options.psf().direct()));
        double[] energy = new double[n];
        double[] ones = new double[n];
        Arrays.fill(ones, 1);
        EnergyModel.build(pieces, samples, alone, workers, Progress.NONE).apply(ones, energy);
        interior = new boolean[n];
        direct = new float[n];
        for (int u = 0; u < n; u++) {
            interior[u] = samples.interior(u);
            direct[u] = (float) (options.psf().direct().weight() * energy[u]);
        }
    }

    /**
     * {@return the doses to begin with}
     *
     * @param roles what each layer does
     * @param options how to correct
     */
    public TileDoses doses(List<LayerRole> roles, CorrectionOptions options) {
        return new TileDoses(this, roles, options);
    }

    boolean hasTied() {
        for (boolean isTied : tied) {
            if (isTied) {
                return true;
            }
        }
        return false;
    }

    /** {@return number of units that the tile writes} */
    public int writtenUnits() {
        int n = 0;
        for (boolean isWritten : written) {
            n += isWritten ? 1 : 0;
        }
        return n;
    }

    /** {@return whether any shape has several units, whose doses may become equal} */
    public boolean canJoin() {
        return pieces.units() > pieces.shapes();
    }

    DoseStatus status(int u, StatusRule rule, double factor, double criterion, double target, boolean isFree) {
        if (!isFree) {
            return DoseStatus.FIXED;
        }
        DoseStatus ofFree = rule.ofFree(factor, criterion, target);
        return ofFree == DoseStatus.OK && nearCorners[u] ? DoseStatus.CORNERS : ofFree;
    }
}
