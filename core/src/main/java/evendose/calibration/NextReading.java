package evendose.calibration;

import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * A reading that a next dose test might add, and what it would do for a length predicted with a calibration.
 *
 * <p>With C the covariance of the parameters, s the length's derivatives with them and v those of the reading over its standard error,
 * the reading takes {@code (s^T C v)^2 / (1 + v^T C v)} from the variance of the length: the first-order result for one more
 * measurement of a linear model (the update formula of J. Sherman, W. J. Morrison, Ann. Math. Stat. 21, 124 (1950), from memory).
 * Offered are the rings, discs and lines that dose tests are made of, sized for the calibration found, on a ladder of doses 5 % apart.
 *
 * <p>Accuracy: {@code NextReadingTest} finds the same from the inverse of the whole information.
 *
 * @param figure what to write
 * @param label the same in a few words
 * @param fromUcPerCm2 lowest dose to write it at, uC/cm^2
 * @param toUcPerCm2 highest dose, uC/cm^2
 * @param doses number of doses, in equal ratios
 * @param chargeUc charge of all of them, uC
 * @param varianceGone what it takes from the variance of the length, in the square of its unit
 */
public record NextReading(
        TestFigure figure,
        String label,
        double fromUcPerCm2,
        double toUcPerCm2,
        int doses,
        double chargeUc,
        double varianceGone) {
    private static final double STEP_PERCENT = 5;
    private static final int DOSES_PER_RING = 13;
    private static final double SMALLEST_BETA = 20;
    private static final double LARGEST_ETA = 10;

    /** Unit of the width offset in a calibration, and in its model, um. */
    private static final double OFFSET_UM = 1e-3;

    /**
     * What is known of a process.
     *
     * @param values alpha and beta (um), eta, gamma (um) and nu of a third term, tau of a threshold of its own, and clearing dose
     *     (uC/cm^2), by name; those of a third term and tau only where there are such
     * @param fitted names of the parameters that are known with an error
     * @param covariance of their logarithms, and of the width offset itself, nm; a row a parameter
     * @param clearingScatter how clearing doses scatter, relative
     * @param widthScatterUm how widths scatter, um
     */
    public record Known(
            Map<String, Double> values,
            List<String> fitted,
            List<List<Double>> covariance,
            double clearingScatter,
            double widthScatterUm) {
        /** How readings scatter where a calibration does not tell: clearing doses, relative. */
        public static final double USUAL_CLEARING_SCATTER = DoseTestDesign.CLEARING_SCATTER;

        /** The same of widths, um. */
        public static final double USUAL_WIDTH_SCATTER_UM = DoseTestDesign.WIDTH_SCATTER_UM;

        private double value(String name) {
            return values.get(name);
        }

        private boolean has(String name) {
            return values.containsKey(name);
        }

        /** C v. */
        private double[] times(double[] v) {
            return covariance.stream()
                    .mapToDouble(row -> {
                        double sum = 0;
                        for (int j = 0; j < v.length; j++) {
                            sum += row.get(j) * v[j];
                        }
                        return sum;
                    })
                    .toArray();
        }
    }

    /**
     * The readings that help a length most.
     *
     * @param known the calibration
     * @param slopes the length's derivatives with {@code known.fitted()}, in their order
     * @return the best reading of each figure, the most helpful first; none where beta is below 20 alpha or eta above 10,
     *     for which no dose test is designed
     * @throws IllegalArgumentException if the numbers of parameters differ
     */
    public static List<NextReading> ranked(Known known, double[] slopes) {
        int n = known.fitted().size();
        if (slopes.length != n
                || known.covariance().size() != n
                || known.covariance().stream().anyMatch(row -> row.size() != n)) {
            throw new IllegalArgumentException("numbers of parameters differ");
        }
        if (known.value("beta") < SMALLEST_BETA * known.value("alpha") || known.value("eta") >= LARGEST_ETA) {
            return List.of();
        }
        DoseTestPattern.Guess guess = new DoseTestPattern.Guess(
                known.value("alpha"),
                known.value("beta"),
                known.value("eta"),
                known.value("clearing dose"),
                STEP_PERCENT,
                DOSES_PER_RING);
        FitOptions model = new FitOptions(
                FitOptions.USUAL.alphaUm(),
                FitOptions.USUAL.betaUm(),
                FitOptions.USUAL.eta(),
                known.has("gamma"),
                known.has("tau"),
                FitOptions.USUAL.widthOffset());
        double[] all = CalibrationModel.names(model).stream()
                .mapToDouble(name -> known.has(name) ? Math.log(known.value(name)) : 0)
                .toArray();
        double[] times = known.times(slopes);
        Map<TestFigure, NextReading> best = new LinkedHashMap<>();
        for (OfferedReading offer : OfferedReading.all(guess, CalibrationModel.terms(all, model.thirdTerm()))) {
            double[] v = informative(offer, known, model, all);
            double both = dot(times, v);
            double gone = both * both / (1 + dot(known.times(v), v));
            best.merge(
                    offer.reading().figure(),
                    of(offer, guess, gone),
                    (a, b) -> a.varianceGone >= b.varianceGone ? a : b);
        }
        return best.values().stream()
                .sorted(Comparator.comparingDouble(NextReading::varianceGone).reversed())
                .toList();
    }

    private static NextReading of(OfferedReading offer, DoseTestPattern.Guess guess, double gone) {
        List<Integer> doses = offer.doses();
        return new NextReading(
                offer.reading().figure(),
                offer.reading().label(),
                guess.doseUcPerCm2(doses.get(0)),
                guess.doseUcPerCm2(doses.get(doses.size() - 1)),
                doses.size(),
                offer.chargeUc(),
                gone);
    }

    /** Derivatives of a reading with the parameters of the calibration, over its standard error. */
    private static double[] informative(OfferedReading offer, Known known, FitOptions options, double[] all) {
        CalibrationModel model = new CalibrationModel(List.of(offer.reading()), options, all, new double[] {1, 1});
        double sigma = offer.standardError(known.clearingScatter(), known.widthScatterUm());
        double[] slopes = model.slopes(model.start())[0];
        List<String> names = CalibrationModel.names(options);
        double[] v = new double[known.fitted().size()];
        for (int j = 0; j < slopes.length; j++) {
            String name = names.get(model.free()[j]);
            int at = known.fitted().indexOf(name);
            if (at >= 0) {
                boolean offset = model.free()[j] == all.length - 1;
                v[at] = slopes[j] / sigma * (offset ? OFFSET_UM / CalibrationModel.WIDTH_ERROR_UM : 1);
            }
        }
        return v;
    }

    private static double dot(double[] a, double[] b) {
        double sum = 0;
        for (int i = 0; i < a.length; i++) {
            sum += a[i] * b[i];
        }
        return sum;
    }
}
