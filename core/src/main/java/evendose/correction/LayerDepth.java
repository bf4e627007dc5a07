package evendose.correction;

import evendose.layout.Layer;
import evendose.pieces.Pieces;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.stream.IntStream;

/**
 * Predicted depth of the shapes of one layer of a grey-tone exposure. Each unit's mean absorbed energy times the base dose is the dose
 * that a wide area would need for as much; the contrast curve turns it into a depth. Means are weighted by area.
 *
 * @param layer the layer
 * @param wantedNm depth wanted, nm
 * @param doseUcPerCm2 dose that makes it on a wide area
 * @param before depths if every shape got that dose
 * @param after depths with the corrected doses
 */
public record LayerDepth(Layer layer, double wantedNm, double doseUcPerCm2, Range before, Range after) {
    /**
     * Depths over a layer, nm.
     *
     * @param min smallest
     * @param mean mean by area
     * @param max largest
     * @param rmsError root mean square of the difference from the wanted depth
     */
    public record Range(double min, double mean, double max, double rmsError) {}

    /**
     * {@return the target energy, relative to the criterion's own, that makes a depth}
     *
     * @param curve the contrast curve
     * @param depthNm depth wanted, nm
     * @param options options with a base dose
     * @throws IllegalArgumentException if the curve does not reach the depth or the base dose is not known
     */
    public static double target(ContrastCurve curve, double depthNm, CorrectionOptions options) {
        double base = options.baseDoseUcPerCm2()
                .orElseThrow(() -> new IllegalArgumentException("depths need the base dose that energy 1 stands for"));
        return curve.doseForDepthUcPerCm2(depthNm) / base / options.target();
    }

    /**
     * Predicts the depths of all corrected layers.
     *
     * @param table a correction by mean energy, with a base dose, in which some layer has a target other than 1
     * @param curve the contrast curve
     * @return the depths, in the order of the layers
     * @throws IllegalArgumentException if it is not such a table
     */
    public static List<LayerDepth> predict(DoseTable table, ContrastCurve curve) {
        return new Parts(table, curve).depths();
    }

    /**
     * Depths of parts of an exposure, which add up to those of all of it.
     *
     * @serial exclude
     */
    public static final class Parts implements Serializable {
        private static final long serialVersionUID = 1L;

        private final List<LayerRole> roles;
        private final double[] doseUcPerCm2;
        private final double[] wantedNm;
        private final Sum[] before;
        private final Sum[] after;

        /**
         * The depths of a part.
         *
         * @param table as {@link #predict} takes it
         * @param curve the contrast curve
         * @throws IllegalArgumentException if it is not such a table
         */
        public Parts(DoseTable table, ContrastCurve curve) {
            if (table.options().criterion() != Criterion.MEAN
                    || table.options().baseDoseUcPerCm2().isEmpty()
                    || table.energyAtWideDose().isEmpty()) {
                throw new IllegalArgumentException(
                        "depths are predicted for corrections by mean energy with a base dose and grey-tone targets");
            }
            double base = table.options().baseDoseUcPerCm2().getAsDouble();
            double[] wide = table.energyAtWideDose().orElseThrow();
            Pieces pieces = table.pieces();
            int[] shape = pieces.shapeOfUnit();
            roles = table.roles();
            doseUcPerCm2 = IntStream.range(0, roles.size())
                    .mapToDouble(g -> base * table.target(g))
                    .toArray();
            wantedNm = Arrays.stream(doseUcPerCm2).map(curve::depthNm).toArray();
            before = Arrays.stream(wantedNm).mapToObj(Sum::new).toArray(Sum[]::new);
            after = Arrays.stream(wantedNm).mapToObj(Sum::new).toArray(Sum[]::new);
            for (int u = 0; u < pieces.units(); u++) {
                int g = pieces.layerOfShape(shape[u]);
                double area = 0;
                for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                    area += pieces.areaUm2(i);
                }
                before[g].add(curve.depthNm(base * wide[u]), area);
                after[g].add(curve.depthNm(base * table.energyCorrected(u)), area);
            }
        }

        private Parts(Parts some, Parts others) {
            roles = some.roles;
            doseUcPerCm2 = some.doseUcPerCm2;
            wantedNm = some.wantedNm;
            before = both(some.before, others.before);
            after = both(some.after, others.after);
        }

        private static Sum[] both(Sum[] some, Sum[] others) {
            return IntStream.range(0, some.length)
                    .mapToObj(g -> some[g].and(others[g]))
                    .toArray(Sum[]::new);
        }

        /**
         * {@return this part and another together}
         *
         * @param other the other, of the same layers
         */
        public Parts and(Parts other) {
            return new Parts(this, other);
        }

        /** {@return the depths of all corrected layers that have shapes, in their order} */
        public List<LayerDepth> depths() {
            List<LayerDepth> depths = new ArrayList<>();
            for (int g = 0; g < before.length; g++) {
                if (roles.get(g).fixedDose().isEmpty() && before[g].area > 0) {
                    depths.add(new LayerDepth(
                            roles.get(g).layer(), wantedNm[g], doseUcPerCm2[g], before[g].range(), after[g].range()));
                }
            }
            return depths;
        }
    }

    private static final class Sum implements Serializable {
        private static final long serialVersionUID = 1L;

        private final double wanted;
        private double min = Double.MAX_VALUE;
        private double max = -Double.MAX_VALUE;
        private double area;
        private double moment;
        private double squares;

        private Sum(double wanted) {
            this.wanted = wanted;
        }

        private void add(double depth, double a) {
            min = Math.min(min, depth);
            max = Math.max(max, depth);
            area += a;
            moment += a * depth;
            squares += a * (depth - wanted) * (depth - wanted);
        }

        private Sum and(Sum other) {
            Sum both = new Sum(wanted);
            both.min = Math.min(min, other.min);
            both.max = Math.max(max, other.max);
            both.area = area + other.area;
            both.moment = moment + other.moment;
            both.squares = squares + other.squares;
            return both;
        }

        private Range range() {
            return new Range(min, moment / area, max, Math.sqrt(squares / area));
        }
    }

    /**
     * {@return the text of {@code depths.csv}}
     *
     * @param depths the depths of the layers
     */
    public static String csv(List<LayerDepth> depths) {
        StringBuilder text = new StringBuilder("layer,datatype,wanted_nm,dose_uc_per_cm2,before_min_nm,before_mean_nm,"
                + "before_max_nm,before_rms_error_nm,after_min_nm,after_mean_nm,after_max_nm,after_rms_error_nm\n");
        for (LayerDepth d : depths) {
            text.append(String.format(
                    Locale.ROOT,
                    "%d,%d,%.4f,%.6g,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f\n",
                    d.layer.number(),
                    d.layer.datatype(),
                    d.wantedNm,
                    d.doseUcPerCm2,
                    d.before.min,
                    d.before.mean,
                    d.before.max,
                    d.before.rmsError,
                    d.after.min,
                    d.after.mean,
                    d.after.max,
                    d.after.rmsError));
        }
        return text.toString();
    }
}
