package evendose.pieces;

/** Where the outline that doses are judged on lies beside the one that is exposed: the drawn outline, if what is exposed is larger or smaller. */
public interface JudgedOutline {
    /** The exposed outline itself. */
    JudgedOutline EXPOSED = new JudgedOutline() {
        @Override
        public double insideUm(int layer, double xUm, double yUm) {
            return 0;
        }

        @Override
        public void settle(int layer, double[] xyUm) {}
    };

    /**
     * {@return how far inside the exposed outline the judged one is meant to lie, um; negative if outside}
     *
     * @param layer layer of the shape
     * @param xUm x of the middle of an exposed edge, um
     * @param yUm y of it, um
     */
    double insideUm(int layer, double xUm, double yUm);

    /**
     * Brings a place that lies about on the judged outline onto it: pieces end on a grid, so what is found beside them is off by their
     * rounding.
     *
     * @param layer layer of the shape
     * @param xyUm x and y of the place, um; changed
     */
    void settle(int layer, double[] xyUm);
}
