package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.pieces.HandMadePieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class ContrastCurveTest {
    private static double[] values(double... v) {
        return v;
    }

    /** One decade from full thickness to none: contrast 1 / log10(D100 / D0) = 1. */
    @Test
    void depthIsLinearInTheLogarithmOfTheDose() {
        ContrastCurve curve = ContrastCurve.of(values(50, 100, 1000, 2000), values(500, 500, 0, 0));
        assertEquals(250, curve.depthNm(Math.sqrt(100 * 1000)), 1e-9);
        assertEquals(0, curve.depthNm(1));
        assertEquals(500, curve.depthNm(1e5));
        for (double depth : values(0, 1, 123, 499, 500)) {
            assertEquals(depth, curve.depthNm(curve.doseForDepthUcPerCm2(depth)), 1e-9);
        }
        assertEquals(1000, curve.doseForDepthUcPerCm2(500), 1e-9, "the lowest dose that does it");
        assertThrows(IllegalArgumentException.class, () -> curve.doseForDepthUcPerCm2(501));
        assertThrows(IllegalArgumentException.class, () -> curve.doseForDepthUcPerCm2(-1));
    }

    @Test
    void aNegativeResistWorksToo() {
        ContrastCurve curve = ContrastCurve.of(values(10, 100), values(0, 300));
        assertEquals(300, curve.depthNm(5));
        assertEquals(150, curve.depthNm(Math.sqrt(1000)), 1e-9);
        assertEquals(Math.sqrt(1000), curve.doseForDepthUcPerCm2(150), 1e-9);
    }

    @Test
    void theBundledCurveGoesThroughItsRows() throws IOException {
        Path file = TestData.file("demo/tidepool-contrast.csv");
        ContrastCurve curve = ContrastCurve.read(file);
        for (String line : Files.readAllLines(file)) {
            if (line.matches("[0-9].*")) {
                String[] f = line.split(",");
                assertEquals(500 - Double.parseDouble(f[1]), curve.depthNm(Double.parseDouble(f[0])), 1e-9);
            }
        }
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "10,5|a contrast curve needs at least two rows",
                "10,5;20,6;30,5|the thickness falls and rises again; smooth the curve so that it does one only",
                "10,5;20,5|the thickness is the same everywhere",
                "10,5;10,4|row 2: doses must be positive and rise, thicknesses must be at least 0",
            })
    void unsoundCurvesAreRefused(String rows, String message, @TempDir Path folder) throws IOException {
        Path file = folder.resolve("c.csv");
        Files.writeString(file, "dose_uc_per_cm2,remaining_nm\n" + rows.replace(";", "\n") + "\n");
        BadInputException e = assertThrows(BadInputException.class, () -> ContrastCurve.read(file));
        assertEquals(file + ": " + message, e.getMessage());
    }

    /** A wide area needs exactly the curve's dose; a stair of narrow treads gets its depths after correction only. */
    @Test
    void correctionMakesTheWantedDepths() {
        ContrastCurve curve = ContrastCurve.of(values(100, 1000), values(500, 0));
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
        CorrectionOptions options = CorrectionOptions.builder(psf)
                .criterion(Criterion.MEAN)
                .baseDoseUcPerCm2(300)
                .build();
        double shallow = LayerDepth.target(curve, 125, options);
        double deep = LayerDepth.target(curve, 375, options);
        assertEquals(curve.doseForDepthUcPerCm2(125) / 300, shallow, 1e-12);
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 6, 40);
        Corrections.box(polygons, 1, 6, 0, 12, 40);
        DoseTable table = Corrections.correct(
                polygons,
                options,
                LayerRole.corrected(new Layer(1, 0), shallow),
                LayerRole.corrected(new Layer(2, 0), deep));
        List<LayerDepth> depths = LayerDepth.predict(table, curve);
        assertEquals(2, depths.size());
        for (LayerDepth d : depths) {
            assertEquals(d.layer().number() == 1 ? 125 : 375, d.wantedNm(), 1e-9);
            // The tolerance of 1e-3 in energy is worth 500 nm / ln 10 times as much in depth.
            double tolerance = 1.1e-3 * 500 / Math.log(10);
            assertEquals(d.wantedNm(), d.after().mean(), tolerance);
            assertTrue(d.after().max() - d.after().min() < 2 * tolerance);
            assertTrue(d.before().rmsError() > 20 * d.after().rmsError());
        }
        assertEquals(3, LayerDepth.csv(depths).split("\n").length);
    }

    @Test
    void rowsAreHandedOutAsCopies() {
        ContrastCurve curve = ContrastCurve.of(values(10, 100), values(0, 300));
        assertArrayEquals(values(10, 100), curve.dosesUcPerCm2(), 1e-12);
        assertEquals(300, curve.depthsNm()[0]);
        curve.depthsNm()[0] = 7;
        assertEquals(300, curve.depthNm(1));
        assertEquals(300, curve.largestDepthNm());
    }

    /** Depths are linear in the logarithm: e-fold doses from 1 to 100 in steps of 50 nm, two squares of areas 1 and 3. */
    @Test
    void depthsOfALayerAreMeansByArea() {
        ContrastCurve curve = ContrastCurve.of(values(1, Math.E * Math.E), values(100, 0));
        HandMadeDoses doses =
                new HandMadeDoses(HandMadePieces.rectangles(new double[] {0, 0, 1, 1}, new double[] {2, 0, 5, 1}));
        doses.options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .criterion(Criterion.MEAN)
                .referenceDensity(1)
                .baseDoseUcPerCm2(2)
                .build();
        Layer grey = new Layer(7, 3);
        // A third role without a shape, and one whose dose is given, are not told of.
        doses.roles = List.of(
                LayerRole.corrected(grey, 0.5 * Math.E),
                LayerRole.corrected(new Layer(8, 0)),
                LayerRole.fixed(new Layer(9, 0), 1));
        doses.after = values(0.5 * Math.exp(1.2), 0.5 * Math.exp(0.8));
        doses.wide = values(0.5 * Math.exp(0.4), 0.5 * Math.exp(2));
        List<LayerDepth> depths = LayerDepth.predict(doses.build(), curve);
        assertEquals(1, depths.size());
        LayerDepth d = depths.get(0);
        assertEquals(50, d.wantedNm(), 1e-9);
        assertEquals(Math.E, d.doseUcPerCm2(), 1e-12);
        assertRange(values(20, (20 + 3 * 100) / 4.0, 100, Math.sqrt((900 + 3 * 2500) / 4.0)), d.before());
        assertRange(values(40, (60 + 3 * 40) / 4.0, 60, 10), d.after());
        doses.options = doses.options.toBuilder().criterion(Criterion.EDGE).build();
        assertThrows(IllegalArgumentException.class, () -> LayerDepth.predict(doses.build(), curve));
        CorrectionOptions without = CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
        assertEquals(
                "depths need the base dose that energy 1 stands for",
                assertThrows(IllegalArgumentException.class, () -> LayerDepth.target(curve, 50, without))
                        .getMessage());
        // A dose of e at a base of 2, over the 0.5 that the edge criterion wants.
        assertEquals(
                Math.E / 2 / 0.5,
                LayerDepth.target(
                        curve, 50, without.toBuilder().baseDoseUcPerCm2(2).build()),
                1e-12);
    }

    private static void assertRange(double[] expected, LayerDepth.Range range) {
        assertArrayEquals(expected, values(range.min(), range.mean(), range.max(), range.rmsError()), 1e-9);
    }
}
