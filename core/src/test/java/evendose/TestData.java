package evendose;

import java.nio.file.Files;
import java.nio.file.Path;

/** Finds the project's test data, whether tests run from the module's directory or from the project's. */
public final class TestData {
    private TestData() {}

    /**
     * A file or directory under {@code testdata}.
     *
     * @param relative for instance {@code layouts/pad-arrays.gds}
     * @throws IllegalArgumentException if there is none
     */
    public static Path file(String relative) {
        for (Path directory = Path.of("").toAbsolutePath(); directory != null; directory = directory.getParent()) {
            Path file = directory.resolve("testdata").resolve(relative);
            if (Files.exists(file)) {
                return file;
            }
        }
        throw new IllegalArgumentException("testdata holds no " + relative);
    }
}
