package evendose.cli;

import static evendose.cli.Tool.correct;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.JsonInput;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class BiasChoiceTest {
    @TempDir
    Path folder;

    private Path lines() throws IOException {
        Path file = folder.resolve("lines.csv");
        StringBuilder rows = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um\n");
        for (int k = 0; k < 10; k++) {
            rows.append(String.format("%d.0,0,%d.2,10%n", k, k));
        }
        return Files.writeString(file, rows.append("20,0,40,10\n"));
    }

    @Test
    void aBiasIsRecordedAndVerifiedAgainstWhatIsDrawn() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(lines(), "--bias-nm", "-10", "--out", out);
        tool.ends(0);
        assertTrue(tool.out().contains("exposed 10.000 nm smaller than drawn"), tool.out());
        assertEquals(
                -10,
                JsonInput.read(out.resolve("summary.json"))
                        .get("options")
                        .get("bias_nm")
                        .number(),
                1e-9);
        assertTrue(Files.readString(out.resolve("report.html")).contains("nm smaller than drawn on each side"));
        List<String> rows = Files.readAllLines(out.resolve("doses.csv"));
        assertTrue(rows.stream().anyMatch(r -> r.contains(",0.01,0.01,0.19,0.01,")), rows.get(1));

        Tool verified = Tool.run("verify", out, lines(), "--json");
        verified.ends(0);
        // Pieces that end elsewhere than the bias says are area in error.
        Tool.run("verify", out, lines(), "--bias-nm", "0").ends(4);
        Tool.run("map", out, "--window", "0,4,2,6", "--pixel-um", "0.02", "--out", folder.resolve("map"))
                .ends(0);
    }

    @Test
    void autoTakesTheLargestWindowAndTellsTheOthers() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = correct(lines(), "--bias-nm", "auto", "--bias-bounds-nm", "-12,4", "--out", out);
        tool.ends(0);
        JsonInput study = JsonInput.read(out.resolve("bias-study.json"));
        double best = 0;
        double at = 0;
        for (JsonInput trial : study.get("trials").elements()) {
            if (!trial.has("why_not") && trial.get("dose_window_percent").number() > best) {
                best = trial.get("dose_window_percent").number();
                at = trial.get("bias_nm").number();
            }
        }
        assertTrue(at < 0, at + " nm");
        assertEquals(at, study.get("bias_nm").number(), 1e-9);
        assertEquals(
                at,
                JsonInput.read(out.resolve("summary.json"))
                        .get("options")
                        .get("bias_nm")
                        .number(),
                1e-9);
        assertTrue(Files.readString(out.resolve("report.html"))
                .contains("How far all doses may be off so that 95 % of drawn edges"));
        assertTrue(Files.exists(out.resolve("bias-study.svg")));
        assertEquals(
                1,
                Files.readAllLines(out.resolve("bias-study.csv")).stream()
                        .filter(r -> r.contains(",1,"))
                        .count());
    }

    @Test
    void whatCannotBeIsToldInOneLine() throws IOException {
        Path out = folder.resolve("out");
        Tool gap = correct(lines(), "--bias-nm", "-100", "--out", out);
        gap.ends(3);
        assertTrue(gap.err().contains("the bias: of -100 nm makes a part of a shape vanish about"), gap.err());
        assertTrue(correct(lines(), "--bias-nm", "much", "--out", out)
                .ends(2)
                .err()
                .contains("--bias-nm is a number"));
        correct(lines(), "--bias-nm", "5", "--criterion", "mean", "--out", out).ends(2);
        correct(lines(), "--bias-bounds-nm", "-5,5", "--out", out).ends(2);
        correct(lines(), "--bias-nm", "auto", "--bias-bounds-nm", "5,-5", "--out", out)
                .ends(2);
        assertFalse(Files.exists(out));
    }
}
