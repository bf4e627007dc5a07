package evendose.scattering;

import evendose.units.Range;

/**
 * What to simulate. Start from {@link #of} and change what differs; every change gives new settings and is checked.
 */
public final class ScatteringSettings {
    /** Default beam diameter, nm: about the smallest that writers have (common practice: 4 nm). */
    public static final double DEFAULT_BEAM_FWHM_NM = 5;

    /** Default of the radius beyond which energy counts as far, um. */
    public static final double DEFAULT_FAR_RADIUS_UM = 1;

    private static final double HARD_CUTOFF_KEV = 0.2;
    private static final double CUTOFF_KEV = 0.1;
    private static final double LEAST_KEV = 5;
    private static final double MOST_KEV = 200;
    private static final int MOST_ELECTRONS = 100_000_000;

    private final double energyKev;
    private int electrons = 100_000;
    private double beamFwhmNm = DEFAULT_BEAM_FWHM_NM;
    private long seed = 1;
    private double tiltDeg = 0;
    private boolean fastSecondaries = true;
    private double relativeError = 0;
    private int depthSlices = 10;
    private double farRadiusUm = DEFAULT_FAR_RADIUS_UM;

    private ScatteringSettings(double energyKev) {
        Range.require(energyKev >= LEAST_KEV && energyKev <= MOST_KEV, "beam energy must be 5 to 200 keV", energyKev);
        this.energyKev = energyKev;
    }

    private ScatteringSettings copy() {
        ScatteringSettings copy = new ScatteringSettings(energyKev);
        copy.electrons = electrons;
        copy.beamFwhmNm = beamFwhmNm;
        copy.seed = seed;
        copy.tiltDeg = tiltDeg;
        copy.fastSecondaries = fastSecondaries;
        copy.relativeError = relativeError;
        copy.depthSlices = depthSlices;
        copy.farRadiusUm = farRadiusUm;
        return copy;
    }

    /**
     * {@return 100,000 electrons of this energy that fall in straight; fast secondaries from 0.2 keV; cut-off 0.1 keV; 10 slices;
     * far from 1 um}
     *
     * @param energyKev beam energy, keV, 5 to 200
     */
    public static ScatteringSettings of(double energyKev) {
        return new ScatteringSettings(energyKev);
    }

    /**
     * {@return these settings with more or fewer electrons}
     *
     * @param count number of electrons, 100 to 100,000,000
     */
    public ScatteringSettings withElectrons(int count) {
        Range.require(
                count >= 100 && count <= MOST_ELECTRONS, "number of electrons must be 100 to " + MOST_ELECTRONS, count);
        ScatteringSettings changed = copy();
        changed.electrons = count;
        return changed;
    }

    /**
     * {@return these settings with another beam}
     *
     * @param diameterNm full width at half maximum, nm, at least 0
     */
    public ScatteringSettings withBeamFwhmNm(double diameterNm) {
        Range.require(
                diameterNm >= 0 && Double.isFinite(diameterNm),
                "beam diameter must be at least 0 nm and finite",
                diameterNm);
        ScatteringSettings changed = copy();
        changed.beamFwhmNm = diameterNm;
        return changed;
    }

    /**
     * {@return these settings with other random numbers}
     *
     * @param newSeed seed of the random numbers
     */
    public ScatteringSettings withSeed(long newSeed) {
        ScatteringSettings changed = copy();
        changed.seed = newSeed;
        return changed;
    }

    /**
     * {@return these settings with a tilted beam}
     *
     * @param angleDeg angle between beam and normal, degrees, 0 to 85
     */
    public ScatteringSettings withTiltDeg(double angleDeg) {
        Range.require(angleDeg >= 0 && angleDeg <= 85, "beam tilt must be 0 to 85 degrees", angleDeg);
        ScatteringSettings changed = copy();
        changed.tiltDeg = angleDeg;
        return changed;
    }

    /**
     * {@return these settings with or without fast secondaries}
     *
     * @param follow whether to follow fast secondary electrons
     */
    public ScatteringSettings withFastSecondaries(boolean follow) {
        ScatteringSettings changed = copy();
        changed.fastSecondaries = follow;
        return changed;
    }

    /**
     * {@return these settings with an end before all electrons}
     *
     * @param error relative standard error of the returning energy at which to stop; 0 for never
     */
    public ScatteringSettings withRelativeError(double error) {
        Range.require(error >= 0, "relative error must be at least 0", error);
        ScatteringSettings changed = copy();
        changed.relativeError = error;
        return changed;
    }

    /**
     * {@return these settings with other slices}
     *
     * @param slices slices that the resist is cut into, 1 to 200
     */
    public ScatteringSettings withDepthSlices(int slices) {
        Range.require(slices >= 1 && slices <= 200, "depth slices must be 1 to 200", slices);
        ScatteringSettings changed = copy();
        changed.depthSlices = slices;
        return changed;
    }

    /**
     * {@return these settings with another radius}
     *
     * @param radiusUm radius beyond which energy counts as far, um, positive
     */
    public ScatteringSettings withFarRadiusUm(double radiusUm) {
        Range.require(
                radiusUm > 0 && Double.isFinite(radiusUm),
                "the radius beyond which energy counts as far must be above 0 um and finite",
                radiusUm);
        ScatteringSettings changed = copy();
        changed.farRadiusUm = radiusUm;
        return changed;
    }

    /** {@return energy of the beam, keV, 5 to 200} */
    public double energyKev() {
        return energyKev;
    }

    /** Largest number of electrons, 100 to 100,000,000. */
    int electrons() {
        return electrons;
    }

    /** {@return beam diameter (full width at half maximum of a Gaussian), nm, at least 0} */
    public double beamFwhmNm() {
        return beamFwhmNm;
    }

    /** {@return seed of the random numbers} */
    public long seed() {
        return seed;
    }

    /** {@return angle between the beam and the normal of the surface, degrees, 0 to 85; a tilted beam comes in along +x} */
    public double tiltDeg() {
        return tiltDeg;
    }

    /** {@return whether hard collisions set electrons free that are followed themselves} */
    public boolean fastSecondaries() {
        return fastSecondaries;
    }

    /** Least energy of these, keV; at least the cut-off. */
    double hardCutoffKev() {
        return HARD_CUTOFF_KEV;
    }

    /** Energy at which an electron is put to rest, keV. */
    double cutoffKev() {
        return CUTOFF_KEV;
    }

    /** Stop early once the returning energy is known to this relative standard error; 0 for never. */
    double relativeError() {
        return relativeError;
    }

    /** Slices that the resist is cut into, 1 to 200. */
    int depthSlices() {
        return depthSlices;
    }

    /** {@return energy beyond this radius is given apart, um, positive} */
    public double farRadiusUm() {
        return farRadiusUm;
    }
}
