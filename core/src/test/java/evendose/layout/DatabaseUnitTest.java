package evendose.layout;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;

class DatabaseUnitTest {
    @Test
    void inexactLengthsAreCleaned() {
        assertEquals(0.001, DatabaseUnit.fromMetres(1.0000000000000005e-09).um());
        assertEquals(0.001, DatabaseUnit.fromMetres(0.9999999999999999e-09).um());
        assertEquals(0.0005, DatabaseUnit.fromMetres(5e-10).um());
        assertEquals(0.005, DatabaseUnit.fromMetres(5.000000000000001e-09).um());
        assertEquals(0.1, DatabaseUnit.fromMetres(1e-7).um());
        assertEquals(1e-6, DatabaseUnit.fromMetres(1e-12).um());
    }

    @Test
    void oddLengthsStay() {
        double third = 1e-9 / 3;
        assertEquals(third * 1e6, DatabaseUnit.fromMetres(third).um(), 1e-19);
        assertEquals(1.0 / 1024, DatabaseUnit.fromMetres(1e-6 / 1024).um());
    }

    @Test
    void coordinatesComeBackAsTheNearestDouble() {
        DatabaseUnit nanometre = DatabaseUnit.NANOMETRE;
        for (int i = -20_000; i <= 20_000; i++) {
            assertEquals(Double.parseDouble(i + "e-3"), nanometre.toUm(i));
            assertEquals(i, nanometre.fromUm(nanometre.toUm(i)), 1e-11);
        }
        assertEquals(3.75, new DatabaseUnit(2.5).toUm(1.5));
        assertEquals(1.5, new DatabaseUnit(2.5).fromUm(3.75));
    }

    @Test
    void metresAreDecimal() {
        assertEquals(1e-9, new DatabaseUnit(0.001).metres());
        assertEquals(5e-10, new DatabaseUnit(0.0005).metres());
    }

    @Test
    void mustBePositive() {
        assertThrows(IllegalArgumentException.class, () -> new DatabaseUnit(0));
        assertThrows(IllegalArgumentException.class, () -> new DatabaseUnit(Double.NaN));
        assertThrows(IllegalArgumentException.class, () -> DatabaseUnit.fromMetres(Double.POSITIVE_INFINITY));
        assertThrows(IllegalArgumentException.class, () -> DatabaseUnit.fromMetres(-1e-9));
    }
}
