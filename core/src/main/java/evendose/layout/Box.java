package evendose.layout;

/** A growing box, dbu; empty at first. */
final class Box implements java.io.Serializable {
    double left = Double.POSITIVE_INFINITY;
    double bottom = Double.POSITIVE_INFINITY;
    double right = Double.NEGATIVE_INFINITY;
    double top = Double.NEGATIVE_INFINITY;

    Box include(double x, double y) {
        left = Math.min(left, x);
        bottom = Math.min(bottom, y);
        right = Math.max(right, x);
        top = Math.max(top, y);
        return this;
    }

    boolean holds(double x, double y) {
        return left <= x && x <= right && bottom <= y && y <= top;
    }

    /** The smallest window that holds it. */
    Window window() {
        return new Window(
                (long) Math.floor(left), (long) Math.floor(bottom), (long) Math.ceil(right), (long) Math.ceil(top));
    }

    double largest() {
        return Math.max(Math.max(-left, right), Math.max(-bottom, top));
    }
}
