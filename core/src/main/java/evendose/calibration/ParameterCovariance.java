package evendose.calibration;

import java.util.Arrays;
import java.util.List;

/**
 * Covariance of fitted parameters: of their natural logarithms, but for the width offset, which is in nm. Not to be changed.
 *
 * @param names the fitted parameters, in the order of rows and columns
 * @param matrix the covariance
 * @param parts what of it comes from scatters that were found from the data: these are known with few degrees of freedom only
 */
public record ParameterCovariance(List<String> names, double[][] matrix, List<Part> parts) {
    /** Name of the parameter that is no logarithm. */
    static final String OFFSET = "width offset";

    /**
     * What measurements of a kind with unknown errors contribute.
     *
     * @param kind clearing doses or widths
     * @param freedom degrees of freedom that their scatter is known with, at least 1
     * @param matrix their part of the covariance
     */
    public record Part(Measurement.Kind kind, double freedom, double[][] matrix) {
        /** What counts for equality, arrays by what they hold. */
        private Object[] values() {
            return new Object[] {kind, freedom, matrix};
        }

        @Override
        public boolean equals(Object other) {
            return other instanceof Part o && Arrays.deepEquals(values(), o.values());
        }

        @Override
        public int hashCode() {
            return Arrays.deepHashCode(values());
        }
    }

    /** Of a solution, whose offset is counted in units of {@link CalibrationModel#WIDTH_ERROR_UM}. */
    static ParameterCovariance of(Solution solution, List<String> names) {
        List<Part> parts = Arrays.stream(Measurement.Kind.values())
                .filter(kind -> solution.freedom(kind) > 0)
                .map(kind ->
                        new Part(kind, Math.max(1, solution.freedom(kind)), inNm(solution.covarianceFrom(kind), names)))
                .toList();
        return new ParameterCovariance(names, inNm(solution.covariance(), names), parts);
    }

    /** {@return the correlation of the fitted parameters, in their order; a new array} */
    public double[][] correlation() {
        double[][] correlation = new double[matrix.length][matrix.length];
        for (int a = 0; a < correlation.length; a++) {
            for (int b = 0; b < correlation.length; b++) {
                correlation[a][b] = matrix[a][b] / Math.sqrt(matrix[a][a] * matrix[b][b]);
            }
        }
        return correlation;
    }

    private static double[][] inNm(double[][] covariance, List<String> names) {
        double nm = 1e3 * CalibrationModel.WIDTH_ERROR_UM;
        double[][] scaled = new double[names.size()][names.size()];
        for (int a = 0; a < scaled.length; a++) {
            for (int b = 0; b < scaled.length; b++) {
                scaled[a][b] = covariance[a][b]
                        * (names.get(a).equals(OFFSET) ? nm : 1)
                        * (names.get(b).equals(OFFSET) ? nm : 1);
            }
        }
        return scaled;
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {names, matrix, parts};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof ParameterCovariance o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
