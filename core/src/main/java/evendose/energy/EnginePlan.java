package evendose.energy;

import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Optional;

/**
 * What an {@link EnergyModel} is to be built from, and how each term is to be computed: by default in the way that costs
 * least in a correction, by an estimate from a sample of units ({@code TermCostTest} holds it against measured times).
 */
public final class EnginePlan {
    private final Pieces pieces;
    private final Samples samples;
    private final PointSpreadFunction psf;
    private final double[] boundsUm;
    private final PieceIndex index;
    private final Optional<UnitCopies> copies;
    private final List<TermGroup> groups;
    private final double slack;
    private final double bytes;

    private EnginePlan(
            Pieces pieces,
            Samples samples,
            PointSpreadFunction psf,
            double[] boundsUm,
            PieceIndex index,
            Optional<UnitCopies> copies,
            List<TermGroup> groups,
            double slack,
            double bytes) {
        TermGroup.check(groups, psf);
        this.pieces = pieces;
        this.samples = samples;
        this.psf = psf;
        this.boundsUm = boundsUm;
        this.index = index;
        this.copies = copies;
        this.groups = List.copyOf(groups);
        this.slack = slack;
        this.bytes = bytes;
    }

    /**
     * {@return the cheapest way: terms that are cheaper in closed form, and others in groups that share a grid}
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @param workers who computes; the result does not depend on their number
     * @throws IllegalArgumentException if the numbers of units differ
     */
    public static EnginePlan of(Pieces pieces, Samples samples, PointSpreadFunction psf, Workers workers) {
        checkUnits(pieces, samples);
        PieceIndex index = new PieceIndex(pieces);
        UnitCopies copies = UnitCopies.of(pieces, samples, workers);
        TermCost cost = TermCost.ofCorrection(pieces, samples, copies, index, psf);
        return cheapest(pieces, samples, index, copies, psf, 0, cost);
    }

    private static EnginePlan cheapest(
            Pieces pieces,
            Samples samples,
            PieceIndex index,
            UnitCopies copies,
            PointSpreadFunction psf,
            double slack,
            TermCost cost) {
        if (pieces.size() == 0) {
            // Where nothing is exposed, no term has anything to do.
            PointSpreadFunction gaussians = PointSpreadFunction.from(psf.terms());
            List<TermGroup> near = List.of(new TermGroup(Evaluator.NEAR, 0, gaussians.parts()));
            return new EnginePlan(
                    pieces, samples, gaussians, pieces.boundsUm(), index, Optional.of(copies), near, slack, 0);
        }
        TermCost.Plan plan = cost.cheapest(psf.parts());
        return new EnginePlan(
                pieces,
                samples,
                psf,
                pieces.boundsUm(),
                index,
                Optional.of(copies),
                plan.groups(),
                slack,
                plan.cost().bytes());
    }

    /**
     * {@return the cheapest way to the energies at some points that are not known yet}
     *
     * @param pieces what is exposed
     * @param psf the point spread function
     * @param points about how many points
     * @param fields about how many sets of doses and point spread functions
     * @param slack by how much, relative, ranges of other point spread functions will differ from those of this one
     */
    public static EnginePlan forPoints(
            Pieces pieces, PointSpreadFunction psf, double points, double fields, double slack) {
        int units = pieces.units();
        Samples none = new Samples(new double[0], new double[0], new float[0], new int[units + 1], new boolean[units]);
        PieceIndex index = new PieceIndex(pieces);
        TermCost cost = TermCost.ofPoints(pieces, index, psf, points, fields, slack);
        return cheapest(pieces, none, index, UnitCopies.none(pieces, none), psf, slack, cost);
    }

    /**
     * {@return each term as given, for comparisons}
     *
     * @param pieces what is exposed
     * @param samples where each unit is judged; as many units as {@code pieces} has
     * @param psf the point spread function
     * @param groups all terms in order
     * @throws IllegalArgumentException if the numbers of units or terms differ
     */
    public static EnginePlan with(Pieces pieces, Samples samples, PointSpreadFunction psf, List<TermGroup> groups) {
        checkUnits(pieces, samples);
        return new EnginePlan(
                pieces,
                samples,
                psf,
                pieces.boundsUm(),
                new PieceIndex(pieces),
                Optional.empty(),
                groups,
                0,
                Double.NaN);
    }

    private static void checkUnits(Pieces pieces, Samples samples) {
        if (pieces.units() != samples.units()) {
            throw new IllegalArgumentException(pieces.units() + " units with samples for " + samples.units());
        }
    }

    /** {@return how the terms are to be computed} */
    public List<TermGroup> groups() {
        return groups;
    }

    /** {@return estimated memory of the model, bytes; NaN where groups were given} */
    public double bytes() {
        return bytes;
    }

    double slack() {
        return slack;
    }

    Pieces pieces() {
        return pieces;
    }

    Samples samples() {
        return samples;
    }

    PointSpreadFunction psf() {
        return psf;
    }

    double[] boundsUm() {
        return boundsUm;
    }

    PieceIndex index() {
        return index;
    }

    UnitCopies copies(Workers workers) {
        return copies.orElseGet(() -> UnitCopies.of(pieces, samples, workers));
    }
}
