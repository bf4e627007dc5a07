package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Polygons;
import evendose.psf.PointSpreadFunction;
import org.junit.jupiter.api.Test;

/** Curved and slanted outlines are cut into slices thinner than the direct range; doses must not ring between them. */
class SmoothDoseTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    @Test
    void aDiscHasDosesThatVarySmoothly() {
        int n = 256;
        double radiusUm = 8;
        long[] xy = new long[2 * n];
        for (int i = 0; i < n; i++) {
            xy[2 * i] = Math.round(radiusUm * 1000 * Math.cos(2 * Math.PI * i / n));
            xy[2 * i + 1] = Math.round(radiusUm * 1000 * Math.sin(2 * Math.PI * i / n));
        }
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, n);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(PSF));
        assertTrue(table.convergence().converged());
        double min = Double.MAX_VALUE;
        double max = 0;
        for (int i = 0; i < 360; i++) {
            double a = Math.toRadians(i + 0.5);
            double rim = Corrections.factorAt(table, 0.99 * radiusUm * Math.cos(a), 0.99 * radiusUm * Math.sin(a));
            min = Math.min(min, rim);
            max = Math.max(max, rim);
        }
        System.out.printf("disc: rim factors %.4f to %.4f%n", min, max);
        // The disc looks the same from everywhere on its rim; only the cells under it differ.
        assertEquals(1, max / min, 0.05, "rim factors " + min + " to " + max);
    }

    @Test
    void aLineAtTenDegreesHasOneDoseAlongItsMiddle() {
        double length = 100_000;
        double width = 500;
        double a = Math.toRadians(10);
        double cx = Math.cos(a);
        double cy = Math.sin(a);
        Polygons polygons = new Polygons();
        polygons.addPolygon(
                0,
                new long[] {
                    0,
                    0,
                    Math.round(length * cx),
                    Math.round(length * cy),
                    Math.round(length * cx - width * cy),
                    Math.round(length * cy + width * cx),
                    Math.round(-width * cy),
                    Math.round(width * cx)
                },
                4);
        DoseTable table = Corrections.correct(polygons, CorrectionOptions.of(PSF));
        assertTrue(table.convergence().converged());
        double middle = Corrections.factorAt(table, 50 * cx, 50 * cy + 0.25);
        for (int k = 25; k < 75; k++) {
            double s = k;
            double here = Corrections.factorAt(table, s * cx, s * cy + 0.25);
            assertEquals(middle, here, 0.002 * middle, "at " + s + " um");
        }
    }
}
