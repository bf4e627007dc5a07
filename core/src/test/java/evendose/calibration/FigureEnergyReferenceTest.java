package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.TestData;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.util.List;
import org.apache.commons.numbers.gamma.Erf;
import org.apache.commons.numbers.gamma.ErfDifference;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Rings, discs, lines and gratings of {@code testdata/reference/closed-forms.csv} (mpmath, 30 digits). */
class FigureEnergyReferenceTest {
    private static final int ROWS = 192;

    private static double[] weights(PointSpreadFunction psf) {
        return psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray();
    }

    private static double[] ranges(PointSpreadFunction psf) {
        return psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
    }

    private static double value(String parameters, String name) {
        for (String p : parameters.split(";")) {
            if (p.startsWith(name + "=")) {
                return Double.parseDouble(p.substring(name.length() + 1));
            }
        }
        throw new IllegalArgumentException(name);
    }

    @Test
    void closedForms() throws IOException {
        List<String> lines = Files.readAllLines(TestData.file("reference/closed-forms.csv"));
        int checked = 0;
        for (String line : lines.subList(1, lines.size())) {
            String[] f = line.split(",");
            PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(
                    Double.parseDouble(f[1]), Double.parseDouble(f[2]), Double.parseDouble(f[3]));
            double[] w = weights(psf);
            double[] s = ranges(psf);
            double computed;
            switch (f[4]) {
                case "disc centre" -> computed = FigureEnergy.ring(new TestFigure.Ring(0, value(f[5], "R")), w, s);
                case "ring centre" ->
                    computed = FigureEnergy.ring(new TestFigure.Ring(value(f[5], "R1"), value(f[5], "R2")), w, s);
                case "line centre" -> computed = FigureEnergy.lines(TestFigure.Lines.lone(value(f[5], "W")), 0, w, s);
                case "line edge" ->
                    computed = FigureEnergy.lines(TestFigure.Lines.lone(value(f[5], "W")), value(f[5], "W") / 2, w, s);
                case "grating line centre", "grating edge", "grating space centre" -> {
                    double pitch = value(f[5], "p");
                    double width = pitch * value(f[5], "rho");
                    TestFigure.Lines many = new TestFigure.Lines(width, pitch, 100_001, Double.POSITIVE_INFINITY);
                    double x = f[4].endsWith("line centre") ? 0 : f[4].endsWith("edge") ? width / 2 : pitch / 2;
                    computed = FigureEnergy.lines(many, x, w, s);
                }
                default -> {
                    continue;
                }
            }
            assertEquals(Double.parseDouble(f[6]), computed, 1e-12, line);
            checked++;
        }
        assertEquals(ROWS, checked);
    }

    /** ln(D0 / D) = ln(eta / (1 + eta)) - R1^2 / beta^2; after L. Stevens et al. (1986), citation from memory. */
    @Test
    void ringsLieOnAStraightLine() {
        double beta = 10;
        double eta = 0.6;
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.05, beta, eta);
        for (double r1 : new double[] {1, 3, 6, 10, 14}) {
            double energy = FigureEnergy.ring(new TestFigure.Ring(r1, 80), weights(psf), ranges(psf));
            assertEquals(Math.log(eta / (1 + eta)) - r1 * r1 / (beta * beta), Math.log(energy), 1e-12);
        }
    }

    @Test
    void theWidthIsWhereTheEnergyMeetsTheThreshold() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.05, 10, 0.6);
        TestFigure.Lines lines = new TestFigure.Lines(0.3, 0.9, 41, 20);
        for (double level : new double[] {0.2, 0.35, 0.5, 0.7}) {
            double width = FigureEnergy.width(lines, level, 0.15, weights(psf), ranges(psf));
            assertEquals(level, FigureEnergy.lines(lines, width / 2, weights(psf), ranges(psf)), 1e-11);
        }
    }

    /** Sums of many lines by an integral and its ends, against the sum line by line (ErfDifference of Apache Commons Numbers). */
    @ParameterizedTest
    @CsvSource({"125,31,0.1", "373,31,0.16", "3,31,0", "373,3,0.05", "201,0.7,0.1", "2001,12,0.02"})
    void denseLinesAreTheSumOfAllLines(int count, double range, double x) {
        TestFigure.Lines lines = new TestFigure.Lines(0.25, 0.333, count, 60);
        double sum = 0;
        for (int j = -(count / 2); j <= count / 2; j++) {
            double from = x - j * 0.333;
            sum += ErfDifference.value((from - 0.125) / range, (from + 0.125) / range);
        }
        double expected = 0.5 * sum * Erf.value(30 / range);
        assertEquals(expected, FigureEnergy.unit(lines, x, range), 1e-11 * expected);
        double[] one = {1};
        double h = 1e-4;
        double slope = (FigureEnergy.unit(lines, x + h, range) - FigureEnergy.unit(lines, x - h, range)) / (2 * h);
        assertEquals(slope, FigureEnergy.slope(lines, x, one, new double[] {range}), 1e-7 + 1e-3 * Math.abs(slope));
    }

    /** The analytic derivative with the range against differences. */
    @ParameterizedTest
    @CsvSource({"0.3", "5", "40"})
    void derivativesWithTheRange(double range) {
        for (TestFigure figure : List.of(
                new TestFigure.Ring(4, 9),
                new TestFigure.Ring(0, 3),
                new TestFigure.Lines(0.25, 0.5, 41, 30),
                TestFigure.Lines.lone(0.2))) {
            double h = 1e-5;
            double difference = (FigureEnergy.unit(figure, 0.1, range * Math.exp(h))
                            - FigureEnergy.unit(figure, 0.1, range * Math.exp(-h)))
                    / (2 * h);
            assertEquals(difference, FigureEnergy.byRange(figure, 0.1, range), 1e-8, figure.toString());
        }
    }
}
