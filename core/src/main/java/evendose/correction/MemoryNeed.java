package evendose.correction;

import evendose.energy.EnginePlan;

/**
 * How much memory a correction will take, told before it begins.
 *
 * <p>The numbers are measured on layouts of rectangles: a run of 134,940 finishes with 260 MB of heap, not always with 220 MB (see
 * DEVELOPERS.md). Half of it are samples, the rest pieces, weights and the history of the iteration.
 */
public final class MemoryNeed {
    private static final double BYTES_PER_PIECE = 1200;
    private static final double BYTES_AT_LEAST = 60e6;

    /** Doses, criteria, targets and ten arrays that the iteration remembers, twice over while they are made. */
    private static final double SOLVER_BYTES_PER_UNIT = 200;

    private MemoryNeed() {}

    /**
     * {@return for polygons that are not merged yet, bytes; at least one piece a polygon is assumed}
     *
     * @param count number of polygons after flattening
     */
    public static double ofPolygons(double count) {
        return BYTES_AT_LEAST + BYTES_PER_PIECE * count;
    }

    /**
     * {@return for merged shapes, bytes}
     *
     * @param trapezoids number of merged trapezoids
     * @param areaUm2 their area, um^2
     * @param cellUm largest extent of a dose unit, um
     */
    public static double ofMerged(double trapezoids, double areaUm2, double cellUm) {
        return BYTES_AT_LEAST + BYTES_PER_PIECE * (trapezoids + areaUm2 / (cellUm * cellUm));
    }

    /** For an energy model that is planned and the iteration with it, bytes beside what is there already. */
    static double ofModel(EnginePlan plan, int units) {
        return plan.bytes() + SOLVER_BYTES_PER_UNIT * units;
    }

    /**
     * Does nothing if the need fits what Java may use.
     *
     * @param needBytes estimated need, bytes
     * @param what what needs it, for the beginning of a sentence
     * @throws MemoryLimitException if it does not fit
     */
    public static void require(double needBytes, String what) {
        double allowed = Runtime.getRuntime().maxMemory();
        if (needBytes > allowed) {
            throw new MemoryLimitException(what, needBytes, allowed);
        }
    }

    /** As {@link #require}, for a need beside what is in use already. */
    static void requireBeside(double needBytes, String what) {
        Runtime java = Runtime.getRuntime();
        if (needBytes + java.totalMemory() - java.freeMemory() > java.maxMemory()) {
            // Much of what is in use may be garbage; collecting takes time, so only when it matters.
            System.gc();
            require(needBytes + java.totalMemory() - java.freeMemory(), what);
        }
    }
}
