package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Results that cannot be printed. */
class OutletTest {
    @ParameterizedTest
    @CsvSource({"No space left on device, 3", "Bad file descriptor, 3", "Broken pipe, 0"})
    void standardOutputThatTakesNothing(String reason, int code) {
        OutputStream broken = new OutputStream() {
            @Override
            public void write(int b) throws IOException {
                throw new IOException(reason);
            }
        };
        ByteArrayOutputStream err = new ByteArrayOutputStream();
        assertEquals(code, CommandLineTool.run(new String[] {"psf"}, broken, err));
        assertEquals(
                code == 0 ? "" : "evendose: standard output cannot be written to (" + reason + ")\n",
                err.toString(StandardCharsets.UTF_8));
    }
}
