package evendose.correction;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.Supported;
import evendose.files.JsonInput;
import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.Objects;
import java.util.Optional;

/**
 * Effects that reach farther than scattering in the sample.
 *
 * @param fogging electrons that come back from the column
 * @param loading how the energy that is wanted depends on what is developed around
 * @serial exclude
 */
@Supported
public record LongRange(Optional<Fogging> fogging, Optional<DevelopmentLoading> loading) implements Serializable {
    /** {@code Optional} does not travel. */
    private record Sent(Fogging fogging, DevelopmentLoading loading) implements Serializable {
        private Object readResolve() {
            return new LongRange(Optional.ofNullable(fogging), Optional.ofNullable(loading));
        }
    }

    private Object writeReplace() {
        return new Sent(fogging.orElse(null), loading.orElse(null));
    }

    /** No such effect. */
    public static final LongRange NONE = new LongRange(Optional.empty(), Optional.empty());

    /** Checks that both are there, perhaps empty. {@inheritDoc} */
    public LongRange {
        Objects.requireNonNull(fogging, "fogging must not be null");
        Objects.requireNonNull(loading, "loading must not be null");
    }

    /**
     * {@return the point spread function with the fogging on top}
     *
     * @param psf the point spread function
     * @throws IllegalArgumentException if the range of the fogging is not longer than those of the function
     */
    public PointSpreadFunction with(PointSpreadFunction psf) {
        return fogging.map(f -> psf.withBackground(f.term(psf))).orElse(psf);
    }

    /**
     * {@return longest range of what counts at a place, um}
     *
     * @param psf the point spread function
     */
    public double longestUm(PointSpreadFunction psf) {
        return Math.max(
                psf.longestUm(),
                Math.max(
                        fogging.map(Fogging::rangeUm).orElse(0.0),
                        loading.map(DevelopmentLoading::rangeUm).orElse(0.0)));
    }

    /** Writes what {@link #from} reads. */
    void put(ObjectNode options) {
        fogging.ifPresent(f -> options.put("fogging_percent", f.percent()).put("fogging_range_mm", f.rangeMm()));
        loading.ifPresent(l -> {
            ObjectNode node = options.putObject("loading");
            node.put("range_um", l.rangeUm());
            ArrayNode densities = node.putArray("density");
            ArrayNode targets = node.putArray("target_percent");
            for (double density : l.densities()) {
                densities.add(density);
            }
            for (double factor : l.factors()) {
                targets.add(100 * factor);
            }
        });
    }

    static LongRange from(JsonInput options) {
        Optional<Fogging> fogging = Optional.empty();
        if (options.has("fogging_percent")) {
            fogging = Optional.of(new Fogging(
                    options.get("fogging_percent").positive(),
                    options.get("fogging_range_mm").positive()));
        }
        if (!options.has("loading")) {
            return new LongRange(fogging, Optional.empty());
        }
        JsonInput node = options.get("loading");
        return new LongRange(
                fogging,
                Optional.of(DevelopmentLoading.of(
                        node.get("range_um").positive(),
                        numbers(node.get("density"), 1),
                        numbers(node.get("target_percent"), 100))));
    }

    private static double[] numbers(JsonInput list, double unit) {
        return list.elements().stream().mapToDouble(n -> n.number() / unit).toArray();
    }
}
