package evendose.correction;

import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.pieces.Pieces;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * What is told of the doses of all tiles together: each tile's numbers, added in the order of the tiles.
 *
 * @serial exclude
 */
public final class TileTotals implements Serializable {
    private static final long serialVersionUID = 1L;
    private static final JsonMapper MAPPER = new JsonMapper();

    private long pieces;
    private long units;
    private long cut;
    private long thin;
    private double areaUm2;
    private double dosedAreaUm2;
    private double minFactor = Double.POSITIVE_INFINITY;
    private double maxFactor;
    private double uncorrectedMaxResidual;
    private final long[] byStatus = new long[DoseStatus.values().length];
    private final long[] piecesOfLevel;
    private final double[] areaOfLevel;

    /** Largest residual, sum of squares and number of units: of those that could move, and of those that are held. */
    private final double[][] residuals = new double[2][3];

    /** Smallest and largest energy wanted of a unit over the usual one. */
    private double[] wanted = {Double.POSITIVE_INFINITY, 0};

    /** Smallest and largest density about a unit. */
    private double[] densities = {Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY};

    /** Depths of a grey-tone exposure, or null. */
    private LayerDepth.Parts depths;

    private final TileOutline outline = new TileOutline();

    /**
     * Of no tile.
     *
     * @param levels number of dose levels
     */
    public TileTotals(int levels) {
        piecesOfLevel = new long[levels];
        areaOfLevel = new double[levels];
    }

    /**
     * Of one tile.
     *
     * @param table its doses, neighbours joined
     * @param along how far energies along its outline are off
     * @param doses the tile's doses, from which the table was made
     * @param parts its depths; empty unless the exposure is a grey-tone one
     */
    public TileTotals(DoseTable table, TileOutline along, TileDoses doses, Optional<LayerDepth.Parts> parts) {
        this(table.levels().size());
        depths = parts.orElse(null);
        densities = doses.densities().orElse(densities);
        outline.add(along, 0, 0);
        Pieces p = table.pieces();
        pieces = p.size();
        units = table.counts().units();
        cut = table.counts().pieces();
        thin = p.thinner(table.options().rules().smallestUm());
        wanted = table.wantedOverUsual().orElse(wanted);
        for (int u = 0; u < p.units(); u++) {
            minFactor = Math.min(minFactor, table.factor(u));
            maxFactor = Math.max(maxFactor, table.factor(u));
            double area = 0;
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                area += p.areaUm2(i);
            }
            int count = p.unitFirst(u + 1) - p.unitFirst(u);
            areaUm2 += area;
            dosedAreaUm2 += area * table.factor(u);
            byStatus[table.status(u).ordinal()] += count;
            piecesOfLevel[table.level(u)] += count;
            areaOfLevel[table.level(u)] += area;
            if (table.status(u) != DoseStatus.FIXED) {
                double[] r = residuals[table.status(u).isHeld() ? 1 : 0];
                double off = Math.abs(table.energyCorrected(u) / table.targetOfUnit(u) - 1);
                r[0] = Math.max(r[0], off);
                r[1] += off * off;
                r[2]++;
                uncorrectedMaxResidual = Math.max(
                        uncorrectedMaxResidual, Math.abs(table.energyUncorrected(u) / table.targetOfUnit(u) - 1));
            }
        }
    }

    /**
     * Adds the numbers of another tile.
     *
     * @param other its numbers
     * @param dxUm how far to the right of the place that they are of it lies, um
     * @param dyUm how far above it, um
     */
    public void add(TileTotals other, double dxUm, double dyUm) {
        outline.add(other.outline, dxUm, dyUm);
        pieces += other.pieces;
        units += other.units;
        cut += other.cut;
        thin += other.thin;
        areaUm2 += other.areaUm2;
        dosedAreaUm2 += other.dosedAreaUm2;
        minFactor = Math.min(minFactor, other.minFactor);
        maxFactor = Math.max(maxFactor, other.maxFactor);
        uncorrectedMaxResidual = Math.max(uncorrectedMaxResidual, other.uncorrectedMaxResidual);
        depths = depths == null ? other.depths : depths.and(other.depths);
        wanted = both(wanted, other.wanted);
        densities = both(densities, other.densities);
        for (int s = 0; s < byStatus.length; s++) {
            byStatus[s] += other.byStatus[s];
        }
        for (int k = 0; k < piecesOfLevel.length; k++) {
            piecesOfLevel[k] += other.piecesOfLevel[k];
            areaOfLevel[k] += other.areaOfLevel[k];
        }
        for (int k = 0; k < 2; k++) {
            residuals[k][0] = Math.max(residuals[k][0], other.residuals[k][0]);
            residuals[k][1] += other.residuals[k][1];
            residuals[k][2] += other.residuals[k][2];
        }
    }

    private static double[] both(double[] range, double[] other) {
        return new double[] {Math.min(range[0], other[0]), Math.max(range[1], other[1])};
    }

    /** {@return number of pieces} */
    public long pieces() {
        return pieces;
    }

    /** {@return number of dose units, those on both sides of a border counted twice} */
    public long units() {
        return units;
    }

    /** {@return number of levels that any dose has} */
    public long levels() {
        return Arrays.stream(piecesOfLevel).filter(n -> n > 0).count();
    }

    /** {@return smallest dose factor} */
    public double minFactor() {
        return minFactor;
    }

    /** {@return largest dose factor} */
    public double maxFactor() {
        return maxFactor;
    }

    /** {@return a new array of the smallest and largest energy wanted of a unit over the usual one; empty without a loading of the development} */
    public Optional<double[]> wantedOverUsual() {
        return wanted[1] > 0 ? Optional.of(wanted.clone()) : Optional.empty();
    }

    /** {@return a new array of the smallest and largest density about units; empty without a loading of the development} */
    public Optional<double[]> loadingDensities() {
        return densities[1] >= densities[0] ? Optional.of(densities.clone()) : Optional.empty();
    }

    /** {@return depths of the layers of a grey-tone exposure; empty for others} */
    public List<LayerDepth> depths() {
        return depths == null ? List.of() : depths.depths();
    }

    /** {@return how far energies along the outline are off; what 95 % of it keeps within is known to half a percent of itself} */
    public OutlineError outlineError() {
        return outline.error();
    }

    /**
     * {@return number of pieces of a status}
     *
     * @param status the status
     */
    public long pieces(DoseStatus status) {
        return byStatus[status.ordinal()];
    }

    /**
     * {@return how the iteration went, with the residuals of the doses that are written}
     *
     * @param iteration how it went over the units that could move
     */
    public Convergence convergence(Convergence iteration) {
        double[] told = residuals[residuals[0][2] > 0 ? 0 : 1];
        return new Convergence(
                iteration.converged() && residuals[1][2] == 0,
                iteration.iterations(),
                uncorrectedMaxResidual,
                told[0],
                told[2] == 0 ? 0 : Math.sqrt(told[1] / told[2]),
                residuals[1][0],
                iteration.history());
    }

    /**
     * Writes the table of levels.
     *
     * @param levels the levels
     * @param options the base dose is theirs
     * @param file the file to write
     */
    public void writeLevels(DoseLevels levels, CorrectionOptions options, Path file) {
        DoseTableCsv.writeLevels(levels, piecesOfLevel, areaOfLevel, options.baseDoseUcPerCm2(), file);
    }

    /**
     * {@return all of it}
     *
     * @param options how it was corrected
     * @param roles the layers and what each does
     * @param iteration how the iteration went
     */
    public DoseFacts facts(CorrectionOptions options, List<LayerRole> roles, Convergence iteration) {
        Map<DoseStatus, Long> piecesOf = new EnumMap<>(DoseStatus.class);
        for (DoseStatus status : DoseStatus.values()) {
            piecesOf.put(status, pieces(status));
        }
        return new DoseFacts(
                options,
                roles,
                convergence(iteration),
                outlineError(),
                OptionalLong.empty(),
                units,
                cut,
                pieces,
                piecesOf,
                areaUm2,
                dosedAreaUm2,
                minFactor,
                maxFactor,
                levels());
    }

    /**
     * {@return the text of {@code summary.json}, with the keys that {@link RunSummary} gives them}
     *
     * @param run what it was about
     * @param doses what {@link #facts} tells
     * @param levelError what imposed levels add to the criterion, relative: largest, and root mean square; empty without
     * @param tiles columns and rows of tiles
     * @param parts names of the tables, in the order of the tiles
     * @param verdict what will come out as drawn, as plain values by name
     */
    public String summary(
            RunFacts run,
            DoseFacts doses,
            Optional<double[]> levelError,
            int[] tiles,
            List<String> parts,
            Map<String, Object> verdict) {
        Convergence convergence = doses.convergence();
        ObjectNode root = MAPPER.createObjectNode();
        root.set("verdict", MAPPER.valueToTree(verdict));
        root.put("program", "evendose").put("version", run.version());
        root.put("layout", run.layout());
        ArrayNode cellNames = root.putArray("cells");
        run.cells().forEach(cellNames::add);
        RunSummary.putWindow(root, run.windowUm());
        root.putObject("tiles").put("columns", tiles[0]).put("rows", tiles[1]);
        ArrayNode names = root.putArray("parts");
        parts.forEach(names::add);
        root.put("pieces", pieces).put("units", units);
        root.put("pieces_cut", cut).put("thin_pieces", thin);
        root.put("area_um2", areaUm2).put("dosed_area_um2", dosedAreaUm2);
        root.put("iterations", convergence.iterations());
        root.put("converged", convergence.converged());
        root.put("max_residual", convergence.maxResidual());
        root.put("rms_residual", convergence.rmsResidual());
        root.put("held_max_residual", convergence.heldMaxResidual());
        root.put("uncorrected_max_residual", convergence.uncorrectedMaxResidual());
        RunSummary.putOutlineError(root, outlineError());
        ArrayNode history = root.putArray("residual_history");
        for (double r : convergence.history()) {
            history.add(r);
        }
        root.put("min_factor", minFactor).put("max_factor", maxFactor);
        ObjectNode statuses = root.putObject("pieces_by_status");
        for (DoseStatus status : DoseStatus.values()) {
            statuses.put(status.word(), byStatus[status.ordinal()]);
        }
        root.put("levels", levels());
        levelError.ifPresent(error ->
                root.putObject("level_cost").put("added_max_error", error[0]).put("added_rms_error", error[1]));
        RunSummary.putOptions(root.putObject("options"), doses.options(), doses.roles());
        root.set("psf", RunSummary.psf(doses.options(), run.psfSource()));
        return RunSummary.text(root, run.secondsByStage());
    }
}
