package evendose.psf;

import java.util.List;

/**
 * A sum of Gaussians fitted to a measured profile.
 *
 * @param form name of the form
 * @param psf the fitted function
 * @param parameters its numbers with their standard errors
 * @param scale measured density over that of {@code psf}
 * @param background level under the whole profile, in the unit of the measured density; 0 if none is seen
 * @param chiSquarePerFreedom mean square of the misfit over the errors of the points, for each point beyond the fitted numbers;
 *     where no errors were stated, errors of 5 % and of what values below 0 scatter by are taken
 * @param rmsMisfit root mean square of measured less fitted over the larger of both, where a point exceeds three of its errors
 * @param notes what the profile leaves open
 */
public record MeasuredFit(
        String form,
        PointSpreadFunction psf,
        List<ProfileFit.Parameter> parameters,
        double scale,
        double background,
        double chiSquarePerFreedom,
        double rmsMisfit,
        List<String> notes) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public MeasuredFit {
        parameters = List.copyOf(parameters);
        notes = List.copyOf(notes);
    }

    /**
     * {@return the measured density that the fit expects at a radius (um), background included}
     *
     * @param rUm radius, um
     */
    public double expected(double rUm) {
        return scale * psf.density(rUm) + background;
    }
}
