package evendose.calibration;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalInt;
import java.util.stream.IntStream;
import org.apache.commons.math3.distribution.ChiSquaredDistribution;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/** What the user should know about a fit: values far off, parameters hardly known, and signs that the model misses something. */
final class FitChecks {
    private static final double OUTLIER_CHANCE = 0.01;
    private static final double STRONG_CORRELATION = 0.95;
    private static final double POOR = 0.15;
    private static final double POOR_DOSE = 0.025;

    /** How rarely a sound test may raise the caution about neighbours, about a third term, or about the stated errors. */
    private static final double UNLIKELY = 0.01;

    private static final double LARGE_OFFSET = 2;
    private static final double WIDE_INTERVAL = 1.35;

    /** Of so many measurements at most one is set aside. */
    private static final int MOST_OUTLIERS = 4;

    /** Standardised residuals below this are rounding. */
    private static final double EXACT = 1e-6;

    private final Solution solution;
    private final Map<Integer, Double> outliers;

    FitChecks(Solution solution) {
        this.solution = solution;
        this.outliers = findOutliers();
    }

    /**
     * Indices of measurements that lie too far off, and the distance of each: the worst is set aside and the rest fitted again
     * until none is left, since one wrong value drags others along.
     */
    Map<Integer, Double> outliers() {
        return outliers;
    }

    private Map<Integer, Double> findOutliers() {
        Map<Integer, Double> found = new LinkedHashMap<>();
        int all = solution.measurements().size();
        List<Integer> kept = new ArrayList<>(IntStream.range(0, all).boxed().toList());
        Solution now = solution;
        while (found.size() < all / MOST_OUTLIERS) {
            double[] studentised = studentised(now);
            int worst = IntStream.range(0, studentised.length)
                    .boxed()
                    .max(Comparator.comparingDouble(k -> Math.abs(studentised[k])))
                    .orElseThrow();
            // Exact data leave rounding alone, whose ratios mean nothing.
            if (!(Math.abs(studentised[worst]) > limit(now, worst))
                    || Math.abs(now.standardised(worst)) < EXACT
                    || now.measurements().size() <= now.model().free().length) {
                break;
            }
            found.put(kept.remove(worst), studentised[worst]);
            now = now.without(worst);
        }
        return found;
    }

    private static double limit(Solution s, int i) {
        double chance = 1 - OUTLIER_CHANCE / (2 * s.measurements().size());
        if (!s.scaled(i)) {
            return new NormalDistribution().inverseCumulativeProbability(chance);
        }
        double freedom = s.freedom(s.measurements().get(i).kind());
        return freedom > 1
                ? new TDistribution(freedom - 1).inverseCumulativeProbability(chance)
                : Double.POSITIVE_INFINITY;
    }

    /** Standardised residuals over their standard deviation, with the point itself left out of the scatter; NaN if nothing is left. */
    static double[] studentised(Solution s) {
        double[] studentised = new double[s.measurements().size()];
        for (int i = 0; i < studentised.length; i++) {
            double room = Math.max(1e-12, 1 - s.leverage(i));
            double square = s.standardised(i) * s.standardised(i) / room;
            double variance = 1;
            if (s.scaled(i)) {
                double freedom = s.freedom(s.measurements().get(i).kind());
                variance = freedom > 1 ? Math.max(1e-3, (freedom - square) / (freedom - 1)) : Double.NaN;
            }
            boolean judged = s.scaled(i) || s.freedom() > 0;
            studentised[i] = judged ? Math.copySign(Math.sqrt(square / variance), s.standardised(i)) : Double.NaN;
        }
        return studentised;
    }

    List<String> cautions(
            List<FittedParameter> parameters,
            FittedParameter base,
            double[][] correlation,
            List<FitResidual> residuals) {
        List<String> cautions = new ArrayList<>();
        for (FitResidual r : residuals) {
            if (r.outlier()) {
                cautions.add(text(
                        "%s lies %.1f standard deviations off the fit: look at it again before you rely on the result",
                        named(r.measurement()), Math.abs(r.studentised())));
            }
        }
        modelCautions(cautions);
        offsetCaution(cautions, parameters);
        for (FittedParameter p : parameters) {
            if (p.fitted() && !isOffset(p) && p.standardError() > POOR * p.value()) {
                cautions.add(text("%s is known to %.0f %% only", p.name(), 100 * p.standardError() / p.value()));
            }
        }
        if (base.standardError() > POOR_DOSE * base.value()) {
            cautions.add(text(
                    "the base dose is known to %.1f %% only, which moves every width",
                    100 * base.standardError() / base.value()));
        }
        List<String> names = parameters.stream()
                .filter(FittedParameter::fitted)
                .map(FittedParameter::name)
                .toList();
        for (int a = 0; a < names.size(); a++) {
            for (int b = 0; b < a; b++) {
                if (Math.abs(correlation[a][b]) > STRONG_CORRELATION) {
                    cautions.add(text(
                            "%s and %s can hardly be told apart by these data (correlation %.3f)",
                            names.get(b), names.get(a), correlation[a][b]));
                }
            }
        }
        for (Measurement m : solution.measurements()) {
            if (!m.bound() && m.high() > WIDE_INTERVAL * m.low()) {
                cautions.add(text(
                        "%s: the first dose that cleared is %.0f %% above the last that did not: check both",
                        named(m), 100 * (m.high() / m.low() - 1)));
            }
        }
        return cautions;
    }

    private static boolean isOffset(FittedParameter p) {
        return p.name().equals("width offset");
    }

    private void offsetCaution(List<String> cautions, List<FittedParameter> parameters) {
        FitOptions.WidthOffset known = solution.options().widthOffset();
        for (FittedParameter p : parameters) {
            if (isOffset(p) && p.fitted() && Math.abs(p.value() - known.nm()) > LARGE_OFFSET * known.errorNm()) {
                cautions.add(text(
                        "measured widths are off by %.1f nm throughout, more than expected (%s +- %s nm): check where the microscope"
                                + " sees an edge and its scale",
                        p.value(), Measurement.brief(known.nm()), Measurement.brief(known.errorNm())));
            }
        }
    }

    private void modelCautions(List<String> cautions) {
        if (solution.freedom() <= 0) {
            cautions.add("there are just as many measurements as parameters: the scatter cannot be judged");
            return;
        }
        for (Measurement.Kind kind : Measurement.Kind.values()) {
            if (IntStream.range(0, solution.measurements().size())
                            .anyMatch(i -> solution.scaled(i)
                                    && solution.measurements().get(i).kind() == kind)
                    && solution.freedom(kind) < 1) {
                cautions.add(
                        kind == Measurement.Kind.WIDTH
                                ? "too few widths to judge their scatter: 3 nm are assumed"
                                : "too few clearing doses to judge their scatter: 3 % are assumed");
            }
        }
        givenErrors(cautions);
        if (solution.chiSquare() < EXACT) {
            return;
        }
        LackOfFit lack = new LackOfFit(solution, outliers.keySet());
        lack.neighbours()
                .filter(n -> n.chance() < UNLIKELY)
                .ifPresent(n -> cautions.add(text(
                        "residuals of neighbours go together, as in %s of sound tests: %s %s %.1f standard errors %s the fit in the mean,"
                                + " so the model misses something there or the figures differ from the drawn ones",
                        chance(n.chance()),
                        run(n.indices()),
                        n.indices().size() == 1 ? "lies" : "lie",
                        Math.abs(n.meanResidual()),
                        n.meanResidual() > 0 ? "above" : "below")));
        lack.thirdTerm()
                .filter(t -> t.chance() < UNLIKELY)
                .ifPresent(t -> cautions.add(text(
                        "a third term with a range of about %s um and %.2g of the direct energy would explain the residuals better, as in"
                                + " %s of tests without one: fit with --third-term; what asks for it most is %s",
                        Measurement.brief(t.gammaUm()),
                        t.nu(),
                        chance(t.chance()),
                        named(solution.measurements().get(t.strongest())))));
    }

    /** Whether values scatter more than the errors given for them say. */
    private void givenErrors(List<String> cautions) {
        double sum = 0;
        double freedom = 0;
        for (int i = 0; i < solution.measurements().size(); i++) {
            if (!solution.scaled(i) && !solution.measurements().get(i).bound()) {
                sum += solution.standardised(i) * solution.standardised(i);
                freedom += 1 - solution.leverage(i);
            }
        }
        if (freedom > 0.5 && 1 - new ChiSquaredDistribution(freedom).cumulativeProbability(sum) < UNLIKELY) {
            OptionalInt worst = IntStream.range(0, solution.measurements().size())
                    .filter(i -> !solution.scaled(i))
                    .boxed()
                    .max(Comparator.comparingDouble(i -> Math.abs(solution.standardised(i))))
                    .map(OptionalInt::of)
                    .orElseThrow();
            cautions.add(text(
                    "the scatter is %.1f times what the given standard errors say: they are too small, or the model misses"
                            + " something; furthest off is %s",
                    Math.sqrt(sum / freedom), named(solution.measurements().get(worst.getAsInt()))));
        }
    }

    private String run(List<Integer> indices) {
        Measurement first = solution.measurements().get(indices.get(0));
        Measurement last = solution.measurements().get(indices.get(indices.size() - 1));
        return indices.size() == 1 ? named(first) : named(first) + " to " + named(last);
    }

    private static String named(Measurement m) {
        return text("line %d (%s)", m.line(), m.label());
    }

    private static String chance(double chance) {
        return chance == 0 ? "fewer than 1 in 2000" : text("%.2g %%", 100 * chance);
    }

    private static String text(String format, Object... values) {
        return String.format(Locale.ROOT, format, values);
    }
}
