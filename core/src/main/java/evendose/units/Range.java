package evendose.units;

import java.util.OptionalDouble;

/** Asserts that values given from outside lie in range; what is not a number never does. */
public final class Range {
    private Range() {}

    /**
     * Asserts a rule.
     *
     * @param holds whether the rule holds
     * @param rule what a value must be, beginning with its name
     * @param value the value that it is about
     * @throws IllegalArgumentException with the rule and the value if it does not hold
     */
    public static void require(boolean holds, String rule, double value) {
        if (!holds) {
            throw new IllegalArgumentException(rule + ", got " + value);
        }
    }

    /**
     * As above, for a whole number.
     *
     * @param holds whether the rule holds
     * @param rule the rule, in words that go before the value
     * @param value the value that it is about
     */
    public static void require(boolean holds, String rule, long value) {
        if (!holds) {
            throw new IllegalArgumentException(rule + ", got " + value);
        }
    }

    /**
     * Asserts that a value is above 0 and finite.
     *
     * @param what how messages call the value
     * @param value the value
     * @throws IllegalArgumentException naming it if it is not
     */
    public static void positive(String what, double value) {
        require(value > 0 && Double.isFinite(value), what + " must be positive", value);
    }

    /**
     * As above, if there is a value.
     *
     * @param what how messages call the value
     * @param value the value
     */
    public static void positive(String what, OptionalDouble value) {
        value.ifPresent(v -> positive(what, v));
    }

    /**
     * Asserts that a value is 0 or more and finite.
     *
     * @param what how messages call the value
     * @param value the value
     * @throws IllegalArgumentException naming it if it is not
     */
    public static void notNegative(String what, double value) {
        require(value >= 0 && Double.isFinite(value), what + " must be at least 0", value);
    }
}
