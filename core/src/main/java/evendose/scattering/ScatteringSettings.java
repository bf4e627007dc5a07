package evendose.scattering;

import evendose.units.Range;

/**
 * What to simulate. Start from {@link #of} and change what differs.
 *
 * @param energyKev beam energy, keV, 5 to 200
 * @param electrons largest number of electrons, 100 to 100,000,000
 * @param beamFwhmNm beam diameter (full width at half maximum of a Gaussian), nm, at least 0
 * @param seed seed of the random numbers
 * @param tiltDeg angle between the beam and the normal of the surface, degrees, 0 to 85; a tilted beam comes in along +x
 * @param fastSecondaries whether hard collisions set electrons free that are followed themselves
 * @param hardCutoffKev least energy of these, keV; at least the cut-off
 * @param cutoffKev energy at which an electron is put to rest, keV, 0.05 to 1
 * @param relativeError stop early once the returning energy is known to this relative standard error; 0 for never
 * @param depthSlices slices that the resist is cut into, 1 to 200
 * @param farRadiusUm energy beyond this radius is given apart, um, positive
 */
public record ScatteringSettings(
        double energyKev,
        int electrons,
        double beamFwhmNm,
        long seed,
        double tiltDeg,
        boolean fastSecondaries,
        double hardCutoffKev,
        double cutoffKev,
        double relativeError,
        int depthSlices,
        double farRadiusUm) {
    /** Default beam diameter, nm: about the smallest that writers have (common practice: 4 nm). */
    public static final double DEFAULT_BEAM_FWHM_NM = 5;

    /** Default of the radius beyond which energy counts as far, um. */
    public static final double DEFAULT_FAR_RADIUS_UM = 1;

    private static final double LEAST_KEV = 5;
    private static final double MOST_KEV = 200;
    private static final int MOST_ELECTRONS = 100_000_000;

    public ScatteringSettings {
        Range.require(energyKev >= LEAST_KEV && energyKev <= MOST_KEV, "beam energy must be 5 to 200 keV", energyKev);
        Range.require(
                electrons >= 100 && electrons <= MOST_ELECTRONS,
                "number of electrons must be 100 to " + MOST_ELECTRONS,
                electrons);
        Range.require(
                beamFwhmNm >= 0 && Double.isFinite(beamFwhmNm),
                "beam diameter must be at least 0 nm and finite",
                beamFwhmNm);
        Range.require(tiltDeg >= 0 && tiltDeg <= 85, "beam tilt must be 0 to 85 degrees", tiltDeg);
        Range.require(cutoffKev >= 0.05 && cutoffKev <= 1, "cut-off must be 0.05 to 1 keV", cutoffKev);
        Range.require(
                hardCutoffKev >= cutoffKev,
                "the least energy of fast secondaries (keV) must be at least the cut-off",
                hardCutoffKev);
        Range.require(relativeError >= 0, "relative error must be at least 0", relativeError);
        Range.require(depthSlices >= 1 && depthSlices <= 200, "depth slices must be 1 to 200", depthSlices);
        Range.require(
                farRadiusUm > 0 && Double.isFinite(farRadiusUm),
                "the radius beyond which energy counts as far must be above 0 um and finite",
                farRadiusUm);
    }

    /** 100,000 electrons that fall in straight; fast secondaries from 0.2 keV; cut-off 0.1 keV; 10 slices; far from 1 um. */
    public static ScatteringSettings of(double energyKev) {
        return new ScatteringSettings(
                energyKev, 100_000, DEFAULT_BEAM_FWHM_NM, 1, 0, true, 0.2, 0.1, 0, 10, DEFAULT_FAR_RADIUS_UM);
    }

    public ScatteringSettings withElectrons(int count) {
        return new ScatteringSettings(
                energyKev,
                count,
                beamFwhmNm,
                seed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withBeamFwhmNm(double diameterNm) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                diameterNm,
                seed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withSeed(long newSeed) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                newSeed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withTiltDeg(double angleDeg) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                seed,
                angleDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withFastSecondaries(boolean follow) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                seed,
                tiltDeg,
                follow,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withRelativeError(double error) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                seed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                error,
                depthSlices,
                farRadiusUm);
    }

    public ScatteringSettings withDepthSlices(int slices) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                seed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                slices,
                farRadiusUm);
    }

    public ScatteringSettings withFarRadiusUm(double radiusUm) {
        return new ScatteringSettings(
                energyKev,
                electrons,
                beamFwhmNm,
                seed,
                tiltDeg,
                fastSecondaries,
                hardCutoffKev,
                cutoffKev,
                relativeError,
                depthSlices,
                radiusUm);
    }
}
