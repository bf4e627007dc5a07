package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

class FastErfTest {
    @Test
    void agreesWithCommonsNumbers() {
        for (int i = -700_000; i <= 700_000; i++) {
            double z = i * 1.0000001e-5;
            assertEquals(Erf.value(z), FastErf.value(z), 4e-16);
            assertEquals(Erf.value(z), FastErf.rough(z), 2e-10);
        }
    }

    /** Abramowitz and Stegun, Table 7.1 (from memory): erf(0.5), erf(1), erf(2) to ten digits. */
    @Test
    void tabulatedValues() {
        assertEquals(0.5204998778, FastErf.value(0.5), 5e-11);
        assertEquals(0.8427007929, FastErf.value(1), 5e-11);
        assertEquals(-0.9953222650, FastErf.value(-2), 5e-11);
    }

    @Test
    void saturates() {
        assertEquals(1, FastErf.value(6), 0);
        assertEquals(-1, FastErf.value(Double.NEGATIVE_INFINITY), 0);
        assertEquals(0, FastErf.value(0), 1e-17);
    }
}
