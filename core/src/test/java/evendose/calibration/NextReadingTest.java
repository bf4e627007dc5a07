package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.apache.commons.math3.linear.MatrixUtils;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What one more reading tells, against the inverse of the whole information and derivatives by differences of closed forms. */
class NextReadingTest {
    private static final List<String> TWO = List.of("alpha", "beta", "eta", "clearing dose", "width offset");
    private static final List<String> THREE =
            List.of("alpha", "beta", "eta", "gamma", "nu", "clearing dose", "tau", "width offset");
    private static final List<String> KNOWN_RANGES = List.of("eta", "clearing dose");
    private static final Map<String, Double> VALUES = Map.of(
            "alpha", 0.01, "beta", 30.0, "eta", 0.6, "gamma", 1.5, "nu", 0.2, "clearing dose", 380.0, "tau", 1.1);

    private static final double CLEARING = 0.015;
    private static final double WIDTH_UM = 0.0013;
    private static final double STEP = 1e-5;

    private static Map<String, Double> values(List<String> fitted) {
        Map<String, Double> values = new HashMap<>(VALUES);
        if (!fitted.contains("gamma")) {
            values.keySet().removeAll(List.of("gamma", "nu", "tau"));
        }
        return values;
    }

    /** Some covariance: errors of some percent and of half a nanometre, all correlated. */
    private static RealMatrix covariance(int n) {
        double[][] root = new double[n][n];
        for (int a = 0; a < n; a++) {
            double error = a == n - 1 && n > 2 ? 0.5 : 0.03 + 0.01 * a;
            for (int b = 0; b <= a; b++) {
                root[a][b] = error * (a == b ? 0.8 : 0.25 * Math.cos(3 * a + b));
            }
        }
        RealMatrix l = MatrixUtils.createRealMatrix(root);
        return l.multiply(l.transpose());
    }

    private static NextReading.Known known(List<String> fitted) {
        return known(fitted, covariance(fitted.size()));
    }

    private static NextReading.Known known(List<String> fitted, RealMatrix covariance) {
        List<List<Double>> rows = Arrays.stream(covariance.getData())
                .map(row -> Arrays.stream(row).boxed().toList())
                .toList();
        return new NextReading.Known(values(fitted), fitted, rows, CLEARING, WIDTH_UM);
    }

    private static double[][] terms(Map<String, Double> v) {
        double nu = v.getOrDefault("nu", 0.0);
        double sum = 1 + v.get("eta") + nu;
        return new double[][] {
            {1 / sum, v.get("eta") / sum, nu / sum}, {v.get("alpha"), v.get("beta"), v.getOrDefault("gamma", 1.0)}
        };
    }

    /** Logarithm of the clearing dose of a ring. */
    private static double reading(TestFigure.Ring ring, Map<String, Double> v) {
        double[][] t = terms(v);
        double energy = 0;
        for (int k = 0; k < 3; k++) {
            double s2 = t[1][k] * t[1][k];
            energy += t[0][k]
                    * (Math.exp(-ring.innerRadiusUm() * ring.innerRadiusUm() / s2)
                            - Math.exp(-ring.outerRadiusUm() * ring.outerRadiusUm() / s2));
        }
        return Math.log(v.get("clearing dose") / energy);
    }

    private static double energy(TestFigure.Lines lines, double x, double[][] t) {
        double energy = 0;
        for (int k = 0; k < 3; k++) {
            double s = t[1][k];
            double across = 0;
            int half = lines.lines() / 2;
            for (int j = -half; j <= half; j++) {
                double middle = j == 0 ? 0 : j * lines.pitchUm();
                across += Erf.value((x - middle + lines.widthUm() / 2) / s)
                        - Erf.value((x - middle - lines.widthUm() / 2) / s);
            }
            energy += t[0][k] * Erf.value(lines.lengthUm() / 2 / s) / 2 * across;
        }
        return energy;
    }

    /** Width, um, that a microscope reads: twice where the energy falls to the threshold, and the offset (nm). */
    private static double reading(TestFigure.Lines lines, double dose, Map<String, Double> v) {
        double[][] t = terms(v);
        double threshold = v.get("clearing dose") * v.getOrDefault("tau", 1.0) / dose;
        double inside = 0;
        double outside = Math.min(lines.pitchUm() / 2, 3 * lines.widthUm());
        for (int i = 0; i < 60; i++) {
            double x = (inside + outside) / 2;
            if (energy(lines, x, t) > threshold) {
                inside = x;
            } else {
                outside = x;
            }
        }
        return inside + outside + 1e-3 * v.getOrDefault("width offset", 0.0);
    }

    private static double reading(NextReading of, Map<String, Double> v) {
        return of.figure() instanceof TestFigure.Ring ring
                ? reading(ring, v)
                : reading((TestFigure.Lines) of.figure(), of.fromUcPerCm2(), v);
    }

    private static double slope(NextReading of, List<String> fitted, int j) {
        List<Double> sides = new ArrayList<>();
        for (int sign : new int[] {1, -1}) {
            Map<String, Double> v = values(fitted);
            String name = fitted.get(j);
            if (name.equals("width offset")) {
                v.put(name, sign * STEP);
            } else {
                v.merge(name, Math.exp(sign * STEP), (value, factor) -> value * factor);
            }
            sides.add(reading(of, v));
        }
        return (sides.get(0) - sides.get(1)) / (2 * STEP);
    }

    /** Standard error of a reading: what scatters, and the ladder's step, even between its doses. */
    private static double error(NextReading of) {
        if (of.figure() instanceof TestFigure.Lines) {
            assertEquals(1, of.doses());
            return WIDTH_UM;
        }
        double step = Math.log(of.toUcPerCm2() / of.fromUcPerCm2()) / (of.doses() - 1);
        return Math.sqrt(CLEARING * CLEARING + step * step / 12);
    }

    @ParameterizedTest
    @ValueSource(ints = {0, 1, 2})
    void whatAReadingTakesIsThatOfTheWholeInformation(int which) {
        List<String> fitted = List.of(TWO, THREE, KNOWN_RANGES).get(which);
        int n = fitted.size();
        double[] slopes = new double[n];
        for (int j = 0; j < n; j++) {
            slopes[j] = fitted.get(j).equals("width offset") ? 0 : 1 + Math.sin(5 * j);
        }
        List<NextReading> ranked = NextReading.ranked(known(fitted), slopes);
        assertTrue(ranked.size() >= 30, "figures " + ranked.size());
        RealMatrix before = covariance(n);
        RealVector s = MatrixUtils.createRealVector(slopes);
        double variance = before.operate(s).dotProduct(s);
        double last = Double.POSITIVE_INFINITY;
        for (NextReading next : ranked) {
            double[] v = new double[n];
            for (int j = 0; j < n; j++) {
                v[j] = slope(next, fitted, j) / error(next);
            }
            RealVector of = MatrixUtils.createRealVector(v);
            RealMatrix after = MatrixUtils.inverse(MatrixUtils.inverse(before).add(of.outerProduct(of)));
            double gone = variance - after.operate(s).dotProduct(s);
            assertEquals(gone, next.varianceGone(), 1e-4 * variance, next.label());
            assertTrue(next.varianceGone() <= last);
            last = next.varianceGone();
        }
    }

    /** Where errors are not correlated, lines tell alpha and rings tell beta. */
    @Test
    void figuresFitWhatIsNotKnown() {
        for (String name : List.of("alpha", "beta")) {
            double[] slopes = new double[TWO.size()];
            slopes[TWO.indexOf(name)] = 1;
            RealMatrix alone = MatrixUtils.createRealDiagonalMatrix(new double[] {9e-4, 9e-4, 9e-4, 9e-4, 0.25});
            NextReading best = NextReading.ranked(known(TWO, alone), slopes).get(0);
            assertEquals(name.equals("alpha"), best.figure() instanceof TestFigure.Lines, best.label());
        }
    }

    @Test
    void noTestIsDesignedForRangesThatLieClose() {
        NextReading.Known far = known(TWO);
        Map<String, Double> close = values(TWO);
        close.put("beta", 0.19);
        NextReading.Known near = new NextReading.Known(close, TWO, far.covariance(), CLEARING, WIDTH_UM);
        assertEquals(List.of(), NextReading.ranked(near, new double[5]));
        assertThrows(IllegalArgumentException.class, () -> NextReading.ranked(far, new double[4]));
    }
}
