package evendose.writing;

/**
 * The arithmetic of an exposure with a stepped beam. Doses D in uC/cm^2, areas A in um^2, currents I in nA, steps p in nm.
 *
 * <p>Everything is exact up to rounding; {@code ExposureArithmeticReferenceTest} holds it against values worked out by hand.
 */
public final class ExposureArithmetic {
    /** Charge of one electron, uC (exact since the SI of 2019: 1.602176634e-19 C). */
    public static final double ELECTRON_UC = 1.602176634e-13;

    private static final double CM2_PER_UM2 = 1e-8;
    private static final double CM2_PER_NM2 = 1e-14;
    private static final double UC_PER_S_PER_NA = 1e-3;
    private static final double NS_PER_S = 1e9;
    private static final double NS_MHZ = 1e3;

    private ExposureArithmetic() {}

    /**
     * {@return charge of an area exposed at a dose: {@code Q[uC] = D A}}
     *
     * @param doseUcPerCm2 dose, uC/cm^2
     * @param areaUm2 area, um^2
     */
    public static double chargeUc(double doseUcPerCm2, double areaUm2) {
        return doseUcPerCm2 * areaUm2 * CM2_PER_UM2;
    }

    /**
     * {@return time that a current takes to deliver a charge: {@code t[s] = Q / I}; 250 uC at 2 nA take 125,000 s}
     *
     * @param chargeUc charge, uC
     * @param currentNa beam current, nA
     */
    public static double beamOnS(double chargeUc, double currentNa) {
        return chargeUc / (currentNa * UC_PER_S_PER_NA);
    }

    /**
     * {@return time that the beam rests on a point: {@code t[ns] = D p^2 / I}; 100 uC/cm^2, 10 nm and 1 nA give 100 ns}
     *
     * @param doseUcPerCm2 dose, uC/cm^2
     * @param stepNm distance of neighbouring points, nm
     * @param currentNa beam current, nA
     */
    public static double dwellNs(double doseUcPerCm2, double stepNm, double currentNa) {
        return doseUcPerCm2 * stepNm * stepNm * CM2_PER_NM2 / (currentNa * UC_PER_S_PER_NA) * NS_PER_S;
    }

    /**
     * {@return rate of points: the inverse of {@link #dwellNs}, MHz}
     *
     * @param doseUcPerCm2 dose, uC/cm^2
     * @param stepNm distance of neighbouring points, nm
     * @param currentNa beam current, nA
     */
    public static double frequencyMhz(double doseUcPerCm2, double stepNm, double currentNa) {
        return NS_MHZ / dwellNs(doseUcPerCm2, stepNm, currentNa);
    }

    /**
     * {@return highest current at which a dose needs no more than a rate of points: {@code I[nA] = D p^2 f}}
     *
     * @param doseUcPerCm2 dose, uC/cm^2
     * @param stepNm distance of neighbouring points, nm
     * @param clockMhz highest rate of points, MHz
     */
    public static double highestCurrentNa(double doseUcPerCm2, double stepNm, double clockMhz) {
        return doseUcPerCm2 * stepNm * stepNm * CM2_PER_NM2 / UC_PER_S_PER_NA * NS_PER_S * clockMhz / NS_MHZ;
    }

    /**
     * {@return mean number of electrons that fall on an area: {@code N = D A / e}}
     *
     * @param doseUcPerCm2 dose, uC/cm^2
     * @param areaUm2 area, um^2
     */
    public static double electrons(double doseUcPerCm2, double areaUm2) {
        return chargeUc(doseUcPerCm2, areaUm2) / ELECTRON_UC;
    }

    /**
     * {@return relative standard deviation of the dose on an area that {@code electrons} fall on in the mean: {@code N^(-1/2)}}
     *
     * @param electrons mean number of electrons
     */
    public static double relativeSpread(double electrons) {
        return 1 / Math.sqrt(electrons);
    }

    /**
     * {@return dose at which {@code deviations} standard deviations of the number of electrons on an area are {@code share} of its
     * mean: {@code D = (deviations / share)^2 e / A}, uC/cm^2}
     *
     * @param deviations how many standard deviations
     * @param share how far off the dose may be, relative
     * @param areaUm2 area, um^2
     */
    public static double doseForSpread(double deviations, double share, double areaUm2) {
        double electrons = deviations / share * (deviations / share);
        return electrons * ELECTRON_UC / (areaUm2 * CM2_PER_UM2);
    }
}
