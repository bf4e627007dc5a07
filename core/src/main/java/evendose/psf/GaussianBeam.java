package evendose.psf;

import java.util.ArrayList;
import java.util.List;

/** The beam spot: a Gaussian given by its full width at half maximum, FWHM = 2 sqrt(ln 2) s with s the 1/e radius. */
public final class GaussianBeam {
    private static final double RANGE_PER_FWHM = 1 / (2 * Math.sqrt(Math.log(2)));

    private GaussianBeam() {}

    /**
     * {@return the 1/e radius, um}
     *
     * @param fwhmNm full width at half maximum, nm, at least 0
     * @throws IllegalArgumentException if it is negative or not finite
     */
    public static double rangeUm(double fwhmNm) {
        if (!(fwhmNm >= 0) || Double.isInfinite(fwhmNm)) {
            throw new IllegalArgumentException("beam diameter must be at least 0 nm and finite, got " + fwhmNm);
        }
        return fwhmNm * 1e-3 * RANGE_PER_FWHM;
    }

    /**
     * {@return the function for a beam of this diameter where {@code psf} holds for an ideally thin one: every term is convolved with
     * the spot, {@code s_k -> sqrt(s_k^2 + s_beam^2)}}
     *
     * @param psf the function for a beam without width
     * @param fwhmNm full width at half maximum, nm, at least 0
     */
    public static PointSpreadFunction widen(PointSpreadFunction psf, double fwhmNm) {
        double beamUm = rangeUm(fwhmNm);
        List<GaussianTerm> terms = new ArrayList<>();
        for (GaussianTerm t : psf.terms()) {
            terms.add(new GaussianTerm(t.weight(), Math.hypot(t.rangeUm(), beamUm)));
        }
        return PointSpreadFunction.from(terms);
    }
}
