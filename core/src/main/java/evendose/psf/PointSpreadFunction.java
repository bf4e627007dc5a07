package evendose.psf;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * The energy that a point-like exposure leaves around it, as a normalised sum of Gaussians:
 *
 * <pre>f(r) = sum_k w_k / (pi s_k^2) exp(-r^2 / s_k^2),   sum_k w_k = 1</pre>
 *
 * <p>Terms are kept in order of rising range; the first is the <em>direct</em> one (beam and forward scattering).
 * Reference for the double Gaussian: T. H. P. Chang, J. Vac. Sci. Technol. 12, 1271 (1975).
 */
public final class PointSpreadFunction implements RadialModel {
    private final List<GaussianTerm> terms;

    private PointSpreadFunction(List<GaussianTerm> terms) {
        this.terms = terms;
    }

    /**
     * A function of the given terms, in any order, with their weights scaled to sum 1.
     *
     * @param terms at least one
     * @throws IllegalArgumentException if there is no term
     */
    public static PointSpreadFunction from(List<GaussianTerm> terms) {
        if (terms.isEmpty()) {
            throw new IllegalArgumentException("a point spread function needs at least one term");
        }
        double sum = terms.stream().mapToDouble(GaussianTerm::weight).sum();
        List<GaussianTerm> scaled = new ArrayList<>();
        for (GaussianTerm term : terms) {
            scaled.add(new GaussianTerm(term.weight() / sum, term.rangeUm()));
        }
        scaled.sort(Comparator.comparingDouble(GaussianTerm::rangeUm));
        return new PointSpreadFunction(List.copyOf(scaled));
    }

    /**
     * The double Gaussian.
     *
     * @param alphaUm range of the direct term, um, positive
     * @param betaUm backscatter range, um, positive
     * @param eta backscattered over direct energy, at least 0 (0 leaves the direct term alone)
     */
    public static PointSpreadFunction doubleGaussian(double alphaUm, double betaUm, double eta) {
        if (!(eta >= 0) || Double.isInfinite(eta)) {
            throw new IllegalArgumentException("eta must be at least 0 and finite, got " + eta);
        }
        GaussianTerm direct = new GaussianTerm(1, alphaUm);
        return eta == 0 ? from(List.of(direct)) : from(List.of(direct, new GaussianTerm(eta, betaUm)));
    }

    /** The terms by rising range; their weights sum to 1. */
    public List<GaussianTerm> terms() {
        return terms;
    }

    /** The term of shortest range. */
    public GaussianTerm direct() {
        return terms.get(0);
    }

    /** The term of largest weight among those beyond the direct one; the direct one if it is alone. */
    public GaussianTerm main() {
        return terms.size() == 1
                ? terms.get(0)
                : terms.stream()
                        .skip(1)
                        .max(Comparator.comparingDouble(GaussianTerm::weight))
                        .orElseThrow();
    }

    /** Energy of all terms but the direct one over that of the direct one. */
    public double eta() {
        return (1 - direct().weight()) / direct().weight();
    }

    /**
     * Energy density at a distance from a point exposure of unit energy, 1/um^2.
     *
     * @param rUm distance, um
     */
    @Override
    public double density(double rUm) {
        double sum = 0;
        for (GaussianTerm t : terms) {
            double u = rUm / t.rangeUm();
            sum += t.weight() / (Math.PI * t.rangeUm() * t.rangeUm()) * Math.exp(-u * u);
        }
        return sum;
    }

    /** Share of the energy beyond radius {@code rUm} (um): {@code sum_k w_k exp(-r^2 / s_k^2)}. */
    @Override
    public double shareBeyond(double rUm) {
        double sum = 0;
        for (GaussianTerm t : terms) {
            double u = rUm / t.rangeUm();
            sum += t.weight() * Math.exp(-u * u);
        }
        return sum;
    }

    /** Root of the mean squared distance of the energy, um: {@code sqrt(sum_k w_k s_k^2)}. */
    public double rmsRadiusUm() {
        double sum = 0;
        for (GaussianTerm t : terms) {
            sum += t.weight() * t.rangeUm() * t.rangeUm();
        }
        return Math.sqrt(sum);
    }

    /**
     * Radius that holds a share of the energy, um, by bisection to 1e-9 relative.
     *
     * @param share share of the energy, above 0 and below 1
     * @throws IllegalArgumentException if the share is out of range
     */
    public double radiusHoldingUm(double share) {
        if (!(share > 0 && share < 1)) {
            throw new IllegalArgumentException("share must be above 0 and below 1, got " + share);
        }
        // The narrowest and the widest term alone bound the radius.
        double reach = Math.sqrt(-Math.log1p(-share));
        double low = reach * terms.get(0).rangeUm() * (1 - 1e-12);
        double high = reach * terms.get(terms.size() - 1).rangeUm() * (1 + 1e-12);
        while (high > low * (1 + 1e-9)) {
            double middle = Math.sqrt(low * high);
            if (1 - shareBeyond(middle) < share) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return Math.sqrt(low * high);
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof PointSpreadFunction psf && psf.terms.equals(terms);
    }

    @Override
    public int hashCode() {
        return terms.hashCode();
    }

    @Override
    public String toString() {
        return "PointSpreadFunction" + terms;
    }
}
