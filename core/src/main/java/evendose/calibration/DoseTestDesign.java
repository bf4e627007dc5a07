package evendose.calibration;

import evendose.units.Range;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.IntStream;
import org.ejml.data.DMatrixRMaj;
import org.ejml.dense.row.CommonOps_DDRM;

/**
 * Chooses what a dose test writes: figures, ring widths and doses, so that a budget of charge and few readings tell most.
 *
 * <p>Each candidate, a ring or disc on a ladder of fine or coarse steps or a line at a dose, adds v v^T to Fisher's information on alpha, beta,
 * eta, the clearing dose and the offset of widths, v being the derivative of what is read over its standard deviation: 2 % and the
 * ladder's step over the root of 12 for a clearing dose, 2 nm for a width. So that a wrong model is noticed, third terms of three ranges with
 * energies of 0 +- 0.1 belong to the parameters as well (after W. DuMouchel, B. Jones, Technometrics 36, 37 (1994), from memory). The
 * logarithm of the determinant is made large (D-optimality): candidates are added by their gain over their cost, then exchanged one for
 * one while that gains, within the budget. If the wanted errors hold then, for alpha four times as large ones, and a third term of a tenth of
 * the direct energy would show, readings are left out until each is needed.
 *
 * <p>{@code DoseTestDesignTest} tries all exchanges by brute force, {@code DoseTestPatternTest} holds the errors against those of a fit.
 */
final class DoseTestDesign {
    /** What is assumed of the readings. */
    static final double CLEARING_SCATTER = 0.02;

    static final double WIDTH_SCATTER_UM = 0.002;

    /** Third terms narrower than this many alpha answer to the beam as much as to what scatters. */
    private static final double NARROWEST_THIRD = 10;

    private static final double[] THIRD_RANGES = {1.0 / 30, 1.0 / 10, 1.0 / 3};
    private static final double THIRD_RATIO = 0.1;

    /** Standard errors of a third term's ratio and of alpha over those wanted of beta and eta: with 3 % wanted, 0.04 and 12 %. */
    private static final double THIRD_ERROR = 4.0 / 3;

    private static final double ALPHA_ERROR = 4;

    /** Row marks take some charge as well. */
    private static final double MARKS = 0.01;

    /** As many readings weigh as much as the whole budget. */
    private static final double READINGS = 30;

    /** So many clearing doses and so many widths show how far each scatter. */
    private static final int FEWEST = 7;

    private static final int MOST_READINGS = 80;
    private static final int MOST_EXCHANGES = 400;
    private static final double GAIN = 1e-6;
    private static final double WEAK = 1e-4;
    private static final int FITTED = 5;
    private static final int ALL = FITTED + THIRD_RANGES.length;

    private final DoseTestPattern.Guess guess;
    private final Limits limits;
    private final double budgetUc;
    private final List<Candidate> candidates = new ArrayList<>();
    private final List<Integer> chosen = new ArrayList<>();

    /**
     * What a test may cost and should tell.
     *
     * @param budgetUc largest charge of all figures, uC
     * @param targetPercent largest standard errors of beta and eta wanted, percent
     */
    record Limits(double budgetUc, double targetPercent) {
        Limits {
            Range.positive("the budget of charge", budgetUc);
            Range.require(
                    targetPercent >= 0.2 && targetPercent <= 30,
                    "the wanted error must lie in 0.2 to 30 percent",
                    targetPercent);
        }
    }

    /**
     * Something to write and read once.
     *
     * @param figure the figure
     * @param doses ladder numbers it is written at
     * @param chargeUc charge of all of them, uC
     * @param information derivatives of the reading over its standard deviation
     * @param group candidates of one group exclude each other
     */
    record Candidate(TestFigure figure, List<Integer> doses, double chargeUc, double[] information, String group) {}

    DoseTestDesign(DoseTestPattern.Guess guess, Limits limits) {
        this.guess = guess;
        this.limits = limits;
        this.budgetUc = (1 - MARKS) * limits.budgetUc();
        OfferedReading.all(guess, CalibrationModel.terms(parameters(), false))
                .forEach(offer -> candidates.add(candidate(offer)));
    }

    /** The candidates chosen, in the order in which they were offered: rings, discs, lone lines, gratings. */
    List<Candidate> choose() {
        while (!reached(chosen) && add()) {
            // Until it tells enough or nothing fits.
        }
        for (int round = 0; round < MOST_EXCHANGES && exchange(); round++) {
            // Each exchange gains.
        }
        while (reached(chosen) && leaveOut()) {
            // Until every reading is needed.
        }
        return chosen.stream().sorted().map(candidates::get).toList();
    }

    private double[] parameters() {
        return new double[] {
            Math.log(guess.alphaUm()),
            Math.log(guess.betaUm()),
            Math.log(guess.eta()),
            Math.log(guess.clearingDoseUcPerCm2()),
            0
        };
    }

    private Candidate candidate(OfferedReading offer) {
        Measurement reading = offer.reading();
        double sigma = offer.standardError(CLEARING_SCATTER, WIDTH_SCATTER_UM);
        CalibrationModel model =
                new CalibrationModel(List.of(reading), FitOptions.USUAL, parameters(), new double[] {1, 1});
        double[] x = model.start();
        double[] information = new double[ALL];
        double[] slopes = model.slopes(x)[0];
        for (int j = 0; j < slopes.length; j++) {
            information[j] = slopes[j] / sigma;
        }
        for (int t = 0; t < THIRD_RANGES.length; t++) {
            information[FITTED + t] = model.slopesOfThirdTerm(x, THIRD_RANGES[t] * guess.betaUm())[0] / sigma;
        }
        return new Candidate(reading.figure(), offer.doses(), offer.chargeUc(), information, offer.group());
    }

    List<Candidate> candidates() {
        return candidates;
    }

    /** Information of some candidates and what is known beforehand. */
    private DMatrixRMaj information(List<Integer> some) {
        DMatrixRMaj m = new DMatrixRMaj(ALL, ALL);
        for (int j = 0; j < ALL; j++) {
            // The offset is counted in units of its usual error, so that what is known of it is 1.
            m.set(j, j, j < FITTED - 1 ? WEAK : j < FITTED ? 1 : 1 / (THIRD_RATIO * THIRD_RATIO));
        }
        for (int c : some) {
            double[] v = candidates.get(c).information();
            for (int a = 0; a < ALL; a++) {
                for (int b = 0; b < ALL; b++) {
                    m.add(a, b, v[a] * v[b]);
                }
            }
        }
        return m;
    }

    private static DMatrixRMaj inverse(DMatrixRMaj m) {
        DMatrixRMaj inverse = m.copy();
        CommonOps_DDRM.invert(inverse);
        return inverse;
    }

    /** Logarithm of the determinant of the information of some candidates. */
    double logDeterminant(List<Integer> some) {
        return Math.log(CommonOps_DDRM.det(information(some)));
    }

    private double product(DMatrixRMaj inverse, int a, int b) {
        double[] u = candidates.get(a).information();
        double[] v = candidates.get(b).information();
        double sum = 0;
        for (int i = 0; i < ALL; i++) {
            for (int j = 0; j < ALL; j++) {
                sum += u[i] * inverse.get(i, j) * v[j];
            }
        }
        return sum;
    }

    private double charge(List<Integer> some) {
        return some.stream().mapToDouble(c -> candidates.get(c).chargeUc()).sum();
    }

    private Set<String> groups(List<Integer> some) {
        Set<String> groups = new HashSet<>();
        some.forEach(c -> groups.add(candidates.get(c).group()));
        return groups;
    }

    private boolean add() {
        if (chosen.size() >= MOST_READINGS) {
            return false;
        }
        DMatrixRMaj inverse = inverse(information(chosen));
        Set<String> taken = groups(chosen);
        double left = budgetUc - charge(chosen);
        int best = -1;
        double most = 0;
        for (int c = 0; c < candidates.size(); c++) {
            Candidate candidate = candidates.get(c);
            if (candidate.chargeUc() <= left && !taken.contains(candidate.group())) {
                double cost = candidate.chargeUc() / budgetUc + 1 / READINGS;
                double worth = Math.log1p(product(inverse, c, c)) / cost;
                if (worth > most) {
                    most = worth;
                    best = c;
                }
            }
        }
        return best >= 0 && chosen.add(best);
    }

    /** Exchanges the pair that gains most; the determinant changes by (1 - d_out) (1 + d_in) + d_both^2. */
    private boolean exchange() {
        DMatrixRMaj inverse = inverse(information(chosen));
        double charge = charge(chosen);
        int out = -1;
        int in = -1;
        double most = 1 + GAIN;
        for (int k = 0; k < chosen.size(); k++) {
            List<Integer> rest = new ArrayList<>(chosen);
            int old = rest.remove(k);
            Set<String> taken = groups(rest);
            double left = budgetUc - charge + candidates.get(old).chargeUc();
            double lost = 1 - product(inverse, old, old);
            for (int c = 0; c < candidates.size(); c++) {
                if (candidates.get(c).chargeUc() <= left
                        && !taken.contains(candidates.get(c).group())) {
                    double both = product(inverse, old, c);
                    double gain = lost * (1 + product(inverse, c, c)) + both * both;
                    if (gain > most) {
                        most = gain;
                        out = k;
                        in = c;
                    }
                }
            }
        }
        if (out >= 0) {
            chosen.set(out, in);
        }
        return out >= 0;
    }

    /** Leaves out the reading that tells least if the wanted errors still hold. */
    private boolean leaveOut() {
        DMatrixRMaj inverse = inverse(information(chosen));
        List<Integer> byWorth = IntStream.range(0, chosen.size())
                .boxed()
                .sorted(Comparator.comparingDouble(k -> product(inverse, chosen.get(k), chosen.get(k))))
                .toList();
        for (int k : byWorth) {
            List<Integer> rest = new ArrayList<>(chosen);
            rest.remove(k);
            if (reached(rest)) {
                chosen.remove(k);
                return true;
            }
        }
        return false;
    }

    /** Whether some candidates get the wanted errors and show how far values scatter. */
    boolean reached(List<Integer> some) {
        double[] errors = errors(some);
        double target = limits.targetPercent() / 100;
        boolean reached = errors[1] <= target && errors[2] <= target && errors[0] <= ALPHA_ERROR * target;
        for (int t = 0; t < THIRD_RANGES.length; t++) {
            boolean visible = THIRD_RANGES[t] * guess.betaUm() > NARROWEST_THIRD * guess.alphaUm();
            reached &= !visible || errors[FITTED + t] <= THIRD_ERROR * target;
        }
        long widths = some.stream()
                .filter(c -> candidates.get(c).figure() instanceof TestFigure.Lines)
                .count();
        return reached && widths >= FEWEST && some.size() - widths >= FEWEST;
    }

    /** Whether beta and eta get the wanted errors. */
    boolean targetReached() {
        double[] errors = errors(chosen);
        return Math.max(errors[1], errors[2]) <= limits.targetPercent() / 100;
    }

    /** Standard errors that a fit of two terms to the chosen readings will state, by the names of the parameters, relative. */
    Map<String, Double> expectedErrors() {
        double[] errors = errors(chosen);
        Map<String, Double> named = new LinkedHashMap<>();
        named.put("alpha", errors[0]);
        named.put("beta", errors[1]);
        named.put("eta", errors[2]);
        named.put("base dose", errors[3]);
        return named;
    }

    /**
     * Standard errors: of the fitted parameters in a model of two terms, and of each third term's ratio beside them if it is the only one.
     */
    private double[] errors(List<Integer> some) {
        DMatrixRMaj all = information(some);
        double[] errors = new double[ALL];
        for (int t = -1; t < THIRD_RANGES.length; t++) {
            int[] which = IntStream.range(0, FITTED + (t < 0 ? 0 : 1)).toArray();
            if (t >= 0) {
                which[FITTED] = FITTED + t;
            }
            DMatrixRMaj part = new DMatrixRMaj(which.length, which.length);
            for (int a = 0; a < which.length; a++) {
                for (int b = 0; b < which.length; b++) {
                    part.set(a, b, all.get(which[a], which[b]));
                }
            }
            if (t >= 0) {
                part.add(FITTED, FITTED, -1 / (THIRD_RATIO * THIRD_RATIO));
                part.add(FITTED, FITTED, WEAK);
            }
            DMatrixRMaj inverse = inverse(part);
            for (int a = t < 0 ? 0 : FITTED; a < which.length; a++) {
                errors[which[a]] = Math.sqrt(Math.max(0, inverse.get(a, a)));
            }
        }
        return errors;
    }
}
