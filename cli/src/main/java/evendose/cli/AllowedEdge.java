package evendose.cli;

import java.util.OptionalDouble;

/** The option {@code --allowed-edge-nm} of several commands. */
final class AllowedEdge {
    static final String NAME = "--allowed-edge-nm";
    static final String DESCRIPTION =
            "How far a developed edge may lie from the drawn one, nm, to count as drawn (default: a tenth of the"
                    + " line or gap beside it).";

    private AllowedEdge() {}

    /**
     * Its value, or nothing if that is null.
     *
     * @throws UsageException if it is not positive
     */
    static OptionalDouble nm(Double value) {
        if (value != null && !(value > 0 && Double.isFinite(value))) {
            throw new UsageException(NAME + " must be positive, got " + value);
        }
        return value == null ? OptionalDouble.empty() : OptionalDouble.of(value);
    }
}
