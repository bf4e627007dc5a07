package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.params.provider.Arguments.arguments;

import evendose.TestData;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegrator;
import org.apache.commons.math3.analysis.integration.gauss.GaussIntegratorFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Every row of {@code testdata/reference}: energies computed with mpmath (30 digits, closed forms; 15 digits, edge
 * integrals). The double Gaussian is that of T. H. P. Chang, J. Vac. Sci. Technol. 12, 1271 (1975).
 */
class ExactEnergyReferenceTest {
    private static final double TOLERANCE = 1e-12;

    /** Infinite shapes are cut off this many ranges away: erfc(8) = 1e-29. */
    private static final double FAR = 8;

    static Stream<Arguments> closedForms() throws IOException {
        List<String> lines = Files.readAllLines(TestData.file("reference/closed-forms.csv"));
        return lines.stream().skip(1).map(line -> {
            String[] f = line.split(",");
            Map<String, Double> parameters = new HashMap<>();
            for (String p : f[5].split(";")) {
                parameters.put(p.substring(0, p.indexOf('=')), Double.valueOf(p.substring(p.indexOf('=') + 1)));
            }
            return arguments(
                    f[4],
                    parameters,
                    PointSpreadFunction.doubleGaussian(
                            Double.parseDouble(f[1]), Double.parseDouble(f[2]), Double.parseDouble(f[3])),
                    Double.parseDouble(f[6]));
        });
    }

    @ParameterizedTest(name = "{0} {1}")
    @MethodSource("closedForms")
    void closedForm(String figure, Map<String, Double> parameters, PointSpreadFunction psf, double expected) {
        assertEquals(expected, energy(figure, parameters, psf), TOLERANCE);
    }

    private static double energy(String figure, Map<String, Double> parameters, PointSpreadFunction psf) {
        double far = FAR * psf.terms().get(psf.terms().size() - 1).rangeUm();
        String[] words = figure.split(" ", 2);
        switch (words[0]) {
            case "line": {
                double half = parameters.get("W") / 2;
                ExactEnergy e = exact(new TestPieces().rectangle(-half, -far, half, far), psf);
                return switch (words[1]) {
                    case "centre" -> e.at(0, 0);
                    case "edge" -> e.at(half, 0);
                    case "mean" -> mean(e, half, psf.direct().rangeUm());
                    default -> throw new IllegalArgumentException(figure);
                };
            }
            case "square": {
                double half = parameters.get("side") / 2;
                ExactEnergy e = exact(new TestPieces().rectangle(-half, -half, half, half), psf);
                return switch (words[1]) {
                    case "centre" -> e.at(0, 0);
                    case "mid-edge" -> e.at(0, half);
                    case "corner" -> e.at(half, half);
                    default -> throw new IllegalArgumentException(figure);
                };
            }
            case "disc":
                return disc(parameters.get("R"), psf);
            case "ring":
                return disc(parameters.get("R2"), psf) - disc(parameters.get("R1"), psf);
            case "half":
                return exact(new TestPieces().rectangle(-2 * far, -far, 0, far), psf)
                        .at(parameters.get("x"), 0);
            case "grating": {
                double period = parameters.get("p");
                double half = parameters.get("rho") * period / 2;
                int lines = (int) Math.ceil(far / period) + 1;
                TestPieces grating = new TestPieces();
                for (int i = -lines; i <= lines; i++) {
                    grating.rectangle(i * period - half, -far, i * period + half, far);
                }
                ExactEnergy e = exact(grating, psf);
                return switch (words[1]) {
                    case "line centre" -> e.at(0, 0);
                    case "space centre" -> e.at(period / 2, 0);
                    case "edge" -> e.at(half, 0);
                    default -> throw new IllegalArgumentException(figure);
                };
            }
            default:
                throw new IllegalArgumentException(figure);
        }
    }

    private static ExactEnergy exact(TestPieces builder, PointSpreadFunction psf) {
        Pieces pieces = builder.build();
        return ExactEnergy.ofUnits(pieces, TestPieces.ones(pieces.units()), psf);
    }

    /** Mean over the line's width by Gauss-Legendre panels no longer than the direct range. */
    private static double mean(ExactEnergy e, double half, double rangeUm) {
        int panels = (int) Math.ceil(half / rangeUm);
        GaussIntegrator rule = new GaussIntegratorFactory().legendre(16, 0, half / panels);
        double sum = 0;
        for (int p = 0; p < panels; p++) {
            double from = half * p / panels;
            sum += rule.integrate(x -> e.at(from + x, 0));
        }
        return sum / half;
    }

    /**
     * Energy at the centre of a disc from regular polygons: that of the inscribed N-gon is an even analytic function of 1/N, so
     * extrapolating N = 64, 128, 256, 512 leaves an error of order N^-8. Inscribed and circumscribed polygons must enclose it.
     */
    private static double disc(double radius, PointSpreadFunction psf) {
        int steps = 4;
        double[] t = new double[steps];
        for (int i = 0; i < steps; i++) {
            t[i] = exact(new TestPieces().polygon(TestPieces.regular(64 << i, radius)), psf)
                    .at(0, 0);
        }
        double inside = t[steps - 1];
        for (int order = 1; order < steps; order++) {
            double factor = Math.pow(4, order);
            for (int i = steps - 1; i >= order; i--) {
                t[i] += (t[i] - t[i - 1]) / (factor - 1);
            }
        }
        double circumscribed = radius / Math.cos(Math.PI / 512);
        double outside = exact(new TestPieces().polygon(TestPieces.regular(512, circumscribed)), psf)
                .at(0, 0);
        assertTrue(inside <= t[steps - 1] + 1e-14 && t[steps - 1] <= outside + 1e-14);
        return t[steps - 1];
    }

    static Stream<Arguments> polygons() throws IOException {
        List<String> lines = Files.readAllLines(TestData.file("reference/polygon-energies.csv"));
        return lines.stream().skip(1).map(line -> {
            String[] f = line.split(",");
            double[] n =
                    Arrays.stream(f).skip(2).mapToDouble(Double::parseDouble).toArray();
            double[] xy = Arrays.stream(f[1].split(" "))
                    .mapToDouble(Double::parseDouble)
                    .toArray();
            return arguments(f[0], xy, PointSpreadFunction.doubleGaussian(n[0], n[1], n[2]), n[3], n[4], n[5]);
        });
    }

    @ParameterizedTest(name = "{0} at {3} {4}")
    @MethodSource("polygons")
    void polygon(String figure, double[] xy, PointSpreadFunction psf, double x, double y, double expected) {
        ExactEnergy e = exact(new TestPieces().polygon(xy), psf);
        assertEquals(expected, e.at(x, y), TOLERANCE);
        assertEquals(e.at(x, y), e.termsAt(0, 1, x, y) + e.termsAt(1, 2, x, y), 1e-15);
        ExactEnergy standing = exact(new TestPieces().polygonStanding(xy), psf);
        assertEquals(expected, standing.at(x, y), TOLERANCE, "cut along y");
    }

    @Test
    void allRowsAreRead() throws IOException {
        assertEquals(260, closedForms().count());
        assertEquals(112, polygons().count());
    }

    /** Edge slope of a half plane: sum w_k / (s_k sqrt(pi)), by differentiating its closed form. */
    @Test
    void slopeAtTheEdgeOfAHalfPlane() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.05, 10, 0.6);
        ExactEnergy e = exact(new TestPieces().rectangle(-200, -100, 0, 100), psf);
        double expected = (1 / 1.6 / 0.05 + 0.6 / 1.6 / 10) / Math.sqrt(Math.PI);
        assertEquals(-expected, e.slopeAt(0, 0, 1, 0), 1e-12);
        assertEquals(0, e.slopeAt(0, 0, 0, 1), 1e-15);
    }
}
