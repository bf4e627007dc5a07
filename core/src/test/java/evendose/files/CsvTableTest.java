package evendose.files;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class CsvTableTest {
    @Test
    void rowsAreFoundByNameWithTheirLines() {
        try (CsvTable table = CsvTable.of(
                "t.csv",
                "\ufeff# made by hand\r\n\r\n Name ,\"Value\",,\r\n\"a, \"\"b\"\"\nand c\" , 1.5,,\r\n   \r\n# no\r\nd\r\n",
                "value")) {
            assertTrue(table.next());
            assertEquals("a, \"b\"\nand c", table.text("name"));
            assertEquals(1.5, table.number("value"));
            assertEquals(5, table.line());
            assertTrue(table.next());
            assertEquals("d", table.text("name"));
            assertTrue(table.optionalNumber("value").isEmpty());
            assertEquals("", table.text("none"));
            assertFalse(table.has("none"));
            assertEquals(8, table.line());
            assertFalse(table.next());
        }
    }

    /** What is written is read again, whatever is quoted: space around values does not count, in quotes it does. */
    @Test
    void valuesAreThoseThatWereWritten() {
        Random random = new Random(1);
        String alphabet = "ab1., \"#;\n\t";
        for (int run = 0; run < 300; run++) {
            int columns = 1 + random.nextInt(5);
            StringBuilder text = new StringBuilder();
            List<List<String>> expected = new ArrayList<>();
            for (int row = 0; row < 6; row++) {
                List<String> values = new ArrayList<>();
                for (int c = 0; c < columns; c++) {
                    StringBuilder value = new StringBuilder(row == 0 ? "k" + c : "");
                    for (int k = row == 0 ? 0 : random.nextInt(6); k > 0; k--) {
                        value.append(alphabet.charAt(random.nextInt(alphabet.length())));
                    }
                    boolean plain = value.chars().noneMatch(v -> ",\"\n#".indexOf(v) >= 0) && random.nextBoolean();
                    values.add(plain ? value.toString().strip() : value.toString());
                    text.append(c == 0 ? "" : random.nextBoolean() ? "," : " ,\t")
                            .append(plain ? value : '"' + value.toString().replace("\"", "\"\"") + '"');
                }
                text.append(random.nextBoolean() ? "\n" : "\r\n");
                // A row of one value that is empty is a blank line.
                if (row > 0 && (columns > 1 || !values.get(0).isEmpty())) {
                    expected.add(values);
                }
            }
            assertEquals(expected, found(text.toString(), columns), text.toString());
        }
    }

    private static List<List<String>> found(String text, int columns) {
        List<List<String>> rows = new ArrayList<>();
        try (CsvTable table = CsvTable.of("t.csv", text)) {
            while (table.next()) {
                List<String> row = new ArrayList<>();
                for (int c = 0; c < columns; c++) {
                    row.add(table.text("k" + c));
                }
                rows.add(row);
            }
        }
        return rows;
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            quoteCharacter = '`',
            value = {
                "# nothing| t.csv: is empty; a table with a header row is needed",
                "a;b\\n1;2| t.csv, line 1: columns must be separated by commas and numbers written with a decimal point",
                "a,A\\n1,2| t.csv, line 1: column 'a' occurs twice",
                "a,c\\n1,2| t.csv, line 1: the column b is missing from the header row; needed are a, b",
                "a,b\\n1,2,3| t.csv, line 2: has 3 values for 2 columns; numbers must be written with a decimal point,"
                        + " not a comma",
                "a,b\\n1| t.csv, line 2: has 1 values for 2 columns; give one for each column, or delete the row",
                "a,b\\n1,x| t.csv, line 2: b is 'x', not a number",
                "a,b\\n1,0x1p3| t.csv, line 2: b is '0x1p3', not a number",
                "a,b\\n1,1e999| t.csv, line 2: b is '1e999', not a number",
                "a,b\\n1,| t.csv, line 2: b is missing",
                "a,b\\n1,0| t.csv, line 2: b must be positive, got 0.0",
                "a,b\\n1.5,1| t.csv, line 2: a is '1.5', not a whole number",
                "a,b\\n1,\"2| t.csv, line 2: double quotes do not match up: close each at the end of its value",
                "a,b\\n\"1\\n2\",\"2| t.csv, line 2: double quotes do not match up: close each at the end of its value",
                "a,b\\n1,\"2\"3| t.csv, line 2: double quotes do not match up: close each at the end of its value",
            })
    void slipsAreToldWithTheirPlace(String text, String message) {
        BadInputException e = assertThrows(BadInputException.class, () -> {
            try (CsvTable table = CsvTable.of("t.csv", text.replace("\\n", "\n"), "a", "b")) {
                table.requireWholeRows();
                while (table.next()) {
                    table.positive("b");
                    table.whole("a");
                }
            }
        });
        assertEquals(message, e.getMessage());
    }

    @Test
    void aQuoteLeftOpenDoesNotTakeInTheWholeFile() {
        String text = "a,b\n1,\"2\n" + "3,4\n".repeat(1_000_000);
        try (CsvTable table = CsvTable.of("t.csv", text)) {
            BadInputException e = assertThrows(BadInputException.class, table::next);
            assertTrue(e.getMessage().startsWith("t.csv, line 2: double quotes"), e.getMessage());
        }
    }

    @Test
    void filesThatCannotBeReadAreToldWhy(@TempDir Path folder) throws IOException {
        Path latin = Files.write(folder.resolve("latin.csv"), new byte[] {'a', '\n', (byte) 0xb5, '\n'});
        assertEquals(
                latin + ": is no UTF-8 text; save it as UTF-8",
                assertThrows(BadInputException.class, () -> CsvTable.open(latin))
                        .getMessage());
        Path none = folder.resolve("none.csv");
        assertEquals(
                none + ": there is no such file",
                assertThrows(BadInputException.class, () -> CsvTable.open(none)).getMessage());
    }
}
