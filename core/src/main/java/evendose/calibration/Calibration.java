package evendose.calibration;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;

/**
 * A fitted point spread function with the dose that belongs to it.
 *
 * @param psf the function
 * @param parameters alpha, beta, eta, then gamma and nu of a third term, the clearing dose of an unlimited area, tau if widths have
 *     a threshold of their own, and the constant offset of measured widths
 * @param baseDose dose that puts the threshold on the edge of a grating of density 1/2: {@code 2 tau Q}, uC/cm^2
 * @param covariance covariance of the fitted parameters
 * @param residuals every measurement beside its prediction
 * @param chiSquare sum of squared standardised residuals
 * @param freedom number of measurements less the number of fitted parameters, not counting the offset
 * @param errorsGiven whether all standard errors were given
 * @param scatter what was found of the scatter of clearing doses and widths whose standard errors were not given
 * @param cautions what the user should know
 */
public record Calibration(
        PointSpreadFunction psf,
        List<FittedParameter> parameters,
        FittedParameter baseDose,
        ParameterCovariance covariance,
        List<FitResidual> residuals,
        double chiSquare,
        int freedom,
        boolean errorsGiven,
        List<Scatter> scatter,
        List<String> cautions) {
    private static final double UM_PER_NM = 1e-3;

    /**
     * How far measurements of a kind scatter about the fit.
     *
     * @param kind clearing doses or widths
     * @param size standard deviation: percent of clearing doses, nm of widths
     * @param freedom degrees of freedom it was found with
     */
    public record Scatter(Measurement.Kind kind, double size, double freedom) {}

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Calibration {
        parameters = List.copyOf(parameters);
        residuals = List.copyOf(residuals);
        scatter = List.copyOf(scatter);
        cautions = List.copyOf(cautions);
    }

    /**
     * {@return the clearing dose that the fit gives a ring or disc, uC/cm^2}
     *
     * @param ring the ring or disc
     */
    public double clearingDoseUcPerCm2(TestFigure.Ring ring) {
        double[][] terms = terms();
        return parameter("clearing dose").value() / FigureEnergy.ring(ring, terms[0], terms[1]);
    }

    /**
     * {@return the measured width that the fit gives the middle one of lines written with a dose, um, offset included; not above
     * 0 if it does not open, not below the pitch if the gap closes}
     *
     * @param lines the lines
     * @param doseUcPerCm2 dose, uC/cm^2
     */
    public double widthUm(TestFigure.Lines lines, double doseUcPerCm2) {
        double[][] terms = terms();
        double level = baseDose.value() / 2 / doseUcPerCm2;
        return FigureEnergy.width(lines, level, lines.widthUm() / 2, terms[0], terms[1])
                + parameters.stream()
                        .filter(p -> p.name().equals("width offset"))
                        .mapToDouble(p -> UM_PER_NM * p.value())
                        .sum();
    }

    private double[][] terms() {
        return new double[][] {
            psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray(),
            psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray()
        };
    }

    /**
     * {@return the same with what the user should know beside it, first}
     *
     * @param more what is put in front of the cautions
     */
    public Calibration withCautions(List<String> more) {
        List<String> all = new ArrayList<>(more);
        all.addAll(cautions);
        return new Calibration(
                psf, parameters, baseDose, covariance, residuals, chiSquare, freedom, errorsGiven, scatter, all);
    }

    /**
     * {@return the parameter of that name}
     *
     * @param name name of the parameter, as in {@link FittedParameter#name}
     * @throws IllegalArgumentException if there is none
     */
    FittedParameter parameter(String name) {
        return parameters.stream()
                .filter(p -> p.name().equals(name))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("no parameter is named " + name));
    }
}
