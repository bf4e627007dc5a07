package evendose.files;

import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.function.DoubleFunction;

/**
 * A value in a JSON file that knows where it stands, so that everything wrong with it becomes one clear
 * {@link BadInputException} naming file and place (for instance {@code layers[1].thickness_nm}).
 *
 * <p>A key given twice in one object is an error, and so is anything after the end of the value.
 */
public final class JsonInput {
    private static final JsonMapper MAPPER = JsonMapper.builder()
            .enable(JsonParser.Feature.STRICT_DUPLICATE_DETECTION)
            .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS)
            .build();

    private final String file;
    private final String place;
    private final JsonNode node;

    private JsonInput(String file, String place, JsonNode node) {
        this.file = file;
        this.place = place;
        this.node = node;
    }

    /**
     * Reads a file.
     *
     * @param file the JSON file
     * @return the whole of it
     * @throws BadInputException if it cannot be read or is not JSON
     */
    public static JsonInput read(Path file) {
        try {
            return parse(file.toString(), Files.readString(file, StandardCharsets.UTF_8));
        } catch (IOException e) {
            throw BadInputException.unreadable(file, e);
        }
    }

    /**
     * Takes a text apart.
     *
     * @param file name to use in messages
     * @param text the JSON text
     * @return the whole of it
     * @throws BadInputException if the text is not JSON
     */
    public static JsonInput parse(String file, String text) {
        try {
            JsonNode node = MAPPER.readTree(text);
            if (node == null || node.isMissingNode()) {
                throw new BadInputException(file, "", "is empty; a JSON object is needed");
            }
            return new JsonInput(file, "", node);
        } catch (JsonProcessingException e) {
            String place = e.getLocation() == null
                    ? ""
                    : "line " + e.getLocation().getLineNr() + ", column "
                            + e.getLocation().getColumnNr();
            String problem = e.getOriginalMessage().lines().findFirst().orElse("");
            throw new BadInputException(file, place, "is not valid JSON: " + problem, e);
        }
    }

    /** Where this value stands, for instance {@code terms[0].weight}; empty for the whole file. */
    String place() {
        return place;
    }

    /**
     * {@return the error to throw about this value}
     *
     * @param problem what is wrong and what to do, a clause without a full stop
     */
    public BadInputException error(String problem) {
        return new BadInputException(file, place, problem);
    }

    /**
     * {@return whether this object has the key, with a value other than null}
     *
     * @param key name of the value
     */
    public boolean has(String key) {
        return object().node.hasNonNull(key);
    }

    /**
     * {@return the value under a key that must be there}
     *
     * @param key name of the value
     */
    public JsonInput get(String key) {
        if (!has(key)) {
            throw error("\"" + key + "\" is missing");
        }
        return new JsonInput(file, place.isEmpty() ? key : place + "." + key, node.get(key));
    }

    /**
     * {@return this value, which must be an object with no key but these}
     *
     * @param known all keys that may be there
     */
    public JsonInput onlyKeys(Set<String> known) {
        for (Iterator<String> names = object().node.fieldNames(); names.hasNext(); ) {
            String name = names.next();
            if (!known.contains(name)) {
                throw error("unknown key \"" + name + "\"; known are "
                        + String.join(", ", known.stream().sorted().toList()));
            }
        }
        return this;
    }

    /** This value, which must be an object. */
    JsonInput object() {
        if (!node.isObject()) {
            throw error("must be a JSON object { ... }, is " + kind());
        }
        return this;
    }

    /** The keys of this object in the order of the file. */
    List<String> keys() {
        List<String> keys = new ArrayList<>();
        object().node.fieldNames().forEachRemaining(keys::add);
        return keys;
    }

    /** {@return the elements of this value, which must be an array with at least one} */
    public List<JsonInput> elements() {
        if (!node.isArray()) {
            throw error("must be a list [ ... ], is " + kind());
        }
        if (node.isEmpty()) {
            throw error("must not be empty");
        }
        List<JsonInput> elements = new ArrayList<>();
        for (int i = 0; i < node.size(); i++) {
            elements.add(new JsonInput(file, place + "[" + i + "]", node.get(i)));
        }
        return elements;
    }

    /** {@return whether this value is a list without any element} */
    public boolean isEmptyList() {
        return node.isArray() && node.isEmpty();
    }

    /** {@return this value, which must be a number} */
    public double number() {
        if (!node.isNumber() || !Double.isFinite(node.doubleValue())) {
            throw error("must be a number, is " + kind());
        }
        return node.doubleValue();
    }

    /** {@return this value, which must be a number above 0} */
    public double positive() {
        double value = number();
        if (!(value > 0)) {
            throw error("must be above 0, is " + value);
        }
        return value;
    }

    /**
     * {@return this value, which must be a number above 0 to which there is no objection; that is told otherwise}
     *
     * @param objection says what is wrong with a number, if anything
     */
    public double positive(DoubleFunction<Optional<String>> objection) {
        double value = positive();
        objection.apply(value).ifPresent(problem -> {
            throw error(problem);
        });
        return value;
    }

    /** {@return this value, which must be a text that is not blank} */
    public String text() {
        if (!node.isTextual() || node.textValue().isBlank()) {
            throw error("must be a text in quotes, is " + kind());
        }
        return node.textValue();
    }

    /** {@return this value, which must be true or false} */
    public boolean truth() {
        if (!node.isBoolean()) {
            throw error("must be true or false, is " + kind());
        }
        return node.booleanValue();
    }

    /** {@return whether this value is a text} */
    public boolean isText() {
        return node.isTextual();
    }

    private String kind() {
        return switch (node.getNodeType()) {
            case OBJECT -> "an object";
            case ARRAY -> "a list";
            case STRING -> node.textValue().isBlank() ? "a blank text" : "the text \"" + node.textValue() + "\"";
            case NULL -> "null";
            default -> node.asText();
        };
    }
}
