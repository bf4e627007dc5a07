package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** The oracle itself: closed forms of rectangles, difference quotients for slopes, a Gaussian that is written as a table. */
class ExactEnergyTest {
    private static final PointSpreadFunction GAUSSIANS =
            PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.3), new GaussianTerm(0.4, 2)));
    private static final PointSpreadFunction TABLE =
            PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.3)), Optional.of(new TableTerm(0.4, gaussian())));

    /** A rectangle, a slanted, a standing and a small slanted piece in three units. */
    private static final Pieces PIECES = new TestPieces()
            .rectangle(0, 0, 1.5, 0.8)
            .unit()
            .trapezoid(1, 2, 0, 1, 0.4, 1.8)
            .trapezoid(2, 2.1, 0.4, 1.8, 0.5, 1.7)
            .unit()
            .standing(2, 3.5, 0, 1, 0.3, 2)
            .build();

    private static final double[] DOSE = {1.1, 0.7, 1.6};

    private static RadialTable gaussian() {
        double[] radii = new double[300];
        double[] density = new double[300];
        for (int i = 0; i < radii.length; i++) {
            radii[i] = 0.02 * Math.pow(600, i / 299.0);
            density[i] = Math.exp(-radii[i] * radii[i] / 4);
        }
        return RadialTable.of(radii, density);
    }

    private static double[][] places() {
        SplittableRandom random = new SplittableRandom(4);
        double[][] places = new double[60][];
        for (int k = 0; k < places.length; k++) {
            places[k] = new double[] {random.nextDouble(-2, 5), random.nextDouble(-2, 4)};
        }
        places[0] = new double[] {0, 0.4};
        places[1] = new double[] {1.5, 0.8};
        places[2] = new double[] {40, 40};
        return places;
    }

    @Test
    void aRectangleIsAProductOfErrorFunctions() {
        ExactEnergy energy =
                ExactEnergy.ofUnits(new TestPieces().rectangle(-0.5, 0.2, 1, 3).build(), new double[] {1.3}, GAUSSIANS);
        for (double[] p : places()) {
            double expected = 0;
            double slope = 0;
            for (GaussianTerm t : GAUSSIANS.terms()) {
                double s = t.rangeUm();
                double a = (-0.5 - p[0]) / s;
                double b = (1 - p[0]) / s;
                double along = 0.5 * (Erf.value(b) - Erf.value(a));
                double up = 0.5 * (Erf.value((3 - p[1]) / s) - Erf.value((0.2 - p[1]) / s));
                expected += 1.3 * t.weight() * along * up;
                slope += 1.3 * t.weight() * up * (Math.exp(-a * a) - Math.exp(-b * b)) / (s * Math.sqrt(Math.PI));
            }
            assertEquals(expected, energy.at(p[0], p[1]), 1e-12);
            assertEquals(slope, energy.slopeAt(p[0], p[1], 1, 0), 1e-12);
        }
    }

    @Test
    void slopesAreDifferenceQuotients() {
        double h = 2e-3;
        for (PointSpreadFunction psf : List.of(GAUSSIANS, TABLE)) {
            ExactEnergy energy = ExactEnergy.ofUnits(PIECES, DOSE, psf);
            for (double[] p : places()) {
                double ux = 0.28;
                double uy = 0.96;
                double quotient =
                        (8 * (energy.at(p[0] + h * ux, p[1] + h * uy) - energy.at(p[0] - h * ux, p[1] - h * uy))
                                        - (energy.at(p[0] + 2 * h * ux, p[1] + 2 * h * uy)
                                                - energy.at(p[0] - 2 * h * ux, p[1] - 2 * h * uy)))
                                / (12 * h);
                double tolerance = psf == TABLE ? 2e-5 : 1e-8;
                assertEquals(quotient, energy.slopeAt(p[0], p[1], ux, uy), tolerance, p[0] + ", " + p[1]);
            }
        }
    }

    @Test
    void aGaussianAsATableIsThatGaussian() {
        ExactEnergy formula = ExactEnergy.ofUnits(PIECES, DOSE, GAUSSIANS);
        ExactEnergy table = ExactEnergy.ofUnits(PIECES, DOSE, TABLE);
        for (double[] p : places()) {
            assertEquals(formula.at(p[0], p[1]), table.at(p[0], p[1]), 1e-5);
            assertEquals(formula.slopeAt(p[0], p[1], 0.6, 0.8), table.slopeAt(p[0], p[1], 0.6, 0.8), 2e-5);
            for (ExactEnergy energy : List.of(formula, table)) {
                double parts = energy.termsAt(0, 1, p[0], p[1]) + energy.termsAt(1, 2, p[0], p[1]);
                assertEquals(energy.at(p[0], p[1]), parts, 1e-14);
                assertEquals(0, energy.termsAt(1, 1, p[0], p[1]), 0);
            }
        }
    }

    @Test
    void unitsPiecesAndManyPointsAgree() {
        ExactEnergy energy = ExactEnergy.ofUnits(PIECES, DOSE, GAUSSIANS);
        ExactEnergy ofPieces = ExactEnergy.ofPieces(PIECES, new double[] {1.1, 0.7, 0.7, 1.6}, GAUSSIANS);
        double[][] places = places();
        double[] x = new double[places.length];
        double[] y = new double[places.length];
        double[] expected = new double[places.length];
        for (int k = 0; k < x.length; k++) {
            x[k] = places[k][0];
            y[k] = places[k][1];
            expected[k] = energy.at(x[k], y[k]);
            assertEquals(expected[k], ofPieces.at(x[k], y[k]), 1e-15);
        }
        try (Workers workers = Workers.of(1)) {
            assertArrayEquals(expected, energy.at(x, y, workers), 0);
        }
        assertEquals(0, energy.at(1000, 1000), 0);
        assertThrows(IllegalArgumentException.class, () -> ExactEnergy.ofUnits(PIECES, new double[2], GAUSSIANS));
        assertThrows(IllegalArgumentException.class, () -> ExactEnergy.ofPieces(PIECES, DOSE, GAUSSIANS));
        assertThrows(
                IllegalArgumentException.class,
                () -> ExactEnergy.ofUnits(PIECES, new double[] {1, 1, Double.POSITIVE_INFINITY}, GAUSSIANS));
    }
}
