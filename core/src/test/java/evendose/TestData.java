package evendose;

import java.nio.file.Files;
import java.nio.file.Path;

/** Finds files of the top level folder {@code testdata} from whatever module a test runs in. */
public final class TestData {
    private TestData() {}

    /** The file of that name relative to {@code testdata}. */
    public static Path file(String relativeToTestdata) {
        for (Path p = Path.of("").toAbsolutePath(); p != null; p = p.getParent()) {
            Path file = p.resolve("testdata").resolve(relativeToTestdata);
            if (Files.exists(file)) {
                return file;
            }
        }
        throw new IllegalStateException(
                "no testdata/" + relativeToTestdata + " above " + Path.of("").toAbsolutePath());
    }
}
