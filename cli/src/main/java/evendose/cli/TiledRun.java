package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.Convergence;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseFacts;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.LevelTrial;
import evendose.correction.OutlineError;
import evendose.correction.RunFacts;
import evendose.correction.TilePlace;
import evendose.correction.TileTotals;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Window;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.report.Picture;
import evendose.report.ReportPage;
import evendose.report.TilePictures;
import evendose.tiles.JudgedTile;
import evendose.tiles.TileGrid;
import evendose.tiles.TileRunner;
import evendose.tiles.TiledCorrection;
import evendose.verification.CorrectionVerdict;
import evendose.verification.OutlineFindings;
import evendose.verification.Prediction;
import evendose.verification.Verdict;
import java.io.PrintWriter;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.Collectors;
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

    /**
     * Corrects and writes the doses.
     *
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param full whether all that a report tells is wanted, not the verdict alone
     * @param curve the contrast curve of a grey-tone exposure; empty for others
     */
    Result run(
            OutputFolder output,
            Path states,
            Path corrected,
            Path levels,
            LayoutFormat format,
            OptionalDouble allowedNm,
            boolean full,
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
            TilePictures.Frame frame =
                    TilePictures.Frame.of(boundsUm(), correction.minFactor(), correction.maxFactor());
            TiledCorrection.Written<Seen> written = correction.write(
                    parts,
                    output.file(TilePlace.FILE),
                    corrected,
                    format,
                    curve,
                    new Look(
                            grid.tiles(),
                            roles,
                            options(),
                            allowedNm.orElse(Double.NaN),
                            full ? frame : null,
                            site.alsoWritten().orElse(null),
                            output.workFolder().toString()));
            if (written.totals().pieces() == 0) {
                throw new BadInputException(flattener.layout().source(), "", "has no shape in the window");
            }
            List<String> names = new ArrayList<>();
            for (int t : written.parts()) {
                names.add(DoseTableReader.part(t));
                output.file(DoseTableReader.part(t));
                site.alsoWritten().ifPresent(table -> output.file(table.name(t)));
            }
            written.totals().writeLevels(correction.levels(), options, levels);
            DoseFacts doses = written.totals().facts(options, roles, correction.convergence());
            Prediction prediction = Prediction.joined(
                    written.made().stream()
                            .map(made -> made.of().edges.moved(made.dxUm(), made.dyUm()))
                            .toList(),
                    allowedNm);
            TilePictures pictures = TilePictures.none(frame);
            if (full) {
                written.made().forEach(made -> pictures.add(made.of().pictures, made.dxUm(), made.dyUm()));
            }
            return new Result(
                    written.totals(),
                    doses,
                    prediction,
                    CorrectionVerdict.of(
                            prediction.verdict(), doses, written.totals().depths()),
                    pictures,
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

    /** Smallest x, smallest y, largest x, largest y of the layout, um. */
    private double[] boundsUm() {
        Window extent = flattener.extent(roles.stream().map(LayerRole::layer).collect(Collectors.toSet()));
        DatabaseUnit unit = flattener.layout().unit();
        return new double[] {
            unit.toUm(extent.left()), unit.toUm(extent.bottom()), unit.toUm(extent.right()), unit.toUm(extent.top())
        };
    }

    /** Options that travel: a listener cannot. */
    private CorrectionOptions options() {
        return options.toBuilder().threads(1).progress(Progress.NONE).build();
    }

    /** What was seen on a tile; pictures are missing where no report is wanted. */
    private record Seen(OutlineFindings edges, TilePictures pictures) implements Serializable {}

    /**
     * Looks at what a tile's doses are expected to do, and writes what the site wants of them.
     *
     * @param tiles number of tiles
     * @param allowedNm how far an edge may be off, nm, or NaN
     * @param frame what pictures of all tiles have in common, or null for none
     * @param also what is written beside the table, or null for nothing
     * @param folder where it goes; a path does not travel
     */
    private record Look(
            int tiles,
            List<LayerRole> roles,
            CorrectionOptions options,
            double allowedNm,
            TilePictures.Frame frame,
            TileTable also,
            String folder)
            implements TiledCorrection.Use<Seen> {
        private static final long serialVersionUID = 1L;

        @Override
        public Seen of(JudgedTile tile) {
            DoseTable table = tile.table();
            if (also != null) {
                also.write(table.joined(), Path.of(folder, also.name(tile.number())));
            }
            return new Seen(
                    OutlineFindings.ofTile(
                            tile.drawn(),
                            roles,
                            options,
                            tile.energy(false),
                            tile.energy(true),
                            tile.density(),
                            tiles,
                            Double.isNaN(allowedNm) ? OptionalDouble.empty() : OptionalDouble.of(allowedNm),
                            frame != null,
                            tile.workers()),
                    frame == null ? null : TilePictures.of(frame, table.pieces(), table.factors()));
        }
    }

    /**
     * What was done.
     *
     * @param totals what is told of all doses
     * @param doses the same, summed up
     * @param prediction what will develop
     * @param verdict what to tell first
     * @param pictures of all doses; empty ones if no report is wanted
     * @param levelError what imposed levels add to the criterion: largest, and root mean square
     * @param levelStudy what numbers of levels would cost, if that was asked for
     * @param lost pieces that rounding left out of the corrected layout
     * @param tiles number of tiles that have shapes
     * @param parts names of the tables: tiles that are equal share one
     */
    record Result(
            TileTotals totals,
            DoseFacts doses,
            Prediction prediction,
            Verdict verdict,
            TilePictures pictures,
            Optional<double[]> levelError,
            List<LevelTrial> levelStudy,
            long lost,
            int tiles,
            List<String> parts) {}

    /** The text of {@code summary.json}. */
    String summary(Result result, Path layout, List<String> cells, String psfSource) {
        return result.totals.summary(
                facts(layout, cells, psfSource),
                result.doses,
                result.levelError,
                new int[] {grid.columns(), grid.rows()},
                result.parts,
                result.verdict.facts());
    }

    private RunFacts facts(Path layout, List<String> cells, String psfSource) {
        return new RunFacts(
                layout.toString(),
                cells,
                grid.windowUm(),
                CommandLineTool.Version.number(),
                psfSource,
                clock.secondsByStage());
    }

    /** The text of {@code report.html}. */
    String report(
            Result result,
            Path layout,
            List<String> cells,
            String psfSource,
            Optional<Picture> depths,
            List<String> arguments) {
        return ReportPage.inTiles(
                facts(layout, cells, psfSource),
                result.totals,
                result.doses,
                result.prediction,
                result.verdict,
                result.pictures,
                depths,
                result.levelError,
                result.levelStudy,
                result.tiles,
                arguments,
                clock);
    }

    /** Tells what was done. */
    void print(PrintWriter out, Result result, Path layout, Path folder, boolean isReported) {
        DoseFacts totals = result.doses;
        Convergence convergence = totals.convergence();
        result.verdict.sentences().forEach(out::println);
        out.println();
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
        result.totals
                .wantedOverUsual()
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
        result.totals
                .depths()
                .forEach(depth -> out.println("depth " + depth.layer() + ": " + CorrectionText.depth(depth)));
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
        out.printf(
                Locale.ROOT,
                "next: %sevendose verify %s %s%n",
                isReported ? "look at " + folder.resolve("report.html") + ", then: " : "",
                folder,
                layout);
        out.println("Computed doses never replace a dose test on your own tool and process.");
    }
}
