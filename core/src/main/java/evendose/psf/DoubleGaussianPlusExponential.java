package evendose.psf;

/**
 * Double Gaussian with an exponential tail, all over 1 + eta + nu:
 *
 * <pre>f(r) = [1/(pi alpha^2) exp(-r^2/alpha^2) + eta/(pi beta^2) exp(-r^2/beta^2) + nu/(2 pi gamma^2) exp(-r/gamma)]</pre>
 *
 * <p>The exponential holds the share 1 - (1 + r/gamma) exp(-r/gamma) within r. Such a tail was put forward by S. A. Rishton,
 * D. P. Kern, J. Vac. Sci. Technol. B 5, 135 (1987) (from memory).
 *
 * @param alphaUm range of the direct term, um
 * @param betaUm backscatter range, um
 * @param gammaUm decay length of the exponential, um
 * @param eta backscattered over direct energy
 * @param nu energy of the exponential over the direct one
 */
record DoubleGaussianPlusExponential(double alphaUm, double betaUm, double gammaUm, double eta, double nu)
        implements RadialModel {
    @Override
    public double density(double rUm) {
        return (gaussian(rUm, alphaUm) / (Math.PI * alphaUm * alphaUm)
                        + eta * gaussian(rUm, betaUm) / (Math.PI * betaUm * betaUm)
                        + nu * Math.exp(-rUm / gammaUm) / (2 * Math.PI * gammaUm * gammaUm))
                / (1 + eta + nu);
    }

    @Override
    public double shareBeyond(double rUm) {
        return (gaussian(rUm, alphaUm)
                        + eta * gaussian(rUm, betaUm)
                        + nu * (1 + rUm / gammaUm) * Math.exp(-rUm / gammaUm))
                / (1 + eta + nu);
    }

    private static double gaussian(double rUm, double rangeUm) {
        double u = rUm / rangeUm;
        return Math.exp(-u * u);
    }
}
