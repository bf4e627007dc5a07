package evendose.writing;

/**
 * How one dose level is written at the chosen current and step.
 *
 * @param level level number in the dose table
 * @param pieces number of pieces
 * @param areaUm2 their area, um^2
 * @param minFactor smallest dose factor among them
 * @param meanFactor mean dose factor, weighted by area
 * @param maxFactor largest dose factor
 * @param doseUcPerCm2 dose at the mean factor, uC/cm^2
 * @param dwellNs dwell time at the mean factor, ns
 * @param highestFrequencyMhz rate of points at the smallest factor, MHz
 * @param breaksClock whether that is more than the clock gives
 * @param electronsPerPoint mean number of electrons in one dwell point at the mean factor
 * @param highestCurrentNa highest current that keeps to the clock at the smallest factor, nA; NaN without a clock
 */
public record PlannedLevel(
        int level,
        long pieces,
        double areaUm2,
        double minFactor,
        double meanFactor,
        double maxFactor,
        double doseUcPerCm2,
        double dwellNs,
        double highestFrequencyMhz,
        boolean breaksClock,
        double electronsPerPoint,
        double highestCurrentNa) {}
