package evendose.layout.gdsii;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.TestData;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.file.Files;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class Real8Test {
    /** By hand from the definition: fraction / 2^56 times 16^(exponent - 64). */
    @Test
    void simpleNumbers() {
        assertEquals(0x4110_0000_0000_0000L, Real8.encode(1));
        assertEquals(0xc120_0000_0000_0000L, Real8.encode(-2));
        assertEquals(0x4080_0000_0000_0000L, Real8.encode(0.5));
        assertEquals(0x4010_0000_0000_0000L, Real8.encode(0.0625));
        assertEquals(0x3f80_0000_0000_0000L, Real8.encode(1 / 32.0));
        assertEquals(0x4264_0000_0000_0000L, Real8.encode(100));
        assertEquals(0x425a_0000_0000_0000L, Real8.encode(90));
        assertEquals(0, Real8.encode(0));
    }

    /** The UNITS records of real files of four origins. */
    @Test
    void unitsOfRealFiles() throws IOException {
        assertEquals(1e-3, units("phc-waveguides.gds", 0));
        assertEquals(1e-9, units("phc-waveguides.gds", 1));
        assertEquals(1e-9, units("text-order.gds", 1), 1e-24);
        assertEquals(5e-10, units("odd-records.gds", 1), 1e-24);
        assertEquals(1e-12, units("picometre-units.gds", 1), 1e-27);
    }

    private static double units(String file, int index) throws IOException {
        ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(TestData.file("layouts/" + file)));
        int at = 0;
        while (bytes.get(at + 2) != Record.UNITS) {
            at += bytes.getShort(at);
        }
        return Real8.decode(bytes.getLong(at + 4 + 8 * index));
    }

    @Test
    void everyDoubleInRangeSurvives() {
        SplittableRandom random = new SplittableRandom(3);
        for (int i = 0; i < 100_000; i++) {
            double value = random.nextDouble(-1, 1) * Math.pow(2, random.nextInt(-250, 250));
            assertEquals(value, Real8.decode(Real8.encode(value)));
        }
        assertEquals(0.0, Real8.decode(0));
    }

    @Test
    void rangeIsChecked() {
        double largest = Math.nextDown(Math.pow(16, 63));
        double smallest = Math.pow(16, -65);
        assertEquals(largest, Real8.decode(Real8.encode(largest)));
        assertEquals(smallest, Real8.decode(Real8.encode(smallest)));
        assertThrows(IllegalArgumentException.class, () -> Real8.encode(Math.pow(16, 63)));
        assertThrows(IllegalArgumentException.class, () -> Real8.encode(Math.nextDown(smallest)));
        assertThrows(IllegalArgumentException.class, () -> Real8.encode(Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> Real8.encode(Double.NEGATIVE_INFINITY));
        assertThrows(IllegalArgumentException.class, () -> Real8.encode(Double.MIN_VALUE));
    }
}
