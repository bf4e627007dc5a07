package evendose.layout;

import java.io.Serializable;

/**
 * An axis-parallel window, dbu.
 *
 * @param left smallest x
 * @param bottom smallest y
 * @param right largest x, not less than {@code left}
 * @param top largest y, not less than {@code bottom}
 * @serial exclude
 */
public record Window(long left, long bottom, long right, long top) implements Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Window {
        if (left > right || bottom > top) {
            throw new IllegalArgumentException("not a window: " + left + " to " + right + ", " + bottom + " to " + top);
        }
    }

    /**
     * {@return what this window and another have in common}
     *
     * @param other the other, which meets this one
     */
    public Window and(Window other) {
        return new Window(
                Math.max(left, other.left),
                Math.max(bottom, other.bottom),
                Math.min(right, other.right),
                Math.min(top, other.top));
    }
}
