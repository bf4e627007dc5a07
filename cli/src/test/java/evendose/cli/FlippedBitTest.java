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

/**
 * 'correct' on real small layouts with one bit flipped: done or refused with one line, in seconds. Times are processor times of
 * all threads, so that a busy machine does not count.
 *
 * <p>A short run by default. A campaign:
 *
 * <pre>mvn -pl core,cli test -Dtest=FlippedBitTest -Dsurefire.failIfNoSpecifiedTests=false -Devendose.flips=1000</pre>
 */
class FlippedBitTest {
    private static final int FLIPS = Integer.getInteger("evendose.flips", 12);
    private static final double MOST_SECONDS = 5;
    private static final OperatingSystemMXBean MACHINE =
            (OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean();

    /** Files and the layer to expose. */
    private static final String[][] LAYOUTS = {
        {"cd-500nm.gds", "1/0"},
        {"euler-bends.gds", "404/0"},
        {"text-order.gds", "66/44"},
        {"picometre-units.gds", "1/0"},
        {"grating-coupler.oas", "1/0"}
    };

    @TempDir
    Path folder;

    private double seconds(Tool[] tool, byte[] content, String name, String layer) throws IOException {
        Path file = Files.write(folder.resolve(name), content);
        long before = MACHINE.getProcessCpuTime();
        tool[0] = Tool.correct(file, "--layer", layer, "--no-report", "--out", folder.resolve("out"), "--force");
        return 1e-9 * (MACHINE.getProcessCpuTime() - before);
    }

    @Test
    @Tag("slow")
    void oneBit() throws IOException {
        SplittableRandom random = new SplittableRandom(Long.getLong("evendose.seed", 1));
        List<String> faults = new ArrayList<>();
        for (String[] layout : LAYOUTS) {
            byte[] sound = Files.readAllBytes(Tool.testdata("layouts/" + layout[0]));
            Tool[] tool = new Tool[1];
            System.out.printf("%s: %.1f s%n", layout[0], seconds(tool, sound, layout[0], layout[1]));
            tool[0].ends(0);
            for (int i = 0; i < FLIPS / LAYOUTS.length; i++) {
                byte[] damaged = sound.clone();
                int at = random.nextInt(sound.length);
                int bit = random.nextInt(8);
                damaged[at] ^= (byte) (1 << bit);
                double seconds = seconds(tool, damaged, layout[0], layout[1]);
                boolean told = tool[0].code() == 0 || tool[0].err().lines().count() >= 1;
                if (seconds > MOST_SECONDS || !told || tool[0].code() == 1 || tool[0].code() == 4) {
                    faults.add(String.format(
                            "%s, byte %d, bit %d: %.1f s, %d %s",
                            layout[0], at, bit, seconds, tool[0].code(), tool[0].err()));
                    System.out.println(faults.get(faults.size() - 1));
                }
            }
        }
        assertTrue(faults.isEmpty(), String.join("\n", faults));
        assertEquals(
                List.of(),
                Tool.names(folder).stream().filter(n -> n.startsWith(".")).toList());
    }
}
