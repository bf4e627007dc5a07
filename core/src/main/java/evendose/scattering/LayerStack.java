package evendose.scattering;

import evendose.files.BadInputException;
import evendose.files.JsonInput;
import evendose.units.Plausible;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;
import java.util.Set;

/**
 * Layers from the top down; exactly one is the resist, and the last may be a half-space.
 *
 * <p>As a file:
 *
 * <pre>{"layers": [{"material": "PMMA", "thickness_nm": 300, "resist": true}, {"material": "Si"}]}</pre>
 *
 * <p>A material is a built-in name or formula ({@link Materials}), the symbol of an element, or an object
 * {@code {"formula": "C5H8O2", "density_g_per_cm3": 1.19}} with optional {@code "name"} and {@code "mean_excitation_ev"};
 * without the latter a formula of a built-in material has that one's.
 *
 * @param layers the layers, topmost first
 */
public record LayerStack(List<Layer> layers) {
    private static final Set<String> STACK_KEYS = Set.of("layers", "name", "source");
    private static final Set<String> LAYER_KEYS = Set.of("material", "thickness_nm", "resist");
    private static final Set<String> MATERIAL_KEYS =
            Set.of("name", "formula", "density_g_per_cm3", "mean_excitation_ev", "source");

    /**
     * One layer.
     *
     * @param material what it is made of
     * @param thicknessNm thickness, nm, positive; infinite for a half-space
     * @param resist whether this is the layer whose energy is asked for
     */
    public record Layer(Material material, double thicknessNm, boolean resist) {
        /** Checks that values lie in their ranges. {@inheritDoc} */
        public Layer {
            if (!(thicknessNm > 0)) {
                throw new IllegalArgumentException("thickness must be above 0 nm, got " + thicknessNm);
            }
        }
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public LayerStack {
        layers = List.copyOf(layers);
        if (layers.isEmpty()) {
            throw new IllegalArgumentException("a stack needs at least one layer");
        }
        for (Layer layer : layers.subList(0, layers.size() - 1)) {
            if (Double.isInfinite(layer.thicknessNm())) {
                throw new IllegalArgumentException("only the last layer may be without a thickness");
            }
        }
        long resists = layers.stream().filter(Layer::resist).count();
        if (resists != 1) {
            throw new IllegalArgumentException(
                    "exactly one layer must be marked as the resist (\"resist\": true), found " + resists);
        }
    }

    /** Resist on a half-space. */
    static LayerStack of(Material resist, double thicknessNm, Material substrate) {
        return new LayerStack(
                List.of(new Layer(resist, thicknessNm, true), new Layer(substrate, Double.POSITIVE_INFINITY, false)));
    }

    /** A half-space of one material, itself the resist. */
    static LayerStack bulk(Material material) {
        return new LayerStack(List.of(new Layer(material, Double.POSITIVE_INFINITY, true)));
    }

    /**
     * Reads a stack file.
     *
     * @param file the JSON file
     * @return the stack
     * @throws BadInputException naming file and place of what is wrong
     */
    public static LayerStack read(Path file) {
        return from(JsonInput.read(file));
    }

    /**
     * As {@link #read}, from a text.
     *
     * @param name name to use in messages
     * @param text the JSON text
     * @return the stack
     */
    static LayerStack parse(String name, String text) {
        return from(JsonInput.parse(name, text));
    }

    private static LayerStack from(JsonInput root) {
        root.onlyKeys(STACK_KEYS);
        List<JsonInput> inputs = root.get("layers").elements();
        List<Layer> layers = new ArrayList<>();
        for (JsonInput input : inputs) {
            input.onlyKeys(LAYER_KEYS);
            boolean last = layers.size() == inputs.size() - 1;
            if (!last && !input.has("thickness_nm")) {
                throw input.error("\"thickness_nm\" is missing; only the last layer may be without");
            }
            boolean resist = input.has("resist") && input.get("resist").truth();
            layers.add(new Layer(
                    material(input.get("material")),
                    input.has("thickness_nm")
                            ? input.get("thickness_nm")
                                    .positive((resist ? Plausible.RESIST_THICKNESS : Plausible.THICKNESS)::objection)
                            : Double.POSITIVE_INFINITY,
                    resist));
        }
        try {
            return new LayerStack(layers);
        } catch (IllegalArgumentException e) {
            throw root.get("layers").error(e.getMessage());
        }
    }

    private static Material material(JsonInput input) {
        if (input.isText()) {
            String name = input.text();
            return Materials.find(name).orElseThrow(() -> input.error(unknown(name)));
        }
        input.onlyKeys(MATERIAL_KEYS);
        JsonInput formula = input.get("formula");
        double density = input.get("density_g_per_cm3").positive(Plausible.DENSITY::objection);
        Material material;
        try {
            material = Material.of(
                    input.has("name") ? input.get("name").text() : formula.text(),
                    formula.text(),
                    density,
                    input.has("source") ? input.get("source").text() : "stack file");
        } catch (IllegalArgumentException e) {
            throw formula.error(e.getMessage());
        }
        if (!input.has("mean_excitation_ev")) {
            OptionalDouble known = Materials.meanExcitationEv(material);
            return known.isPresent() ? material.withMeanExcitationEv(known.getAsDouble()) : material;
        }
        JsonInput excitation = input.get("mean_excitation_ev");
        try {
            return material.withMeanExcitationEv(excitation.positive());
        } catch (IllegalArgumentException e) {
            throw excitation.error(e.getMessage());
        }
    }

    private static String unknown(String name) {
        List<String> nearest = Materials.nearest(name);
        return "no built-in material is called \"" + name + "\""
                + (nearest.isEmpty() ? "" : "; did you mean " + String.join(" or ", nearest) + "?")
                + "; give an object with \"formula\" and \"density_g_per_cm3\", or a name that 'evendose scatter --materials'"
                + " lists";
    }

    /**
     * {@return this stack with another thickness of the resist, nm}
     *
     * @param thicknessNm thickness of the resist, nm
     */
    public LayerStack withResistNm(double thicknessNm) {
        return new LayerStack(layers.stream()
                .map(l -> l.resist() ? new Layer(l.material(), thicknessNm, true) : l)
                .toList());
    }

    /** {@return number of the resist layer, from 0 at the top} */
    public int resistIndex() {
        int i = 0;
        while (!layers.get(i).resist()) {
            i++;
        }
        return i;
    }

    /** The materials, each once, in order of first appearance. */
    List<Material> materials() {
        Set<Material> seen = new HashSet<>();
        return layers.stream().map(Layer::material).filter(seen::add).toList();
    }

    /** {@return in words, for instance {@code 300 nm PMMA (resist) / Si}} */
    public String describe() {
        StringBuilder text = new StringBuilder();
        for (Layer layer : layers) {
            text.append(text.isEmpty() ? "" : " / ");
            if (Double.isFinite(layer.thicknessNm())) {
                text.append(String.format(Locale.ROOT, "%.6g", layer.thicknessNm())
                                .replaceAll("(\\.\\d*?)0+$", "$1")
                                .replaceAll("\\.$", ""))
                        .append(" nm ");
            }
            text.append(layer.material().name()).append(layer.resist() ? " (resist)" : "");
        }
        return text.toString();
    }
}
