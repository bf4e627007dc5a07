package evendose.correction;

import evendose.pieces.FractureOptions;
import evendose.pieces.Measuring;
import evendose.pieces.PieceRules;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Comparator;
import java.util.stream.Stream;

/** The lengths at which shapes are cut, judged and measured, as a point spread function asks for them. */
final class CutLengths {
    /** Terms beyond the direct ones that make up less than this, from the shortest on, ride along with longer ones. */
    private static final double WEIGHTY = 0.05;

    private static final double LITTLE = 1e-3;
    private static final double FAR_AWAY = 1_000;
    private static final double SQRT_PI = Math.sqrt(Math.PI);

    private final PointSpreadFunction psf;
    private final double shortestUnitUm;

    CutLengths(PointSpreadFunction psf) {
        this.psf = psf;
        this.shortestUnitUm = BestBorder.SHORTEST * psf.direct().rangeUm();
    }

    /** As {@link CorrectionOptions#usualCellUm} has it. */
    double usualCellUm() {
        double shortest = psf.terms().get(0).rangeUm();
        double weight = LITTLE;
        double sum = LITTLE * FAR_AWAY * shortest;
        for (GaussianTerm t : beyond(0).toList()) {
            double x = Math.pow(t.rangeUm() / shortest / 10, 4);
            double counted = t.weight() * x / (x + 1);
            weight += counted;
            sum += counted * t.rangeUm();
        }
        return sum / weight / 4;
    }

    /** Cells no larger than asked for, but large enough for a unit; two samples for the finest range that matters. */
    FractureOptions fracture(double maxPieceUm, FractureOptions.Judging judging, PieceRules rules) {
        double direct = psf.direct().rangeUm();
        return new FractureOptions(
                Math.max(maxPieceUm, shortestUnitUm), direct, 0.5 * Math.max(finestUm(), direct), judging, rules);
    }

    /**
     * Where the outcome is measured: often enough for the shortest range that matters. A shape is not divided if even at the edge of a
     * large area the energy could not vary by more than twice what is allowed along it.
     *
     * @param leastUm least length of outline between points, um
     */
    Measuring measuring(double leastUm, double maxPieceUm, double allowedEdgeError) {
        return new Measuring(
                Math.max(Math.max(leastUm, 0.5 * shortestUnitUm), Math.min(finestUm() / 4, maxPieceUm / 8)),
                Math.max(shortestUnitUm, uniformUm(2 * allowedEdgeError)));
    }

    /** Extent within which the background cannot vary by more than a share of the clearing energy, um, for factors about 1. */
    private double uniformUm(double share) {
        double slope = beyond(psf.directTerms())
                .mapToDouble(t -> 2 * t.weight() / (SQRT_PI * t.rangeUm()))
                .sum();
        return slope == 0 ? Double.MAX_VALUE : share / slope;
    }

    /** The shortest range beyond the direct ones at which they make up enough to matter, um. */
    private double finestUm() {
        double sum = 0;
        for (GaussianTerm t : beyond(psf.directTerms()).toList()) {
            sum += t.weight();
            if (sum >= WEIGHTY) {
                return t.rangeUm();
            }
        }
        return psf.main().rangeUm();
    }

    /** Terms from the given one on by rising range, a table as the Gaussian of its weight and rms radius. */
    private Stream<GaussianTerm> beyond(int first) {
        Stream<GaussianTerm> table = psf.table().stream()
                .map(t -> new GaussianTerm(t.weight(), t.table().rmsRadiusUm()));
        return Stream.concat(psf.terms().stream().skip(first), table)
                .sorted(Comparator.comparingDouble(GaussianTerm::rangeUm));
    }
}
