package evendose.scattering;

import evendose.psf.ProfileFit;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;

/**
 * A form with what came of fitting it to a simulated profile.
 *
 * @param form name of the form
 * @param fit the fit, if one was found
 * @param doubt why the fit is missing, or why its numbers do not mean what their names say; empty if all is well
 */
public record FormFit(String form, Optional<ProfileFit> fit, String doubt) {
    /** Far and direct range must differ by at least this factor, else what lies between belongs to neither. */
    static final double APART = 30;

    /** The far term may hold this many times the energy that returns from below the resist, or this part of it. */
    static final double RETURNS = 1.6;

    /** Fits the form, and asks whether its far term is what comes back from below the resist. */
    static FormFit of(String form, ScatteringResult result, Function<ScatteringResult, ProfileFit> method) {
        ProfileFit fit;
        try {
            fit = method.apply(result);
        } catch (IllegalArgumentException e) {
            return new FormFit(form, Optional.empty(), "not fitted: " + e.getMessage());
        }
        return new FormFit(form, Optional.of(fit), doubt(fit, result));
    }

    private static String doubt(ProfileFit fit, ScatteringResult result) {
        if (fit.parameters().stream().noneMatch(p -> p.name().equals("eta"))) {
            return "";
        }
        double alpha = fit.parameter("alpha_um").value();
        double beta = fit.parameter("beta_um").value();
        double eta = fit.parameter("eta").value();
        double returns = result.energyRatio().value();
        if (beta < APART * alpha) {
            return String.format(
                    Locale.ROOT,
                    "no meaning here: its ranges, %.3g and %.3g um, do not stand apart, so neither is a backscatter range",
                    alpha,
                    beta);
        }
        if (!(eta < RETURNS * returns && returns < RETURNS * eta)) {
            return String.format(
                    Locale.ROOT,
                    "no meaning here: its far term holds %.3g of the nearer energy, while %.3g returns from below the"
                            + " resist",
                    eta,
                    returns);
        }
        return "";
    }

    /** {@return the fit, if there is one without doubt} */
    public Optional<ProfileFit> sound() {
        return doubt.isEmpty() ? fit : Optional.empty();
    }

    /**
     * {@return a number of the sound fit; NaN with its error if there is none}
     *
     * @param name name of the number, as in the files
     */
    public Estimate estimate(String name) {
        return sound().map(f -> f.parameter(name))
                .map(p -> new Estimate(p.value(), p.standardError()))
                .orElse(Estimate.NONE);
    }
}
