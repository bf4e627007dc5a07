package evendose.verification;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/**
 * A predicted length with its 95 % interval.
 *
 * @param valueNm what the calibration predicts, nm; not finite where nothing develops
 * @param halfWidthNm half the width of the interval, nm; NaN where a prediction within a standard error of a parameter is lost
 * @param standardErrorNm standard error of the prediction, nm; NaN like {@code halfWidthNm}
 * @param slopesNm derivatives with the logarithms of {@link CalibratedProcess#names}, nm
 * @param sources where it comes from, the largest share first; empty if {@code halfWidthNm} is NaN
 */
public record ErrorBar(
        double valueNm, double halfWidthNm, double standardErrorNm, List<Double> slopesNm, List<Source> sources) {
    /** Name of the source that is the chance arrival of electrons. */
    public static final String SHOT_NOISE = "shot noise";

    /** Name of the source that is the rounding of free doses. */
    public static final String ROUNDING = "rounding to levels";

    private static final double QUANTILE = 0.975;

    /** Beyond so many degrees of freedom Student's distribution is the normal one to 1e-6. */
    private static final double MANY = 1e6;

    /** Shares of the variance below this are no source. */
    private static final double NEGLIGIBLE = 1e-12;

    /**
     * A source of error.
     *
     * @param name a parameter, shot noise, or rounding to levels
     * @param share what of the variance would go if this were known exactly, 0 to 1; shares of parameters that are known together overlap
     */
    public record Source(String name, double share) {}

    /**
     * From derivatives: the variance is {@code s^T C s} and those of the other sources; its degrees of freedom follow from the parts
     * of C (F. E. Satterthwaite, Biometrics Bull. 2, 110 (1946), from memory). Were parameter j known, {@code (C s)_j^2 / C_jj} of it
     * would go.
     *
     * @param slopeNm derivatives with the logarithms of the parameters, nm
     * @param shotNm standard deviation from the chance arrival of electrons, nm
     * @param levelNm standard deviation from rounding to levels, nm
     */
    static ErrorBar of(double valueNm, double[] slopeNm, CalibratedProcess process, double shotNm, double levelNm) {
        double[] times = times(process.covariance(), slopeNm);
        double variance = dot(times, slopeNm) + shotNm * shotNm + levelNm * levelNm;
        List<Double> slopes = Arrays.stream(slopeNm).boxed().toList();
        if (!Double.isFinite(valueNm) || !Double.isFinite(variance)) {
            return new ErrorBar(valueNm, Double.NaN, Double.NaN, slopes, List.of());
        }
        double loose = 0;
        for (CalibratedProcess.Part part : process.parts()) {
            double of = dot(times(part.covariance(), slopeNm), slopeNm);
            loose += of * of / part.freedom();
        }
        double freedom = variance * variance / loose;
        double quantile = freedom < MANY
                ? new TDistribution(freedom).inverseCumulativeProbability(QUANTILE)
                : new NormalDistribution().inverseCumulativeProbability(QUANTILE);
        List<Source> sources = new ArrayList<>();
        for (int j = 0; j < slopeNm.length; j++) {
            sources.add(
                    new Source(process.names().get(j), times[j] * times[j] / process.covariance()[j][j] / variance));
        }
        sources.add(new Source(SHOT_NOISE, shotNm * shotNm / variance));
        sources.add(new Source(ROUNDING, levelNm * levelNm / variance));
        sources.removeIf(s -> !(s.share() > NEGLIGIBLE));
        sources.sort(Comparator.comparingDouble(Source::share).reversed());
        double error = Math.sqrt(variance);
        return new ErrorBar(valueNm, quantile * error, error, slopes, List.copyOf(sources));
    }

    private static double[] times(double[][] matrix, double[] vector) {
        double[] product = new double[vector.length];
        for (int a = 0; a < vector.length; a++) {
            product[a] = dot(matrix[a], vector);
        }
        return product;
    }

    private static double dot(double[] a, double[] b) {
        double sum = 0;
        for (int i = 0; i < a.length; i++) {
            sum += a[i] * b[i];
        }
        return sum;
    }

    /** {@return whether there is an interval} */
    public boolean isKnown() {
        return Double.isFinite(halfWidthNm);
    }

    /** {@return the source with the largest share, or nothing in words} */
    public String dominatedBy() {
        return sources.isEmpty() ? "" : sources.get(0).name();
    }

    /**
     * {@return half the width of the interval if one source were known exactly, nm}
     *
     * @param source one of {@link #sources}
     */
    public double halfWidthWithoutNm(Source source) {
        return halfWidthWithoutNm(source.share());
    }

    /**
     * {@return half the width of the interval if a share of its variance were gone, nm}
     *
     * @param share the share, 0 to 1
     */
    public double halfWidthWithoutNm(double share) {
        return halfWidthNm * Math.sqrt(Math.max(0, 1 - share));
    }
}
