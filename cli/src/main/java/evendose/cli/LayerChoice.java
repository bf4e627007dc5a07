package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerDepth;
import evendose.correction.LayerRole;
import evendose.layout.Layer;
import evendose.layout.Layout;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SortedMap;
import picocli.CommandLine.Option;

/** The options that choose what of a layout is exposed, and what each layer does. */
final class LayerChoice extends PatternChoice {
    @Option(
            names = "--target",
            paramLabel = "L/D=T",
            description = "Correct a layer towards T times the usual energy (grey tone); 1 is an ordinary layer.")
    private Map<String, Double> targets = new LinkedHashMap<>();

    @Option(
            names = "--fixed-dose",
            paramLabel = "L/D=F",
            description =
                    "Expose a layer with dose factor F as it is: it only adds background to the others, which own what they"
                            + " overlap with it.")
    private Map<String, Double> fixedDoses = new LinkedHashMap<>();

    @Option(
            names = "--contrast",
            paramLabel = "CSV",
            description = "Contrast curve of the resist for --depth: columns dose_uc_per_cm2, remaining_nm.")
    private Path contrastFile;

    @Option(
            names = "--depth",
            paramLabel = "L/D=NM",
            description =
                    "Correct a layer so that it develops to this depth, nm (grey tone); needs --contrast and the base"
                            + " dose, and corrects the mean energy.")
    private Map<String, Double> depths = new LinkedHashMap<>();

    @Option(
            names = "--window",
            paramLabel = "X0,Y0,X1,Y1",
            split = ",",
            description = "Write doses of this window only, um; what lies around it still counts as background.")
    private double[] window;

    @Override
    String smallerParts() {
        return ", a smaller cell or a --window";
    }

    /** Left, lower, right and upper side of the window, um, or nothing. */
    Optional<double[]> window() {
        return checked(window);
    }

    /**
     * The value of an option {@code --window}, or nothing if that is null.
     *
     * @throws UsageException if these are not four sides in their order
     */
    static Optional<double[]> checked(double[] sides) {
        if (sides != null && (sides.length != 4 || !(sides[0] < sides[2]) || !(sides[1] < sides[3]))) {
            throw new UsageException(
                    "--window takes left, lower, right and upper side, um: X0,Y0,X1,Y1 with X0 < X1, Y0 < Y1");
        }
        return Optional.ofNullable(sides);
    }

    /** What was chosen of a layout: with a window, what of it is exposed in the window and around it. */
    Chosen inWindow(Chosen chosen, CorrectionOptions options) {
        return window == null
                ? chosen
                : new Chosen(
                        chosen.layout(),
                        DrawnPattern.part(window, options, chosen.flattener().withLimit(maxPolygons())),
                        chosen.counts(),
                        chosen.roles());
    }

    /** What of the layout is exposed, in the window and around it. */
    @Override
    DrawnPattern pattern(Layout layout, List<LayerRole> roles, CorrectionOptions options, Path layoutFile) {
        return window().isPresent()
                ? DrawnPattern.around(window, options, flattener(layout).withLimit(maxPolygons()), roles)
                : super.pattern(layout, roles, options, layoutFile);
    }

    /** The contrast curve, if depths are wanted; they are a matter of mean energies. */
    Optional<ContrastCurve> contrast(CorrectionChoice correction) {
        if (contrastFile == null && depths.isEmpty()) {
            return Optional.empty();
        }
        if (contrastFile == null || depths.isEmpty()) {
            throw new UsageException("--contrast and --depth go together");
        }
        if (correction.baseDose() == null) {
            throw new UsageException("--depth needs --base-dose-uc-per-cm2, the dose that factor 1 stands for");
        }
        correction.requireMean("--depth");
        return Optional.of(ContrastCurve.read(contrastFile));
    }

    /** Turns wanted depths into targets. */
    void addDepths(ContrastCurve curve, CorrectionOptions options) {
        for (Map.Entry<String, Double> entry : depths.entrySet()) {
            try {
                targets.put(entry.getKey(), LayerDepth.target(curve, entry.getValue(), options));
            } catch (IllegalArgumentException e) {
                throw new UsageException("--depth " + entry.getKey() + ": " + e.getMessage());
            }
        }
    }

    @Override
    List<LayerRole> roles(SortedMap<Layer, Long> counts, Path layoutFile) {
        return roles(targets, fixedDoses, counts, layoutFile);
    }
}
