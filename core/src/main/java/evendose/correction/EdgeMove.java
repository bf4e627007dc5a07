package evendose.correction;

import evendose.layout.Layer;
import java.io.Serializable;
import java.util.Objects;

/**
 * A part of the drawn outline that is exposed elsewhere.
 *
 * @param layer layer of the shape
 * @param x0Um x of where the part begins, um; the shape lies left of the way from here to the end
 * @param y0Um y of it
 * @param x1Um x of where it ends, um
 * @param y1Um y of it
 * @param outUm how far outside the drawn outline the part is exposed, um; negative if inside
 * @serial exclude
 */
public record EdgeMove(Layer layer, double x0Um, double y0Um, double x1Um, double y1Um, double outUm)
        implements Serializable {
    /** Checks that values are numbers. {@inheritDoc} */
    public EdgeMove {
        Objects.requireNonNull(layer, "layer of a moved edge must not be null");
        if (!Double.isFinite(x0Um + y0Um + x1Um + y1Um + outUm) || (x0Um == x1Um && y0Um == y1Um)) {
            throw new IllegalArgumentException("a moved edge has two ends and a distance, all finite");
        }
    }

    /** {@return whether the part runs along x or y} */
    public boolean isUpright() {
        return x0Um == x1Um || y0Um == y1Um;
    }
}
