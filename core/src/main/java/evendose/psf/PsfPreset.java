package evendose.psf;

import java.util.List;
import java.util.OptionalDouble;

/**
 * A built-in parameter set: a starting point, as much as 30 % off for any given process, never a replacement for a dose test.
 *
 * <p>The direct range combines the forward scattering in {@value #RESIST_NM} nm of resist with a Gaussian beam, 1/e radii added
 * in squares. Forward scattering follows d[nm] = 0.9 (t[nm]/E[kV])^1.5, read as a full width at half maximum (M. A. McCord,
 * M. J. Rooks, SPIE Handbook of Microlithography, Micromachining and Microfabrication vol. 1, ch. 2 (1997), from memory).
 *
 * @param name name to look it up by
 * @param substrate what lies under the resist
 * @param energyKev beam energy, keV
 * @param betaUm backscatter range (1/e radius), um
 * @param betaMark how well the range is documented
 * @param eta backscattered over direct energy
 * @param etaMark how well the ratio is documented
 * @param source who says so, and the spread of published values
 */
public record PsfPreset(
        String name,
        String substrate,
        double energyKev,
        double betaUm,
        Mark betaMark,
        double eta,
        Mark etaMark,
        String source) {
    /** Resist thickness that the forward scattering of the built-in sets is taken for, nm. */
    public static final double RESIST_NM = 300;

    /** Beam diameter (full width at half maximum) of the built-in sets, nm. */
    public static final double BEAM_FWHM_NM = 10;

    /** How well a number is documented. */
    public enum Mark {
        /** Published, citation known. */
        P,
        /** Recalled from memory of the literature, not read again. */
        M
    }

    /** The set with the beam of {@value #BEAM_FWHM_NM} nm. */
    public PointSpreadFunction psf() {
        return psf(BEAM_FWHM_NM);
    }

    /**
     * The set with another beam.
     *
     * @param beamFwhmNm beam diameter (full width at half maximum), nm, at least 0
     */
    public PointSpreadFunction psf(double beamFwhmNm) {
        double forwardFwhmNm = 0.9 * Math.pow(RESIST_NM / energyKev, 1.5);
        double alphaUm = GaussianBeam.rangeUm(Math.hypot(forwardFwhmNm, beamFwhmNm));
        return PointSpreadFunction.doubleGaussian(alphaUm, betaUm, eta);
    }

    /** The set as the content of a PSF file. */
    public PsfFile file(double beamFwhmNm) {
        return PsfFile.of(
                psf(beamFwhmNm),
                OptionalDouble.of(energyKev),
                substrate,
                String.join("; ", List.of("built-in set " + name, source, "a starting point: calibrate")));
    }
}
