package evendose.correction;

import evendose.pieces.FractureOptions;
import evendose.pieces.PieceRules;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.util.Comparator;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.stream.Stream;

/**
 * How to correct. {@link #of} gives the usual options, {@link #builder} others.
 *
 * @param psf point spread function
 * @param criterion what is made equal
 * @param referenceDensity density of the grating that has factor 1, 0 to 1
 * @param maxPieceUm largest extent of a dose unit's cell, um
 * @param tolerance largest residual at which the iteration stops, positive
 * @param maxIterations most dose updates, at least 1
 * @param minFactor smallest dose factor, positive
 * @param maxFactor largest dose factor, above {@code minFactor}
 * @param levels limited set of doses to use; empty for free doses
 * @param levelStudy whether to find out what other numbers of levels would cost
 * @param oneDosePerShape whether all units of a merged shape share one dose
 * @param baseDoseUcPerCm2 dose at factor 1, uC/cm^2; empty if it is not known
 * @param rules what the writer asks of pieces
 */
public record CorrectionOptions(
        PointSpreadFunction psf,
        Criterion criterion,
        double referenceDensity,
        double maxPieceUm,
        double tolerance,
        int maxIterations,
        double minFactor,
        double maxFactor,
        Optional<LevelRule> levels,
        boolean levelStudy,
        boolean oneDosePerShape,
        OptionalDouble baseDoseUcPerCm2,
        PieceRules rules) {

    private static final double WEIGHTY = 0.05;

    public CorrectionOptions {
        Range.require(
                referenceDensity >= 0 && referenceDensity <= 1,
                "reference density must lie in 0 to 1",
                referenceDensity);
        Range.positive("largest piece (um)", maxPieceUm);
        Range.require(tolerance > 0 && tolerance < 1, "tolerance must lie between 0 and 1", tolerance);
        Range.require(maxIterations >= 1, "number of iterations must be at least 1", maxIterations);
        Range.positive("smallest factor", minFactor);
        Range.require(
                maxFactor > minFactor && Double.isFinite(maxFactor),
                "largest factor must be above the smallest (" + minFactor + ")",
                maxFactor);
        Range.positive("base dose (uC/cm^2)", baseDoseUcPerCm2);
    }

    /** The usual options for {@code psf}; see {@link #builder}. */
    public static CorrectionOptions of(PointSpreadFunction psf) {
        return builder(psf).build();
    }

    /**
     * A builder that starts from the usual options: edge criterion with its usual reference density, cells of a quarter of
     * the main range, tolerance 1e-3, at most 50 iterations, factors from 0.05 to 20, free doses, {@link PieceRules#USUAL}.
     */
    public static Builder builder(PointSpreadFunction psf) {
        return new Builder(psf);
    }

    /** Collects options; see {@link CorrectionOptions} for their meaning. */
    public static final class Builder {
        private final PointSpreadFunction psf;
        private Criterion criterion = Criterion.EDGE;
        private OptionalDouble referenceDensity = OptionalDouble.empty();
        private double maxPieceUm;
        private double tolerance = 1e-3;
        private int maxIterations = 50;
        private double minFactor = 0.05;
        private double maxFactor = 20;
        private Optional<LevelRule> levels = Optional.empty();
        private boolean levelStudy;
        private boolean oneDosePerShape;
        private OptionalDouble baseDoseUcPerCm2 = OptionalDouble.empty();
        private PieceRules rules = PieceRules.USUAL;

        private Builder(PointSpreadFunction psf) {
            this.psf = psf;
            this.maxPieceUm = psf.main().rangeUm() / 4;
        }

        public Builder criterion(Criterion value) {
            criterion = value;
            return this;
        }

        public Builder referenceDensity(double value) {
            referenceDensity = OptionalDouble.of(value);
            return this;
        }

        public Builder maxPieceUm(double value) {
            maxPieceUm = value;
            return this;
        }

        public Builder tolerance(double value) {
            tolerance = value;
            return this;
        }

        public Builder maxIterations(int value) {
            maxIterations = value;
            return this;
        }

        public Builder minFactor(double value) {
            minFactor = value;
            return this;
        }

        public Builder maxFactor(double value) {
            maxFactor = value;
            return this;
        }

        public Builder levels(LevelRule value) {
            levels = Optional.of(value);
            return this;
        }

        public Builder levelStudy(boolean value) {
            levelStudy = value;
            return this;
        }

        public Builder oneDosePerShape(boolean value) {
            oneDosePerShape = value;
            return this;
        }

        public Builder baseDoseUcPerCm2(double value) {
            baseDoseUcPerCm2 = OptionalDouble.of(value);
            return this;
        }

        public Builder rules(PieceRules value) {
            rules = value;
            return this;
        }

        /**
         * The options.
         *
         * @throws IllegalArgumentException if a value is out of range
         */
        public CorrectionOptions build() {
            return new CorrectionOptions(
                    psf,
                    criterion,
                    referenceDensity.orElse(criterion.usualReferenceDensity()),
                    maxPieceUm,
                    tolerance,
                    maxIterations,
                    minFactor,
                    maxFactor,
                    levels,
                    levelStudy,
                    oneDosePerShape,
                    baseDoseUcPerCm2,
                    rules);
        }
    }

    /** Energy that the criterion asks for, with the reference density accounted for. */
    public double target() {
        return criterion.targetAt(psf, referenceDensity);
    }

    /** How shapes are cut under these options. */
    public FractureOptions fracture() {
        double spacing = weightyBeyondDirect()
                .mapToDouble(GaussianTerm::rangeUm)
                .min()
                .orElse(psf.main().rangeUm());
        return new FractureOptions(
                maxPieceUm,
                psf.direct().rangeUm(),
                Math.max(spacing, psf.direct().rangeUm()) / 2,
                stripUm(),
                criterion.judging(),
                rules);
    }

    /** Strips for the strongest term between the direct ones and the cells. */
    private double stripUm() {
        return weightyBeyondDirect()
                .filter(t -> t.rangeUm() < maxPieceUm)
                .max(Comparator.comparingDouble(GaussianTerm::weight))
                .map(GaussianTerm::rangeUm)
                .orElse(0.0);
    }

    /** Terms beyond the direct ones that are worth samples and strips of their own; weaker ones ride along. */
    private Stream<GaussianTerm> weightyBeyondDirect() {
        return psf.terms().stream().skip(psf.directTerms()).filter(t -> t.weight() >= WEIGHTY);
    }
}
