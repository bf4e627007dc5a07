package evendose.cli;

import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.psf.PsfPreset;
import evendose.psf.PsfPresets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;
import picocli.CommandLine.Option;

/** The options that name a point spread function; shared by all commands that need one. */
final class PsfChoice {
    @Option(
            names = "--psf",
            paramLabel = "FILE_OR_SET",
            description =
                    "Point spread function: a JSON file, or the name of a built-in set ('evendose psf' lists them).")
    private String psf;

    @Option(
            names = "--alpha-um",
            paramLabel = "A",
            description = "Range of beam and forward scattering (1/e radius), um.")
    private Double alphaUm;

    @Option(names = "--beta-um", paramLabel = "B", description = "Backscatter range (1/e radius), um.")
    private Double betaUm;

    @Option(names = "--eta", paramLabel = "H", description = "Backscattered over forward energy.")
    private Double eta;

    /** Whether any of the options was used. */
    boolean isGiven() {
        return psf != null || alphaUm != null || betaUm != null || eta != null;
    }

    /** What was named, with its provenance. */
    PsfFile read() {
        boolean any = alphaUm != null || betaUm != null || eta != null;
        boolean all = alphaUm != null && betaUm != null && eta != null;
        if (psf != null && any) {
            throw new UsageException("give either --psf or --alpha-um, --beta-um and --eta, not both");
        }
        if (psf != null) {
            return named("--psf", psf);
        }
        if (!all) {
            throw new UsageException(
                    any
                            ? "--alpha-um, --beta-um and --eta go together"
                            : "name a point spread function: --psf FILE_OR_SET, or --alpha-um, --beta-um and --eta");
        }
        try {
            return PsfFile.of(
                    PointSpreadFunction.doubleGaussian(alphaUm, betaUm, eta),
                    OptionalDouble.empty(),
                    "",
                    String.format(Locale.ROOT, "command line: alpha %s um, beta %s um, eta %s", alphaUm, betaUm, eta));
        } catch (IllegalArgumentException e) {
            throw new UsageException("--alpha-um, --beta-um, --eta: " + e.getMessage());
        }
    }

    /** The point spread function that an option names. */
    static PsfFile named(String option, String name) {
        if (Files.exists(Path.of(name))) {
            return PsfFile.read(Path.of(name));
        }
        return PsfPresets.find(name)
                .map(preset -> preset.file(PsfPreset.BEAM_FWHM_NM))
                .orElseThrow(() -> new UsageException(option + ": " + unknown(name)));
    }

    /** Tells that something is neither a file nor the name of a set. */
    static String unknown(String name) {
        List<String> sets = PsfPresets.all().stream().map(PsfPreset::name).toList();
        String meant = Nearest.question(name, sets);
        return "there is no file and no built-in set named '" + name + "'"
                + (meant.isEmpty() ? "; built-in sets: " + String.join(", ", sets) : meant);
    }
}
