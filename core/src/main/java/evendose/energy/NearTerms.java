package evendose.energy;

import evendose.psf.GaussianTerm;
import java.util.Arrays;
import java.util.List;

/** The near terms as arrays, by rising range. */
final class NearTerms {
    /** What of a term may be lost about a sample, as energy of a plane. */
    static final double LOST = 1e-7;

    private final double[] weight;
    private final double[] perUm;
    private final double[] reachUm;

    NearTerms(List<GaussianTerm> terms) {
        weight = terms.stream().mapToDouble(GaussianTerm::weight).toArray();
        perUm = terms.stream().mapToDouble(t -> 1 / t.rangeUm()).toArray();
        reachUm = terms.stream().mapToDouble(NearTerms::reachUm).toArray();
    }

    /** Distance, um, beyond which a piece does not count for a term: outside a circle of this radius the term has {@link #LOST} left. */
    static double reachUm(GaussianTerm term) {
        double ranges = Math.sqrt(Math.log(Math.max(1, term.weight() / LOST)));
        return term.rangeUm() * Math.min(GaussianKernel.ENGINE.reach(), ranges);
    }

    int size() {
        return weight.length;
    }

    double weight(int k) {
        return weight[k];
    }

    /** The inverse of a term's range, 1/um. */
    double perUm(int k) {
        return perUm[k];
    }

    /** See {@link #reachUm(GaussianTerm)}. */
    double reachUm(int k) {
        return reachUm[k];
    }

    /** The largest reach, um. */
    double widestUm() {
        return Arrays.stream(reachUm).max().orElse(0);
    }
}
