package evendose.layout;

import java.io.Serializable;

/**
 * How a cell is placed in another: mirrored about its x axis, then magnified, then turned, then moved.
 *
 * @param x shift, dbu
 * @param y shift, dbu
 * @param mirrored whether y changes its sign first
 * @param magnification positive
 * @param angleDegrees counter-clockwise, degrees
 * @serial exclude
 */
public record Transform(long x, long y, boolean mirrored, double magnification, double angleDegrees)
        implements Serializable {
    /** Angles nearer than this to a multiple of 90 degrees are taken for it: over 2^31 dbu it makes 0.004 dbu. */
    private static final double SNAP_DEGREES = 1e-10;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Transform {
        if (!(magnification > 0) || Double.isInfinite(magnification)) {
            throw new IllegalArgumentException("magnification must be positive and finite, got " + magnification);
        }
        if (!Double.isFinite(angleDegrees)) {
            throw new IllegalArgumentException("angle must be finite, got " + angleDegrees);
        }
    }

    /** A plain shift. */
    static Transform shift(long x, long y) {
        return new Transform(x, y, false, 1, 0);
    }

    /** Cosine of the angle; exact at multiples of 90 degrees. The same on every machine. */
    double cosine() {
        return cosine(angleDegrees);
    }

    /** Sine of the angle, likewise. */
    double sine() {
        return cosine(angleDegrees - 90);
    }

    private static double cosine(double degrees) {
        double reduced = Math.IEEEremainder(degrees, 360);
        double quarters = Math.rint(reduced / 90);
        if (Math.abs(reduced - 90 * quarters) <= SNAP_DEGREES) {
            return switch (Math.abs((int) quarters)) {
                case 0 -> 1;
                case 1 -> 0;
                default -> -1;
            };
        }
        return StrictMath.cos(StrictMath.toRadians(reduced));
    }
}
