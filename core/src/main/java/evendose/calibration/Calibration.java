package evendose.calibration;

import evendose.psf.PointSpreadFunction;
import java.util.List;

/**
 * A fitted point spread function with the dose that belongs to it.
 *
 * @param psf the function
 * @param parameters alpha, beta, eta, then gamma and nu of a third term, the clearing dose of an unlimited area, and tau if widths have
 *     a threshold of their own
 * @param baseDose dose that puts the threshold on the edge of a grating of density 1/2: {@code 2 tau Q}, uC/cm^2
 * @param correlation correlation of the fitted parameters' logarithms, in their order
 * @param residuals every measurement beside its prediction
 * @param chiSquare sum of squared standardised residuals
 * @param freedom number of measurements less the number of fitted parameters
 * @param errorsGiven whether all standard errors were given; otherwise assumed ones (3 % of a clearing dose, 3 nm of a width) were
 *     scaled to the scatter
 * @param cautions what the user should know
 */
public record Calibration(
        PointSpreadFunction psf,
        List<FittedParameter> parameters,
        FittedParameter baseDose,
        double[][] correlation,
        List<FitResidual> residuals,
        double chiSquare,
        int freedom,
        boolean errorsGiven,
        List<String> cautions) {
    public Calibration {
        parameters = List.copyOf(parameters);
        residuals = List.copyOf(residuals);
        cautions = List.copyOf(cautions);
    }

    /**
     * The parameter of that name.
     *
     * @throws IllegalArgumentException if there is none
     */
    public FittedParameter parameter(String name) {
        return parameters.stream()
                .filter(p -> p.name().equals(name))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("no parameter is named " + name));
    }
}
