package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.TestData;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.util.List;
import org.junit.jupiter.api.Test;

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
}
