package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.JsonInput;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class MoveChoiceTest {
    @TempDir
    Path folder;

    private Path pads() throws IOException {
        return Files.writeString(
                folder.resolve("pads.csv"),
                "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,1,1\n1.03,0,2.03,1\n8,0,11,3\n11.03,1,12.03,2\n");
    }

    private Tool move(Object... more) throws IOException {
        return Tool.run(Stream.concat(
                        Stream.of("correct", pads(), "--alpha-um", 0.04, "--beta-um", 9.5, "--eta", 0.6),
                        Stream.of(more))
                .toArray());
    }

    @Test
    void movedEdgesAreRecordedAndVerifiedAgainstWhatIsDrawn() throws IOException {
        Path out = folder.resolve("out");
        Tool tool = move("--move-edges", "--out", out);
        tool.ends(0);
        assertTrue(tool.out().contains("moved edges"), tool.out());
        assertTrue(tool.out().contains("with both"), tool.out());
        JsonInput summary = JsonInput.read(out.resolve("summary.json"));
        JsonInput moved = summary.get("moved_edges");
        assertEquals(40, moved.get("most_move_nm").number(), 1e-9);
        assertTrue(moved.get("with_both").get("not_as_drawn").number()
                < moved.get("with_doses").get("not_as_drawn").number());
        assertTrue(moved.get("with_both").get("rms_nm").number()
                < moved.get("with_doses").get("rms_nm").number());
        List<String> rows = Files.readAllLines(out.resolve("moved-edges.csv"));
        assertEquals(moved.get("parts").number(), rows.size() - 1);
        assertTrue(rows.size() > 2);
        String page = Files.readString(out.resolve("report.html"));
        assertTrue(page.contains("doses and moved edges"));

        Tool.run("verify", out, pads(), "--json").ends(0);
        Tool.run("map", out, "--window", "0.5,0,1.5,1", "--pixel-um", "0.01", "--out", folder.resolve("map"))
                .ends(0);
        // Pieces that end elsewhere than the table says are area in error.
        Files.write(out.resolve("moved-edges.csv"), rows.subList(0, 1));
        Tool.run("verify", out, pads(), "--json").ends(4);
        Files.write(
                out.resolve("moved-edges.csv"), List.of(rows.get(0), rows.get(1).replaceFirst("^1,0|^0,0", "7,0")));
        Tool other = Tool.run("verify", out, pads());
        other.ends(3);
        assertTrue(other.err().contains("is no part of the drawn outline"), other.err());
        Files.delete(out.resolve("moved-edges.csv"));
        assertTrue(Tool.run("verify", out, pads()).ends(3).err().contains("moved-edges.csv"));
    }

    @Test
    void nothingMovesWhereDosesDo() throws IOException {
        Path out = folder.resolve("out");
        Path wide = Files.writeString(folder.resolve("wide.csv"), "x_min_um,y_min_um,x_max_um,y_max_um\n0,0,9,9\n");
        Tool tool = Tool.correct(wide, "--move-edges", "--out", out);
        tool.ends(0);
        assertTrue(tool.out().contains("none: doses alone put them where they are drawn"), tool.out());
        assertEquals(1, Files.readAllLines(out.resolve("moved-edges.csv")).size());
        assertFalse(JsonInput.read(out.resolve("summary.json")).get("options").has("moved_edges_file"));
        Path plain = folder.resolve("plain");
        Tool.correct(wide, "--out", plain).ends(0);
        assertEquals(-1, Files.mismatch(plain.resolve("doses.csv"), out.resolve("doses.csv")));
        // What an earlier run left is not taken for this one's.
        Tool.correct(wide, "--out", out, "--force").ends(0);
        assertFalse(Files.exists(out.resolve("moved-edges.csv")));
    }

    @Test
    void whatCannotBeIsToldInOneLine() throws IOException {
        Path out = folder.resolve("out");
        refused("does not go with --bias-nm", "--move-edges", "--bias-nm", "-5", "--out", out);
        refused("does not go with --window", "--move-edges", "--window", "0,0,1,1", "--out", out);
        refused("--criterion edge", "--move-edges", "--criterion", "mean", "--out", out);
        refused(
                "a loading of the development",
                "--move-edges",
                "--loading-percent",
                "3",
                "--loading-range-um",
                "100",
                "--out",
                out);
        refused(
                "--rim-um does not go with --move-edges",
                "--move-edges",
                "--rim-um",
                "0.2",
                "--bulk-psf",
                "si-50kv",
                "--out",
                out);
        refused("--most-move-nm goes with --move-edges", "--most-move-nm", "5", "--out", out);
        refused("--most-move-nm must be positive", "--move-edges", "--most-move-nm", "-5", "--out", out);
        refused("whole steps of the grid", "--move-edges", "--most-move-nm", "0.2", "--out", out);
        assertFalse(Files.exists(out));
    }

    private void refused(String why, Object... options) throws IOException {
        Tool tool = move(options);
        tool.ends(2);
        assertTrue(tool.err().contains(why), tool.err());
    }
}
