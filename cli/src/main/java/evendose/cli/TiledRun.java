package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.Convergence;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.LevelTrial;
import evendose.correction.OutlineError;
import evendose.correction.TilePlace;
import evendose.correction.TileTotals;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.Flattener;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.tiles.TileGrid;
import evendose.tiles.TileRunner;
import evendose.tiles.TiledCorrection;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.IntStream;

/** A correction in tiles, from the layout to the files. */
final class TiledRun {
    private final Flattener flattener;
    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final TileGrid grid;
    private final TileSite site;
    private final Workers workers;
    private final StageClock clock;

    TiledRun(
            Flattener flattener,
            List<LayerRole> roles,
            CorrectionOptions options,
            Optional<double[]> windowUm,
            TileChoice.Plan plan,
            TileSite site,
            Workers workers,
            StageClock clock) {
        this.flattener = flattener;
        this.roles = roles;
        this.options = options;
        this.grid = plan.grid(flattener, roles, options, windowUm);
        this.site = site;
        this.workers = workers;
        this.clock = clock;
    }

    /** Says how many tiles there are. */
    String tiles() {
        long different = Math.round(grid.share() * grid.tiles());
        return String.format(
                Locale.ROOT,
                "corrected in %,d tiles%s%s",
                grid.tiles(),
                different < grid.tiles()
                        ? String.format(Locale.ROOT, " that hold %,d different patterns", different)
                        : "",
                site == TileSite.HERE
                        ? String.format(Locale.ROOT, ", %d at a time", Math.min(workers.threads(), different))
                        : "");
    }

    /** Share of the layout that is corrected: the rest is the same. */
    double share() {
        return grid.share();
    }

    /** Corrects and writes all files but {@code summary.json} and what is written of any run. */
    Result run(
            OutputFolder output,
            Path states,
            Path corrected,
            Path levels,
            LayoutFormat format,
            Optional<ContrastCurve> curve) {
        TileRunner runner = site.runner(grid.tiles(), states, workers, clock);
        try {
            TiledCorrection correction = TiledCorrection.correct(flattener, roles, options, grid, runner, workers);
            if (curve.isPresent()) {
                correction.judgeWideDoses();
            }
            List<Path> parts = IntStream.range(0, grid.tiles())
                    .mapToObj(t -> output.workFolder().resolve(DoseTableReader.part(t)))
                    .toList();
            TiledCorrection.Written written =
                    correction.write(parts, output.file(TilePlace.FILE), corrected, format, curve);
            if (written.totals().pieces() == 0) {
                throw new BadInputException(flattener.layout().source(), "", "has no shape in the window");
            }
            List<String> names = new ArrayList<>();
            for (int t : written.parts()) {
                names.add(DoseTableReader.part(t));
                output.file(DoseTableReader.part(t));
            }
            written.totals().writeLevels(correction.levels(), options, levels);
            return new Result(
                    written.totals(),
                    correction.convergence(),
                    correction.levelError(),
                    correction.levelStudy(),
                    written.lost(),
                    written.tiles(),
                    names);
        } finally {
            // Here what tiles remember stays until all is written, for a run that goes on after an interruption.
            if (site != TileSite.HERE) {
                runner.close();
            }
        }
    }

    /**
     * What was done.
     *
     * @param totals what is told of all doses
     * @param iteration how the iteration went
     * @param levelError what imposed levels add to the criterion: largest, and root mean square
     * @param levelStudy what numbers of levels would cost, if that was asked for
     * @param lost pieces that rounding left out of the corrected layout
     * @param tiles number of tiles that have shapes
     * @param parts names of the tables: tiles that are equal share one
     */
    record Result(
            TileTotals totals,
            Convergence iteration,
            Optional<double[]> levelError,
            List<LevelTrial> levelStudy,
            long lost,
            int tiles,
            List<String> parts) {}

    /** The text of {@code summary.json}. */
    String summary(Result result, Path layout, List<String> cells, String psfSource) {
        return result.totals.summary(
                layout.toString(),
                cells,
                grid.windowUm(),
                roles,
                options,
                result.iteration,
                result.levelError,
                new int[] {grid.columns(), grid.rows()},
                result.parts,
                CommandLineTool.Version.number(),
                psfSource,
                clock.secondsByStage());
    }

    /** Tells what was done. */
    void print(PrintWriter out, Result result, Path layout, Path folder) {
        TileTotals totals = result.totals;
        Convergence convergence = totals.convergence(result.iteration);
        out.printf(
                Locale.ROOT,
                "%s: %,d pieces with %,d doses in %,d x %,d tiles, factors %.4f to %.4f%n",
                layout,
                totals.pieces(),
                totals.units(),
                grid.columns(),
                grid.rows(),
                totals.minFactor(),
                totals.maxFactor());
        out.printf(
                Locale.ROOT,
                "%s after %d rounds; criterion met to %.2g (%.2g rms), before %.2g%n",
                convergence.converged() ? "converged" : "NOT converged",
                convergence.iterations(),
                convergence.maxResidual(),
                convergence.rmsResidual(),
                convergence.uncorrectedMaxResidual());
        OutlineError outline = totals.outlineError();
        if (outline.points() > 0) {
            out.println("energy along edges " + CorrectionText.alongEdges(outline));
        }
        totals.wantedOverUsual()
                .ifPresent(wanted -> out.printf(
                        Locale.ROOT,
                        "energy wanted: %.2f to %.2f %% of the usual, as the density about a unit is%n",
                        100 * wanted[0],
                        100 * wanted[1]));
        result.levelError.ifPresent(error -> out.printf(
                Locale.ROOT,
                "%d dose levels, which add %.2g to the criterion at most (%.2g rms)%n",
                totals.levels(),
                error[0],
                error[1]));
        totals.depths().forEach(depth -> out.println("depth " + depth.layer() + ": " + CorrectionText.depth(depth)));
        for (DoseStatus status : DoseStatus.values()) {
            if (totals.pieces(status) > 0 && status != DoseStatus.OK) {
                out.printf(Locale.ROOT, "%,d pieces: %s%n", totals.pieces(status), status.word());
            }
        }
        if (result.lost > 0) {
            out.printf(Locale.ROOT, "%,d pieces were lost to rounding in the corrected layout%n", result.lost);
        }
        if (result.parts.size() < result.tiles) {
            out.printf(
                    Locale.ROOT,
                    "%,d tiles, %,d different ones: %.2g %% of the work of correcting each by itself%n",
                    result.tiles,
                    result.parts.size(),
                    100.0 * result.parts.size() / result.tiles);
        }
        out.printf(
                Locale.ROOT,
                "written to %s: a table of doses and a cell for each that is different; %s tells where they lie%n",
                folder,
                TilePlace.FILE);
        out.println("Whether all of it comes out as drawn was not predicted: check with 'evendose verify'.");
        out.println("Computed doses never replace a dose test on your own tool and process.");
    }
}
