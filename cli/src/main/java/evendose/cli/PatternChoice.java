package evendose.cli;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.LayerRole;
import evendose.files.BadInputException;
import evendose.layout.Cell;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.Measured;
import evendose.layout.formats.LayoutFiles;
import evendose.psf.PsfFile;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.SortedMap;
import java.util.stream.Collectors;
import picocli.CommandLine.Option;

/** The options that choose what of a layout is exposed. */
class PatternChoice {
    /** Most names listed in a note. */
    private static final int MOST_NAMES = 8;

    @Option(names = "--cell", paramLabel = "NAME", description = "Cell to correct (default: all top cells together).")
    private String cell;

    @Option(
            names = "--layer",
            paramLabel = "L/D",
            description =
                    "Layer/datatype to correct, for instance 1/0; 1 alone is 1/0. Give it again for more. Needed when the"
                            + " layout has several. Where layers overlap, the first one named counts.")
    private List<String> layers = new ArrayList<>();

    @Option(
            names = "--max-polygons",
            paramLabel = "N",
            description = "Refuse layouts of more polygons when flattened (default: ${DEFAULT-VALUE}).")
    private long maxPolygons = Flattener.DEFAULT_LIMIT;

    /** The cell that was named, or null for all top cells. */
    final String cell() {
        return cell;
    }

    final long maxPolygons() {
        return maxPolygons;
    }

    final Flattener flattener(Layout layout) {
        return cell == null ? Flattener.of(layout) : Flattener.of(layout).withCell(cell);
    }

    /**
     * A layout that was read.
     *
     * @param layout all of it
     * @param counts its layers with shapes, with the number of polygons of each
     * @param roles the chosen layers
     * @param drawn what of it is exposed
     * @param isWhole whether all layers of all top cells were chosen
     */
    record Opened(
            Layout layout, SortedMap<Layer, Long> counts, List<LayerRole> roles, DrawnPattern drawn, boolean isWhole) {}

    /**
     * A layout that was read, and what was chosen of it.
     *
     * @param layout all of it
     * @param flattener gives the chosen cell
     * @param counts its layers with shapes, with the number of polygons of each
     * @param roles the chosen layers
     */
    record Chosen(Layout layout, Flattener flattener, SortedMap<Layer, Long> counts, List<LayerRole> roles) {
        /** How much there is on the chosen layers. */
        Measured measured() {
            return flattener.measured(roles.stream().map(LayerRole::layer).collect(Collectors.toSet()));
        }
    }

    /** Reads a layout. */
    final Chosen choose(Path layoutFile) {
        Layout layout = LayoutFiles.read(layoutFile);
        Flattener flattener = flattener(layout);
        SortedMap<Layer, Long> counts = flattener.counts();
        return new Chosen(layout, flattener, counts, roles(counts, layoutFile));
    }

    /** Reads a layout and takes what was chosen of it; the options tell how far around a window background comes from. */
    final Opened open(Path layoutFile, CorrectionOptions options) {
        return open(choose(layoutFile), layoutFile, options);
    }

    /** Takes what was chosen of a layout. */
    final Opened open(Chosen chosen, Path layoutFile, CorrectionOptions options) {
        return new Opened(
                chosen.layout,
                chosen.counts,
                chosen.roles,
                pattern(chosen.layout, chosen.roles, options, layoutFile),
                isWhole(chosen));
    }

    /** Whether all layers of all top cells were chosen. */
    final boolean isWhole(Chosen chosen) {
        return cell == null && chosen.roles.size() == chosen.counts.size();
    }

    /** What of the layout is exposed. */
    DrawnPattern pattern(Layout layout, List<LayerRole> roles, CorrectionOptions options, Path layoutFile) {
        Flattener flattener = flattener(layout);
        refuseTooMany(polygons(flattener.counts(), roles), layoutFile);
        return DrawnPattern.of(flattener, roles);
    }

    /** Refuses a choice of more polygons than the user allows. */
    final void refuseTooMany(Measured all, Path layoutFile) {
        refuseTooMany(all.polygons(), layoutFile);
    }

    private static double polygons(SortedMap<Layer, Long> counts, List<LayerRole> roles) {
        double count = 0;
        for (LayerRole role : roles) {
            count += counts.getOrDefault(role.layer(), 0L);
        }
        return count;
    }

    /** Counts before anything is flattened; what is not there is told later. */
    private void refuseTooMany(double count, Path layoutFile) {
        if (count > maxPolygons) {
            throw new LimitException(String.format(
                    Locale.ROOT,
                    "%s flattens to %,.0f polygons on the chosen layers, beyond the limit of %,d; choose fewer layers%s, or raise"
                            + " --max-polygons",
                    layoutFile,
                    count,
                    maxPolygons,
                    smallerParts()));
        }
    }

    /** How a smaller part of a layout can be chosen, as it goes on after "choose fewer layers". */
    String smallerParts() {
        return " or a smaller cell";
    }

    /** The chosen layers: corrected ones first, so that they own what overlaps with a layer of fixed dose. */
    List<LayerRole> roles(SortedMap<Layer, Long> counts, Path layoutFile) {
        return roles(Map.of(), Map.of(), counts, layoutFile);
    }

    /** As {@link #roles(SortedMap, Path)}, with what else options say of layers: their targets, and doses that are given. */
    final List<LayerRole> roles(
            Map<String, Double> targets,
            Map<String, Double> fixedDoses,
            SortedMap<Layer, Long> counts,
            Path layoutFile) {
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

    /** Prints what a user may not know of the files read and of the choice made: several top cells, layers left out. */
    final void printNotes(PrintWriter err, Opened opened, PsfFile psfFile) {
        Layout layout = opened.layout();
        List<String> notes = new ArrayList<>(layout.warnings());
        if (!psfFile.notice().isEmpty()) {
            notes.add(psfFile.notice());
        }
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
        List<String> left = opened.counts().keySet().stream()
                .filter(layer ->
                        opened.roles().stream().noneMatch(role -> role.layer().equals(layer)))
                .map(Layer::toString)
                .toList();
        if (!left.isEmpty()) {
            notes.add("layers left out, which add no background: "
                    + String.join(", ", left.subList(0, Math.min(MOST_NAMES, left.size())))
                    + (left.size() > MOST_NAMES ? ", ..." : ""));
        }
        notes.forEach(note -> err.println("evendose: note: " + CommandLineTool.oneLine(note)));
    }

    private static String listing(SortedMap<Layer, Long> counts) {
        StringBuilder text = new StringBuilder(String.format("  %-12s %s", "layer", "polygons"));
        counts.forEach((layer, count) -> text.append(String.format(Locale.ROOT, "%n  %-12s %,d", layer, count)));
        return text.toString();
    }
}
