package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Isolated;

/**
 * 'correct' on real small layouts with one bit flipped: done or refused with one line, and never without end. Times are processor
 * times of all threads, so that a busy machine does not count; how quick it is, the campaign prints.
 *
 * <p>A short run by default. A campaign:
 *
 * <pre>mvn -pl core,cli test -Dtest=FlippedBitTest -Dsurefire.failIfNoSpecifiedTests=false -Devendose.flips=1000</pre>
 */
@Isolated("a damaged file may ask for most of the heap")
class FlippedBitTest {
    private static final int FLIPS = Integer.getInteger("evendose.flips", 20);

    /** Processor time that says "without end", s: sound files take up to 3, what this guards against took many minutes. */
    private static final double WITHOUT_END = 60;

    private static final OperatingSystemMXBean MACHINE =
            (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();

    /** Files and the layer to expose. */
    private static final String[][] LAYOUTS = {
        {"cd-500nm.gds", "1/0"},
        {"euler-bends.gds", "404/0"},
        {"text-order.gds", "66/44"},
        {"grating-coupler.oas", "1/0"}
    };

    @TempDir
    Path folder;

    private Tool tool;

    /** Runs and returns the processor time. */
    private double seconds(byte[] content, String name, String layer, String... more) throws IOException {
        Path file = Files.write(folder.resolve(name), content);
        long before = MACHINE.getProcessCpuTime();
        List<Object> words = new ArrayList<>(List.of("--layer", layer, "--out", folder.resolve("out"), "--force"));
        words.addAll(List.of(more));
        tool = Tool.correct(file, words.toArray());
        return 1e-9 * (MACHINE.getProcessCpuTime() - before);
    }

    private String faultOf(double seconds) {
        boolean told = tool.code() == 0 || tool.err().lines().count() >= 1;
        // A sliver that a bit has made may be too small for the beam: exit code 4, with its reason on standard output.
        boolean held = tool.code() == ExitCode.LIMIT.number() && tool.out().contains("is held at a bound");
        boolean gentle = held || tool.code() != ExitCode.UNEXPECTED.number() && tool.code() != ExitCode.LIMIT.number();
        return seconds <= WITHOUT_END && told && gentle
                ? ""
                : String.format("%.1f s, exit code %d: %s", seconds, tool.code(), tool.err());
    }

    @Test
    @Tag("slow")
    void anyBit() throws IOException {
        SplittableRandom random = new SplittableRandom(Long.getLong("evendose.seed", 1));
        List<String> faults = new ArrayList<>();
        for (String[] layout : LAYOUTS) {
            byte[] sound = Files.readAllBytes(Tool.testdata("layouts/" + layout[0]));
            double soundSeconds = seconds(sound, layout[0], layout[1], "--no-report");
            tool.ends(0);
            double ofThis = 0;
            for (int i = 0; i < FLIPS / LAYOUTS.length; i++) {
                byte[] damaged = sound.clone();
                int at = random.nextInt(sound.length);
                int bit = random.nextInt(8);
                damaged[at] ^= (byte) (1 << bit);
                double seconds = seconds(damaged, layout[0], layout[1], "--no-report");
                ofThis = Math.max(ofThis, seconds);
                String fault = faultOf(seconds);
                if (!fault.isEmpty()) {
                    faults.add(layout[0] + ", byte " + at + ", bit " + bit + ": " + fault);
                }
            }
            System.out.printf("%s: sound %.1f s, slowest of the damaged %.1f s%n", layout[0], soundSeconds, ofThis);
        }
        System.out.printf("%d flips, %d faults%n", FLIPS, faults.size());
        assertTrue(faults.isEmpty(), String.join("\n", faults));
        assertEquals(
                List.of(),
                Tool.names(folder).stream().filter(n -> n.startsWith(".")).toList());
    }

    /**
     * The high bits of a corner of a square of 40 by 80 nm and of a corner of a cell's copy: moved by 8 mm to 2 m. A needle is
     * refused with its place, and so is what is farther off than a stage goes; a lone cell far off costs no grid.
     */
    @Test
    void highBitsOfCoordinates() throws IOException {
        byte[] sound = Files.readAllBytes(Tool.testdata("layouts/cd-500nm.gds"));
        for (int at : new int[] {xyOf(sound, BOUNDARY, 5), xyOf(sound, SREF, 1)}) {
            for (int bit : new int[] {23, 28, 30}) {
                byte[] damaged = sound.clone();
                // Big-endian: bit 31 is the highest of the first byte.
                damaged[at + 3 - bit / 8] ^= (byte) (1 << bit % 8);
                double seconds = seconds(damaged, "far.gds", "1/0", "--no-report");
                assertEquals("", faultOf(seconds), "bit " + bit + " of byte " + at);
                boolean needle = tool.code() == 3 && tool.err().contains(" um that lies ");
                boolean wide = tool.code() == 3 && tool.err().contains("farther than any writer (500 mm)");
                boolean square = at == xyOf(sound, BOUNDARY, 5);
                assertTrue(square ? needle : (bit > 28) == wide, "bit " + bit + ": " + tool.err());
            }
        }
    }

    private static final int BOUNDARY = 0x08;
    private static final int SREF = 0x0a;
    private static final int XY = 0x10;

    /** Where the coordinates of the first element of a kind with that many points begin. */
    private static int xyOf(byte[] gdsii, int kind, int points) {
        int element = 0;
        for (int i = 0; i < gdsii.length; ) {
            int length = (gdsii[i] & 0xff) << 8 | gdsii[i + 1] & 0xff;
            if (gdsii[i + 2] == BOUNDARY || gdsii[i + 2] == SREF) {
                element = gdsii[i + 2];
            }
            if (gdsii[i + 2] == XY && element == kind && length == 4 + 8 * points) {
                return i + 4;
            }
            i += length;
        }
        throw new AssertionError("no such element");
    }
}
