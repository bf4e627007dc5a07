package evendose.cli;

import evendose.files.OutputFolder;
import evendose.parallel.Workers;
import evendose.psf.ProfileFit;
import evendose.report.scattering.ScatterCharts;
import evendose.report.scattering.TrajectoryPicture;
import evendose.scattering.EnergySweep;
import evendose.scattering.Estimate;
import evendose.scattering.LayerStack;
import evendose.scattering.ScatteringFits;
import evendose.scattering.ScatteringResult;
import evendose.scattering.ScatteringSettings;
import evendose.scattering.ScatteringSimulation;
import evendose.scattering.StoppingPower;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Simulates electrons in a stack. */
@Command(
        name = "scatter",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header =
                "Simulate electrons in a resist on a stack of layers and fit a point spread function to what they leave.",
        footer = {
            "",
            "Example:",
            "  evendose scatter pmma-on-silicon.json --energy-kev 100 --out pmma-100kv",
            "  evendose correct chip.gds --psf pmma-100kv/psf.json",
            "",
            "A stack file lists layers from the top; the last may go without a thickness:",
            "  {\"layers\": [{\"material\": \"PMMA\", \"thickness_nm\": 300, \"resist\": true}, {\"material\": \"Si\"}]}",
            "",
            "Writes profile.csv, psf.json (follows the whole profile), psf-double-gaussian.json, summary.json,",
            "profile.png and trajectories.png; with --sweep-kev instead sweep.csv, summary.json and sweep.png.",
            "Simulated values never replace a dose test on your own tool and process."
        })
final class ScatterCommand implements Callable<Integer> {
    private static final int PATHS = 100;
    private static final List<String> SWEEP_FILES = List.of("sweep.csv", "summary.json", "sweep.png");
    private static final List<String> FILES = List.of(
            "profile.csv", "psf.json", "psf-double-gaussian.json", "summary.json", "profile.png", "trajectories.png");

    @Spec
    private CommandSpec spec;

    @Parameters(index = "0", paramLabel = "STACK", description = "Stack file (JSON).")
    private Path stackFile;

    @ArgGroup(multiplicity = "1")
    private Energy energy;

    /** One beam energy or several. */
    static final class Energy {
        @Option(names = "--energy-kev", paramLabel = "E", description = "Beam energy, keV, 5 to 200.")
        private Double energyKev;

        @Option(
                names = "--sweep-kev",
                paramLabel = "E,E...",
                split = ",",
                description = "Several energies: how range and ratio go with energy.")
        private List<Double> sweepKev;
    }

    @Option(names = "--electrons", paramLabel = "N", description = "Most electrons to follow (default: 100000).")
    private Integer electrons;

    @Option(
            names = "--relative-error",
            paramLabel = "E",
            description = "Stop early once the returning energy is known to this relative standard error.")
    private Double relativeError;

    @Option(
            names = "--beam-fwhm-nm",
            paramLabel = "B",
            description = "Beam diameter, full width at half maximum of a Gaussian, nm (default: 5).")
    private Double beamFwhmNm;

    @Option(
            names = "--fast-secondaries",
            negatable = true,
            description = "Follow fast secondary electrons, or not (default: above 30 keV).")
    private Boolean fastSecondaries;

    @Option(
            names = "--seed",
            paramLabel = "S",
            description = "Seed of the random numbers (default: 1); the same seed gives the same result.")
    private Long seed;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        LayerStack stack = LayerStack.read(stackFile);
        boolean sweep = energy.sweepKev != null;
        List<Double> energies = sweep ? new ArrayList<>(new TreeSet<>(energy.sweepKev)) : List.of(energy.energyKev);
        if (sweep && energies.size() < 2) {
            throw new UsageException("--sweep-kev needs at least two different energies; use --energy-kev for one");
        }
        List<ScatteringSettings> settings =
                energies.stream().map(this::settings).toList();
        Path folder = run.folder(stackFile, sweep ? "-sweep" : "-scatter");
        try (ProgressLine line = ProgressLine.on(spec.commandLine().getErr(), run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(folder)) {
            (sweep ? SWEEP_FILES : FILES).forEach(output::file);
            List<ScatteringFits> fits = new ArrayList<>();
            for (ScatteringSettings s : settings) {
                fits.add(fits(ScatteringSimulation.of(stack, s).run(workers, line)));
            }
            String version = CommandLineTool.Version.number();
            if (sweep) {
                EnergySweep result = new EnergySweep(fits);
                output.write("sweep.csv", result.toCsv());
                output.write("summary.json", result.summaryJson(version));
                output.write("sweep.png", ScatterCharts.sweep(result));
                output.commit();
                line.close();
                print(out, stack, result);
            } else {
                ScatteringFits result = fits.get(0);
                output.write("profile.csv", result.profileCsv());
                output.write("psf.json", result.ladderFile().toJson());
                output.write(
                        "psf-double-gaussian.json", result.doubleGaussianFile().toJson());
                output.write("summary.json", result.summaryJson(version));
                output.write("profile.png", ScatterCharts.profile(result));
                output.write(
                        "trajectories.png",
                        TrajectoryPicture.png(
                                stack,
                                settings.get(0).energyKev(),
                                ScatteringSimulation.of(stack, settings.get(0)).trajectories(PATHS)));
                output.commit();
                line.close();
                print(out, result);
            }
            out.printf(Locale.ROOT, "%nWritten to %s%n", folder);
            out.println("Simulated values never replace a dose test on your own tool and process.");
        }
        return ExitCode.DONE.number();
    }

    private ScatteringSettings settings(double energyKev) {
        try {
            ScatteringSettings s = ScatteringSettings.of(energyKev);
            s = electrons == null ? s : s.withElectrons(electrons);
            s = relativeError == null ? s : s.withRelativeError(relativeError);
            s = beamFwhmNm == null ? s : s.withBeamFwhmNm(beamFwhmNm);
            s = fastSecondaries == null ? s : s.withFastSecondaries(fastSecondaries);
            return seed == null ? s : s.withSeed(seed);
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private ScatteringFits fits(ScatteringResult result) {
        try {
            return ScatteringFits.of(result);
        } catch (IllegalArgumentException e) {
            throw new LimitException("the profile of " + result.electrons() + " electrons cannot be fitted ("
                    + e.getMessage() + "); follow more with --electrons, and see that something lies below the resist");
        }
    }

    private static void print(PrintWriter out, ScatteringFits fits) {
        ScatteringResult result = fits.result();
        ScatteringSettings settings = result.settings();
        ProfileFit two = fits.doubleGaussian();
        out.printf(
                Locale.ROOT,
                "%s at %s keV: %,d electrons, beam %s nm, %s%n%n",
                result.stack().describe(),
                CommandLineTool.plain(settings.energyKev()),
                result.electrons(),
                CommandLineTool.plain(settings.beamFwhmNm()),
                settings.fastSecondaries() ? "with fast secondaries" : "without fast secondaries");
        out.println("Double Gaussian           value        +- (one standard error)");
        row(out, "  alpha, nm", two.parameter("alpha_um"), 1e3);
        row(out, "  beta, um", two.parameter("beta_um"), 1);
        row(out, "  eta (fitted)", two.parameter("eta"), 1);
        row(out, "  eta (energy ratio)", result.energyRatio());
        out.println("Electrons");
        row(out, "  backscattered", result.backscatteredFraction());
        if (result.transmittedFraction().value() > 0) {
            row(out, "  transmitted", result.transmittedFraction());
        }
        row(out, "  mean energy back, keV", result.meanBackscatteredKev());
        out.println("How far each form is from the profile, as root mean square of log10(fit/profile), by radius");
        out.printf("  %-30s", "um");
        for (ProfileFit.Misfit m : two.misfits()) {
            out.printf(Locale.ROOT, " %7s", "<" + CommandLineTool.plain(m.toUm()));
        }
        out.println();
        for (ProfileFit fit : fits.all()) {
            out.printf("  %-30s", fit.form());
            for (ProfileFit.Misfit m : fit.misfits()) {
                out.printf(Locale.ROOT, " %7.2f", m.rmsLog10());
            }
            out.println();
        }
        out.printf(
                Locale.ROOT,
                "psf.json holds the Gaussian ladder (%d terms), which follows the profile.%n",
                fits.ladder().psf().orElseThrow().terms().size());
    }

    private static void print(PrintWriter out, LayerStack stack, EnergySweep sweep) {
        out.printf("%s%n%n", stack.describe());
        out.printf("%8s %18s %18s %16s %22s%n", "keV", "beta, um", "eta (fitted)", "eta (ratio)", "Kanaya-Okayama, um");
        for (int i = 0; i < sweep.runs().size(); i++) {
            ScatteringFits fits = sweep.runs().get(i);
            ProfileFit.Parameter eta = fits.doubleGaussian().parameter("eta");
            out.printf(
                    Locale.ROOT,
                    "%8s %18s %18s %16s %22.4g%n",
                    CommandLineTool.plain(sweep.energyKev(i)),
                    text(sweep.betaUm(i).value(), sweep.betaUm(i).standardError()),
                    text(eta.value(), eta.standardError()),
                    text(
                            fits.result().energyRatio().value(),
                            fits.result().energyRatio().standardError()),
                    StoppingPower.kanayaOkayamaRangeUm(sweep.substrate(), sweep.energyKev(i)));
        }
        Estimate p = sweep.exponent();
        out.printf(Locale.ROOT, "%nbeta grows as energy to the power %s%n", text(p.value(), p.standardError()));
    }

    private static void row(PrintWriter out, String name, ProfileFit.Parameter p, double scale) {
        row(out, name, new Estimate(p.value() * scale, p.standardError() * scale));
    }

    private static void row(PrintWriter out, String name, Estimate e) {
        out.printf(Locale.ROOT, "%-24s %9.4g        %.2g%n", name, e.value(), e.standardError());
    }

    private static String text(double value, double error) {
        return String.format(Locale.ROOT, "%.4g +- %.2g", value, error);
    }
}
