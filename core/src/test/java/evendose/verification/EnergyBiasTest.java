package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.Optional;
import java.util.function.IntToDoubleFunction;
import org.junit.jupiter.api.Test;

/** Energies off by known amounts, on edges and in areas. */
class EnergyBiasTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /** Errors along the upper side of a pad of 3 um; a second pad, above it, has no piece, and what lies there does not count. */
    private static EnergyBias onEdges(int places, double levels, IntToDoubleFunction error) throws IOException {
        TestExposure drawn = new TestExposure().rectangle(10, 20, 13, 21, 1).rectangle(10, 30, 13, 31, 1);
        OutlineEdges edges = drawn.edges();
        Exposure exposure = new TestExposure().rectangle(10, 20, 13, 21, 1).build(PSF);
        int[] edge = new int[places + 5];
        double[] x = new double[places + 5];
        double[] y = new double[places + 5];
        double[] errors = new double[places + 5];
        for (int g = 0; g < edge.length; g++) {
            boolean counts = g >= 5;
            y[g] = counts ? 21 : 31;
            x[g] = 10.5 + 2.0 * g / edge.length;
            errors[g] = counts ? error.applyAsDouble(g - 5) : 9;
            for (int e = 0; e < edges.size(); e++) {
                if (edges.outY(e) == 1 && Math.abs(edges.yUm(e, 0.5) - y[g]) < 1e-9) {
                    edge[g] = e;
                }
            }
        }
        return EnergyBias.onEdges(exposure, EdgeGauges.at(edges, exposure, edge, x, y), edges, errors, levels, 1e-6);
    }

    @Test
    void theSameEverywhereIsTheBaseDose() throws IOException {
        EnergyBias high = onEdges(25, 0, g -> g < 21 ? 0.02 : -0.01);
        assertEquals(25, high.places());
        assertEquals(0.02, high.bias());
        assertEquals(Math.sqrt((21 * 4e-4 + 4e-4) / 25), high.rms(), 1e-12);
        assertTrue(high.uniform() && !high.holds());
        assertEquals(
                Optional.of("All doses are too high by about 2.00 %, the same everywhere: look at the base dose."),
                high.complaint());
        assertTrue(onEdges(25, 0, g -> -0.03)
                .complaint()
                .orElseThrow()
                .startsWith("All doses are too low by about 3.00 %"));
        // 20 of 25 are four of five, 19 are not.
        assertTrue(onEdges(25, 0, g -> g < 20 ? 0.02 : -0.01).uniform());
        assertFalse(onEdges(25, 0, g -> g < 19 ? 0.02 : -0.01).uniform());
        assertTrue(onEdges(25, 0, g -> g < 19 ? 0.02 : -0.01)
                .complaint()
                .orElseThrow()
                .startsWith("Doses are too high on the whole: energies are off by 2.00 %"));
    }

    @Test
    void whatPassesAndWhatDoesNot() throws IOException {
        assertEquals(Optional.empty(), onEdges(25, 0, g -> 0.0099).complaint());
        assertTrue(onEdges(25, 0, g -> 0.0101).complaint().isPresent());
        assertTrue(onEdges(25, 0, g -> -0.0101).complaint().isPresent());
        // Levels may add their share to both.
        assertTrue(onEdges(25, 0.05, g -> 0.0599).holds());
        assertFalse(onEdges(25, 0.05, g -> 0.0601).holds());
        // Errors of both signs that cancel: the median is 0, the rms 0.15 sqrt(24 / 25).
        IntToDoubleFunction scattered = g -> g == 0 ? 0 : g % 2 == 0 ? 0.15 : -0.15;
        EnergyBias wide = onEdges(25, 0, scattered);
        assertEquals(0, wide.bias());
        assertEquals(
                Optional.of("Energies on drawn edges are off by 15 % rms: the doses do not fit."), wide.complaint());
        assertTrue(onEdges(25, 0.05, scattered).holds());
        // Too few places tell nothing.
        assertTrue(onEdges(19, 0, g -> 0.5).holds());
        assertFalse(onEdges(20, 0, g -> 0.5).holds());
        EnergyBias none = onEdges(0, 0, g -> 0);
        assertEquals(0, none.places());
        assertTrue(none.holds());
    }

    /** A trapezoid 4 um wide below and 1 um above, 3 um high, with its centre of area at (11.4, 21.2), and a pad of a third of its area. */
    private static EnergyBias inAreas(boolean slopes, double levels) throws IOException {
        TestExposure shapes = new TestExposure()
                .rectangle(30, 20, 31, 22.5, 1)
                .rectangle(10, 20, 11, 23, 1)
                .piece(11, 20, 14, 20, 11, 23, 11, 23);
        Polygons drawn = new Polygons();
        drawn.addRectangle(0, 30_000, 20_000, 31_000, 22_500);
        drawn.addPolygon(0, new long[] {10_000, 20_000, 14_000, 20_000, 11_000, 23_000, 10_000, 23_000}, 4);
        try (Workers one = Workers.of(1)) {
            Trapezoids layout = Merge.of(drawn, 1, one, Progress.NONE);
            Exposure exposure = shapes.build(PSF);
            PointEnergy energy = (x, y) -> exposure.wanted(0, x, y)
                    * (1 + (!slopes ? 0.04 : x > 25 ? -0.4 : 0.1 * (x - 10) + 0.05 * (y - 20)));
            return EnergyBias.inAreas(exposure, layout, TestExposure.DBU_UM, energy, 4000, levels, 1e-6, one);
        }
    }

    @Test
    void placesAreSpreadByArea() throws IOException {
        EnergyBias even = inAreas(false, 0);
        assertEquals(4000, even.places(), 10);
        assertEquals(0.04, even.bias(), 1e-12);
        assertEquals(0.01, even.tolerance(), 1e-9);
        assertTrue(even.uniform() && !even.holds());
        assertEquals(0.03, inAreas(false, 0.02).tolerance(), 1e-9);
        EnergyBias sloped = inAreas(true, 0);
        // 7.5 um^2 with 0.1 * 1.4 + 0.05 * 1.2 in the mean, 2.5 um^2 with -0.4.
        double standardError = (sloped.tolerance() - 0.01) / 4;
        assertEquals((7.5 * 0.2 - 2.5 * 0.4) / 10, sloped.bias(), 4 * standardError);
        // Mean squares about the mean: those of the pad, and of x and y over the trapezoid, by a fine sum.
        int n = 400;
        double square = 2.5 * 0.16;
        for (int i = 0; i < n; i++) {
            for (int k = 0; k < n; k++) {
                double x = 4 * (i + 0.5) / n;
                double y = 3 * (k + 0.5) / n;
                square += x < 4 - y ? (0.1 * x + 0.05 * y) * (0.1 * x + 0.05 * y) * 12 / (n * (double) n) : 0;
            }
        }
        assertEquals(Math.sqrt(square / 10), sloped.rms(), 0.01);
        assertEquals(Math.sqrt((square / 10 - 0.0025) / 4000), standardError, 0.03 * standardError);
        assertFalse(sloped.uniform());
        assertTrue(Double.isInfinite(sloped.mostRms()));
    }
}
