package evendose.writing;

import evendose.units.Range;
import java.util.OptionalDouble;

/**
 * The tool and the job, apart from the currents and steps to choose from. {@link #builder} gives the usual values: 15 min to load
 * and pump (common practice), one copy, and nothing for what only the tool's owner knows (clock, field, settling).
 *
 * @param baseDoseUcPerCm2 dose at factor 1, uC/cm^2
 * @param clockMhz highest rate of points that the pattern generator keeps up, MHz
 * @param fieldUm side of a writing field, um; without it the layout counts as one field
 * @param settlePerPieceUs time lost at the start of each piece, us
 * @param settlePerFieldS time lost at the start of each field, s
 * @param stageMoveS time of a stage move from field to field, s
 * @param loadingS time to load and pump, s
 * @param copies how often the layout is written
 * @param slotS length of the booked slot, s
 * @param featureUm side of the smallest feature that must come out right, um; empty for the smallest side of any shape's
 *     bounding box
 * @param largestBeamNm largest acceptable beam diameter, nm
 * @param beam beam diameter against current, or null if it is not known
 */
public record WriterSettings(
        double baseDoseUcPerCm2,
        OptionalDouble clockMhz,
        OptionalDouble fieldUm,
        double settlePerPieceUs,
        double settlePerFieldS,
        double stageMoveS,
        double loadingS,
        int copies,
        OptionalDouble slotS,
        OptionalDouble featureUm,
        OptionalDouble largestBeamNm,
        BeamTable beam) {

    /** Time to load and pump when nothing else is said: 15 min, common practice. */
    public static final double USUAL_LOADING_S = 15 * 60;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public WriterSettings {
        Range.positive("base dose (uC/cm^2)", baseDoseUcPerCm2);
        Range.positive("clock (MHz)", clockMhz);
        Range.positive("field size (um)", fieldUm);
        Range.positive("slot", slotS);
        Range.positive("smallest feature", featureUm);
        Range.positive("largest beam (nm)", largestBeamNm);
        Range.notNegative("settling time per piece", settlePerPieceUs);
        Range.notNegative("settling time per field", settlePerFieldS);
        Range.notNegative("stage move time", stageMoveS);
        Range.notNegative("loading time", loadingS);
        Range.require(copies >= 1, "number of copies must be at least 1", copies);
        if (largestBeamNm.isPresent() && beam == null) {
            throw new IllegalArgumentException("a largest beam needs a table of beam diameters");
        }
    }

    /**
     * {@return a builder that starts from the usual values}
     *
     * @param baseDoseUcPerCm2 dose at factor 1, uC/cm^2
     */
    public static Builder builder(double baseDoseUcPerCm2) {
        return new Builder(baseDoseUcPerCm2);
    }

    /** Collects settings; see {@link WriterSettings} for their meaning. */
    public static final class Builder {
        private final double baseDoseUcPerCm2;
        private OptionalDouble clockMhz = OptionalDouble.empty();
        private OptionalDouble fieldUm = OptionalDouble.empty();
        private double settlePerPieceUs;
        private double settlePerFieldS;
        private double stageMoveS;
        private double loadingS = USUAL_LOADING_S;
        private int copies = 1;
        private OptionalDouble slotS = OptionalDouble.empty();
        private OptionalDouble featureUm = OptionalDouble.empty();
        private OptionalDouble largestBeamNm = OptionalDouble.empty();
        private BeamTable beam;

        private Builder(double baseDoseUcPerCm2) {
            this.baseDoseUcPerCm2 = baseDoseUcPerCm2;
        }

        /**
         * Sets what the pattern generator keeps up with.
         *
         * @param value highest rate of points, MHz
         * @return this builder
         */
        public Builder clockMhz(double value) {
            clockMhz = OptionalDouble.of(value);
            return this;
        }

        /**
         * Divides the layout into writing fields.
         *
         * @param value side of a field, um
         * @return this builder
         */
        public Builder fieldUm(double value) {
            fieldUm = OptionalDouble.of(value);
            return this;
        }

        /**
         * Counts time at the start of each piece.
         *
         * @param value time, us
         * @return this builder
         */
        public Builder settlePerPieceUs(double value) {
            settlePerPieceUs = value;
            return this;
        }

        /**
         * Counts time at the start of each field.
         *
         * @param value time, s
         * @return this builder
         */
        public Builder settlePerFieldS(double value) {
            settlePerFieldS = value;
            return this;
        }

        /**
         * Counts time from field to field.
         *
         * @param value time of a move, s
         * @return this builder
         */
        public Builder stageMoveS(double value) {
            stageMoveS = value;
            return this;
        }

        /**
         * Counts time before writing begins.
         *
         * @param value time to load and pump, s
         * @return this builder
         */
        public Builder loadingS(double value) {
            loadingS = value;
            return this;
        }

        /**
         * Repeats the layout.
         *
         * @param value how often it is written, at least 1
         * @return this builder
         */
        public Builder copies(int value) {
            copies = value;
            return this;
        }

        /**
         * Sets what all has to fit into.
         *
         * @param value length of the booked slot, s
         * @return this builder
         */
        public Builder slotS(double value) {
            slotS = OptionalDouble.of(value);
            return this;
        }

        /**
         * Names the smallest feature that must come out right.
         *
         * @param value its side, um
         * @return this builder
         */
        public Builder featureUm(double value) {
            featureUm = OptionalDouble.of(value);
            return this;
        }

        /**
         * Refuses currents with a wider beam; needs {@link #beam}.
         *
         * @param value largest beam diameter, nm
         * @return this builder
         */
        public Builder largestBeamNm(double value) {
            largestBeamNm = OptionalDouble.of(value);
            return this;
        }

        /**
         * Makes the beam known.
         *
         * @param value its diameter against current
         * @return this builder
         */
        public Builder beam(BeamTable value) {
            beam = value;
            return this;
        }

        /**
         * {@return the settings}
         *
         * @throws IllegalArgumentException if a value is out of range
         */
        public WriterSettings build() {
            return new WriterSettings(
                    baseDoseUcPerCm2,
                    clockMhz,
                    fieldUm,
                    settlePerPieceUs,
                    settlePerFieldS,
                    stageMoveS,
                    loadingS,
                    copies,
                    slotS,
                    featureUm,
                    largestBeamNm,
                    beam);
        }
    }
}
