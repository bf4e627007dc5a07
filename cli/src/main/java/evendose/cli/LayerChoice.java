package evendose.cli;

import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerDepth;
import evendose.correction.LayerRole;
import evendose.files.BadInputException;
import evendose.layout.Cell;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.SortedMap;
import picocli.CommandLine.Option;

/** The options that choose what of a layout is exposed, and what each layer does. */
final class LayerChoice {
    /** Most names listed in a note. */
    private static final int MOST_NAMES = 8;

    @Option(names = "--cell", paramLabel = "NAME", description = "Cell to correct (default: all top cells together).")
    private String cell;

    @Option(
            names = "--layer",
            paramLabel = "L/D",
            description =
                    "Layer/datatype to correct, for instance 1/0; 1 alone is 1/0. Give it again for more. Needed when the"
                            + " layout has several. Where layers overlap, the first one named counts; layers of fixed dose"
                            + " come last.")
    private List<String> layers = new ArrayList<>();

    @Option(
            names = "--target",
            paramLabel = "L/D=T",
            description = "Correct a layer towards T times the usual energy (grey tone); 1 is an ordinary layer.")
    private Map<String, Double> targets = new LinkedHashMap<>();

    @Option(
            names = "--fixed-dose",
            paramLabel = "L/D=F",
            description = "Expose a layer with dose factor F as it is: it only adds background to the others.")
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

    @Option(
            names = "--max-polygons",
            paramLabel = "N",
            description = "Refuse layouts of more polygons when flattened (default: ${DEFAULT-VALUE}).")
    private long maxPolygons = Flattener.DEFAULT_LIMIT;

    /** The cell that was named, or null for all top cells. */
    String cell() {
        return cell;
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

    Flattener flattener(Layout layout) {
        return cell == null ? Flattener.of(layout) : Flattener.of(layout).withCell(cell);
    }

    /** What of the layout is exposed. */
    DrawnPattern pattern(Layout layout, List<LayerRole> roles, CorrectionOptions options, Path layoutFile) {
        Flattener flattener = flattener(layout);
        if (window().isPresent()) {
            return DrawnPattern.around(window, options.psf(), flattener.withLimit(maxPolygons), roles);
        }
        refuseTooMany(flattener.counts(), roles, layoutFile);
        return DrawnPattern.of(flattener, roles);
    }

    /** Counts before anything is flattened; what is not there is told later. */
    private void refuseTooMany(SortedMap<Layer, Long> counts, List<LayerRole> roles, Path layoutFile) {
        double count = 0;
        for (LayerRole role : roles) {
            count += counts.getOrDefault(role.layer(), 0L);
        }
        if (count > maxPolygons) {
            throw new LimitException(String.format(
                    Locale.ROOT,
                    "%s flattens to %,.0f polygons on the chosen layers, beyond the limit of %,d; choose fewer layers, a"
                            + " smaller cell or a --window, or raise --max-polygons",
                    layoutFile,
                    count,
                    maxPolygons));
        }
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

    /** The chosen layers: corrected ones first, so that they own what overlaps with a layer of fixed dose. */
    List<LayerRole> roles(SortedMap<Layer, Long> counts, Path layoutFile) {
        Map<Layer, LayerRole> corrected = new LinkedHashMap<>();
        Map<Layer, LayerRole> fixed = new LinkedHashMap<>();
        try {
            for (String name : layers) {
                Layer layer = Layer.parse(name);
                corrected.put(layer, LayerRole.corrected(layer));
            }
            for (Map.Entry<String, Double> entry : targets.entrySet()) {
                Layer layer = Layer.parse(entry.getKey());
                corrected.put(layer, LayerRole.corrected(layer, entry.getValue()));
            }
            for (Map.Entry<String, Double> entry : fixedDoses.entrySet()) {
                Layer layer = Layer.parse(entry.getKey());
                if (corrected.containsKey(layer)) {
                    throw new UsageException("layer " + layer + " cannot be corrected and have a fixed dose at once");
                }
                fixed.put(layer, LayerRole.fixed(layer, entry.getValue()));
            }
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
        if (corrected.isEmpty()) {
            List<Layer> left =
                    counts.keySet().stream().filter(l -> !fixed.containsKey(l)).toList();
            if (left.isEmpty()) {
                throw new BadInputException(layoutFile.toString(), "", "has no layer with shapes to correct");
            }
            if (left.size() > 1) {
                throw new UsageException(layoutFile + " has several layers; choose with --layer:\n" + listing(counts));
            }
            corrected.put(left.get(0), LayerRole.corrected(left.get(0)));
        }
        List<LayerRole> roles = new ArrayList<>(corrected.values());
        roles.addAll(fixed.values());
        return roles;
    }

    /** What a user may not know of the choice made: several top cells, layers left out. */
    List<String> notes(Layout layout, SortedMap<Layer, Long> counts, List<LayerRole> roles) {
        List<String> notes = new ArrayList<>();
        if (cell == null && layout.topCells().size() > 1) {
            notes.add("the layout has " + layout.topCells().size()
                    + " top cells, all taken together; --cell chooses one: "
                    + String.join(
                            ", ",
                            layout.topCells().stream()
                                    .map(Cell::name)
                                    .limit(MOST_NAMES)
                                    .toList())
                    + (layout.topCells().size() > MOST_NAMES ? ", ..." : ""));
        }
        List<String> left = counts.keySet().stream()
                .filter(layer -> roles.stream().noneMatch(role -> role.layer().equals(layer)))
                .map(Layer::toString)
                .toList();
        if (!left.isEmpty()) {
            notes.add("layers left out, which add no background: "
                    + String.join(", ", left.subList(0, Math.min(MOST_NAMES, left.size())))
                    + (left.size() > MOST_NAMES ? ", ..." : ""));
        }
        return notes;
    }

    private static String listing(SortedMap<Layer, Long> counts) {
        StringBuilder text = new StringBuilder(String.format("  %-12s %s", "layer", "polygons"));
        counts.forEach((layer, count) -> text.append(String.format(Locale.ROOT, "%n  %-12s %,d", layer, count)));
        return text.toString();
    }
}
