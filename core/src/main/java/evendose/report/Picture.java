package evendose.report;

import evendose.files.OutputFolder;
import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.function.Supplier;
import javax.imageio.ImageIO;
import javax.imageio.stream.ImageOutputStream;
import javax.imageio.stream.MemoryCacheImageOutputStream;

/** A picture ready to be written. */
public final class Picture {
    private final String name;
    private final String caption;
    private final Supplier<byte[]> png;
    private final String svg;

    Picture(String name, String caption, Supplier<byte[]> png, String svg) {
        this.name = name;
        this.caption = caption;
        this.png = png;
        this.svg = svg;
    }

    /** A picture whose bytes are there already. */
    Picture(String name, String caption, byte[] png, String svg) {
        this(name, caption, () -> png, svg);
    }

    /**
     * {@return bytes of a PNG file that holds an image}
     *
     * @param image what the file is to show
     */
    public static byte[] png(BufferedImage image) {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        // Without this, ImageIO takes the way over a temporary file.
        try (ImageOutputStream memory = new MemoryCacheImageOutputStream(out)) {
            ImageIO.write(image, "png", memory);
        } catch (IOException e) {
            throw new UncheckedIOException("memory can always be written to", e);
        }
        return out.toByteArray();
    }

    /** File name without its ending. */
    String name() {
        return name;
    }

    /** What it shows, a sentence. */
    String caption() {
        return caption;
    }

    /** Bytes of a PNG file; plots are drawn anew at each call. */
    byte[] png() {
        return png.get();
    }

    /** Text of an SVG file; empty for maps, which are made of pixels. */
    String svg() {
        return svg;
    }

    /**
     * Writes it as PNG, plots as SVG too.
     *
     * @param output where to write
     */
    public void write(OutputFolder output) {
        output.write(name + ".png", png());
        if (!svg.isEmpty()) {
            output.write(name + ".svg", svg);
        }
    }
}
