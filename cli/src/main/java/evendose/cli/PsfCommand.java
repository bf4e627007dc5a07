package evendose.cli;

import evendose.files.BadInputException;
import evendose.files.ColumnTable;
import evendose.files.OutputFolder;
import evendose.psf.GaussianBeam;
import evendose.psf.GaussianTerm;
import evendose.psf.MeasuredFit;
import evendose.psf.MeasuredFits;
import evendose.psf.MeasuredProfile;
import evendose.psf.PointSpreadFunction;
import evendose.psf.ProfileFit;
import evendose.psf.PsfFile;
import evendose.psf.PsfPreset;
import evendose.psf.PsfPresets;
import evendose.report.scattering.ScatterCharts;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.Callable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Lists, shows and makes point spread functions. */
@Command(
        name = "psf",
        sortOptions = false,
        mixinStandardHelpOptions = true,
        header = "List the built-in point spread functions, show one, or make one from a measured profile.",
        footer = {
            "",
            "Examples:",
            "  evendose psf  # the built-in sets with their sources",
            "  evendose psf si-100kv --beam-fwhm-nm 20 --out si-with-my-beam  # with your beam, as psf.json and psf.png",
            "  evendose psf --from-profile testdata/demo/tidepool-profile.csv --out measured  # a measured profile",
            "  evendose psf --from-profile testdata/demo/tidepool-profile.csv --form double --out measured-double",
            "",
            "A fit writes alpha, beta, eta with standard errors and its quality into psf.json, the points beside the fit into"
                    + " psf.csv, and both into psf.png. What the points do not determine is refused with what to measure: a direct term that"
                    + " they do not reach, a term wider than the profile. A level under the whole profile is told and left out.",
            "",
            "Built-in and simulated values never replace a dose test on your own tool and process."
        })
final class PsfCommand implements Callable<Integer> {
    private static final double STEP = Math.pow(10, 0.05);
    private static final double[] SHARES = {0.25, 0.5, 0.75, 0.9, 0.99};

    @Spec
    private CommandSpec spec;

    @Parameters(
            index = "0",
            arity = "0..1",
            paramLabel = "FILE_OR_SET",
            description = "A PSF file or the name of a built-in set; none lists these.")
    private String name;

    @Option(
            names = "--beam-fwhm-nm",
            paramLabel = "B",
            description = "Beam diameter, nm: replaces that of a built-in set (10 nm), widens any other function.")
    private Double beamFwhmNm;

    @Option(
            names = "--from-profile",
            paramLabel = "CSV",
            description =
                    "Fit a measured radial profile: columns radius_um, density_per_um2 (any scale, negative where too much"
                            + " background was taken off) and, if known, standard_error_per_um2.")
    private Path profileFile;

    @Option(
            names = "--form",
            paramLabel = "ladder|double|triple",
            description = "What to fit to it: a sum of Gaussians that follows all of it (default), or two or three.")
    private String form;

    @Option(names = "--energy-kev", paramLabel = "E", description = "Beam energy of the measured profile, to be noted.")
    private Double energyKev;

    @Option(names = "--stack", paramLabel = "TEXT", description = "Stack of the measured profile, to be noted.")
    private String stack;

    @ArgGroup(exclusive = false, heading = "%nOutput (psf.json, psf.csv and psf.png):%n")
    private OutputOptions run = new OutputOptions();

    @Override
    public Integer call() {
        PrintWriter print = spec.commandLine().getOut();
        if (profileFile != null && name != null) {
            throw new UsageException("give either FILE_OR_SET or --from-profile, not both");
        }
        if (profileFile == null && (form != null || energyKev != null || stack != null)) {
            throw new UsageException("--form, --energy-kev and --stack go with --from-profile");
        }
        if (beamFwhmNm != null && !(beamFwhmNm >= 0 && beamFwhmNm <= 1e6)) {
            throw new UsageException("--beam-fwhm-nm must be 0 to 1000000, got " + beamFwhmNm);
        }
        if (energyKev != null && !(energyKev > 0 && energyKev <= 1e4)) {
            throw new UsageException("--energy-kev must be above 0 and at most 10000, got " + energyKev);
        }
        if (profileFile == null && name == null) {
            if (run.hasOut() || beamFwhmNm != null) {
                throw new UsageException("name a PSF file or a built-in set, or give --from-profile");
            }
            list(print);
            return ExitCode.DONE.number();
        }
        MeasuredProfile profile = profileFile == null ? null : MeasuredProfile.read(profileFile);
        MeasuredFit fit = profile == null ? null : fit(profile);
        PsfFile file = profile == null ? named() : measured(fit);
        if (!file.notice().isEmpty()) {
            spec.commandLine().getErr().println("evendose: note: " + file.notice());
        }
        show(print, file);
        if (run.hasOut() || fit != null) {
            print.println();
        }
        Map<String, Object> notes = Map.of();
        if (fit != null) {
            Optional<MeasuredFit> two = twoTerms(profile, fit);
            showFit(print, profile, fit, two);
            notes = Map.of("fit", notes(profile, fit, two));
        }
        if (run.hasOut()) {
            Written written = write(profile, fit, file, notes);
            written.print(print);
            Written.next(
                    print,
                    "evendose correct LAYOUT --psf %s, once a dose test bears it out",
                    written.folder().resolve("psf.json"));
        }
        print.println("Built-in and simulated values never replace a dose test on your own tool and process.");
        return ExitCode.DONE.number();
    }

    private Written write(MeasuredProfile profile, MeasuredFit fit, PsfFile file, Map<String, ?> notes) {
        Path folder = run.folder(Path.of("psf"), "");
        try (OutputFolder output = run.open(folder, spec.commandLine().getErr())) {
            output.write("psf.json", file.toJson(notes));
            ColumnTable table = profile == null ? curve(file.psf()) : points(profile, fit);
            output.write("psf.csv", table.toCsv());
            output.write(
                    "psf.png",
                    profile == null
                            ? ScatterCharts.psf(name, file.psf())
                            : ScatterCharts.fit(String.valueOf(profileFile.getFileName()), profile, fit));
            output.commit();
            return Written.of(folder, output);
        }
    }

    /** The function as the picture shows it. */
    private static ColumnTable curve(PointSpreadFunction psf) {
        ColumnTable table = new ColumnTable();
        double to = 4 * psf.longestUm();
        for (double r = psf.direct().rangeUm() / 10; r < to; r *= STEP) {
            table.row()
                    .put("radius_um", r)
                    .put("density_per_um2", psf.density(r))
                    .put("energy_share_beyond", psf.shareBeyond(r));
        }
        return table;
    }

    /** The measured points beside the fit, in the unit of the measurement. */
    private static ColumnTable points(MeasuredProfile profile, MeasuredFit fit) {
        ColumnTable table = new ColumnTable();
        for (int i = 0; i < profile.size(); i++) {
            table.row()
                    .put("radius_um", profile.radiusUm(i))
                    .put("density_per_um2", profile.density(i))
                    .put("standard_error_per_um2", profile.hasErrors() ? profile.standardError(i) : Double.NaN)
                    .put("fitted_per_um2", fit.expected(profile.radiusUm(i)));
        }
        return table;
    }

    /** The double Gaussian beside another form, for its three numbers; none if the profile does not determine it. */
    private static Optional<MeasuredFit> twoTerms(MeasuredProfile profile, MeasuredFit fit) {
        if (fit.parameters().stream().anyMatch(p -> p.name().equals("eta"))) {
            return Optional.of(fit);
        }
        try {
            return Optional.of(MeasuredFits.doubleGaussian(profile));
        } catch (IllegalArgumentException e) {
            return Optional.empty();
        }
    }

    private static void showFit(
            PrintWriter print, MeasuredProfile profile, MeasuredFit fit, Optional<MeasuredFit> two) {
        if (two.isPresent()) {
            print.printf("%-24s %12s %12s%n", two.get().form(), "value", "+-");
            for (ProfileFit.Parameter p : two.get().parameters()) {
                print.printf(Locale.ROOT, "  %-22s %12.5g %12.2g%n", p.name(), p.value(), p.standardError());
            }
        } else {
            print.println("The profile does not determine alpha, beta and eta of a double Gaussian.");
        }
        print.printf(
                Locale.ROOT,
                "Fit of the %s to %d points: chi^2 per degree of freedom %.3g (%s), misfit %.2g %%%n",
                fit.form(),
                profile.size(),
                fit.chiSquarePerFreedom(),
                profile.hasErrors() ? "stated errors" : "errors of 5 % taken for lack of stated ones",
                100 * fit.rmsMisfit());
        for (String note : fit.notes()) {
            print.println("Note: " + note);
        }
    }

    private static Map<String, Object> notes(MeasuredProfile profile, MeasuredFit fit, Optional<MeasuredFit> two) {
        Map<String, Object> notes = new LinkedHashMap<>();
        notes.put("form", fit.form());
        notes.put("points", profile.size());
        notes.put("errors_stated", profile.hasErrors());
        notes.put("chi_square_per_freedom", fit.chiSquarePerFreedom());
        notes.put("rms_misfit", Double.isFinite(fit.rmsMisfit()) ? fit.rmsMisfit() : null);
        notes.put("background", fit.background());
        notes.put("parameters", parameters(fit));
        notes.put("double_gaussian", two.map(PsfCommand::parameters).orElse(null));
        notes.put("notes", fit.notes());
        return notes;
    }

    private static Map<String, Object> parameters(MeasuredFit fit) {
        Map<String, Object> values = new LinkedHashMap<>();
        for (ProfileFit.Parameter p : fit.parameters()) {
            values.put(p.name(), p.value());
            if (p.standardError() > 0) {
                values.put(p.name() + "_standard_error", p.standardError());
            }
        }
        return values;
    }

    private static void list(PrintWriter print) {
        print.println(
                "Built-in sets: starting points, off by as much as 30 % for your process. In brackets what is published.");
        print.println();
        print.printf("%-16s %-13s %5s %9s  %-16s %s%n", "name", "substrate", "keV", "alpha, nm", "beta, um", "eta");
        Map<String, Integer> sources = new LinkedHashMap<>();
        for (PsfPreset p : PsfPresets.all()) {
            print.printf(
                    Locale.ROOT,
                    "%-16s %-13s %5.0f %9.3g  %-16s %s%n",
                    p.name(),
                    p.substrate(),
                    p.energyKev(),
                    p.psf().direct().rangeUm() * 1e3,
                    published(p.beta(), sources),
                    published(p.eta(), sources));
        }
        print.println();
        sources.forEach((source, number) -> print.printf("%d  %s%n", number, source));
        print.println("Without a number: recalled from the literature, no publication was found to name.");
        print.println("alpha holds for 300 nm of resist and a beam of 10 nm. Forward scattering:");
        print.println("   " + PsfPreset.ALPHA_SOURCE);
    }

    /** A value, what is published, and the number of its source. */
    private static String published(PsfPreset.Value v, Map<String, Integer> sources) {
        String text = CommandLineTool.plain(v.value()) + " (" + v.published() + ")";
        return v.hasSource() ? text + ' ' + sources.computeIfAbsent(v.source(), s -> sources.size() + 1) : text;
    }

    private PsfFile named() {
        if (Files.exists(Path.of(name))) {
            PsfFile file = PsfFile.read(Path.of(name));
            if (beamFwhmNm == null) {
                return file;
            }
            String source = file.source()
                    + (file.source().isEmpty() ? "" : "; ")
                    + "widened by a beam of " + CommandLineTool.plain(beamFwhmNm) + " nm";
            return new PsfFile(
                    GaussianBeam.widen(file.psf(), beamFwhmNm),
                    file.energyKev(),
                    file.stack(),
                    source,
                    file.weightSum());
        }
        return PsfPresets.find(name)
                .map(p -> p.file(beamFwhmNm == null ? PsfPreset.BEAM_FWHM_NM : beamFwhmNm))
                .orElseThrow(() -> new UsageException(PsfChoice.unknown(name)));
    }

    private MeasuredFit fit(MeasuredProfile profile) {
        try {
            return switch (form == null ? "ladder" : form) {
                case "ladder" -> MeasuredFits.ladder(profile);
                case "double" -> MeasuredFits.doubleGaussian(profile);
                case "triple" -> MeasuredFits.tripleGaussian(profile);
                default -> throw new UsageException("--form is ladder, double or triple, not '" + form + "'");
            };
        } catch (IllegalArgumentException e) {
            throw new BadInputException(profileFile.toString(), "", "cannot be fitted: " + e.getMessage(), e);
        }
    }

    private PsfFile measured(MeasuredFit fit) {
        PointSpreadFunction psf = fit.psf();
        String source = fit.form() + " fitted to " + profileFile.getFileName();
        if (beamFwhmNm != null) {
            psf = GaussianBeam.widen(psf, beamFwhmNm);
            source += "; widened by a beam of " + CommandLineTool.plain(beamFwhmNm) + " nm";
        }
        return PsfFile.of(
                psf,
                energyKev == null ? OptionalDouble.empty() : OptionalDouble.of(energyKev),
                stack == null ? "" : stack,
                source);
    }

    private static void show(PrintWriter print, PsfFile file) {
        PointSpreadFunction psf = file.psf();
        if (!file.stack().isEmpty()) {
            print.printf("Stack   %s%n", CommandLineTool.oneLine(file.stack()));
        }
        file.energyKev().ifPresent(e -> print.printf("Energy  %s keV%n", CommandLineTool.plain(e)));
        if (!file.source().isEmpty()) {
            print.printf("Source  %s%n", CommandLineTool.oneLine(file.source()));
        }
        print.printf("%n%6s %12s %12s%n", "term", "range, um", "weight");
        int k = 1;
        for (GaussianTerm term : psf.terms()) {
            print.printf(Locale.ROOT, "%6d %12.5g %12.5g%n", k++, term.rangeUm(), term.weight());
        }
        psf.table()
                .ifPresent(t -> print.printf(
                        Locale.ROOT,
                        "%6s %12s %12.5g   to %.4g um, rms radius %.4g um%n",
                        "table",
                        "",
                        t.weight(),
                        t.table().reachUm(),
                        t.table().rmsRadiusUm()));
        print.printf(
                Locale.ROOT,
                "%nBeyond the first term lies %.4g times its energy; root mean square radius %.4g um.%n",
                psf.eta(),
                psf.rmsRadiusUm());
        print.print("Share of the energy within a radius:");
        for (double share : SHARES) {
            print.printf(Locale.ROOT, "  %.0f %% %.3g um", 100 * share, psf.radiusHoldingUm(share));
        }
        print.println();
        print.print("Share of the energy beyond a radius:");
        for (double r = 0.01; r < 200; r *= 10) {
            print.printf(Locale.ROOT, "  %s um %.3g", CommandLineTool.plain(r), psf.shareBeyond(r));
        }
        print.println();
    }
}
