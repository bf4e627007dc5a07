package evendose.verification;

import evendose.files.NumberText;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.TableTerm;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.function.Function;
import java.util.function.UnaryOperator;

/**
 * What happens to widths if a parameter of the process differs from the one corrected for, while the doses stay.
 *
 * <p>The energy scale stays such that a uniformly exposed plane at factor 1 has energy 1: the base dose is taken to be found anew,
 * as a dose test does. An error of the base dose itself is a parameter of its own.
 *
 * @param percent by how much each parameter is off, %
 * @param effects one for each parameter and sign
 */
public record Sensitivity(double percent, List<Effect> effects) {
    private static final String BASE_DOSE = "base dose";

    /**
     * The effect of one parameter.
     *
     * @param parameter its name: alpha, beta, eta (see {@link #vary}) or base dose
     * @param percent by how much it is off, %, with sign
     * @param changeNm change of the width at each gauge, nm, not to be changed; NaN where the line does not develop any more
     * @param changes their spread, nm
     */
    public record Effect(String parameter, double percent, double[] changeNm, Spread changes) {
        /** What counts for equality, arrays by what they hold. */
        private Object[] values() {
            return new Object[] {parameter, percent, changeNm, changes};
        }

        @Override
        public boolean equals(Object other) {
            return other instanceof Effect o && Arrays.deepEquals(values(), o.values());
        }

        @Override
        public int hashCode() {
            return Arrays.deepHashCode(values());
        }

        /** {@return what is off, in words: "the true beta is 10 % larger"} */
        public String words() {
            return String.format(
                    Locale.ROOT,
                    "the true %s is %s %% %s",
                    parameter,
                    NumberText.plain(Math.abs(percent), 3),
                    percent > 0 ? "larger" : "smaller");
        }
    }

    /**
     * Computes the effects.
     *
     * @param exposure the doses and what they expose
     * @param gauges where to measure
     * @param percent by how much each parameter is off, %, above 0 and below 100
     * @param nominal the energy with the doses
     * @param varied the same with changed point spread functions, see {@link #vary}
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the effects
     */
    static Sensitivity of(
            Exposure exposure,
            List<WidthGauge> gauges,
            double percent,
            PointEnergy nominal,
            Function<UnaryOperator<PointSpreadFunction>, PointEnergy> varied,
            Workers workers,
            Progress progress) {
        if (!(percent > 0 && percent < 100)) {
            throw new IllegalArgumentException("the change must lie between 0 and 100 %, got " + percent);
        }
        WidthMeasurement measurement = new WidthMeasurement(exposure);
        double[] width = measurement.widthsUm(nominal, gauges, workers);
        List<Effect> effects = new ArrayList<>();
        List<String> parameters = new ArrayList<>(shapeParameters(exposure.psf()));
        parameters.add(BASE_DOSE);
        progress.begin("sensitivity", 2L * parameters.size());
        for (String parameter : parameters) {
            for (int sign = -1; sign <= 1; sign += 2) {
                double factor = factor(sign, percent);
                double[] changed = new double[gauges.size()];
                if (parameter.equals(BASE_DOSE)) {
                    workers.run(changed.length, i -> {
                        WidthGauge g = gauges.get(i);
                        changed[i] = measurement.widthUm(measurement.onLine(nominal, g), g, factor);
                    });
                } else {
                    PointEnergy other = varied.apply(psf -> vary(psf, parameter, factor));
                    System.arraycopy(measurement.widthsUm(other, gauges, workers), 0, changed, 0, changed.length);
                }
                Arrays.setAll(changed, i -> 1e3 * (changed[i] - width[i]));
                effects.add(new Effect(parameter, sign * percent, changed, Spread.of(changed)));
                progress.advance(1);
            }
        }
        return new Sensitivity(percent, List.copyOf(effects));
    }

    private static List<String> shapeParameters(PointSpreadFunction psf) {
        return psf.parts() > 1 ? List.of("alpha", "beta", "eta") : List.of("alpha");
    }

    private static double factor(int sign, double percent) {
        return 1 + sign * percent / 100;
    }

    /**
     * {@return the point spread function with one parameter multiplied: {@code alpha} stands for the ranges of the direct terms,
     * {@code beta} for those of all others, {@code eta} for the energy of all others over that of the direct ones}
     *
     * @param psf the point spread function
     * @param parameter one of alpha, beta and eta
     * @param factor what it is multiplied by, positive
     */
    static PointSpreadFunction vary(PointSpreadFunction psf, String parameter, double factor) {
        List<GaussianTerm> terms = new ArrayList<>();
        for (int k = 0; k < psf.terms().size(); k++) {
            GaussianTerm term = psf.terms().get(k);
            boolean direct = k < psf.directTerms();
            boolean ranges = parameter.equals(direct ? "alpha" : "beta");
            boolean weights = parameter.equals("eta") && !direct;
            terms.add(new GaussianTerm(term.weight() * (weights ? factor : 1), term.rangeUm() * (ranges ? factor : 1)));
        }
        double stretch = parameter.equals("beta") ? factor : 1;
        double weight = parameter.equals("eta") ? factor : 1;
        return PointSpreadFunction.from(
                terms,
                psf.table()
                        .map(t -> new TableTerm(
                                t.weight() * weight,
                                stretch == 1 ? t.table() : t.table().stretched(stretch))));
    }
}
