package evendose.psf;

import java.util.List;
import java.util.Optional;

/**
 * A model fitted to a radial profile.
 *
 * @param form name of the form, for instance {@code double Gaussian}
 * @param model the fitted model
 * @param parameters its parameters with their standard errors
 * @param misfits how far it is from the profile, decade by decade of radius
 */
public record ProfileFit(String form, RadialModel model, List<Parameter> parameters, List<Misfit> misfits) {
    /**
     * A fitted number.
     *
     * @param name for instance {@code alpha_um}
     * @param value fitted value
     * @param standardError its standard error: statistical if the profile has replicates, else from the curvature of the
     *     misfit
     */
    public record Parameter(String name, double value, double standardError) {}

    /**
     * How a model does between two radii.
     *
     * @param fromUm inner radius, um
     * @param toUm outer radius, um
     * @param energyShare share of the profile's energy there
     * @param modelShare share of the model's energy there
     * @param rmsLog10 root mean square over the rings of log10(model / profile)
     */
    public record Misfit(double fromUm, double toUm, double energyShare, double modelShare, double rmsLog10) {}

    /** {@return the model as a sum of Gaussians, if it is one} */
    public Optional<PointSpreadFunction> psf() {
        return model instanceof PointSpreadFunction psf ? Optional.of(psf) : Optional.empty();
    }

    /**
     * {@return the parameter of that name}
     *
     * @param name name of the parameter
     * @throws IllegalArgumentException if there is none
     */
    public Parameter parameter(String name) {
        return parameters.stream()
                .filter(p -> p.name().equals(name))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("the fit has no parameter " + name));
    }
}
