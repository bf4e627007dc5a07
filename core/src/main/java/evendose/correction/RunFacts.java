package evendose.correction;

import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * What a run was about.
 *
 * @param layout the layout's name as the user gave it
 * @param cells the cells that were corrected
 * @param windowUm left, lower, right and upper side of the window that doses were written for, um, not to be changed; empty for all
 * @param version version of the program
 * @param psfSource where the point spread function comes from; may be empty
 * @param secondsByStage time of each stage, s
 */
public record RunFacts(
        String layout,
        List<String> cells,
        Optional<double[]> windowUm,
        String version,
        String psfSource,
        Map<String, Double> secondsByStage) {

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {layout, cells, windowUm.orElse(null), version, psfSource, secondsByStage};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof RunFacts o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
