package evendose.layout.gdsii;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Real files with random damage: whatever comes out is a layout or a message for the user. */
class GdsiiReaderPropertyTest {
    @ParameterizedTest
    @ValueSource(strings = {"cd-500nm.gds", "text-order.gds", "pad-arrays.gds", "euler-bends.gds"})
    void damageIsReportedOrPutUpWith(String file) throws IOException {
        byte[] sound = Files.readAllBytes(TestData.file("layouts/" + file));
        SplittableRandom random = new SplittableRandom(file.hashCode());
        int refused = 0;
        int read = 0;
        for (int round = 0; round < 300; round++) {
            byte[] bytes = sound.clone();
            for (int i = random.nextInt(1, 4); i > 0; i--) {
                bytes[random.nextInt(bytes.length)] = (byte) random.nextInt();
            }
            try {
                Layout layout = GdsiiReader.read(new ByteArrayInputStream(bytes), file);
                Map<Layer, Integer> groups = new TreeMap<>();
                Flattener flattener = Flattener.of(layout).withLimit(20_000);
                flattener.counts().keySet().forEach(layer -> groups.put(layer, groups.size()));
                read++;
                flattener.flatten(groups, new Polygons());
            } catch (BadInputException e) {
                assertTrue(e.getMessage().startsWith(file), e.getMessage());
                refused++;
            }
        }
        assertTrue(refused > 0 && read > 0, refused + " refused, " + read + " read");
    }
}
