package evendose.demo;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import evendose.TestData;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class TidepoolChipTest {
    @Test
    void theBundledFileIsWhatTheGeneratorWrites(@TempDir Path folder) throws IOException {
        Path written = folder.resolve("chip.gds");
        TidepoolChip.write(written);
        assertArrayEquals(
                Files.readAllBytes(written), Files.readAllBytes(TestData.file("demo/tidepool-spectrometer.gds")));
    }
}
