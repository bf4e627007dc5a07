package evendose.cli;

import evendose.files.ColumnTable;
import evendose.files.OutputFolder;
import evendose.parallel.Workers;
import evendose.psf.ProfileFit;
import evendose.report.scattering.ScatterCharts;
import evendose.report.scattering.TrajectoryPicture;
import evendose.scattering.Element;
import evendose.scattering.Estimate;
import evendose.scattering.FormFit;
import evendose.scattering.LayerStack;
import evendose.scattering.Material;
import evendose.scattering.Materials;
import evendose.scattering.ScatteringFits;
import evendose.scattering.ScatteringResult;
import evendose.scattering.ScatteringSettings;
import evendose.scattering.ScatteringSimulation;
import evendose.scattering.ScatteringStudy;
import evendose.scattering.Trajectory;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Simulates electrons in stacks. */
@Command(
        name = "scatter",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header =
                "Simulate electrons in a resist on a stack of layers and fit a point spread function to what they leave.",
        footer = {
            "",
            "Examples:",
            "  evendose scatter testdata/demo/pmma-on-silicon.json --energy-kev 100 --out pmma-100kv",
            "  evendose scatter testdata/demo/pmma-on-silicon.json testdata/demo/pmma-on-gaas.json \\",
            "    --energy-kev 20,50,100 --resist-nm 100,300 --out pmma-study",
            "  evendose scatter testdata/demo/pmma-on-silicon.json --energy-kev 30 --beam-tilt-deg 40 --depth-slices 20 \\",
            "    --out pmma-tilted",
            "  evendose scatter --materials",
            "",
            "A stack file lists layers from the top; the last may go without a thickness:",
            "  {\"layers\": [{\"material\": \"PMMA\", \"thickness_nm\": 300, \"resist\": true}, {\"material\": \"Si\"}]}",
            "A material is a name that --materials lists, an element's symbol, or a formula with a density:",
            "  {\"material\": {\"formula\": \"C5H8O2\", \"density_g_per_cm3\": 1.19}, ...}",
            "",
            "One stack at one energy writes psf.json (Gaussians that follow the whole profile), psf-table.json (the profile itself"
                    + " beyond a few um), psf-double-gaussian.json, summary.json and, each as picture, CSV and JSON, profile (energy against"
                    + " radius), depth-profile (the same in slices of the resist), backscattered (energies and angles of electrons that leave)"
                    + " and trajectories (some paths).",
            "Several runs write study.csv and study.json (a row a run), plots against energy, thickness and stack, and for each run"
                    + " NAME-psf.json, NAME-psf-table.json, NAME-psf-double-gaussian.json, NAME-profile.csv and NAME-summary.json.",
            "A form that has no meaning for a stack is left out, and the summary says why.",
            "Simulated values never replace a dose test on your own tool and process."
        })
final class ScatterCommand implements Callable<Integer> {
    private static final int PATHS = 100;

    @Spec
    private CommandSpec spec;

    @Parameters(index = "0", arity = "0..*", paramLabel = "STACK", description = "Stack files (JSON).")
    private List<Path> stackFiles = List.of();

    @Option(
            names = "--energy-kev",
            paramLabel = "E",
            split = ",",
            description = "Beam energy, keV, 5 to 200; several for a study, for instance 20,50,100.")
    private List<Double> energyKev;

    @Option(
            names = "--resist-nm",
            paramLabel = "T",
            split = ",",
            description = "Thickness of the resist instead of the stack file's, nm; several for a study, for instance"
                    + " 100,300,500.")
    private List<Double> resistNm;

    @Option(names = "--electrons", paramLabel = "N", description = "Most electrons to follow (default: 100000).")
    private Integer electrons;

    @Option(
            names = "--relative-error",
            paramLabel = "E",
            description =
                    "Stop early once the returning energy is known to this relative standard error, for instance 0.02;"
                            + " told if the electrons do not reach it.")
    private Double relativeError;

    @Option(
            names = "--beam-fwhm-nm",
            paramLabel = "B",
            description = "Beam diameter, full width at half maximum of a Gaussian, nm (default: 5).")
    private Double beamFwhmNm;

    @Option(
            names = "--beam-tilt-deg",
            paramLabel = "A",
            description =
                    "Angle of the beam from the normal of the surface, degrees, 0 to 85, for instance 30 (default: 0);"
                            + " radii are taken around the point of entry and averaged over all directions.")
    private Double tiltDeg;

    @Option(
            names = "--fast-secondaries",
            negatable = true,
            defaultValue = "true",
            fallbackValue = "true",
            description =
                    "Follow fast secondary electrons (default), or not: --no-fast-secondaries saves time, and moves"
                            + " alpha and the ratio.")
    private boolean fastSecondaries;

    @Option(
            names = "--depth-slices",
            paramLabel = "N",
            description = "Slices of the resist with a profile each, 1 to 200 (default: 10).")
    private Integer depthSlices;

    @Option(
            names = "--far-radius-um",
            paramLabel = "R",
            description = "Give the energy beyond this radius beside eta, um (default: 1), for instance 0.5.")
    private Double farRadiusUm;

    @Option(
            names = "--seed",
            paramLabel = "S",
            description = "Seed of the random numbers (default: 1); the same seed gives the same result.")
    private Long seed;

    @Option(
            names = "--materials",
            description = "List the built-in materials and elements with formula, density and mean excitation energy.")
    private boolean materials;

    @ArgGroup(exclusive = false, heading = "%nRun:%n")
    private RunOptions run = new RunOptions();

    @Override
    public Integer call() {
        PrintWriter out = spec.commandLine().getOut();
        if (materials) {
            list(out);
            return ExitCode.DONE.number();
        }
        if (stackFiles.isEmpty()) {
            throw new UsageException("name at least one stack file, for instance pmma-on-silicon.json");
        }
        if (energyKev == null) {
            throw new UsageException("--energy-kev is missing, for instance --energy-kev 100");
        }
        List<ScatteringSettings> settings =
                new TreeSet<>(energyKev).stream().map(this::settings).toList();
        List<Job> jobs = jobs(settings);
        Path folder = run.folder(stackFiles.get(0), jobs.size() > 1 ? "-study" : "-scatter");
        boolean all = true;
        try (ProgressLine line = ProgressLine.on(spec.commandLine().getErr(), run.quiet());
                Workers workers = run.workers();
                OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
            files(jobs).forEach(output::file);
            List<ScatteringStudy.Run> runs = new ArrayList<>();
            for (Job job : jobs) {
                ScatteringResult result =
                        ScatteringSimulation.of(job.stack(), job.settings()).run(workers, line);
                runs.add(new ScatteringStudy.Run(job.stackName(), ScatteringFits.of(result)));
            }
            if (jobs.size() == 1) {
                all = write(output, jobs.get(0), runs.get(0).fits());
            } else {
                all = write(output, jobs, new ScatteringStudy(runs));
            }
            output.commit();
            line.close();
            if (jobs.size() == 1) {
                print(out, runs.get(0).fits());
            } else {
                print(out, new ScatteringStudy(runs));
            }
            out.println();
            Written.of(folder, output).print(out);
            if (jobs.size() == 1 && all) {
                Written.next(
                        out,
                        "evendose correct LAYOUT --psf %s; better after a dose test: evendose calibrate pattern --help",
                        folder.resolve("psf.json"));
            }
            out.println("Simulated values never replace a dose test on your own tool and process.");
        }
        return (all ? ExitCode.DONE : ExitCode.LIMIT).number();
    }

    /** One simulation to be done. */
    private record Job(String name, String stackName, LayerStack stack, ScatteringSettings settings) {}

    /** All stacks, thicknesses and energies; names tell apart what differs. */
    private List<Job> jobs(List<ScatteringSettings> settings) {
        Map<String, LayerStack> stacks = new LinkedHashMap<>();
        for (Path file : stackFiles) {
            LayerStack stack = LayerStack.read(file);
            String name = String.valueOf(file.getFileName()).replaceFirst("\\.[^.]*$", "");
            String free = name;
            for (int i = 2; stacks.containsKey(free); i++) {
                free = name + "-" + i;
            }
            stacks.put(free, stack);
        }
        List<Job> jobs = new ArrayList<>();
        for (Map.Entry<String, LayerStack> stack : stacks.entrySet()) {
            for (LayerStack thick : thicknesses(stack.getValue())) {
                double nm = thick.layers().get(thick.resistIndex()).thicknessNm();
                for (ScatteringSettings s : settings) {
                    String name = stack.getKey()
                            + (resistNm == null ? "" : "-" + CommandLineTool.plain(nm) + "nm")
                            + "-" + CommandLineTool.plain(s.energyKev()) + "kev";
                    jobs.add(new Job(name, stack.getKey(), thick, s));
                }
            }
        }
        return jobs;
    }

    private List<LayerStack> thicknesses(LayerStack stack) {
        if (resistNm == null) {
            return List.of(stack);
        }
        try {
            return new TreeSet<>(resistNm).stream().map(stack::withResistNm).toList();
        } catch (IllegalArgumentException e) {
            throw new UsageException("--resist-nm: " + e.getMessage());
        }
    }

    private static List<String> files(List<Job> jobs) {
        if (jobs.size() == 1) {
            return List.of(
                    "profile.csv",
                    "profile.json",
                    "profile.png",
                    "depth-profile.csv",
                    "depth-profile.json",
                    "depth-profile.png",
                    "backscattered.csv",
                    "backscattered.json",
                    "backscattered.png",
                    "trajectories.csv",
                    "trajectories.json",
                    "trajectories.png",
                    "summary.json");
        }
        List<String> names = new ArrayList<>(List.of("study.csv", "study.json"));
        for (Job job : jobs) {
            names.add(job.name() + "-profile.csv");
            names.add(job.name() + "-summary.json");
        }
        return names;
    }

    /** Writes what one run gives; returns whether its point spread function is among it. */
    private static boolean write(OutputFolder output, Job job, ScatteringFits fits) {
        table(output, "profile", fits.profileTable(), ScatterCharts.profile(fits));
        table(output, "depth-profile", fits.depthTable(), ScatterCharts.depthProfiles(fits));
        table(output, "backscattered", fits.leavingTable(), ScatterCharts.leaving(fits));
        List<Trajectory> paths =
                ScatteringSimulation.of(job.stack(), job.settings()).trajectories(PATHS);
        table(
                output,
                "trajectories",
                TrajectoryPicture.table(paths),
                TrajectoryPicture.png(job.stack(), job.settings().energyKev(), paths));
        output.write("summary.json", fits.summaryJson(CommandLineTool.Version.number()));
        return writePsf(output, "", fits);
    }

    /** Writes the sound functions of a run; one that an earlier run left and this one has not is removed. */
    private static boolean writePsf(OutputFolder output, String prefix, ScatteringFits fits) {
        psf(output, prefix + "psf-double-gaussian.json", fits, fits.doubleGaussian());
        output.without(prefix + "psf-table.json");
        fits.tableFile().ifPresent(file -> output.write(prefix + "psf-table.json", file.toJson()));
        return psf(output, prefix + "psf.json", fits, fits.ladder());
    }

    private static boolean psf(OutputFolder output, String name, ScatteringFits fits, FormFit form) {
        output.without(name);
        fits.file(form).ifPresent(file -> output.write(name, file.toJson()));
        return form.sound().isPresent();
    }

    private static void table(OutputFolder output, String name, ColumnTable table, byte[] picture) {
        output.write(name + ".csv", table.toCsv());
        output.write(name + ".json", table.toJson());
        output.write(name + ".png", picture);
    }

    private static boolean write(OutputFolder output, List<Job> jobs, ScatteringStudy study) {
        ColumnTable table = study.table();
        output.write("study.csv", table.toCsv());
        output.write("study.json", table.toJson());
        picture(
                output,
                "study-energy.png",
                several(study, ScatteringStudy.Run::energyKev),
                study,
                ScatterCharts::againstEnergy);
        picture(
                output,
                "study-thickness.png",
                several(study, ScatteringStudy.Run::resistNm),
                study,
                ScatterCharts::againstThickness);
        picture(
                output,
                "study-stack.png",
                several(study, ScatteringStudy.Run::name),
                study,
                ScatterCharts::againstStack);
        boolean all = true;
        for (int i = 0; i < jobs.size(); i++) {
            ScatteringFits fits = study.runs().get(i).fits();
            String prefix = jobs.get(i).name() + "-";
            output.write(prefix + "profile.csv", fits.profileTable().toCsv());
            output.write(prefix + "summary.json", fits.summaryJson(CommandLineTool.Version.number()));
            all &= writePsf(output, prefix, fits);
        }
        return all;
    }

    private static boolean several(
            ScatteringStudy study, java.util.function.Function<ScatteringStudy.Run, Object> quantity) {
        return study.runs().stream().map(quantity).distinct().count() > 1;
    }

    private static void picture(
            OutputFolder output,
            String name,
            boolean wanted,
            ScatteringStudy study,
            java.util.function.Function<ScatteringStudy, byte[]> drawing) {
        output.without(name);
        if (wanted) {
            output.write(name, drawing.apply(study));
        }
    }

    private ScatteringSettings settings(double energy) {
        try {
            ScatteringSettings s = ScatteringSettings.of(energy).withFastSecondaries(fastSecondaries);
            s = electrons == null ? s : s.withElectrons(electrons);
            s = relativeError == null ? s : s.withRelativeError(relativeError);
            s = beamFwhmNm == null ? s : s.withBeamFwhmNm(beamFwhmNm);
            s = tiltDeg == null ? s : s.withTiltDeg(tiltDeg);
            s = depthSlices == null ? s : s.withDepthSlices(depthSlices);
            s = farRadiusUm == null ? s : s.withFarRadiusUm(farRadiusUm);
            return seed == null ? s : s.withSeed(seed);
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private static void list(PrintWriter out) {
        out.printf("%-29s %-14s %14s %8s  %s%n", "name", "formula", "density g/cm^3", "I, eV", "sources");
        for (Material m : Materials.all()) {
            listed(out, m);
        }
        out.printf(
                "%nElements by their symbols (I: ICRU 37; * read again where NIST publishes it, others from memory)%n");
        for (Element e : Element.all()) {
            if (Materials.all().stream().noneMatch(m -> m.name().equals(e.symbol()))) {
                listed(out, Materials.of(e.symbol()));
            }
        }
        out.printf(
                "%nA density of your own: {\"formula\": \"Al2O3\", \"density_g_per_cm3\": 3.1} in place of the name.%n");
    }

    private static void listed(PrintWriter out, Material m) {
        boolean published =
                m.components().size() == 1 && m.components().get(0).element().published();
        out.printf(
                Locale.ROOT,
                "%-29s %-14s %14.5g %7.1f%s  %s%n",
                m.name(),
                m.formula(),
                m.densityGPerCm3(),
                m.meanExcitationEv(),
                published ? "*" : " ",
                m.source());
    }

    private static void print(PrintWriter out, ScatteringFits fits) {
        ScatteringResult result = fits.result();
        ScatteringSettings settings = result.settings();
        out.printf(
                Locale.ROOT,
                "%s at %s keV: %,d electrons, seed %d, beam %s nm%s, %s%n%n",
                result.stack().describe(),
                CommandLineTool.plain(settings.energyKev()),
                result.electrons(),
                settings.seed(),
                CommandLineTool.plain(settings.beamFwhmNm()),
                settings.tiltDeg() > 0 ? " tilted by " + CommandLineTool.plain(settings.tiltDeg()) + " degrees" : "",
                settings.fastSecondaries() ? "with fast secondaries" : "without fast secondaries");
        FormFit two = fits.doubleGaussian();
        out.println("Double Gaussian                     value        +- (one standard error)");
        if (two.sound().isPresent()) {
            Estimate alpha = two.estimate("alpha_um");
            row(out, "alpha, nm", new Estimate(1e3 * alpha.value(), 1e3 * alpha.standardError()));
            row(out, "beta, um", two.estimate("beta_um"));
            row(out, "eta (far over nearer energy)", two.estimate("eta"));
            row(out, "beta as rings show it, um", fits.rings("beta_rings_um"));
            row(out, "eta as rings show it", fits.rings("eta_rings"));
        } else {
            out.println("  " + two.doubt());
        }
        out.println("Energy in the resist, over the forward one");
        row(out, "returning from below", result.energyRatio());
        row(out, "beyond " + CommandLineTool.plain(settings.farRadiusUm()) + " um", result.farRatio());
        out.println("Electrons");
        row(out, "backscattered", result.backscatteredFraction());
        if (result.transmittedFraction().value() > 0) {
            row(out, "transmitted", result.transmittedFraction());
        }
        if (result.backscatteredFraction().value() > 0) {
            row(out, "mean energy back, keV", result.meanBackscatteredKev());
        }
        printBalance(out, result);
        printMisfits(out, fits);
        fits.ladder()
                .sound()
                .flatMap(ProfileFit::psf)
                .ifPresent(psf -> out.printf(
                        Locale.ROOT,
                        "psf.json holds the Gaussian ladder (%d terms), which follows the profile.%n",
                        psf.terms().size()));
        notes(out, fits);
    }

    private static void printBalance(PrintWriter out, ScatteringResult result) {
        out.println("Energy balance, keV for each electron of the beam");
        for (int i = 0; i < result.layerKev().size(); i++) {
            row(
                    out,
                    "left in " + result.stack().layers().get(i).material().name(),
                    result.layerKev().get(i));
        }
        row(out, "out above, beam electrons", result.upPrimaryKev());
        row(out, "out above, fast secondaries", result.upSecondaryKev());
        if (result.transmittedFraction().value() > 0) {
            row(out, "out below, beam electrons", result.downPrimaryKev());
            row(out, "out below, fast secondaries", result.downSecondaryKev());
        }
        out.printf(Locale.ROOT, "  %-32s %9.6g%n", "sum", result.foundKev());
    }

    private static void printMisfits(PrintWriter out, ScatteringFits fits) {
        Optional<ProfileFit> any =
                fits.forms().stream().flatMap(f -> f.sound().stream()).findFirst();
        if (any.isEmpty()) {
            return;
        }
        out.println("How far each form is from the profile, as root mean square of log10(fit/profile), by radius");
        out.printf("  %-30s", "um");
        for (ProfileFit.Misfit m : any.get().misfits()) {
            out.printf(Locale.ROOT, " %7s", "<" + CommandLineTool.plain(m.toUm()));
        }
        out.println();
        for (FormFit form : fits.forms()) {
            if (form.sound().isPresent()) {
                out.printf("  %-30s", form.form());
                for (ProfileFit.Misfit m : form.sound().get().misfits()) {
                    out.printf(Locale.ROOT, " %7.2f", m.rmsLog10());
                }
                out.println();
            }
        }
    }

    private static void notes(PrintWriter out, ScatteringFits fits) {
        for (String note : fits.notes()) {
            out.println("Note: " + note);
        }
    }

    private static void print(PrintWriter out, ScatteringStudy study) {
        ScatteringSettings s = study.runs().get(0).fits().result().settings();
        out.printf(
                Locale.ROOT,
                "%d runs, seed %d, beam %s nm, tilt %s degrees, %s; energies over the forward one%n%n",
                study.runs().size(),
                s.seed(),
                CommandLineTool.plain(s.beamFwhmNm()),
                CommandLineTool.plain(s.tiltDeg()),
                s.fastSecondaries() ? "with fast secondaries" : "without fast secondaries");
        out.printf(
                "%-34s %6s %17s %18s %18s %18s %19s%n",
                "stack",
                "keV",
                "beta, um",
                "eta",
                "returning",
                "beyond " + CommandLineTool.plain(s.farRadiusUm()) + " um",
                "backscattered");
        for (ScatteringStudy.Run r : study.runs()) {
            out.printf(
                    Locale.ROOT,
                    "%-34s %6s %17s %18s %18s %18s %19s%n",
                    r.fits().result().stack().describe(),
                    CommandLineTool.plain(r.energyKev()),
                    text(r.fits().doubleGaussian().estimate("beta_um")),
                    text(r.fits().doubleGaussian().estimate("eta")),
                    text(r.fits().result().energyRatio()),
                    text(r.fits().result().farRatio()),
                    text(r.fits().result().backscatteredFraction()));
        }
        out.println();
        study.byEnergy()
                .forEach((name, runs) -> ScatteringStudy.exponent(runs)
                        .ifPresent(p -> out.printf("%s: beta grows as energy to the power %s%n", name, text(p))));
        for (ScatteringStudy.Run r : study.runs()) {
            for (String note : r.fits().notes()) {
                out.printf(
                        "Note: %s, %s keV: %s%n",
                        r.fits().result().stack().describe(), CommandLineTool.plain(r.energyKev()), note);
            }
        }
    }

    private static void row(PrintWriter out, String name, Estimate e) {
        out.printf(Locale.ROOT, "  %-32s %9.4g        %.2g%n", name, e.value(), e.standardError());
    }

    private static String text(Estimate e) {
        return Double.isFinite(e.value())
                ? String.format(Locale.ROOT, "%.4g +- %.2g", e.value(), e.standardError())
                : "-";
    }
}
