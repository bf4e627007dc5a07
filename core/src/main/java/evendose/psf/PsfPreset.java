package evendose.psf;

import evendose.Supported;
import java.util.List;
import java.util.OptionalDouble;
import java.util.stream.Stream;

/**
 * A built-in parameter set: a starting point, as much as 30 % off for any given process, never a replacement for a dose test.
 *
 * <p>The direct range combines the forward scattering in {@value #RESIST_NM} nm of resist with a Gaussian beam, 1/e radii added
 * in squares. Forward scattering follows d[nm] = 0.9 (t[nm]/E[kV])^1.5, read as a full width at half maximum
 * ({@value #ALPHA_SOURCE}).
 *
 * @param name name to look it up by
 * @param substrate what lies under the resist
 * @param energyKev beam energy, keV
 * @param beta backscatter range (1/e radius), um
 * @param eta backscattered over direct energy
 */
@Supported
public record PsfPreset(String name, String substrate, double energyKev, Value beta, Value eta) {
    /** Resist thickness that the forward scattering of the built-in sets is taken for, nm. */
    public static final double RESIST_NM = 300;

    /** Beam diameter (full width at half maximum) of the built-in sets, nm. */
    public static final double BEAM_FWHM_NM = 10;

    /** Who gives the forward scattering. */
    public static final String ALPHA_SOURCE = "M. A. McCord, M. J. Rooks, SPIE Handbook of Microlithography,"
            + " Micromachining and Microfabrication vol. 1, ch. 2 (1997), from memory";

    /**
     * A parameter and who says so.
     *
     * @param value the number that the set takes
     * @param published what is published, a number or the spread of several
     * @param source the publication, with "from memory" if it was not read again; empty if the numbers are recalled from the
     *     literature and no publication was found to name
     */
    public record Value(double value, String published, String source) {
        /** {@return whether a publication can be named} */
        public boolean hasSource() {
            return !source.isEmpty();
        }
    }

    /** {@return the set with the beam of {@value #BEAM_FWHM_NM} nm} */
    public PointSpreadFunction psf() {
        return psf(BEAM_FWHM_NM);
    }

    /**
     * {@return the set with another beam}
     *
     * @param beamFwhmNm beam diameter (full width at half maximum), nm, at least 0
     */
    public PointSpreadFunction psf(double beamFwhmNm) {
        double forwardFwhmNm = 0.9 * Math.pow(RESIST_NM / energyKev, 1.5);
        double alphaUm = GaussianBeam.rangeUm(Math.hypot(forwardFwhmNm, beamFwhmNm));
        return PointSpreadFunction.doubleGaussian(alphaUm, beta.value(), eta.value());
    }

    /**
     * {@return the set as the content of a PSF file}
     *
     * @param beamFwhmNm beam diameter (full width at half maximum), nm
     */
    public PsfFile file(double beamFwhmNm) {
        List<String> source = Stream.concat(
                        Stream.of("built-in set " + name + ", a starting point: calibrate"),
                        Stream.of(beta, eta)
                                .filter(Value::hasSource)
                                .map(Value::source)
                                .distinct())
                .toList();
        return PsfFile.of(psf(beamFwhmNm), OptionalDouble.of(energyKev), substrate, String.join("; ", source));
    }
}
