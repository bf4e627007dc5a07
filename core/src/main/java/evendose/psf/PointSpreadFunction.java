package evendose.psf;

import evendose.Internal;
import evendose.Supported;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * The energy that a point-like exposure leaves around it, as a normalised sum of Gaussians:
 *
 * <pre>f(r) = sum_k w_k / (pi s_k^2) exp(-r^2 / s_k^2),   sum_k w_k = 1</pre>
 *
 * <p>Its long part may be a table instead, {@code w_t t(r)} as a further term: a measured or simulated profile as it is.
 *
 * <p>Terms are kept in order of rising range; the first, or the first few, are <em>direct</em>: beam and forward scattering.
 * Reference for the double Gaussian: T. H. P. Chang, J. Vac. Sci. Technol. 12, 1271 (1975).
 *
 * @serial exclude
 */
@Supported
public final class PointSpreadFunction implements RadialModel, Serializable {
    private static final long serialVersionUID = 1L;

    private static final double FAR_BEYOND = 20;

    private final List<GaussianTerm> terms;
    private final TableTerm table;
    private final GaussianTerm main;
    private final int directTerms;
    private final GaussianTerm direct;

    private PointSpreadFunction(List<GaussianTerm> terms, TableTerm table) {
        this.terms = terms;
        this.table = table;
        this.main = findMain(terms, table);
        this.directTerms = countDirect(terms, main);
        this.direct = together(terms.subList(0, directTerms));
    }

    /** The given terms, whose direct ones and main one are those of another function. */
    private PointSpreadFunction(List<GaussianTerm> terms, PointSpreadFunction other) {
        this.terms = terms;
        this.table = other.table;
        this.main = other.main;
        this.directTerms = other.directTerms;
        this.direct = other.direct;
    }

    /**
     * {@return a function of the given terms, in any order, with their weights scaled to sum 1}
     *
     * @param terms at least one
     * @throws IllegalArgumentException if there is no term
     */
    public static PointSpreadFunction from(List<GaussianTerm> terms) {
        return from(terms, Optional.empty());
    }

    /**
     * {@return a function of Gaussians and perhaps a table, with their weights scaled to sum 1}
     *
     * @param terms at least one, in any order
     * @param table the long part
     * @throws IllegalArgumentException if there is no Gaussian
     */
    public static PointSpreadFunction from(List<GaussianTerm> terms, Optional<TableTerm> table) {
        if (terms.isEmpty()) {
            throw new IllegalArgumentException("a point spread function needs at least one Gaussian term");
        }
        double sum = terms.stream().mapToDouble(GaussianTerm::weight).sum()
                + table.map(TableTerm::weight).orElse(0.0);
        List<GaussianTerm> scaled = new ArrayList<>();
        for (GaussianTerm term : terms) {
            scaled.add(new GaussianTerm(term.weight() / sum, term.rangeUm()));
        }
        scaled.sort(Comparator.comparingDouble(GaussianTerm::rangeUm));
        return new PointSpreadFunction(
                List.copyOf(scaled),
                table.map(t -> new TableTerm(t.weight() / sum, t.table())).orElse(null));
    }

    /**
     * {@return the double Gaussian}
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

    /**
     * {@return this function with a Gaussian more, whose energy comes on top: weights are not scaled, so a plane exposed at factor 1 has
     * energy {@code 1 + weight}} What is direct and what is the main term stay as they are.
     *
     * @param background the term, of a longer range than all Gaussians of this function
     * @throws IllegalArgumentException if its range is not longer
     */
    @Internal
    public PointSpreadFunction withBackground(GaussianTerm background) {
        GaussianTerm last = terms.get(terms.size() - 1);
        if (!(background.rangeUm() > last.rangeUm())) {
            throw new IllegalArgumentException("the range of a background (" + background.rangeUm()
                    + " um) must be longer than the ranges of the point spread function, up to " + last.rangeUm()
                    + " um");
        }
        List<GaussianTerm> more = new ArrayList<>(terms);
        more.add(background);
        return new PointSpreadFunction(List.copyOf(more), this);
    }

    /** {@return the Gaussians by rising range; with the table's, their weights sum to 1} */
    public List<GaussianTerm> terms() {
        return terms;
    }

    /** {@return the long part if it is a table} */
    public Optional<TableTerm> table() {
        return Optional.ofNullable(table);
    }

    /** {@return number of terms, the table included: its number is that of the Gaussians} */
    public int parts() {
        return terms.size() + (table == null ? 0 : 1);
    }

    /** {@return sum of all weights: 1, and what a background adds} */
    public double weight() {
        double sum = table == null ? 0 : table.weight();
        for (GaussianTerm term : terms) {
            sum += term.weight();
        }
        return sum;
    }

    /**
     * {@return how far from a drawn edge a developed one is looked for, um: 25 direct ranges, at least 0.5 um} Energies must be known so far beyond
     * all edges.
     */
    public double edgeReachUm() {
        return Math.max(25 * direct.rangeUm(), 0.5);
    }

    /** {@return the longest range, um} A table that reaches as far as a Gaussian counts, to 4.5 ranges, has that one's range. */
    public double longestUm() {
        double range = terms.get(terms.size() - 1).rangeUm();
        return table == null ? range : Math.max(range, table.table().reachUm() / 4.5);
    }

    /**
     * {@return how many terms, from the shortest on, are direct: beam and forward scattering, whose energy falls off over so short a
     * way that an outline looks straight to it} They are those up to a third of the way, on a logarithmic scale, from the
     * shortest range to the main one, {@code s_1^(2/3) s_main^(1/3)}. A double Gaussian has one; a fine sum of Gaussians that
     * follows a measured or simulated profile may have many.
     */
    public int directTerms() {
        return directTerms;
    }

    /** {@return the direct terms as one: their whole weight, and the mean of their ranges by weight} */
    public GaussianTerm direct() {
        return direct;
    }

    /**
     * {@return the term of largest weight among those far beyond the shortest (20 times its range); the longest if there is none}
     * A table stands as the Gaussian of its weight and rms radius.
     */
    public GaussianTerm main() {
        return main;
    }

    /** {@return the main term alone, as a Gaussian} */
    public PointSpreadFunction mainAlone() {
        return from(List.of(main));
    }

    private static GaussianTerm findMain(List<GaussianTerm> terms, TableTerm table) {
        Stream<GaussianTerm> all = Stream.concat(
                terms.stream(),
                Stream.ofNullable(table)
                        .map(t -> new GaussianTerm(t.weight(), t.table().rmsRadiusUm())));
        return all.filter(t -> t.rangeUm() > FAR_BEYOND * terms.get(0).rangeUm())
                .max(Comparator.comparingDouble(GaussianTerm::weight))
                .orElse(terms.get(terms.size() - 1));
    }

    private static int countDirect(List<GaussianTerm> terms, GaussianTerm main) {
        double limit = Math.cbrt(terms.get(0).rangeUm() * terms.get(0).rangeUm() * main.rangeUm());
        int count = 1;
        while (count < terms.size() && terms.get(count).rangeUm() < limit) {
            count++;
        }
        return count;
    }

    private static GaussianTerm together(List<GaussianTerm> terms) {
        if (terms.size() == 1) {
            return terms.get(0);
        }
        double weight = 0;
        double moment = 0;
        for (GaussianTerm term : terms) {
            weight += term.weight();
            moment += term.weight() * term.rangeUm();
        }
        return new GaussianTerm(weight, moment / weight);
    }

    /** {@return energy of all terms but the direct ones over that of the direct ones} */
    public double eta() {
        return (1 - direct.weight()) / direct.weight();
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
        return table == null ? sum : sum + table.weight() * table.table().density(rUm);
    }

    /** Share of the energy beyond radius {@code rUm} (um): {@code sum_k w_k exp(-r^2 / s_k^2)}, and the table's. */
    @Override
    public double shareBeyond(double rUm) {
        double sum = 0;
        for (GaussianTerm t : terms) {
            double u = rUm / t.rangeUm();
            sum += t.weight() * Math.exp(-u * u);
        }
        return table == null ? sum : sum + table.weight() * table.table().shareBeyond(rUm);
    }

    /** {@return root of the mean squared distance of the energy, um: {@code sqrt(sum_k w_k s_k^2)}} */
    public double rmsRadiusUm() {
        double sum = 0;
        for (GaussianTerm t : terms) {
            sum += t.weight() * t.rangeUm() * t.rangeUm();
        }
        if (table != null) {
            sum += table.weight() * table.table().rmsRadiusUm() * table.table().rmsRadiusUm();
        }
        return Math.sqrt(sum);
    }

    /**
     * {@return radius that holds a share of the energy, um, by bisection to 1e-9 relative}
     *
     * @param share share of the energy, above 0 and below 1
     * @throws IllegalArgumentException if the share is out of range
     */
    public double radiusHoldingUm(double share) {
        if (!(share > 0 && share < 1)) {
            throw new IllegalArgumentException("share must be above 0 and below 1, got " + share);
        }
        // The narrowest and the widest term alone bound the radius; a table may hold any share within any radius.
        double reach = Math.sqrt(-Math.log1p(-share));
        double low = table == null ? reach * terms.get(0).rangeUm() * (1 - 1e-12) : Double.MIN_NORMAL;
        double high = reach * terms.get(terms.size() - 1).rangeUm() * (1 + 1e-12);
        high = table == null ? high : Math.max(high, table.table().reachUm());
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
        return other instanceof PointSpreadFunction psf && psf.terms.equals(terms) && Objects.equals(psf.table, table);
    }

    @Override
    public int hashCode() {
        return Objects.hash(terms, table);
    }

    @Override
    public String toString() {
        return "PointSpreadFunction" + terms + (table == null ? "" : " and " + table);
    }
}
