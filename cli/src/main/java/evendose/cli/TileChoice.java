package evendose.cli;

import com.sun.management.OperatingSystemMXBean;
import evendose.correction.CorrectionOptions;
import evendose.correction.LayerRole;
import evendose.correction.MemoryNeed;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Measured;
import evendose.tiles.TileGrid;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import picocli.CommandLine.Option;

/** The options that correct a layout in tiles. */
final class TileChoice {
    private static final String AUTO = "auto";
    private static final String OFF = "off";

    /** Share of the machine's memory that a run may take. */
    private static final double SHARE = 0.8;

    /** Share of what a run may take that is Java's heap; the rest are Java itself and its threads. */
    private static final double HEAP = 0.8;

    /** Share of the heap that tiles at work may take: garbage collection needs room, and some tiles hold more than others. */
    private static final double AT_WORK = 0.4;

    /** What tiles remember on disk, bytes for each unit: 204 measured on rectangles, files included; slanted pieces take more. */
    private static final double DISK_PER_UNIT = 350;

    /** In each tile elsewhere: few enough for the memory of a small worker. */
    private static final double UNITS_ELSEWHERE = 100_000;

    /** Processor time: 8 to 15 us measured on rectangles. */
    private static final double SECONDS_PER_UNIT = 10e-6;

    private static final double GB = 1e9;

    @Option(
            names = "--tiles",
            paramLabel = "auto|N|off",
            description =
                    "Correct in about N tiles that wait on disk, so that memory holds a few only. auto (default) does so where the"
                            + " layout needs more memory than there is; off never does; on Spark there are always tiles, auto takes one for"
                            + " 100,000 polygons. Dose units are then not divided along edges, as in any layout of more than 300,000"
                            + " units; verdict and report.html come from places in all tiles, without the effect of wrong parameters.")
    private String tiles = AUTO;

    @Option(
            names = "--memory-gb",
            paramLabel = "G",
            description = "Memory that the run may take, GB (default: 80 %% of the machine's).")
    private Double memoryGb;

    @Option(
            names = UnfinishedRun.OPTION,
            description =
                    "Go on with a run in tiles that was interrupted, from its last whole round: the same command, with this option"
                            + " added, on the same layout.")
    private boolean resume;

    /** Whether tiles were asked for by number. */
    private boolean isNumber() {
        return !AUTO.equals(tiles) && !OFF.equals(tiles);
    }

    /** Refuses values that are none or not for the site, and asks for a heap no larger than the user allows. */
    void check(TileSite site) {
        if (memoryGb != null && !(memoryGb >= 0.2)) {
            throw new UsageException("--memory-gb must be at least 0.2, got " + memoryGb);
        }
        if (isNumber()) {
            number();
        }
        if (site != TileSite.HERE) {
            refuseElsewhere();
        } else if (memoryGb != null) {
            // Now, since a Java that begins another one waits for it with all that it has read.
            Heap.requireAtMost((long) (HEAP * allowedBytes()));
        }
    }

    private void refuseElsewhere() {
        if (OFF.equals(tiles)) {
            throw new UsageException("--tiles off leaves Spark nothing to share out; run it without spark-submit");
        }
        if (memoryGb != null) {
            throw new UsageException(
                    "--memory-gb is for tiles on one machine; on Spark spark-submit --executor-memory says how much a worker takes");
        }
        if (resume) {
            throw new UsageException(UnfinishedRun.OPTION
                    + " is for tiles on one machine; Spark itself makes up for workers that are lost");
        }
    }

    private int number() {
        try {
            int n = Integer.parseInt(tiles);
            if (n >= 1 && n <= 1_000_000) {
                return n;
            }
        } catch (NumberFormatException e) {
            // Told below.
        }
        throw new UsageException("--tiles is auto, off or a number from 1 to 1,000,000, not '" + tiles + "'");
    }

    /** Whether an interrupted run is to be gone on with. */
    boolean resumes() {
        return resume;
    }

    private double allowedBytes() {
        return memoryGb != null
                ? memoryGb * GB
                : ManagementFactory.getOperatingSystemMXBean() instanceof OperatingSystemMXBean os
                        ? SHARE * os.getTotalMemorySize()
                        : Runtime.getRuntime().maxMemory();
    }

    /** About how many units a layout is cut into: one a polygon at least, and one for each cell of larger ones. */
    static double units(Measured all, DatabaseUnit unit, CorrectionOptions options) {
        double cellDbu = unit.fromUm(options.maxPieceUm());
        return all.polygons() + all.area() / (cellDbu * cellDbu);
    }

    /** How long so many units take, for the user. */
    static String time(double units) {
        double seconds = SECONDS_PER_UNIT * units;
        return seconds < 100
                ? ""
                : String.format(Locale.ROOT, "; takes about %.0f min of processor time", seconds / 60);
    }

    /**
     * About how many tiles to take; empty for a correction of the whole.
     *
     * @param units about how many units there are
     * @param threads tiles at work at a time
     * @param missing what was asked for and does not go in tiles
     * @throws UsageException if tiles were asked for by number, and something is missing
     */
    Optional<Plan> plan(double units, int threads, List<String> missing) {
        double need = MemoryNeed.ofPolygons(units);
        double allowed = allowedBytes();
        boolean needed = need > HEAP * allowed;
        if (OFF.equals(tiles) || (!isNumber() && !needed)) {
            return Optional.empty();
        }
        if (!missing.isEmpty()) {
            if (isNumber()) {
                throw new UsageException("--tiles does not go with " + String.join(", ", missing) + " yet");
            }
            return Optional.empty();
        }
        Runtime java = Runtime.getRuntime();
        double room = AT_WORK * (java.maxMemory() - java.totalMemory() + java.freeMemory());
        int fitting = (int) Math.max(1, Math.ceil(threads * (need / Math.max(room, 0.1 * java.maxMemory()))));
        int number = isNumber() ? number() : fitting;
        String why = needed
                ? String.format(
                        Locale.ROOT,
                        "the whole would need about %.2f GB of memory, %.2f GB are allowed; ",
                        need / HEAP / GB,
                        allowed / GB)
                : "";
        return Optional.of(new Plan(number, isNumber() ? 0 : units, why));
    }

    /**
     * How many tiles to take elsewhere, where all layouts go in tiles. Their number must not depend on how many machines there are, or doses would.
     *
     * @param units about how many units there are
     * @param missing what was asked for and does not go in tiles
     * @throws UsageException if something is missing
     */
    Plan planElsewhere(double units, List<String> missing) {
        if (!missing.isEmpty()) {
            throw new UsageException(String.join(", ", missing)
                    + " does not go in tiles yet, and so not on Spark; run it without spark-submit");
        }
        int number = isNumber() ? number() : (int) Math.max(1, Math.ceil(units / UNITS_ELSEWHERE));
        return new Plan(number, isNumber() ? 0 : units, "on Spark, ");
    }

    /**
     * Refuses to begin where the disk is too small.
     *
     * @param units about how many units there are in tiles that are corrected
     * @param work folder for what tiles remember
     * @throws LimitException if there is no room
     */
    static void requireDisk(double units, Path work) {
        double bytes = DISK_PER_UNIT * units;
        try {
            double free = Files.getFileStore(work).getUsableSpace();
            if (bytes > free) {
                throw new LimitException(String.format(
                        Locale.ROOT,
                        "tiles would need about %,.1f GB of disk beside the output, %,.1f GB are free; name a folder on a larger disk"
                                + " with --out, or choose fewer layers or a smaller cell",
                        bytes / GB,
                        free / GB));
            }
        } catch (IOException e) {
            throw BadInputException.unwritable(work, e);
        }
    }

    /** Tiles that were taken too large: what they hold is estimated before anything is merged. */
    static LimitException tooLarge(Plan plan, OutOfMemoryError cause) {
        return new LimitException(
                String.format(
                        Locale.ROOT,
                        "not enough memory for tiles that large (%,d MB of Java's heap); take more of them, for instance --tiles %d, or allow"
                                + " more --memory-gb",
                        Runtime.getRuntime().maxMemory() / (1 << 20),
                        4 * plan.tiles()),
                cause);
    }

    /**
     * How to take tiles.
     *
     * @param tiles about how many
     * @param units about how many units there are if tiles may be smaller; else 0
     * @param why the beginning of a line for the user
     */
    record Plan(int tiles, double units, String why) {
        /** Units of a tile, at least, that is made smaller so that less of a repeating layout is corrected. */
        private static final double LEAST = 20_000;

        /** The tiles for a layout. */
        TileGrid grid(
                Flattener flattener, List<LayerRole> roles, CorrectionOptions options, Optional<double[]> windowUm) {
            TileGrid grid = TileGrid.of(flattener, roles, options, windowUm, tiles);
            while (grid.share() < 1 && units > 4 * LEAST * grid.tiles()) {
                TileGrid finer = TileGrid.of(flattener, roles, options, windowUm, 4 * grid.tiles());
                if (finer.share() > 0.5 * grid.share()) {
                    break;
                }
                grid = finer;
            }
            return grid;
        }
    }
}
