package evendose.correction;

import java.io.Serializable;
import java.util.Map;
import java.util.TreeMap;

/**
 * Doses by their logarithm, from which levels are placed without looking at each: in cells so narrow that a dose is moved by less than
 * 2e-5 of itself.
 *
 * @serial exclude
 */
public final class LevelHistogram implements Serializable {
    private static final long serialVersionUID = 1L;

    private static final double CELL = 0x1p-15;

    /** Weight, and weight times logarithm, by cell. */
    private final TreeMap<Integer, double[]> cells = new TreeMap<>();

    /** Without doses. */
    public LevelHistogram() {}

    void add(double factor, double weight) {
        double log = Math.log(factor);
        // What weighs nothing keeps its place all the same.
        double w = Math.max(1e-9, weight);
        double[] sums = cells.computeIfAbsent((int) Math.floor(log / CELL), k -> new double[2]);
        sums[0] += w;
        sums[1] += w * log;
    }

    /**
     * Adds the doses of another.
     *
     * @param other the other
     */
    public void add(LevelHistogram other) {
        for (Map.Entry<Integer, double[]> cell : other.cells.entrySet()) {
            double[] sums = cells.computeIfAbsent(cell.getKey(), k -> new double[2]);
            sums[0] += cell.getValue()[0];
            sums[1] += cell.getValue()[1];
        }
    }

    /**
     * {@return levels for these doses}
     *
     * @param rule how they are chosen
     * @param given doses that take a level of their own, in rising order, each once
     */
    public DoseLevels levels(LevelRule rule, double[] given) {
        double[] factor =
                cells.values().stream().mapToDouble(s -> Math.exp(s[1] / s[0])).toArray();
        double[] weight = cells.values().stream().mapToDouble(s -> s[0]).toArray();
        return rule.levelsBeside(given, factor, weight);
    }
}
