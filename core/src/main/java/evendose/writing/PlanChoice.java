package evendose.writing;

import java.util.List;
import java.util.OptionalDouble;

/**
 * One current with one step, and what follows from them.
 *
 * @param currentNa beam current, nA
 * @param stepNm distance of dwell points, nm
 * @param beamNm beam diameter at that current, nm, if the beam table says
 * @param highestFrequencyMhz rate of points at the smallest dose, MHz
 * @param brokenLevels number of dose levels that ask for a higher rate than the clock's
 * @param highestCurrentNa highest current that keeps to the clock at this step, nA; NaN without a clock
 * @param beamOnS time that the beam is on, all copies, s
 * @param totalS time from loading to the end, s
 * @param obstacles what forbids it, for a person to read; empty if it can be written so
 * @param cautions what speaks against it without forbidding it
 */
public record PlanChoice(
        double currentNa,
        double stepNm,
        OptionalDouble beamNm,
        double highestFrequencyMhz,
        int brokenLevels,
        double highestCurrentNa,
        double beamOnS,
        double totalS,
        List<String> obstacles,
        List<String> cautions) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public PlanChoice {
        obstacles = List.copyOf(obstacles);
        cautions = List.copyOf(cautions);
    }

    /** {@return whether nothing forbids it} */
    public boolean feasible() {
        return obstacles.isEmpty();
    }
}
