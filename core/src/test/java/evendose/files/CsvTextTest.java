package evendose.files;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class CsvTextTest {
    @Test
    void fieldsAreQuoted() {
        assertEquals("\"a, \"\"b\"\" c\"", CsvText.quoted("a, \"b\"\nc"));
        assertEquals("\"\"", CsvText.quoted(""));
        assertEquals("\"line = 3\"", CsvText.quoted("line = 3"));
    }

    @Test
    void formulasAreTexts() {
        for (String formula : new String[] {"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =HYPERLINK(\"x\")"}) {
            assertEquals("\"'", CsvText.quoted(formula).substring(0, 2), formula);
        }
    }
}
