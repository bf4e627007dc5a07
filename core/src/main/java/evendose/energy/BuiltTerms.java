package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;

/** The linear map of some terms of a point spread function: a matrix for the near ones, a grid for each group of far ones. */
final class BuiltTerms {
    final SparseMatrix near;
    final List<FarField> far;
    private double[] coverage = new double[0];
    private double[] blurred = new double[0];

    BuiltTerms(SparseMatrix near, List<FarField> far) {
        this.near = near;
        this.far = far;
    }

    /**
     * Builds what some groups ask for.
     *
     * @param groups the terms that count, from the first on
     * @param slack see {@link FarTerms}
     * @param boundsUm what grids must cover: at least the pieces
     */
    static BuiltTerms build(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            UnitCopies copies,
            PointSpreadFunction psf,
            List<TermGroup> groups,
            double slack,
            double[] boundsUm,
            Workers workers,
            Progress progress) {
        List<GaussianTerm> nearTerms = new ArrayList<>();
        int nearDirect = 0;
        List<FarField> far = new ArrayList<>();
        for (TermGroup group : groups) {
            if (group.evaluator() == Evaluator.NEAR) {
                nearTerms.addAll(psf.terms().subList(group.first(), group.end()));
                nearDirect += Math.max(0, Math.min(group.end(), psf.directTerms()) - group.first());
                continue;
            }
            FarTerms terms = FarTerms.of(psf, group, slack);
            if (FarGrid.nodesFor(boundsUm, terms.pitchUm(), terms.reachUm()) > FarGrid.MOST_NODES) {
                throw new IllegalArgumentException(
                        "the layout is too large for a grid with a pitch of " + terms.pitchUm() + " um");
            }
            boolean direct = group.first() < psf.directTerms();
            far.add(new FarField(pieces, samples, boundsUm, terms, direct, workers, progress));
        }
        SparseMatrix near = NearField.assemble(
                pieces,
                samples,
                index,
                copies,
                nearTerms,
                nearDirect,
                psf.direct().weight(),
                workers,
                progress);
        return new BuiltTerms(near, far);
    }

    /** Replaces {@code criterion} by what these terms give. */
    void apply(double[] doseOfUnit, double[] criterion, Workers workers) {
        near.multiply(doseOfUnit, criterion, workers);
        for (FarField field : far) {
            if (coverage.length < field.grid().nodes()) {
                coverage = new double[field.grid().nodes()];
                blurred = new double[field.grid().nodes()];
            }
            field.spread(doseOfUnit, coverage, workers);
            field.blur(coverage, blurred, workers);
            field.gather(blurred, criterion, workers);
        }
    }
}
