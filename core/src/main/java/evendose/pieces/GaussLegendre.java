package evendose.pieces;

/** Gauss-Legendre rules of 1 to 4 points on the interval 0 to 1, from their closed forms. */
final class GaussLegendre {
    private static final double[][] NODES = new double[5][];
    private static final double[][] WEIGHTS = new double[5][];

    static {
        double two = 0.5 / Math.sqrt(3);
        double three = 0.5 * Math.sqrt(0.6);
        double near = 0.5 * Math.sqrt(3.0 / 7 - 2.0 / 7 * Math.sqrt(1.2));
        double far = 0.5 * Math.sqrt(3.0 / 7 + 2.0 / 7 * Math.sqrt(1.2));
        double heavy = (18 + Math.sqrt(30)) / 72;
        double light = (18 - Math.sqrt(30)) / 72;
        NODES[1] = new double[] {0.5};
        WEIGHTS[1] = new double[] {1};
        NODES[2] = new double[] {0.5 - two, 0.5 + two};
        WEIGHTS[2] = new double[] {0.5, 0.5};
        NODES[3] = new double[] {0.5 - three, 0.5, 0.5 + three};
        WEIGHTS[3] = new double[] {5.0 / 18, 8.0 / 18, 5.0 / 18};
        NODES[4] = new double[] {0.5 - far, 0.5 - near, 0.5 + near, 0.5 + far};
        WEIGHTS[4] = new double[] {light, heavy, heavy, light};
    }

    private GaussLegendre() {}

    static double node(int n, int k) {
        return NODES[n][k];
    }

    static double weight(int n, int k) {
        return WEIGHTS[n][k];
    }
}
