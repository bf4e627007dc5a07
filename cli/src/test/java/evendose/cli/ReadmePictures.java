package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import javax.imageio.ImageIO;

/** The pictures in README.md are those that the commands beside them make; fonts may differ from machine to machine. */
final class ReadmePictures {
    private static final Pattern SHOWN = Pattern.compile("!\\[[^]]*]\\((testdata/demo/walk/([a-z-]+\\.png))\\)");
    private static final Pattern EMBEDDED = Pattern.compile("data:image/png;base64,([A-Za-z0-9+/=]+)");

    /** Mean difference of grey values, of 255: other fonts give below 2, another layout or other doses more than 5. */
    private static final double MOST_DIFFERENT = 3;

    private ReadmePictures() {}

    /** Checks the pictures of a README against files of a run, by name, or else against those in its report. */
    static int check(String readme, Path run, String except) throws IOException {
        int checked = 0;
        Matcher shown = SHOWN.matcher(readme);
        while (shown.find()) {
            String name = shown.group(2);
            if (name.equals(except)) {
                continue;
            }
            BufferedImage printed =
                    ImageIO.read(Tool.testdata("../" + shown.group(1)).toFile());
            double least = Double.MAX_VALUE;
            for (BufferedImage made : candidates(run, name)) {
                least = Math.min(least, difference(printed, made));
            }
            assertTrue(
                    least < MOST_DIFFERENT,
                    name + " differs by " + least + " from what the commands make: " + size(printed) + " beside "
                            + candidates(run, name).stream()
                                    .map(ReadmePictures::size)
                                    .toList());
            checked++;
        }
        return checked;
    }

    private static List<BufferedImage> candidates(Path run, String name) throws IOException {
        List<BufferedImage> made = new ArrayList<>();
        try (Stream<Path> files = Files.walk(run)) {
            for (Path file : files.filter(f -> f.endsWith(name)).toList()) {
                made.add(ImageIO.read(file.toFile()));
            }
        }
        if (made.isEmpty()) {
            Matcher embedded = EMBEDDED.matcher(Files.readString(run.resolve("doses/report.html")));
            while (embedded.find()) {
                made.add(ImageIO.read(
                        new ByteArrayInputStream(Base64.getDecoder().decode(embedded.group(1)))));
            }
        }
        return made;
    }

    private static String size(BufferedImage image) {
        return image.getWidth() + " x " + image.getHeight();
    }

    private static double difference(BufferedImage a, BufferedImage b) {
        if (a.getWidth() != b.getWidth() || a.getHeight() != b.getHeight()) {
            return Double.MAX_VALUE;
        }
        long sum = 0;
        for (int y = 0; y < a.getHeight(); y++) {
            for (int x = 0; x < a.getWidth(); x++) {
                sum += Math.abs(grey(a.getRGB(x, y)) - grey(b.getRGB(x, y)));
            }
        }
        return (double) sum / a.getWidth() / a.getHeight();
    }

    private static int grey(int rgb) {
        return ((rgb >> 16 & 255) + (rgb >> 8 & 255) + (rgb & 255)) / 3;
    }
}
