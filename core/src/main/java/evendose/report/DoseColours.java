package evendose.report;

import java.awt.Color;

/**
 * Colours for dose factors, the same in maps and layers: high factors are dark, since they belong to thin, lone shapes, which must
 * stand out from the paper.
 *
 * @param low factor of the lightest colour
 * @param high factor of the darkest colour, above {@code low}
 */
record DoseColours(double low, double high) {
    /** Colours for factors from {@code smallest} to {@code largest}, of which there may be but one. */
    static DoseColours over(double smallest, double largest) {
        return largest - smallest < 1e-3 * largest
                ? new DoseColours(0.99 * smallest, 1.01 * largest)
                : new DoseColours(smallest, largest);
    }

    /** Colour of a factor as 0xRRGGBB. */
    int rgb(double factor) {
        return ColourScale.rgb(share(factor));
    }

    /** A colour for lines that stand out from the factor's colour. */
    Color line(double factor) {
        return share(factor) < 0.5 ? Color.WHITE : new Color(0x20262c);
    }

    private double share(double factor) {
        return (high - factor) / (high - low);
    }
}
