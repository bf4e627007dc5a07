package evendose.psf;

import evendose.Supported;
import java.io.Serializable;

/**
 * The part of a point spread function that is a table.
 *
 * @param weight its share of the energy, positive and finite
 * @param table its density
 * @serial exclude
 */
@Supported
public record TableTerm(double weight, RadialTable table) implements Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public TableTerm {
        if (!(weight > 0 && weight < Double.POSITIVE_INFINITY)) {
            throw new IllegalArgumentException("weight must be positive and finite, got " + weight);
        }
    }
}
