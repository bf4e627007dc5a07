package evendose.verification;

import evendose.Supported;
import java.io.Serializable;

/**
 * A line across a drawn shape along which its width is measured. It runs from the edge at ({@code xUm}, {@code yUm}) in the
 * direction ({@code ux}, {@code uy}) over {@code drawnUm} to the other edge.
 *
 * @param name what to call it in tables
 * @param xUm x of the beginning, on a drawn edge, um
 * @param yUm y of the beginning, um
 * @param ux x of the unit direction
 * @param uy y of the unit direction
 * @param drawnUm drawn width, um, positive
 * @param gapUm distance from the beginning, backwards, to the next drawn edge, um; infinite if there is none near
 * @param density share of the surroundings that is covered, blurred by the main range, 0 to 1
 * @param layer index of the shape's layer
 * @serial exclude
 */
@Supported
public record WidthGauge(
        String name,
        double xUm,
        double yUm,
        double ux,
        double uy,
        double drawnUm,
        double gapUm,
        double density,
        int layer)
        implements Serializable {

    /** The same under another name. */
    WidthGauge named(String other) {
        return new WidthGauge(other, xUm, yUm, ux, uy, drawnUm, gapUm, density, layer);
    }

    /** The same so far to the right and above, um. */
    WidthGauge moved(double dxUm, double dyUm) {
        return new WidthGauge(name, xUm + dxUm, yUm + dyUm, ux, uy, drawnUm, gapUm, density, layer);
    }

    /** {@return x of the middle, um} */
    public double middleXUm() {
        return xUm + 0.5 * drawnUm * ux;
    }

    /** {@return y of the middle, um} */
    public double middleYUm() {
        return yUm + 0.5 * drawnUm * uy;
    }
}
