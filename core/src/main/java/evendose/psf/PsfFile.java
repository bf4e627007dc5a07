package evendose.psf;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.Internal;
import evendose.Supported;
import evendose.files.JsonInput;
import evendose.units.Plausible;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;

/**
 * A point spread function with where it comes from, as it stands in a file:
 *
 * <pre>{"terms": [{"weight": 0.625, "range_um": 0.01}, ...], "energy_kev": 100, "stack": "...", "source": "..."}</pre>
 *
 * <p>A long part that is a table stands beside the terms, its density in any unit:
 *
 * <pre>"table": {"weight": 0.3, "radius_um": [0.1, 0.12, ...], "density_per_um2": [3e-4, 2.9e-4, ...]}</pre>
 *
 * <p>Only {@code terms} is required. Weights are scaled to sum 1 on reading; {@link #notice()} says so when they did not.
 * Other keys beside these are left alone, so that files may carry notes. Numbers are written so that reading gives the same
 * doubles back.
 *
 * @param psf the function
 * @param energyKev beam energy it holds for, keV, if known
 * @param stack what it holds for, for instance {@code 300 nm PMMA on Si}; may be empty
 * @param source where it comes from; may be empty
 * @param weightSum sum of the weights as they were given; 1 unless a file said otherwise
 */
@Supported
public record PsfFile(
        PointSpreadFunction psf, OptionalDouble energyKev, String stack, String source, double weightSum) {
    private static final double NORMALISED = 1e-6;
    private static final Set<String> TERM_KEYS = Set.of("weight", "range_um");
    private static final Set<String> TABLE_KEYS = Set.of("weight", "radius_um", "density_per_um2");
    private static final JsonMapper MAPPER = new JsonMapper();

    /**
     * {@return a function that was made here, not read}
     *
     * @param psf the point spread function
     * @param energyKev beam energy, keV, if known
     * @param stack what it is for, in words; may be empty
     * @param source where it comes from; may be empty
     */
    public static PsfFile of(PointSpreadFunction psf, OptionalDouble energyKev, String stack, String source) {
        return new PsfFile(psf, energyKev, stack, source, 1);
    }

    /**
     * Reads a file.
     *
     * @param file the JSON file
     * @return what the file holds
     * @throws evendose.files.BadInputException naming file and place if it cannot be read, is not JSON, or a weight or range
     *     is missing, not a positive number, or so far off that it is in another unit
     */
    public static PsfFile read(Path file) {
        return plausible(JsonInput.read(file));
    }

    /**
     * As {@link #read}, from a text.
     *
     * @param name name to use in messages
     * @param text the JSON text
     * @return what the text holds
     */
    public static PsfFile parse(String name, String text) {
        return plausible(JsonInput.parse(name, text));
    }

    /** What a person wrote may be in other units than it should be. */
    private static PsfFile plausible(JsonInput root) {
        PsfFile file = from(root);
        double shortest = file.psf().direct().rangeUm();
        for (JsonInput term : root.get("terms").elements()) {
            JsonInput range = term.get("range_um");
            range.positive((range.number() == shortest ? Plausible.DIRECT_RANGE : Plausible.RANGE)::objection);
        }
        if (root.has("energy_kev")) {
            root.get("energy_kev").positive(Plausible.ENERGY::objection);
        }
        return file;
    }

    /**
     * As {@link #read}, from a part of another file.
     *
     * @param root the part
     * @return what the part holds
     */
    @Internal
    public static PsfFile from(JsonInput root) {
        List<GaussianTerm> terms = new ArrayList<>();
        double sum = 0;
        for (JsonInput term : root.get("terms").elements()) {
            term.onlyKeys(TERM_KEYS);
            double weight = term.get("weight").positive();
            terms.add(new GaussianTerm(weight, term.get("range_um").positive()));
            sum += weight;
        }
        Optional<TableTerm> table = root.has("table") ? Optional.of(table(root.get("table"))) : Optional.empty();
        sum += table.map(TableTerm::weight).orElse(0.0);
        if (Double.isInfinite(sum)) {
            throw root.get("terms").error("weights are too large to be summed");
        }
        return new PsfFile(
                PointSpreadFunction.from(terms, table),
                root.has("energy_kev")
                        ? OptionalDouble.of(root.get("energy_kev").positive())
                        : OptionalDouble.empty(),
                root.has("stack") ? root.get("stack").text() : "",
                root.has("source") ? root.get("source").text() : "",
                sum);
    }

    private static TableTerm table(JsonInput node) {
        node.onlyKeys(TABLE_KEYS);
        double weight = node.get("weight").positive();
        try {
            return new TableTerm(
                    weight, RadialTable.of(numbers(node.get("radius_um")), numbers(node.get("density_per_um2"))));
        } catch (IllegalArgumentException e) {
            throw node.error(e.getMessage());
        }
    }

    private static double[] numbers(JsonInput array) {
        return array.elements().stream().mapToDouble(JsonInput::positive).toArray();
    }

    /** {@return what to tell the user about the weights: empty if they summed to 1 within 1e-6} */
    public String notice() {
        return Math.abs(weightSum - 1) <= NORMALISED
                ? ""
                : String.format(Locale.ROOT, "PSF weights summed to %.6g; scaled to 1", weightSum);
    }

    /** {@return the text of the file} */
    public String toJson() {
        return toJson(Map.of());
    }

    /**
     * {@return the text of the file with further keys, which readers leave alone}
     *
     * @param notes plain values, lists and maps of them, in the order to write them in
     */
    public String toJson(Map<String, ?> notes) {
        ObjectNode root = MAPPER.createObjectNode();
        ArrayNode terms = root.putArray("terms");
        for (GaussianTerm term : psf.terms()) {
            terms.addObject().put("weight", term.weight()).put("range_um", term.rangeUm());
        }
        psf.table().ifPresent(t -> {
            ObjectNode table = root.putObject("table").put("weight", t.weight());
            ArrayNode radii = table.putArray("radius_um");
            Arrays.stream(t.table().radiiUm()).forEach(radii::add);
            ArrayNode densities = table.putArray("density_per_um2");
            Arrays.stream(t.table().densities()).forEach(densities::add);
        });
        energyKev.ifPresent(e -> root.put("energy_kev", e));
        if (!stack.isEmpty()) {
            root.put("stack", stack);
        }
        if (!source.isEmpty()) {
            root.put("source", source);
        }
        notes.forEach((key, value) -> root.set(key, MAPPER.valueToTree(value)));
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }
}
