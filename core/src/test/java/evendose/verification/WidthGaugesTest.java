package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Places to measure on shapes whose widths and gaps are known as drawn; the direct range is 20 nm. */
class WidthGaugesTest {
    private static final double WIDEST = 3;

    /** A density that tells where it was asked for. */
    private static final PointEnergy DENSITY = (x, y) -> 0.3 + 0.001 * x + 0.0001 * y;

    private static WidthGauges finder(TestExposure shapes, PointEnergy density) throws IOException {
        return new WidthGauges(
                shapes.edges(), shapes.build(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6)), density);
    }

    private static WidthGauge at(WidthGauges finder, double x, double y) {
        return finder.at(List.of(GaugePlace.at(x, y)), WIDEST).get(0);
    }

    private static GaugePlace turned(double x, double y, double degrees) {
        return new GaugePlace("", x, y, OptionalDouble.of(degrees));
    }

    /** Lines of 0.2 and 0.5 um with 0.7 um between them, and a pad. */
    private static TestExposure lines() {
        return new TestExposure()
                .rectangle(5, 20, 5.2, 30, 1)
                .rectangle(5.9, 20, 6.4, 30, 1)
                .rectangle(20, 20, 24, 24, 1);
    }

    @Test
    void theNarrowestWayIsUpright() throws IOException {
        WidthGauge gauge = at(finder(lines(), DENSITY), 6.2, 26.5);
        assertEquals(0.5, gauge.drawnUm(), 1e-9);
        assertEquals(1, Math.abs(gauge.ux()), 1e-12);
        assertEquals(26.5, gauge.yUm(), 1e-9);
        assertEquals(6.15, gauge.middleXUm(), 1e-9);
        assertEquals(26.5, gauge.middleYUm(), 1e-9);
        assertEquals(DENSITY.at(gauge.xUm(), gauge.yUm()), gauge.density(), 1e-12);
        // From the left edge backwards lies the other line, from the right one the pad, too far away.
        assertEquals(gauge.ux() > 0 ? 0.7 : Double.POSITIVE_INFINITY, gauge.gapUm(), 1e-9);
        assertEquals("W1", gauge.name());
    }

    /** Across a parallelogram: its area over the length of its slanted side, and square to that. */
    @Test
    void aSlantedLineIsMeasuredSquareToItsSides() throws IOException {
        TestExposure slanted = new TestExposure().parallelogram(10, 30, 0.4, 6, 2.5, 1);
        double x = 10.2 + 1.25;
        WidthGauge gauge = at(finder(slanted, DENSITY), x, 33);
        double side = Math.hypot(6, 2.5);
        assertEquals(0.4 * 6 / side, gauge.drawnUm(), 1e-9);
        assertEquals(0, gauge.ux() * 2.5 + gauge.uy() * 6, 1e-9);
        assertEquals(x, gauge.middleXUm(), 1e-9);
        assertEquals(33, gauge.middleYUm(), 1e-9);
    }

    @Test
    void aGivenAngleIsKeptUpToTwentyDegreesOffTheNormal() throws IOException {
        WidthGauges finder = finder(lines(), DENSITY);
        double tilt = Math.toRadians(15);
        WidthGauge gauge = finder.at(List.of(turned(6.2, 25, 15)), WIDEST).get(0);
        assertEquals(0.5 / Math.cos(tilt), gauge.drawnUm(), 1e-9);
        assertEquals(5.9, gauge.xUm(), 1e-9);
        assertEquals(25 - 0.3 * Math.tan(tilt), gauge.yUm(), 1e-9);
        assertEquals(0.7 / Math.cos(tilt), gauge.gapUm(), 1e-9);
        // From above, across the pad's height, exactly upright.
        WidthGauge upright = finder.at(List.of(turned(22, 23, 90)), 5).get(0);
        assertEquals(4, upright.drawnUm(), 1e-9);
        assertEquals(0, upright.ux());
        assertEquals(1, upright.uy(), 1e-15);
        assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(turned(6.2, 25, 25)), WIDEST));
        assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(turned(22, 23, 90)), WIDEST));
        // Between the lines is no line.
        assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(GaugePlace.at(5.5, 25)), WIDEST));
        assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(turned(5.5, 25, 0)), WIDEST));
    }

    /** Gauges from given places on the outline, each {x, y} on the edge nearest to it. */
    private static List<WidthGauge> automatic(
            TestExposure shapes, PointEnergy density, int each, int most, double[]... at) throws IOException {
        OutlineEdges edges = shapes.edges();
        Exposure exposure = shapes.build(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
        int[] edge = new int[at.length];
        double[] x = new double[at.length];
        double[] y = new double[at.length];
        for (int p = 0; p < at.length; p++) {
            x[p] = at[p][0];
            y[p] = at[p][1];
            edge[p] = -1;
            for (int e = 0; e < edges.size(); e++) {
                double from = (x[p] - edges.xUm(e, 0)) * (edges.xUm(e, 1) - edges.xUm(e, 0))
                        + (y[p] - edges.yUm(e, 0)) * (edges.yUm(e, 1) - edges.yUm(e, 0));
                double off = (x[p] - edges.xUm(e, 0)) * edges.outX(e) + (y[p] - edges.yUm(e, 0)) * edges.outY(e);
                double length = edges.lengthUm(e);
                if (Math.abs(off) < 1e-9 && from >= 0 && from <= length * length) {
                    edge[p] = e;
                }
            }
        }
        return new WidthGauges(edges, exposure, density)
                .automatic(EdgeGauges.at(edges, exposure, edge, x, y), EdgeGauges.Region.ALL, 1, each, most);
    }

    private static double[] at(double x, double y) {
        return new double[] {x, y};
    }

    @Test
    void oneLineCountsOncePerPlaceAndClassesAreFilledInTurn() throws IOException {
        PointEnergy even = (x, y) -> 0.35;
        double[][] places = {
            at(6.4, 24), // the wide line first
            at(6.4, 26),
            at(6.4, 28),
            at(5, 25),
            at(5.2, 25.1), // the same place from the other side
            at(5.2, 28),
            at(5, 22), // a third of its class
            at(20, 22) // wider than is measured
        };
        List<WidthGauge> two = automatic(lines(), even, 2, 100, places);
        assertEquals(List.of(0.2, 0.2, 0.5, 0.5), rounded(two));
        assertEquals(
                List.of("W1", "W2", "W3", "W4"),
                two.stream().map(WidthGauge::name).toList());
        assertEquals(
                List.of(25.0, 28.0, 24.0, 26.0),
                two.stream().map(WidthGauge::yUm).toList());
        // Into the line, from its edge.
        assertEquals(1, two.get(0).ux(), 1e-12);
        assertEquals(-1, two.get(1).ux(), 1e-12);
        assertEquals(List.of(0.2, 0.2, 0.5), rounded(automatic(lines(), even, 2, 3, places)));
        assertEquals(List.of(0.2, 0.5), rounded(automatic(lines(), even, 1, 100, places)));
    }

    private static List<Double> rounded(List<WidthGauge> gauges) {
        return gauges.stream().map(g -> Math.rint(1e6 * g.drawnUm()) / 1e6).toList();
    }

    @Test
    void surroundingsMakeClassesToo() throws IOException {
        // 0.13 and 0.17 are of one class, 0.33 is of another; the denser one comes last.
        PointEnergy rising = (x, y) -> y < 23 ? 0.33 : y < 26 ? 0.13 : 0.17;
        List<WidthGauge> gauges = automatic(lines(), rising, 1, 100, at(5, 22), at(5, 25), at(5, 28));
        assertEquals(
                List.of(0.13, 0.33), gauges.stream().map(WidthGauge::density).toList());
        assertEquals(List.of(25.0, 22.0), gauges.stream().map(WidthGauge::yUm).toList());
    }

    /** A line of 0.2 um whose right side ends at y = 26 where a pad begins: 39 nm below it its far end is nearer than two ranges. */
    @Test
    void theFarEndKeepsOffCornersToo() throws IOException {
        TestExposure shapes = new TestExposure().rectangle(5, 20, 5.2, 30, 1).rectangle(5.2, 26, 8, 30, 1);
        PointEnergy even = (x, y) -> 0.35;
        assertEquals(0, automatic(shapes, even, 5, 100, at(5, 25.961)).size());
        assertEquals(1, automatic(shapes, even, 5, 100, at(5, 25.959)).size());
        assertEquals(0, automatic(shapes, even, 5, 100, at(5, 20.039)).size());
        assertEquals(1, automatic(shapes, even, 5, 100, at(5, 20.041)).size());
    }

    @Test
    void aTableNamesItsGauges(@TempDir Path folder) throws IOException {
        WidthGauges finder = finder(lines(), DENSITY);
        Path file = Files.writeString(
                folder.resolve("places.csv"), "x_um,y_um,angle_deg,name\n5.1,25,,\n6.2,25,15,wide\n6.2,25,,\n");
        List<WidthGauge> gauges = finder.fromTable(file, WIDEST);
        assertEquals(
                List.of("W1", "wide", "W3"),
                gauges.stream().map(WidthGauge::name).toList());
        assertEquals(0.2, gauges.get(0).drawnUm(), 1e-9);
        assertEquals(0.5 / Math.cos(Math.toRadians(15)), gauges.get(1).drawnUm(), 1e-9);
        Path off = Files.writeString(folder.resolve("off.csv"), "x_um,y_um\n5.1,25\n5.5,25\n");
        String message = assertThrows(BadInputException.class, () -> finder.fromTable(off, WIDEST))
                .getMessage();
        assertTrue(message.contains("line 3") && message.contains("(5.5, 25.0)"), message);
        Path none = Files.writeString(folder.resolve("none.csv"), "x_um,y_um\n");
        assertTrue(assertThrows(BadInputException.class, () -> finder.fromTable(none, WIDEST))
                .getMessage()
                .contains("no gauge"));
    }

    @Test
    void placesAreChecked() {
        assertThrows(NullPointerException.class, () -> new GaugePlace(null, 0, 0, OptionalDouble.empty()));
        assertThrows(IllegalArgumentException.class, () -> GaugePlace.at(0, Double.POSITIVE_INFINITY));
        assertThrows(IllegalArgumentException.class, () -> turned(0, 0, Double.NaN));
    }

    /** The same lines along x. */
    private static TestExposure level() {
        return new TestExposure().rectangle(20, 5, 30, 5.2, 1).rectangle(20, 5.9, 30, 6.4, 1);
    }

    @Test
    void linesAlongXAreMeasuredUpwards() throws IOException {
        WidthGauges finder = finder(level(), DENSITY);
        double tilt = Math.toRadians(15);
        WidthGauge gauge = finder.at(List.of(turned(25, 6.2, 75)), WIDEST).get(0);
        assertEquals(0.5 / Math.cos(tilt), gauge.drawnUm(), 1e-9);
        assertEquals(5.9, gauge.yUm(), 1e-9);
        assertEquals(25 - 0.3 * Math.tan(tilt), gauge.xUm(), 1e-9);
        assertEquals(0.7 / Math.cos(tilt), gauge.gapUm(), 1e-9);
        assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(turned(25, 6.2, 65)), WIDEST));
        assertEquals(0.2, at(finder, 25, 5.1).drawnUm(), 1e-9);
        List<WidthGauge> found =
                automatic(level(), (x, y) -> 0.35, 2, 100, at(25, 5), at(28, 6.4), at(20.039, 5), at(29.961, 6.4));
        assertEquals(List.of(0.2, 0.5), rounded(found));
        assertEquals(1, found.get(0).uy(), 1e-12);
        assertEquals(-1, found.get(1).uy(), 1e-12);
    }

    /** On a line along (3, 4) / 5 directions up to 20 degrees off its normal are measured, whichever way they lean. */
    @Test
    void anglesCountFromTheNormalOfSlantedLines() throws IOException {
        WidthGauges finder = finder(new TestExposure().parallelogram(10, 30, 0.5, 8, 6, 1), DENSITY);
        double normal = Math.toDegrees(Math.atan2(-3, 4));
        for (double off : new double[] {-25, -15, 0, 15, 25}) {
            GaugePlace place = turned(13.25, 34, normal + off);
            if (Math.abs(off) > 20) {
                assertThrows(IllegalArgumentException.class, () -> finder.at(List.of(place), WIDEST));
            } else {
                assertEquals(
                        0.4 / Math.cos(Math.toRadians(off)),
                        finder.at(List.of(place), WIDEST).get(0).drawnUm(),
                        1e-9);
            }
        }
    }
}
