package evendose.verification;

import evendose.Supported;
import evendose.units.Range;
import java.util.Objects;
import java.util.OptionalDouble;

/**
 * A place inside a drawn line whose width is wanted.
 *
 * @param name what to call it; may be empty
 * @param xUm x, um
 * @param yUm y, um
 * @param angleDeg direction along which to measure, counter-clockwise from the x axis, degrees; empty for the narrowest way across
 */
@Supported
public record GaugePlace(String name, double xUm, double yUm, OptionalDouble angleDeg) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public GaugePlace {
        Objects.requireNonNull(name, "name of a gauge must not be null");
        Range.require(Double.isFinite(xUm), "x of a gauge must be a number", xUm);
        Range.require(Double.isFinite(yUm), "y of a gauge must be a number", yUm);
        angleDeg.ifPresent(angle -> Range.require(Double.isFinite(angle), "angle of a gauge must be a number", angle));
    }

    /**
     * {@return a place where the narrowest way across is measured}
     *
     * @param xUm x, um
     * @param yUm y, um
     */
    public static GaugePlace at(double xUm, double yUm) {
        return new GaugePlace("", xUm, yUm, OptionalDouble.empty());
    }
}
