package evendose.correction;

import evendose.layout.Layer;
import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

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
        List<LayerDepth> depths = new ArrayList<>();
        for (int g = 0; g < table.roles().size(); g++) {
            LayerRole role = table.roles().get(g);
            if (role.fixedDose().isPresent()) {
                continue;
            }
            double dose = base * table.target(g);
            double wanted = curve.depthNm(dose);
            Sum before = new Sum(wanted);
            Sum after = new Sum(wanted);
            for (int u = 0; u < pieces.units(); u++) {
                if (pieces.layerOfShape(shape[u]) == g) {
                    double area = 0;
                    for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                        area += pieces.areaUm2(i);
                    }
                    before.add(curve.depthNm(base * wide[u]), area);
                    after.add(curve.depthNm(base * table.energyCorrected(u)), area);
                }
            }
            if (before.area > 0) {
                depths.add(new LayerDepth(role.layer(), wanted, dose, before.range(), after.range()));
            }
        }
        return depths;
    }

    private static final class Sum {
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
