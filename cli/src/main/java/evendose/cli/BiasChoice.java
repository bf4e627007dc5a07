package evendose.cli;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.files.OutputFolder;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.report.BiasFiles;
import evendose.verification.BiasStudy;
import evendose.verification.OutlineSample;
import java.util.Optional;
import java.util.OptionalDouble;
import picocli.CommandLine.Option;

/** The options that expose shapes larger or smaller than drawn. */
final class BiasChoice {
    private static final String AUTO = "auto";

    /** Biases tried by {@code auto} unless the user says, direct ranges. */
    private static final double SMALLEST = -2;

    private static final double LARGEST = 1;

    @Option(
            names = "--bias-nm",
            paramLabel = "B|auto",
            description =
                    "Expose shapes larger by B nm on each side than drawn, or smaller if B is negative, while doses"
                            + " still put edges where they are drawn (default: 0). A multiple of the grid. auto takes the bias with"
                            + " the largest dose window: how far all doses may be off either way so that 95 %% of drawn edges stay"
                            + " within --allowed-edge-nm (here by default half of the direct range); doses must keep within their"
                            + " bounds.")
    private String bias;

    @Option(
            names = "--bias-bounds-nm",
            paramLabel = "LOW,HIGH",
            split = ",",
            description = "Biases that auto may take, nm (default: from -2 to 1 direct range).")
    private double[] boundsNm;

    /** Whether a bias was asked for. */
    boolean isGiven() {
        return bias != null;
    }

    /** Whether one is to be chosen. */
    boolean isAuto() {
        return AUTO.equals(bias);
    }

    /** The options with a given bias. */
    CorrectionOptions addTo(CorrectionOptions options) {
        if (boundsNm != null && (boundsNm.length != 2 || !(boundsNm[0] <= boundsNm[1]))) {
            throw new UsageException("--bias-bounds-nm takes two biases, nm, the lower first: LOW,HIGH");
        }
        if (boundsNm != null && !isAuto()) {
            throw new UsageException("--bias-bounds-nm goes with --bias-nm auto");
        }
        if (bias == null) {
            return options;
        }
        try {
            // Any bias but 0 shows whether one goes with the other options at all.
            double nm = isAuto() ? 1 : Double.parseDouble(bias);
            CorrectionOptions biased = options.toBuilder().biasUm(1e-3 * nm).build();
            return isAuto() ? options : biased;
        } catch (NumberFormatException e) {
            throw new UsageException("--bias-nm is a number of nm or auto, not '" + bias + "'");
        } catch (IllegalArgumentException e) {
            throw new UsageException("--bias-nm: " + e.getMessage());
        }
    }

    /** What biases do, if one is to be chosen. */
    Optional<BiasStudy> study(
            DrawnPattern drawn,
            CorrectionOptions options,
            OutlineSample outline,
            OptionalDouble allowedNm,
            Workers workers,
            Progress progress) {
        if (!isAuto()) {
            return Optional.empty();
        }
        double direct = options.psf().direct().rangeUm();
        double low = boundsNm == null ? SMALLEST * direct : 1e-3 * boundsNm[0];
        double high = boundsNm == null ? LARGEST * direct : 1e-3 * boundsNm[1];
        double allowed = 1e-3 * allowedNm.orElse(1e3 * BiasStudy.usualAllowedUm(options));
        try {
            return Optional.of(BiasStudy.of(drawn, options, outline, low, high, allowed, workers, progress));
        } catch (IllegalArgumentException e) {
            throw new UsageException("--bias-bounds-nm: " + e.getMessage());
        }
    }

    /** The options with the bias that was chosen, if one was. */
    static CorrectionOptions chosen(Optional<BiasStudy> study, CorrectionOptions options) {
        if (study.isEmpty()) {
            return options;
        }
        BiasStudy.Trial best = study.get()
                .best()
                .orElseThrow(() -> new UsageException("--bias-nm auto: no bias tried counts; the last: "
                        + study.get()
                                .trials()
                                .get(study.get().trials().size() - 1)
                                .why()
                        + "; give other --bias-bounds-nm, --min-factor or --max-factor"));
        return options.toBuilder().biasUm(1e-3 * best.biasNm()).build();
    }

    static void write(Optional<BiasStudy> study, OutputFolder output) {
        study.ifPresent(found -> {
            output.write("bias-study.csv", BiasFiles.csv(found));
            output.write("bias-study.json", BiasFiles.json(found));
            BiasFiles.picture(found).write(output);
        });
    }
}
