package evendose.files;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;

class ColumnTableTest {
    private static ColumnTable table() {
        return new ColumnTable()
                .row()
                .put("name", "=a, \"b\"")
                .put("range_um", 1.23456789)
                .put("count", 3)
                .put("ok", true)
                .row()
                .put("name", "c")
                .put("range_um", Double.NaN)
                .put("count", 4)
                .put("ok", false);
    }

    @Test
    void bothFormsSayTheSame() {
        assertEquals("name,range_um,count,ok\n\"'=a, \"\"b\"\"\",1.234568,3,true\n\"c\",,4,false\n", table().toCsv());
        assertEquals(
                "{\"rows\":[{\"name\":\"=a, \\\"b\\\"\",\"range_um\":1.234568,\"count\":3,\"ok\":true},\n"
                        + "{\"name\":\"c\",\"range_um\":null,\"count\":4,\"ok\":false}]}\n",
                table().toJson());
    }

    @Test
    void rowsThatDoNotFitAreRefused() {
        assertThrows(IllegalStateException.class, () -> table().row().put("range_um", 1.0));
        assertThrows(
                IllegalStateException.class,
                () -> table().row().put("name", "d").toCsv());
    }
}
