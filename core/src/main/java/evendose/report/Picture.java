package evendose.report;

import java.util.function.Supplier;

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

    /** File name without its ending. */
    public String name() {
        return name;
    }

    /** What it shows, a sentence. */
    public String caption() {
        return caption;
    }

    /** Bytes of a PNG file; plots are drawn anew at each call. */
    public byte[] png() {
        return png.get();
    }

    /** Text of an SVG file; empty for maps, which are made of pixels. */
    public String svg() {
        return svg;
    }
}
