package evendose.energy;

import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.List;
import java.util.stream.IntStream;

/**
 * Neighbouring terms of a point spread function that are computed together: the terms {@code first} to {@code end - 1} by rising
 * range. The number of a tabulated part is that of the Gaussians: it comes last.
 *
 * @param evaluator how; far ones share a grid
 * @param first first term
 * @param end the term after the last
 * @serial exclude
 */
public record TermGroup(Evaluator evaluator, int first, int end) implements Serializable {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public TermGroup {
        if (first < 0 || end <= first) {
            throw new IllegalArgumentException("no terms from " + first + " to before " + end);
        }
    }

    /**
     * {@return each term for itself, by the given evaluator}
     *
     * @param evaluators the evaluator of each term, in the order of the terms
     */
    public static List<TermGroup> each(Evaluator... evaluators) {
        return IntStream.range(0, evaluators.length)
                .mapToObj(k -> new TermGroup(evaluators[k], k, k + 1))
                .toList();
    }

    /**
     * Refuses groups that leave terms out, take them twice, put a tabulated part elsewhere than on a grid, or direct terms on one with
     * others.
     */
    static void check(List<TermGroup> groups, PointSpreadFunction psf) {
        int next = 0;
        for (TermGroup group : groups) {
            if (group.first != next) {
                throw new IllegalArgumentException("group from term " + group.first + ", expected " + next);
            }
            next = group.end;
            if (group.evaluator == Evaluator.FAR && group.first < psf.directTerms() && group.end > psf.directTerms()) {
                throw new IllegalArgumentException("direct terms cannot share a grid with others");
            }
            if (group.evaluator == Evaluator.NEAR && group.end > psf.terms().size()) {
                throw new IllegalArgumentException("there is no closed form for a table");
            }
        }
        if (next != psf.parts()) {
            throw new IllegalArgumentException(next + " terms in groups, " + psf.parts() + " in the function");
        }
    }
}
