package evendose.layout;

import evendose.Supported;
import java.io.Serializable;

/**
 * A layer number and datatype, as GDSII and OASIS count them.
 *
 * @param number 0 to 65,535
 * @param datatype 0 to 65,535
 * @serial exclude
 */
@Supported
public record Layer(int number, int datatype) implements Comparable<Layer>, Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Layer {
        if (number < 0 || number > 0xffff || datatype < 0 || datatype > 0xffff) {
            throw new IllegalArgumentException(
                    "layer and datatype must lie in 0 to 65535, got " + number + "/" + datatype);
        }
    }

    /**
     * Reads {@code 12/3}, or {@code 12} for {@code 12/0}.
     *
     * @param text a layer as it is typed
     * @return the layer
     * @throws IllegalArgumentException if the text is not of that form
     */
    public static Layer parse(String text) {
        String[] parts = text.strip().split("/", -1);
        try {
            if (parts.length == 1 || parts.length == 2) {
                return new Layer(Integer.parseInt(parts[0]), parts.length == 1 ? 0 : Integer.parseInt(parts[1]));
            }
        } catch (NumberFormatException e) {
            // Said below, with the form that is wanted.
        }
        throw new IllegalArgumentException("'" + text + "' is not a layer; write LAYER/DATATYPE, for instance 1/0");
    }

    @Override
    public int compareTo(Layer other) {
        return number != other.number
                ? Integer.compare(number, other.number)
                : Integer.compare(datatype, other.datatype);
    }

    @Override
    public String toString() {
        return number + "/" + datatype;
    }
}
