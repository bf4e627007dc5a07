package evendose.geometry;

/** Things with numbers that hang together, as trees: each knows its parent, and the root, its own parent, has the least number. */
public final class Connected {
    private Connected() {}

    /**
     * Joins the trees of two things.
     *
     * @param parent parent of each thing, its own number to begin with; changed
     * @param a one of them
     * @param b the other
     */
    public static void join(int[] parent, int a, int b) {
        int rootA = root(parent, a);
        int rootB = root(parent, b);
        parent[Math.max(rootA, rootB)] = Math.min(rootA, rootB);
    }

    /**
     * {@return the least number of what a thing hangs together with}
     *
     * @param parent parent of each thing; ways to the root are shortened
     * @param i the thing
     */
    public static int root(int[] parent, int i) {
        int at = i;
        while (parent[at] != at) {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }
        return at;
    }
}
