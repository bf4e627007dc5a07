package evendose.report;

import java.awt.Color;

/**
 * Colours for numbers: from dark blue over grey to light yellow, with lightness rising evenly. Blue against yellow is what all
 * common kinds of colour blindness keep apart, and even lightness keeps the order in black and white.
 *
 * <p>The path is straight in lightness and smooth in hue in the OKLab space (B. Ottosson, 2020), whose distances follow seen
 * differences; {@code ColourScaleTest} holds evenness in CIELAB, also as seen without one kind of cone.
 */
final class ColourScale {
    private static final int STEPS = 256;
    private static final int[] TABLE = new int[STEPS];

    private static final double DARKEST = 0.24;
    private static final double LIGHTEST = 0.92;

    static {
        for (int k = 0; k < STEPS; k++) {
            double t = k / (STEPS - 1.0);
            double lightness = DARKEST + t * (LIGHTEST - DARKEST);
            // Along the blue-yellow axis from negative to positive, a little less red at the dark end.
            double yellow = -0.105 + 0.255 * t - 0.035 * Math.sin(Math.PI * t) * (1 - t);
            double red = -0.012 * t;
            TABLE[k] = fromOklab(lightness, red, yellow);
        }
    }

    private ColourScale() {}

    /**
     * {@return colour of the share {@code t}, 0 (dark) to 1 (light), as 0xRRGGBB; beyond, the end colours}
     *
     * @param t place on the scale, 0 to 1
     */
    public static int rgb(double t) {
        return TABLE[(int) Math.max(0, Math.min(STEPS - 1, Math.round(t * (STEPS - 1))))];
    }

    static Color colour(double t) {
        return new Color(rgb(t));
    }

    private static int fromOklab(double lightness, double a, double b) {
        double l = cube(lightness + 0.3963377774 * a + 0.2158037573 * b);
        double m = cube(lightness - 0.1055613458 * a - 0.0638541728 * b);
        double s = cube(lightness - 0.0894841775 * a - 1.2914855480 * b);
        int red = toByte(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s);
        int green = toByte(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s);
        int blue = toByte(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s);
        return red << 16 | green << 8 | blue;
    }

    private static double cube(double x) {
        return x * x * x;
    }

    /** Linear light to an sRGB byte (IEC 61966-2-1). */
    private static int toByte(double linear) {
        double v = linear <= 0.0031308 ? 12.92 * linear : 1.055 * Math.pow(linear, 1 / 2.4) - 0.055;
        return (int) Math.max(0, Math.min(255, Math.round(255 * v)));
    }
}
