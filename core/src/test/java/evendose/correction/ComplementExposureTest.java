package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.EnergyField;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** A pad, a grating of 200 nm lines, a lone one and wider ones, all long beyond the backscatter range, against products of error functions. */
class ComplementExposureTest {
    private static final double ALPHA = 0.02;
    private static final double BETA = 4;
    private static final double ETA = 0.8;
    private static final double Q = ETA / (1 + ETA);
    private static final double D = BETA / Math.sqrt(Math.sqrt(1 + ETA));
    private static final double FRAME = 14;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(ALPHA, BETA, ETA);
    private static final Layer LAYER = new Layer(1, 0);

    /** Left, bottom, right and top of what is drawn, um. */
    private static final List<double[]> DRAWN = drawn();

    private static List<double[]> drawn() {
        List<double[]> boxes = new ArrayList<>();
        boxes.add(new double[] {0, 0, 40, 40});
        for (int k = 0; k < 100; k++) {
            boxes.add(new double[] {60 + 0.4 * k, 0, 60.2 + 0.4 * k, 40});
        }
        boxes.add(new double[] {130, 0, 130.2, 40});
        boxes.add(new double[] {150, 0, 152, 40});
        boxes.add(new double[] {172, 0, 176, 40});
        boxes.add(new double[] {196, 0, 202, 40});
        return boxes;
    }

    private static DrawnPattern pattern() {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        DRAWN.forEach(box -> builder.rectangles(LAYER, box));
        return DrawnPattern.of(builder.build(), List.of(LayerRole.corrected(LAYER)));
    }

    private static ComplementExposure exposure(DrawnPattern pattern) {
        try (Workers workers = Workers.of(1)) {
            return ComplementExposure.of(pattern, CorrectionOptions.of(PSF), EqualisingSpot.of(PSF), FRAME, workers);
        }
    }

    /** The integral of a unit Gaussian of range {@code s} over a box. */
    private static double box(double[] b, double s, double x, double y) {
        return 0.25 * Erf.erf((b[0] - x) / s, (b[2] - x) / s) * Erf.erf((b[1] - y) / s, (b[3] - y) / s);
    }

    private static double blurred(List<double[]> boxes, double s, double x, double y) {
        return boxes.stream().mapToDouble(b -> box(b, s, x, y)).sum();
    }

    private static double pattern(double x, double y) {
        return blurred(DRAWN, ALPHA, x, y) / (1 + ETA) + Q * blurred(DRAWN, BETA, x, y);
    }

    private static double complement(double x, double y) {
        List<double[]> frame = List.of(new double[] {-FRAME, -FRAME, 202 + FRAME, 40 + FRAME});
        double direct = Math.sqrt(ALPHA * ALPHA + D * D);
        double far = Math.sqrt(BETA * BETA + D * D);
        return (blurred(frame, direct, x, y) - blurred(DRAWN, direct, x, y)) / (1 + ETA)
                + Q * (blurred(frame, far, x, y) - blurred(DRAWN, far, x, y));
    }

    /** x of edges at half height: of the pad, at the border and in the middle of the grating, of lone lines. */
    private static final double[] EDGES = {0, 40, 60, 80, 80.2, 99.8, 130, 130.2, 150, 172, 202};

    @Test
    void itsEnergyIsThatOfClosedForms() {
        ComplementExposure exposure = exposure(pattern());
        double factor = exposure.complementFactor();
        assertEquals(Q * (1 + ETA) / (1 + 2 * ETA), factor, 1e-12);
        assertEquals((1 + ETA) / (1 + 2 * ETA), exposure.patternFactor(), 1e-12);
        try (Workers workers = Workers.of(1)) {
            EnergyField added = exposure.added(workers);
            for (double x : EDGES) {
                for (double y : new double[] {20, 39, 40, 47, 54}) {
                    assertEquals(factor * complement(x, y), added.at(x, y), 5e-5, "at " + x + ", " + y);
                }
            }
        }
    }

    /** With closed forms alone and the class's doses: what the method promises, and no more. */
    @Test
    void theBackgroundAtEdgesIsFlat() {
        ComplementExposure exposure = exposure(pattern());
        double single = 0;
        double equalised = 0;
        for (double x : EDGES) {
            double e = exposure.patternFactor() * pattern(x, 20) + exposure.complementFactor() * complement(x, 20);
            equalised = Math.max(equalised, Math.abs(e / 0.5 - 1));
            single = Math.max(single, Math.abs(pattern(x, 20) / 0.5 - 1));
        }
        assertTrue(single > 0.4, "one dose: " + single);
        // What the spot tells, and what ends at the frame 3.5 ranges away.
        double promised = exposure.spot().unevenness() * exposure.patternFactor() / 0.5;
        assertTrue(equalised < promised + 1e-3, equalised + " of " + promised);
        assertTrue(equalised > 0.5 * promised, equalised + " of " + promised);
    }

    @Test
    void itIsTheFrameLessThePattern(@TempDir Path folder) throws Exception {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .polygon(LAYER, 0, 0, 12, 1, 9, 8, 5, 3, 1, 9)
                .rectangles(LAYER, 6, -1, 8, 7, 20, 20, 21, 30)
                .rectangles(new Layer(2, 0), 19, 22, 23, 24)
                .build();
        DrawnPattern pattern =
                DrawnPattern.of(layout, List.of(LayerRole.corrected(LAYER), LayerRole.corrected(new Layer(2, 0))));
        ComplementExposure exposure = exposure(pattern);
        assertArrayEquals(new double[] {-14, -15, 37, 44}, exposure.frameUm(), 1e-9);

        GeometryFactory jts = new GeometryFactory();
        Geometry frame = rectangle(jts, -14, -15, 37, 44);
        Geometry drawn = UnaryUnionOp.union(List.of(
                polygon(jts, 0, 0, 12, 1, 9, 8, 5, 3, 1, 9),
                rectangle(jts, 6, -1, 8, 7),
                rectangle(jts, 20, 20, 21, 30),
                rectangle(jts, 19, 22, 23, 24)));
        Geometry left = frame.difference(drawn);
        assertEquals(left.getArea(), exposure.complementAreaUm2(), 2e-3);
        assertEquals(drawn.getArea(), exposure.patternAreaUm2(), 2e-3);

        Path file = folder.resolve("equalise.gds");
        assertEquals(0, exposure.write(file));
        assertEquals(new Layer(3, 0), exposure.complementLayer(), "1 and 2 are drawn");
        Layout written = LayoutFiles.read(file);
        Geometry complement = union(jts, written, new Layer(3, 0));
        // Outlines may lie half a nanometre off, over 100 um of slanted sides.
        assertTrue(complement.symDifference(left).getArea() < 0.03, "written complement");
        assertEquals(left.getArea(), complement.getArea(), 2e-3);
        Geometry both = UnaryUnionOp.union(List.of(union(jts, written, LAYER), union(jts, written, new Layer(2, 0))));
        assertTrue(both.symDifference(drawn).getArea() < 0.03, "written pattern");
        assertTrue(both.intersection(complement).getArea() < 0.03, "nothing is exposed twice");
    }

    private static Geometry polygon(GeometryFactory jts, double... xy) {
        Coordinate[] ring = new Coordinate[xy.length / 2 + 1];
        Arrays.setAll(ring, i -> new Coordinate(xy[2 * i % xy.length], xy[(2 * i + 1) % xy.length]));
        return jts.createPolygon(ring);
    }

    private static Geometry rectangle(GeometryFactory jts, double x0, double y0, double x1, double y1) {
        return polygon(jts, x0, y0, x1, y0, x1, y1, x0, y1);
    }

    private static Geometry union(GeometryFactory jts, Layout layout, Layer layer) {
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
        List<Geometry> all = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                all.add(ComplementExposureTest.rectangle(jts, 1e-3 * x0, 1e-3 * y0, 1e-3 * x1, 1e-3 * y1));
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                all.add(ComplementExposureTest.polygon(
                        jts,
                        Arrays.stream(xy, from, from + 2 * vertices)
                                .mapToDouble(c -> 1e-3 * c)
                                .toArray()));
            }
        });
        return UnaryUnionOp.union(all);
    }

    @Test
    void theBytesDoNotDependOnThreads(@TempDir Path folder) throws Exception {
        byte[][] written = new byte[2][];
        double[] energy = new double[2];
        for (int t = 0; t < 2; t++) {
            try (Workers workers = Workers.of(1 + t)) {
                ComplementExposure exposure = ComplementExposure.of(
                        pattern(), CorrectionOptions.of(PSF), EqualisingSpot.of(PSF), FRAME, workers);
                Path file = folder.resolve(t + ".gds");
                exposure.write(file);
                written[t] = Files.readAllBytes(file);
                energy[t] = exposure.added(workers).at(61, 3);
            }
        }
        assertArrayEquals(written[0], written[1]);
        assertEquals(energy[0], energy[1], 0.0);
    }

    @Test
    void framesThatCannotBeAreRefused() {
        EqualisingSpot spot = EqualisingSpot.of(PSF);
        CorrectionOptions options = CorrectionOptions.of(PSF);
        try (Workers workers = Workers.of(1)) {
            for (double frame : new double[] {0, -1, Double.NaN, 0.9 * spot.rangeUm()}) {
                assertThrows(
                        IllegalArgumentException.class,
                        () -> ComplementExposure.of(pattern(), options, spot, frame, workers));
            }
            String told = assertThrows(
                            BadInputException.class,
                            () -> ComplementExposure.of(pattern(), options, spot, 1e300, workers))
                    .getMessage();
            assertTrue(told.contains("take a narrower one"), told);
        }
    }
}
