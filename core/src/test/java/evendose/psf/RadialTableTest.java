package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.util.Arrays;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;

/** Tables of profiles whose share and transform are known. */
class RadialTableTest {
    private static final double RANGE = 3;

    /** Radii with even ratios. */
    static double[] radii(double from, double to, int perDecade) {
        int n = (int) Math.ceil(perDecade * Math.log10(to / from)) + 1;
        double[] r = new double[n];
        Arrays.setAll(r, i -> from * Math.pow(to / from, (double) i / (n - 1)));
        return r;
    }

    private static RadialTable table(double from, double to, DoubleUnaryOperator density) {
        double[] r = radii(from, to, 30);
        return RadialTable.of(r, Arrays.stream(r).map(density).toArray());
    }

    private static RadialTable gaussian() {
        return table(0.01, 15, r -> 7 * Math.exp(-r * r / (RANGE * RANGE)));
    }

    private static RadialTable exponential() {
        return table(0.003, 60, r -> 1e5 * Math.exp(-r / RANGE));
    }

    @Test
    void gaussianTable() {
        RadialTable table = gaussian();
        for (double r = 0; r < 9; r += 0.137) {
            double u = r * r / (RANGE * RANGE);
            assertEquals(Math.exp(-u), table.shareBeyond(r), 2e-6, "share beyond " + r);
            assertEquals(Math.exp(-u) / (Math.PI * RANGE * RANGE), table.density(r), 1e-4 * table.density(r) + 1e-9);
        }
        for (double k = 0; k < 4; k += 0.0713) {
            assertEquals(Math.exp(-0.25 * k * k * RANGE * RANGE), table.transform(k), 3e-6, "k " + k);
        }
        assertEquals(RANGE, table.rmsRadiusUm(), 1e-4);
        assertEquals(RANGE, table.smoothnessUm(), 0.05 * RANGE, "as smooth as itself");
    }

    /**
     * exp(-r/a) / (2 pi a^2): share within r is 1 - (1 + r/a) exp(-r/a), the transform (1 + k^2 a^2)^(-3/2) (I. S. Gradshteyn,
     * I. M. Ryzhik, Table of Integrals, 6.623 2, from memory; checked by its value 1 at 0 and by partial integration).
     */
    @Test
    void exponentialTable() {
        RadialTable table = exponential();
        for (double r = 0.01; r < 30; r *= 1.3) {
            assertEquals((1 + r / RANGE) * Math.exp(-r / RANGE), table.shareBeyond(r), 2e-6, "share beyond " + r);
        }
        for (double k = 0; k < 20; k += 0.173) {
            assertEquals(Math.pow(1 + k * k * RANGE * RANGE, -1.5), table.transform(k), 5e-6, "k " + k);
        }
        // Its cusp needs a finer grid than its range says.
        double smooth = table.smoothnessUm();
        assertTrue(smooth > 0.3 * RANGE && smooth < 0.7 * RANGE, "as smooth as a range of " + smooth);
    }

    @Test
    void wholeIsOneWhateverTheUnit() {
        RadialTable table = exponential();
        assertEquals(1, table.shareWithin(60), 1e-12);
        assertEquals(0, table.density(60.001), 0);
        assertEquals(1, table.transform(0), 1e-6);
        RadialTable again = RadialTable.of(table.radiiUm(), table.densities());
        assertEquals(table.shareBeyond(5), again.shareBeyond(5), 1e-14);
    }

    @Test
    void stretching() {
        RadialTable table = exponential();
        RadialTable wide = table.stretched(1.1);
        assertEquals(table.shareBeyond(4), wide.shareBeyond(4.4), 1e-9);
        assertEquals(table.transform(0.5), wide.transform(0.5 / 1.1), 1e-9);
        assertEquals(table.density(4) / 1.21, wide.density(4.4), 1e-9);
        assertNotEquals(table, wide);
    }

    @Test
    void travelsAsItIs() throws IOException, ClassNotFoundException {
        RadialTable table = exponential();
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new ObjectOutputStream(bytes)) {
            out.writeObject(table);
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes.toByteArray()))) {
            RadialTable there = (RadialTable) in.readObject();
            assertEquals(table, there);
            assertEquals(table.hashCode(), there.hashCode());
            assertEquals(table.shareBeyond(2), there.shareBeyond(2), 0);
            assertEquals(table.transform(0.3), there.transform(0.3), 0);
        }
    }

    @Test
    void refusesWhatIsNoTable() {
        double[] r = {1, 2, 3, 4};
        double[] d = {4, 3, 2, 1};
        RadialTable.of(r, d);
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(new double[] {1, 2, 3}, new double[3]));
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(r, new double[] {4, 3, 2}));
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(r, new double[] {4, 0, 2, 1}));
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(new double[] {1, 2, 2, 4}, d));
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(new double[] {0, 2, 3, 4}, d));
        assertThrows(IllegalArgumentException.class, () -> RadialTable.of(new double[] {1, 2, 3, 40}, d));
    }
}
