package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;

class PolygonDosesTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
    private static final Layer LINES = new Layer(1, 0);
    private static final Layer OTHERS = new Layer(2, 0);
    private static final GeometryFactory JTS = new GeometryFactory();

    private static Geometry jts(double... xy) {
        Coordinate[] c = new Coordinate[xy.length / 2 + 1];
        for (int k = 0; k < c.length; k++) {
            int at = 2 * k % xy.length;
            c[k] = new Coordinate(xy[at], xy[at + 1]);
        }
        return JTS.createPolygon(c);
    }

    /** Triangles and rectangles that overlap on one layer and another, against sums over all pieces by areas that JTS finds. */
    @Test
    void agreesWithTheDirectSumOverAllPieces() {
        Random random = new Random(5);
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        List<Geometry> drawn = new ArrayList<>();
        for (int n = 0; n < 60; n++) {
            double[] xy = new double[6];
            for (int k = 0; k < 6; k++) {
                xy[k] = 1e-3 * (random.nextInt(6_000) + (k % 2 == 0 ? 1 : 0) * 400 * n);
            }
            builder.polygon(LINES, xy);
            drawn.add(jts(xy));
        }
        for (int n = 0; n < 10; n++) {
            builder.rectangles(OTHERS, 3 * n, 2, 3 * n + 1.5, 7);
            drawn.add(jts(3 * n, 2, 3 * n + 1.5, 2, 3 * n + 1.5, 7, 3 * n, 7));
        }
        DoseTable table = Corrector.correct(
                builder.build(),
                List.of(LayerRole.corrected(LINES), LayerRole.corrected(OTHERS, 0.9)),
                CorrectionOptions.builder(PSF).threads(2).build());
        PolygonDoses doses = PolygonDoses.of(table);
        assertEquals(drawn.size(), doses.size());
        Pieces p = table.pieces();
        int[] unit = p.unitOfPiece();
        int[] shape = p.shapeOfUnit();
        int covered = 0;
        for (int n = 0; n < drawn.size(); n++) {
            int group = n < 60 ? 0 : 1;
            assertEquals(group == 0 ? LINES : OTHERS, doses.layer(n));
            double area = 0;
            double sum = 0;
            for (int i = 0; i < p.size(); i++) {
                double[] c = new double[8];
                for (int k = 0; k < 4; k++) {
                    c[2 * k] = p.cornerXUm(i, k);
                    c[2 * k + 1] = p.cornerYUm(i, k);
                }
                Geometry piece = jts(c);
                if (p.layerOfShape(shape[unit[i]]) == group
                        && piece.getEnvelopeInternal().intersects(drawn.get(n).getEnvelopeInternal())) {
                    double shared = drawn.get(n).intersection(piece).getArea();
                    area += shared;
                    sum += shared * table.factor(unit[i]);
                }
            }
            if (area > 1e-6) {
                assertEquals(sum / area, doses.factor(n), 1e-9);
                covered++;
            }
        }
        assertTrue(covered > 60, () -> "only some polygons were compared");
        // Some are as the first and last factor says, others lie between.
        assertTrue(table.maxFactor() / table.minFactor() > 1.2);
    }

    /** A bow tie winds about its halves in opposite ways: both count. */
    @Test
    void aPolygonThatCrossesItselfCountsWhole() {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .polygon(LINES, 0, 0, 4, 4, 4, 0, 0, 4)
                .rectangles(OTHERS, 0, 0, 2, 4)
                .build();
        DoseTable table = Corrector.correct(
                layout, List.of(LayerRole.fixed(OTHERS, 3), LayerRole.fixed(LINES, 2)), CorrectionOptions.of(PSF));
        PolygonDoses doses = PolygonDoses.of(table);
        assertArrayEquals(new double[] {2}, doses.factors(LINES));
        assertArrayEquals(new double[] {3}, doses.factors(OTHERS));
    }

    @Test
    void whatIsCoveredByLayersBeforeHasNoDose() {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 4, 4, 1, 1, 2, 2)
                .rectangles(OTHERS, 1, 1, 3, 3, 3, 3, 5, 5)
                .build();
        DoseTable table = Corrector.correct(
                layout, List.of(LayerRole.fixed(LINES, 2), LayerRole.fixed(OTHERS, 3)), CorrectionOptions.of(PSF));
        PolygonDoses doses = PolygonDoses.of(table);
        assertArrayEquals(new double[] {2, 2}, doses.factors(LINES));
        assertArrayEquals(new double[] {Double.NaN, 3}, doses.factors(OTHERS));
        assertEquals("PolygonDoses[4 polygons, factors 2.0000 to 3.0000]", doses.toString());
        assertEquals(
                "DrawnPattern[4 polygons on layers 1/0, 2/0]", table.pattern().toString());
        IllegalArgumentException thrown =
                assertThrows(IllegalArgumentException.class, () -> doses.factors(new Layer(9, 9)));
        assertTrue(thrown.getMessage().contains("layer 9/9 was not exposed"), thrown.getMessage());
    }

    /** Exactly the one dose, not a mean that rounding moved; and polygons that touch are one shape. */
    @Test
    void oneDosePerShapeIsGivenExactly() {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 30, 0.3, 30, 0, 60, 7, 70, 0, 70.3, 40)
                .build();
        DoseTable table = Corrector.correct(
                layout,
                List.of(LayerRole.corrected(LINES)),
                CorrectionOptions.builder(PSF).oneDosePerShape(true).build());
        double[] factors = PolygonDoses.of(table).factors(LINES);
        assertEquals(factors[0], factors[1]);
        assertTrue(Math.abs(factors[2] - factors[0]) > 0.05);
        assertTrue(java.util.Arrays.stream(table.factors()).anyMatch(f -> f == factors[2]));
        assertTrue(table.pieces().size() > 4);
    }
}
