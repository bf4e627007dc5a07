package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Isolated;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Where a person lives and what the machine's encoding is make no difference; names from files do no harm. */
@Isolated("changes the language of all of Java")
class SameBytesEverywhereTest {
    @TempDir
    Path parent;

    private Path layout;

    @BeforeEach
    void layout() throws IOException {
        layout = Files.writeString(
                parent.resolve("layout.csv"),
                "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,0.5,1234.5\n1,0,1.25,20\n3,0,30,20\n");
    }

    private List<String> words(Path out) {
        List<String> words = new ArrayList<>(List.of("correct", layout.toString()));
        words.addAll(Tool.PSF);
        words.addAll(List.of("--base-dose-uc-per-cm2", "1234.5", "--threads", "1", "--out", out.toString()));
        return words;
    }

    /** Files and what was printed, without times and the folder's name. */
    private static Map<String, String> result(Path out, String printed) throws IOException {
        Map<String, String> result = new TreeMap<>();
        for (String name : Tool.names(out)) {
            result.put(name, Files.readString(out.resolve(name), StandardCharsets.ISO_8859_1));
        }
        result.put("stdout", printed);
        result.replaceAll((name, text) -> text.replace(out.toString(), "OUT")
                .replaceAll("(?s)\"seconds_by_stage\".*?\\}", "")
                .replaceAll("(?m)^time .*$|<th scope=\"row\">time</th>.*$", ""));
        return result;
    }

    private static void assertSame(Map<String, String> expected, Map<String, String> actual) {
        assertEquals(expected.keySet(), actual.keySet());
        expected.forEach((name, text) -> {
            List<String> lines = text.lines().toList();
            List<String> others = actual.get(name).lines().toList();
            for (int i = 0; i < Math.min(lines.size(), others.size()); i++) {
                assertEquals(lines.get(i), others.get(i), name + ", line " + (i + 1));
            }
            assertEquals(text.length(), actual.get(name).length(), name);
        });
    }

    private Map<String, String> expected() throws IOException {
        Path out = parent.resolve("expected");
        Tool tool = Tool.run(words(out).toArray()).ends(0);
        return result(out, tool.out());
    }

    /** Decimal commas, digits of their own, a dotless i, another calendar. */
    @Test
    void locales() throws IOException {
        Map<String, String> expected = expected();
        Locale before = Locale.getDefault();
        for (String tag : List.of("de-CH", "tr-TR", "ar-EG-u-nu-arab", "th-TH-u-ca-buddhist-nu-thai")) {
            try {
                Locale.setDefault(Locale.forLanguageTag(tag));
                Path out = parent.resolve(tag);
                Tool tool = Tool.run(words(out).toArray()).ends(0);
                assertSame(expected, result(out, tool.out()));
            } finally {
                Locale.setDefault(before);
            }
        }
    }

    @ParameterizedTest
    @CsvSource({"UTF-16, ar, EG", "US-ASCII, de, DE"})
    void encodings(String encoding, String language, String country) throws IOException, InterruptedException {
        Map<String, String> expected = expected();
        Path out = parent.resolve("out");
        List<String> command = Tool.java(
                "-XX:TieredStopAtLevel=1",
                "-Dfile.encoding=" + encoding,
                "-Duser.language=" + language,
                "-Duser.country=" + country);
        command.addAll(words(out));
        Path log = parent.resolve("log");
        Process process =
                new ProcessBuilder(command).redirectOutput(log.toFile()).start();
        assertTrue(process.waitFor(120, TimeUnit.SECONDS));
        assertEquals(0, process.exitValue());
        assertSame(expected, result(out, Files.readString(log, StandardCharsets.UTF_8)));
    }

    /** Escape sequences and the like in names of cells reach no terminal, whether the file is read or refused. */
    @Test
    void namesOfCells() throws IOException {
        String evil = "\u001b]0;owned\u0007\u001b[31mCELL\u202e\u009b2J";
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (GdsiiWriter writer = new GdsiiWriter(bytes, "evil.gds", "LIB", DatabaseUnit.NANOMETRE)) {
            for (int i = 0; i < 2; i++) {
                writer.beginCell(evil);
                writer.layer(new Layer(1, 0));
                writer.rectangle(0, 0, 1000, 1000);
                writer.endCell();
            }
        }
        layout = Files.write(parent.resolve("evil.gds"), bytes.toByteArray());
        Path out = parent.resolve("out");
        Tool read = Tool.run(words(out).toArray()).ends(0);
        assertTrue(read.err().contains("is defined more than once"), read.err());
        List<String> more = new ArrayList<>(words(parent.resolve("other")));
        more.addAll(List.of("--cell", "NONE"));
        Tool refused = Tool.run(more.toArray());
        assertEquals(ExitCode.BAD_INPUT.number(), refused.code());
        assertTrue(refused.err().contains("its top cells are:"), refused.err());
        for (String printed : List.of(read.out(), read.err(), refused.out(), refused.err())) {
            assertFalse(
                    printed.replaceAll("[\r\n]", "")
                            .codePoints()
                            .anyMatch(c -> Character.isISOControl(c) || c == 0x202e),
                    () -> printed.replace("\u001b", "ESC"));
        }
        assertFalse(Files.readString(out.resolve("summary.json"))
                .replaceAll("[\r\n]", "")
                .codePoints()
                .anyMatch(c -> c < ' '));
    }
}
