package evendose.report;

/**
 * A picture ready to be written.
 *
 * @param name file name without its ending
 * @param caption what it shows, a sentence
 * @param png bytes of a PNG file
 * @param svg text of an SVG file; empty for maps, which are made of pixels
 */
public record Picture(String name, String caption, byte[] png, String svg) {}
