package evendose.correction;

import evendose.Supported;
import evendose.layout.Layer;
import evendose.units.Range;
import java.io.Serializable;
import java.util.Objects;
import java.util.OptionalDouble;

/**
 * What a layer does in an exposure: its shapes are corrected towards a target, or have a given dose and only add background.
 *
 * @param layer the layer
 * @param target energy wanted in its shapes relative to the criterion's, positive; 1 for ordinary shapes, other values for
 *     grey-tone exposure
 * @param fixedDose dose factor that its shapes have and keep; empty if they are corrected
 * @serial exclude
 */
@Supported
public record LayerRole(Layer layer, double target, OptionalDouble fixedDose) implements Serializable {
    /** {@code OptionalDouble} does not travel. */
    private record Sent(Layer layer, double target, Double fixedDose) implements Serializable {
        private Object readResolve() {
            return new LayerRole(
                    layer, target, fixedDose == null ? OptionalDouble.empty() : OptionalDouble.of(fixedDose));
        }
    }

    private Object writeReplace() {
        return new Sent(layer, target, fixedDose.isPresent() ? fixedDose.getAsDouble() : null);
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public LayerRole {
        Objects.requireNonNull(layer, "layer of a role must not be null");
        Range.positive("target of layer " + layer, target);
        Range.positive("fixed dose factor of layer " + layer, fixedDose);
    }

    /**
     * {@return the same role for another layer}
     *
     * @param other the other layer
     */
    public LayerRole on(Layer other) {
        return new LayerRole(other, target, fixedDose);
    }

    /**
     * {@return a layer whose shapes are corrected to the ordinary target}
     *
     * @param layer the layer
     */
    public static LayerRole corrected(Layer layer) {
        return new LayerRole(layer, 1, OptionalDouble.empty());
    }

    /**
     * {@return a layer whose shapes are corrected towards {@code target} times the criterion's energy}
     *
     * @param layer the layer
     * @param target energy wanted, relative to that of other layers, positive
     */
    public static LayerRole corrected(Layer layer, double target) {
        return new LayerRole(layer, target, OptionalDouble.empty());
    }

    /**
     * {@return a layer whose shapes keep the dose factor {@code factor}}
     *
     * @param layer the layer
     * @param factor dose factor, positive
     */
    public static LayerRole fixed(Layer layer, double factor) {
        return new LayerRole(layer, 1, OptionalDouble.of(factor));
    }
}
