package evendose.correction;

import evendose.Internal;
import evendose.Supported;
import evendose.parallel.Progress;
import evendose.pieces.FractureOptions;
import evendose.pieces.Measuring;
import evendose.pieces.PieceRules;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.io.Serializable;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * How to correct, and with what. Immutable: {@link #of} gives the usual options, {@link #builder} others, {@link #toBuilder} changed ones.
 *
 * <p>Two are equal if they lead to the same doses: threads and the listener do not count.
 *
 * @serial exclude
 */
@Supported
public final class CorrectionOptions implements Serializable {
    private static final long serialVersionUID = 1L;

    private final Values values;
    private final int threads;
    /** Stays where it is; who reads options that have travelled listens no more. */
    private final transient Progress progress;

    /** What the doses depend on; null for what is not set, since {@code Optional} does not travel. */
    private record Values(
            PointSpreadFunction psf,
            Criterion criterion,
            double referenceDensity,
            double maxPieceUm,
            double tolerance,
            int maxIterations,
            double minFactor,
            double maxFactor,
            LevelRule levels,
            boolean levelStudy,
            boolean oneDosePerShape,
            Double baseDoseUcPerCm2,
            PieceRules rules,
            double allowedEdgeError,
            LongRange longRange,
            double biasUm,
            List<EdgeMove> moves)
            implements Serializable {

        Values {
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
            if (baseDoseUcPerCm2 != null) {
                Range.positive("base dose (uC/cm^2)", baseDoseUcPerCm2);
            }
            Range.positive("allowed error along edges", allowedEdgeError);
            longRange.with(psf);
            Range.require(Double.isFinite(biasUm), "bias (um) must be finite", biasUm);
            if (biasUm != 0 && criterion != Criterion.EDGE) {
                throw new IllegalArgumentException(
                        "a bias goes with the edge criterion, which puts edges where they are drawn");
            }
            if (biasUm != 0 && longRange.loading().isPresent()) {
                throw new IllegalArgumentException(
                        "a bias does not go with the loading of the development, which is taken from what is exposed: leave one out");
            }
            if (!moves.isEmpty()) {
                requireMovable(criterion, longRange, biasUm);
            }
        }
    }

    private Object readResolve() {
        return new CorrectionOptions(values, threads, Progress.NONE);
    }

    private static void requireMovable(Criterion criterion, LongRange longRange, double biasUm) {
        if (criterion != Criterion.EDGE) {
            throw new IllegalArgumentException(
                    "moved edges go with the edge criterion, which puts edges where they are drawn");
        }
        if (biasUm != 0) {
            throw new IllegalArgumentException(
                    "moved edges do not go with a bias, which moves all of them: leave one out");
        }
        if (longRange.loading().isPresent()) {
            throw new IllegalArgumentException(
                    "moved edges do not go with the loading of the development, which is taken from what is exposed: leave one out");
        }
    }

    private CorrectionOptions(Values values, int threads, Progress progress) {
        Range.require(threads >= 1, "number of threads must be at least 1", threads);
        this.values = values;
        this.threads = threads;
        this.progress = progress;
    }

    /**
     * {@return the usual options for {@code psf}; see {@link #builder}}
     *
     * @param psf the point spread function
     */
    public static CorrectionOptions of(PointSpreadFunction psf) {
        return builder(psf).build();
    }

    /**
     * {@return a builder that starts from the usual options: edge criterion with its usual reference density, cells of at most a
     * quarter of the mean range beyond the direct one ({@link #usualCellUm}), tolerance 1e-3, at most 50 iterations, factors from 0.05 to 20, free
     * doses, {@link PieceRules#USUAL}, and 1 % allowed along edges}
     *
     * @param psf the point spread function
     */
    public static Builder builder(PointSpreadFunction psf) {
        return new Builder(given(psf, "point spread function"));
    }

    /** {@return a builder that starts from these options} */
    public Builder toBuilder() {
        return new Builder(this);
    }

    private static <T> T given(T value, String what) {
        return Objects.requireNonNull(value, what + " must not be null");
    }

    /** Collects options. What is out of range is told by {@link #build}. */
    public static final class Builder {
        private final PointSpreadFunction psf;
        private Criterion criterion = Criterion.EDGE;
        private OptionalDouble referenceDensity = OptionalDouble.empty();
        private double maxPieceUm;
        private double tolerance = 1e-3;
        private int maxIterations = 50;
        private double minFactor = 0.05;
        private double maxFactor = 20;
        private LevelRule levels;
        private boolean levelStudy;
        private boolean oneDosePerShape;
        private Double baseDoseUcPerCm2;
        private PieceRules rules = PieceRules.USUAL;
        private double allowedEdgeError = 0.01;
        private LongRange longRange = LongRange.NONE;
        private double biasUm;
        private List<EdgeMove> moves = List.of();
        private int threads = Runtime.getRuntime().availableProcessors();
        private Progress progress = Progress.NONE;

        private Builder(PointSpreadFunction psf) {
            this.psf = psf;
            this.maxPieceUm = usualCellUm(psf);
        }

        private Builder(CorrectionOptions from) {
            Values v = from.values;
            psf = v.psf;
            criterion = v.criterion;
            referenceDensity = OptionalDouble.of(v.referenceDensity);
            maxPieceUm = v.maxPieceUm;
            tolerance = v.tolerance;
            maxIterations = v.maxIterations;
            minFactor = v.minFactor;
            maxFactor = v.maxFactor;
            levels = v.levels;
            levelStudy = v.levelStudy;
            oneDosePerShape = v.oneDosePerShape;
            baseDoseUcPerCm2 = v.baseDoseUcPerCm2;
            rules = v.rules;
            allowedEdgeError = v.allowedEdgeError;
            longRange = v.longRange;
            biasUm = v.biasUm;
            moves = v.moves;
            threads = from.threads;
            progress = from.progress;
        }

        /**
         * Sets what is made equal.
         *
         * @param value the criterion
         * @return this builder
         */
        public Builder criterion(Criterion value) {
            criterion = given(value, "criterion");
            return this;
        }

        /**
         * Sets which grating has factor 1.
         *
         * @param value its density, 0 to 1
         * @return this builder
         */
        public Builder referenceDensity(double value) {
            referenceDensity = OptionalDouble.of(value);
            return this;
        }

        /**
         * Sets how large the cell of a dose unit may be.
         *
         * @param value largest extent, um
         * @return this builder
         */
        public Builder maxPieceUm(double value) {
            maxPieceUm = value;
            return this;
        }

        /**
         * Sets when the iteration stops.
         *
         * @param value largest residual, positive
         * @return this builder
         */
        public Builder tolerance(double value) {
            tolerance = value;
            return this;
        }

        /**
         * Sets when the iteration gives up.
         *
         * @param value most dose updates, at least 1
         * @return this builder
         */
        public Builder maxIterations(int value) {
            maxIterations = value;
            return this;
        }

        /**
         * Bounds the doses from below.
         *
         * @param value smallest dose factor, positive
         * @return this builder
         */
        public Builder minFactor(double value) {
            minFactor = value;
            return this;
        }

        /**
         * Bounds the doses from above.
         *
         * @param value largest dose factor
         * @return this builder
         */
        public Builder maxFactor(double value) {
            maxFactor = value;
            return this;
        }

        /**
         * Allows a limited number of doses only.
         *
         * @param value which doses
         * @return this builder
         */
        public Builder levels(LevelRule value) {
            levels = given(value, "rule of levels");
            return this;
        }

        /**
         * Asks for what other numbers of doses would cost.
         *
         * @param value whether to find out
         * @return this builder
         */
        public Builder levelStudy(boolean value) {
            levelStudy = value;
            return this;
        }

        /**
         * Gives all pieces of a merged shape one dose.
         *
         * @param value whether they share it
         * @return this builder
         */
        public Builder oneDosePerShape(boolean value) {
            oneDosePerShape = value;
            return this;
        }

        /**
         * Makes the doses known as such, not as factors alone.
         *
         * @param value dose at factor 1, uC/cm^2
         * @return this builder
         */
        public Builder baseDoseUcPerCm2(double value) {
            baseDoseUcPerCm2 = value;
            return this;
        }

        /**
         * Sets what the writer asks of pieces.
         *
         * @param value tolerance, grid and smallest size
         * @return this builder
         */
        public Builder rules(PieceRules value) {
            rules = given(value, "rules of pieces");
            return this;
        }

        /**
         * Sets how far units are divided, and how far neighbours are given one dose.
         *
         * @param value share of the target that 95 % of the outline off corners has to keep to, above 0
         * @return this builder
         */
        public Builder allowedEdgeError(double value) {
            allowedEdgeError = value;
            return this;
        }

        /**
         * Sets what reaches farther than scattering in the sample: fogging and the loading of the development.
         *
         * @param value these effects
         * @return this builder
         */
        public Builder longRange(LongRange value) {
            longRange = given(value, "effects of long range");
            return this;
        }

        /**
         * Exposes shapes larger or smaller than drawn; doses are found so that edges still come out where they are drawn. Goes with
         * {@link Criterion#EDGE}, and not with a loading of the development.
         *
         * @param value how far outwards the outline is moved on each side, um; negative makes shapes smaller
         * @return this builder
         */
        public Builder biasUm(double value) {
            biasUm = value;
            return this;
        }

        /**
         * Sets which parts of the drawn outline are exposed elsewhere, while edges are still put where they are drawn.
         *
         * @param value the parts, disjoint
         * @return this builder
         */
        @Internal
        public Builder moves(List<EdgeMove> value) {
            moves = List.copyOf(value);
            return this;
        }

        /**
         * Sets how many threads to use; the doses do not depend on it.
         *
         * @param value number of threads, at least 1
         * @return this builder
         */
        public Builder threads(int value) {
            threads = value;
            return this;
        }

        /**
         * Sets who hears how far the work is.
         *
         * @param value the listener, called from any of the threads
         * @return this builder
         */
        public Builder progress(Progress value) {
            progress = given(value, "progress");
            return this;
        }

        /**
         * {@return the options}
         *
         * @throws IllegalArgumentException if a value is out of range
         */
        public CorrectionOptions build() {
            Values values = new Values(
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
                    rules,
                    allowedEdgeError,
                    longRange,
                    biasUm,
                    moves);
            return new CorrectionOptions(values, threads, progress);
        }
    }

    /** {@return the point spread function} */
    public PointSpreadFunction psf() {
        return values.psf;
    }

    /** {@return what is made equal} */
    public Criterion criterion() {
        return values.criterion;
    }

    /** {@return density of the grating that has factor 1, 0 to 1} */
    public double referenceDensity() {
        return values.referenceDensity;
    }

    /** {@return largest extent of a dose unit's cell, um} */
    public double maxPieceUm() {
        return values.maxPieceUm;
    }

    /** {@return largest residual at which the iteration stops} */
    public double tolerance() {
        return values.tolerance;
    }

    /** {@return most dose updates} */
    public int maxIterations() {
        return values.maxIterations;
    }

    /** {@return smallest dose factor} */
    public double minFactor() {
        return values.minFactor;
    }

    /** {@return largest dose factor} */
    public double maxFactor() {
        return values.maxFactor;
    }

    /** {@return limited set of doses to use; empty for free doses} */
    public Optional<LevelRule> levels() {
        return Optional.ofNullable(values.levels);
    }

    /** {@return whether to find out what other numbers of levels would cost} */
    public boolean levelStudy() {
        return values.levelStudy;
    }

    /** {@return whether all units of a merged shape share one dose} */
    public boolean oneDosePerShape() {
        return values.oneDosePerShape;
    }

    /** {@return dose at factor 1, uC/cm^2; empty if it is not known} */
    public OptionalDouble baseDoseUcPerCm2() {
        return values.baseDoseUcPerCm2 == null ? OptionalDouble.empty() : OptionalDouble.of(values.baseDoseUcPerCm2);
    }

    /** {@return what the writer asks of pieces} */
    public PieceRules rules() {
        return values.rules;
    }

    /** {@return goal for the energy along the outline, as a share of the target} */
    public double allowedEdgeError() {
        return values.allowedEdgeError;
    }

    /** {@return fogging and the loading of the development; {@link #psf} is without fogging} */
    public LongRange longRange() {
        return values.longRange;
    }

    /** {@return how far outside the drawn outline shapes are exposed, um; negative if inside} */
    public double biasUm() {
        return values.biasUm;
    }

    /** {@return which parts of the drawn outline are exposed elsewhere; cannot be changed} */
    @Internal
    public List<EdgeMove> moves() {
        return values.moves;
    }

    /** {@return number of threads to use} */
    public int threads() {
        return threads;
    }

    /** {@return who hears how far the work is} */
    public Progress progress() {
        return progress;
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof CorrectionOptions o && values.equals(o.values);
    }

    @Override
    public int hashCode() {
        return values.hashCode();
    }

    @Override
    public String toString() {
        return values.toString().replaceFirst("^Values", "CorrectionOptions");
    }

    /** {@return energy that the criterion asks for, with the reference density accounted for; before any loading of the development} */
    public double target() {
        return values.criterion.targetAt(values.psf, values.referenceDensity);
    }

    /**
     * {@return largest extent of a dose unit's cell before anything is known of the layout, um: a quarter of the mean range, by
     * weight, of what lies far beyond the shortest} A term counts by {@code x^4 / (x^4 + 10^4)}, {@code x = s_k / s_1}, so that no small change of the function
     * changes the cell by much; a thousandth of 1,000 ranges is added for functions that have nothing far.
     *
     * @param psf the point spread function
     */
    public static double usualCellUm(PointSpreadFunction psf) {
        return new CutLengths(psf).usualCellUm();
    }

    /** {@return how shapes are cut under these options} */
    @Internal
    public FractureOptions fracture() {
        return new CutLengths(values.psf).fracture(values.maxPieceUm, values.criterion.judging(), values.rules);
    }

    /**
     * Where the outcome is measured.
     *
     * @param leastUm least length of outline between points, um
     */
    Measuring measuring(double leastUm) {
        return new CutLengths(values.psf).measuring(leastUm, values.maxPieceUm, values.allowedEdgeError);
    }
}
