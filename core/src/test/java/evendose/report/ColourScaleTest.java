package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/**
 * Evenness of the colours in CIELAB (CIE 15, sRGB primaries of IEC 61966-2-1, white D65), also as seen without the long- or
 * middle-wave cones (F. Vienot, H. Brettel, J. D. Mollon, Color Res. Appl. 24, 243 (1999), matrices from memory).
 */
class ColourScaleTest {
    private static final double[][] NORMAL = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
    private static final double[][] NO_RED = {{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}};
    private static final double[][] NO_GREEN = {{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}};

    private static double[] lab(int rgb, double[][] vision) {
        double[] linear = new double[3];
        for (int k = 0; k < 3; k++) {
            double v = (rgb >> (16 - 8 * k) & 255) / 255.0;
            linear[k] = v <= 0.04045 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4);
        }
        double[] seen = new double[3];
        for (int r = 0; r < 3; r++) {
            for (int c = 0; c < 3; c++) {
                seen[r] += vision[r][c] * linear[c];
            }
        }
        double x = (0.4124564 * seen[0] + 0.3575761 * seen[1] + 0.1804375 * seen[2]) / 0.95047;
        double y = 0.2126729 * seen[0] + 0.7151522 * seen[1] + 0.0721750 * seen[2];
        double z = (0.0193339 * seen[0] + 0.1191920 * seen[1] + 0.9503041 * seen[2]) / 1.08883;
        return new double[] {116 * f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))};
    }

    private static double f(double t) {
        return t > 216.0 / 24389 ? Math.cbrt(t) : (24389.0 / 27 * t + 16) / 116;
    }

    @Test
    void lightnessRisesForEverybody() {
        for (double[][] vision : new double[][][] {NORMAL, NO_RED, NO_GREEN}) {
            double last = -1;
            for (int k = 0; k <= 32; k++) {
                double lightness = lab(ColourScale.rgb(k / 32.0), vision)[0];
                assertTrue(lightness > last + 1, "step " + k);
                last = lightness;
            }
        }
    }

    @Test
    void lightnessRisesEvenly() {
        double low = lab(ColourScale.rgb(0), NORMAL)[0];
        double high = lab(ColourScale.rgb(1), NORMAL)[0];
        assertTrue(high - low > 70);
        for (int k = 0; k <= 16; k++) {
            double lightness = lab(ColourScale.rgb(k / 16.0), NORMAL)[0];
            assertEquals(low + (high - low) * k / 16, lightness, 0.05 * (high - low));
        }
    }

    @Test
    void valuesBeyondTheScaleTakeItsEnds() {
        assertEquals(ColourScale.rgb(0), ColourScale.rgb(-3));
        assertEquals(ColourScale.rgb(1), ColourScale.rgb(7));
    }
}
