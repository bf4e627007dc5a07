package evendose.cli;

import static evendose.cli.CommandLineTool.row;

import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.DatabaseUnit;
import evendose.parallel.StageClock;
import evendose.parallel.Workers;
import evendose.report.Contours;
import evendose.report.DrawnOutline;
import evendose.report.EnergyMap;
import evendose.report.EnergyRaster;
import evendose.report.Picture;
import evendose.report.RawMap;
import evendose.verification.Exposure;
import evendose.verification.ExposureFields;
import evendose.verification.PointEnergy;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Spec;

/** Shows the absorbed energy of a window. */
@Command(
        name = "map",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header = "Show the absorbed energy and the predicted outline of a window, before and after correction.",
        footer = {
            "",
            "Example:",
            "  evendose map cd-doses --window 0,0,4,3 --pixel-um 0.005 --out cd-map",
            "",
            "Writes energy-uncorrected.png and energy-corrected.png (white: up to where a positive resist clears and a negative"
                    + " one stays; black: drawn outline), contours.gds (layer 1 uncorrected, 2 corrected, 3 drawn; datatype 0"
                    + " outer rings, 1 holes), and the numbers as energy-*.npy or energy-*.csv."
        })
final class MapCommand implements Callable<Integer> {
    /** Default number of pixels along the longer side. */
    private static final int USUAL_PIXELS = 1000;

    /** Share of pieces below a pixel from which on the map is said to hide the pattern. */
    private static final double MOST_HIDDEN = 0.1;

    @Spec
    private CommandSpec spec;

    @Mixin
    private DosesInput doses;

    @Option(
            names = "--window",
            paramLabel = "X0,Y0,X1,Y1",
            split = ",",
            description = "Window to show, um (default: everything).")
    private double[] window;

    @Option(
            names = "--pixel-um",
            paramLabel = "P",
            description = "Side of a pixel, um (default: 1000 pixels along the longer side).")
    private Double pixelUm;

    @Option(
            names = "--raw",
            paramLabel = "npy|csv|none",
            defaultValue = "npy",
            description = "Format of the numbers: NumPy 32-bit floats, a table, or none (default: ${DEFAULT-VALUE}).")
    private String raw;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        PrintWriter err = spec.commandLine().getErr();
        checkOptions();
        Path folder = run.folder(doses.file(), "-map");
        try (ProgressLine line = ProgressLine.on(err, run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(folder, err)) {
            List<String> names = List.of("energy-uncorrected", "energy-corrected");
            names.forEach(n -> output.file(n + ".png"));
            List<Path> numbers = raw.equals("none")
                    ? List.of()
                    : names.stream().map(n -> output.file(n + "." + raw)).toList();
            Path contourFile = output.file("contours.gds");

            StageClock clock = new StageClock(line);
            clock.begin("reading", 0);
            DosesInput.Read read = doses.read();
            Exposure exposure = read.exposure();
            if (exposure.pieces().size() == 0) {
                throw new BadInputException(doses.file().toString(), "", "holds no piece");
            }
            refuseElsewhere(exposure);
            double[] w = window == null ? exposure.pieces().boundsUm() : window;
            double pixel = pixelUm != null ? pixelUm : Math.max(w[2] - w[0], w[3] - w[1]) / USUAL_PIXELS;
            ExposureFields fields = exposure.fields(workers, clock);
            PointEnergy[] energies = {fields.of(false), fields.of(true)};
            List<EnergyRaster> rasters = new ArrayList<>();
            for (PointEnergy energy : energies) {
                clock.begin("energy map", 0);
                rasters.add(raster(energy, w, pixel, workers));
            }
            clock.begin("contours and pictures", 0);
            double high = highest(rasters);
            DrawnOutline drawn = DrawnOutline.of(exposure, w, workers);
            List<Contours> contours = new ArrayList<>();
            for (int k = 0; k < 2; k++) {
                PointEnergy over = exposure.overWanted(energies[k]);
                EnergyRaster traced = over == energies[k] ? rasters.get(k) : raster(over, w, pixel, workers);
                contours.add(Contours.trace(traced, over, exposure.threshold(), workers));
                Picture picture = EnergyMap.of(
                        rasters.get(k),
                        names.get(k),
                        k == 0 ? "Uncorrected" : "Corrected",
                        exposure.threshold(),
                        high,
                        contours.get(k),
                        drawn.rings(),
                        EnergyMap.ALONE);
                picture.write(output);
                if (raw.equals("npy")) {
                    RawMap.writeNpy(rasters.get(k), numbers.get(k));
                } else if (raw.equals("csv")) {
                    RawMap.writeCsv(rasters.get(k), numbers.get(k));
                }
            }
            Contours.write(contours, drawn.rings(), new DatabaseUnit(1e-4), contourFile);
            output.commit();
            line.close();
            report(out, exposure, rasters.get(0), contours);
            LongRangeText.rows(out, exposure);
            if (read.windowed()) {
                row(out, "note", "the doses are those of a window only: what its surroundings add is not shown");
            }
            Written.of(folder, output).print(out);
            Written.next(out, "look at %s; load contours.gds over the layout", folder.resolve("energy-corrected.png"));
            out.flush();
            return ExitCode.DONE.number();
        }
    }

    private void refuseElsewhere(Exposure exposure) {
        double[] b = exposure.pieces().boundsUm();
        if (window != null && (window[0] > b[2] || window[2] < b[0] || window[1] > b[3] || window[3] < b[1])) {
            throw new BadInputException(
                    doses.file().toString(),
                    "",
                    String.format(
                            Locale.ROOT,
                            "has no piece in the window; its pieces lie within --window %.3f,%.3f,%.3f,%.3f",
                            b[0],
                            b[1],
                            b[2],
                            b[3]));
        }
    }

    /** Share of pieces narrower than a pixel. */
    private static double hidden(Exposure exposure, EnergyRaster raster) {
        return (double) exposure.pieces().thinner(raster.pixelUm())
                / exposure.pieces().size();
    }

    private void checkOptions() {
        if (!List.of("npy", "csv", "none").contains(raw)) {
            throw new UsageException("--raw is npy, csv or none, not '" + raw + "'");
        }
        LayerChoice.checked(window);
        if (pixelUm != null && !(pixelUm > 0 && Double.isFinite(pixelUm))) {
            throw new UsageException("--pixel-um must be positive, got " + pixelUm);
        }
    }

    private static EnergyRaster raster(PointEnergy energy, double[] w, double pixel, Workers workers) {
        try {
            return EnergyRaster.of(energy, w[0], w[1], w[2], w[3], pixel, workers);
        } catch (IllegalArgumentException e) {
            throw new LimitException(e.getMessage());
        }
    }

    private static double highest(List<EnergyRaster> rasters) {
        double high = 0;
        for (EnergyRaster raster : rasters) {
            high = Math.max(high, raster.highest());
        }
        return high > 0 ? high : 1;
    }

    private static void report(PrintWriter out, Exposure exposure, EnergyRaster raster, List<Contours> contours) {
        row(out, "map", "%,d by %,d pixels of %s um", raster.columns(), raster.rows(), raster.pixelUm());
        row(
                out,
                "contours",
                "threshold %.4f; developed area %.6g um^2 uncorrected, %.6g um^2 corrected",
                exposure.threshold(),
                contours.get(0).areaUm2(),
                contours.get(1).areaUm2());
        double direct = exposure.psf().direct().rangeUm();
        if (raster.pixelUm() > direct) {
            row(
                    out,
                    "note",
                    "pixels are larger than the direct range of %s um: contours may miss what lies between; show less with"
                            + " --window, or take --pixel-um %s",
                    direct,
                    direct / 2);
        }
        double hidden = hidden(exposure, raster);
        if (hidden > MOST_HIDDEN) {
            row(
                    out,
                    "note",
                    "%.0f %% of the pieces are narrower than a pixel: the map hides the pattern",
                    100 * hidden);
        }
    }
}
