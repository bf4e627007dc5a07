package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class PsfFileTest {
    @Test
    void readsBackWhatItWrote(@TempDir Path dir) throws IOException {
        PsfFile file = PsfFile.of(
                PointSpreadFunction.doubleGaussian(0.0123, 31.7, 0.61),
                OptionalDouble.of(100),
                "300 nm PMMA on Si",
                "a test");
        Path path = dir.resolve("psf.json");
        Files.writeString(path, file.toJson());
        PsfFile back = PsfFile.read(path);
        assertEquals(file.psf(), back.psf());
        assertEquals(file.energyKev(), back.energyKev());
        assertEquals(file.stack(), back.stack());
        assertEquals(file.source(), back.source());
        assertEquals("", back.notice());
    }

    @Test
    void scalesWeightsAndSaysSo() {
        PsfFile file = PsfFile.parse(
                "x.json",
                "{\"terms\":[{\"weight\":0.6,\"range_um\":10},{\"weight\":1,\"range_um\":0.05}],\"note\":\"mine\"}");
        assertEquals(PointSpreadFunction.doubleGaussian(0.05, 10, 0.6), file.psf());
        assertEquals("PSF weights summed to 1.60000; scaled to 1", file.notice());
        assertEquals(OptionalDouble.empty(), file.energyKev());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            quoteCharacter = '`',
            value = {
                "{}| x.json: \"terms\" is missing",
                "[]| x.json: must be a JSON object { ... }, is a list",
                "{\"terms\":[]}| x.json, terms: must not be empty",
                "{\"terms\":[{\"weight\":1}]}| x.json, terms[0]: \"range_um\" is missing",
                "{\"terms\":[{\"weight\":-1,\"range_um\":1}]}| x.json, terms[0].weight: must be above 0, is -1.0",
                "{\"terms\":[{\"weight\":1,\"range_um\":\"1\"}]}"
                        + "| x.json, terms[0].range_um: must be a number, is the text \"1\"",
                "{\"terms\":[{\"weight\":1,\"range_um\":1e999}]}| x.json, terms[0].range_um: must be a number",
                "{\"terms\":[{\"weight\":1,\"range_um\":1,\"range_nm\":1}]}"
                        + "| x.json, terms[0]: unknown key \"range_nm\"; known are range_um, weight",
                "{\"terms\":[{\"weight\":1,\"range_um\":1}],\"energy_kev\":0}| x.json, energy_kev: must be above 0",
                "{\"terms\":[}| x.json, line 1, column 11: is not valid JSON",
                "{\"terms\":1,\"terms\":2}| x.json, line 1, column 19: is not valid JSON: Duplicate field 'terms'",
            })
    void saysWhatIsWrongAndWhere(String text, String message) {
        BadInputException e = assertThrows(BadInputException.class, () -> PsfFile.parse("x.json", text));
        assertTrue(e.getMessage().startsWith(message), e.getMessage());
        assertEquals(1, e.getMessage().lines().count());
    }

    @Test
    void aMissingOrEmptyFileIsBadInput(@TempDir Path dir) throws IOException {
        Path missing = dir.resolve("none.json");
        assertEquals(
                missing + ": there is no such file",
                assertThrows(BadInputException.class, () -> PsfFile.read(missing))
                        .getMessage());
        Path empty = Files.createFile(dir.resolve("empty.json"));
        assertEquals(
                empty + ": is empty; a JSON object is needed",
                assertThrows(BadInputException.class, () -> PsfFile.read(empty)).getMessage());
        Path binary = Files.write(dir.resolve("binary.json"), new byte[] {(byte) 0xc3, 0x28});
        assertEquals(
                binary + ": is no UTF-8 text; save it as UTF-8",
                assertThrows(BadInputException.class, () -> PsfFile.read(binary))
                        .getMessage());
    }

    private static PsfFile withTable() {
        double[] radii = RadialTableTest.radii(0.3, 60, 12);
        RadialTable table = RadialTable.of(
                radii, Arrays.stream(radii).map(r -> 5 * Math.exp(-r / 8)).toArray());
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.01), new GaussianTerm(0.2, 0.3)),
                Optional.of(new TableTerm(0.3, table)));
        return PsfFile.of(psf, OptionalDouble.of(100), "300 nm PMMA on Si", "made up");
    }

    @Test
    void aTableComesBackAsItWas() {
        PsfFile file = withTable();
        PsfFile again = PsfFile.parse("psf.json", file.toJson());
        assertEquals(file.psf(), again.psf());
        assertEquals(file.toJson(), again.toJson());
        assertEquals("", again.notice());
    }

    @Test
    void aTablesFaultsAreTold() {
        String good = withTable().toJson();
        for (String[] fault : new String[][] {
            {"\"radius_um\" : [ 0.3,", "\"radius_um\" : [ 0.9,", "table", "rise"},
            {"\"radius_um\" : [ 0.3,", "\"radius_um\" : [ 0.2, 0.3,", "table", "a density each"},
            {"\"radius_um\" : [ 0.3,", "\"radius_um\" : [ -0.3,", "table.radius_um[0]", ""},
            {"\"table\" : {", "\"table\" : { \"radius_nm\" : 3,", "table", "radius_nm"},
        }) {
            String bad = good.replace(fault[0], fault[1]);
            String message = assertThrows(BadInputException.class, () -> PsfFile.parse("psf.json", bad))
                    .getMessage();
            assertTrue(message.contains(fault[2]) && message.contains(fault[3]), message);
        }
    }
}
