package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

class OutlineScanTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    private static OutlineScan scan(TestExposure shapes) throws IOException {
        Exposure exposure = shapes.build(PSF);
        return OutlineScan.of(exposure, shapes.edges(), exposure.exact(true), EdgeGauges.Region.ALL, Workers.of(1));
    }

    @Test
    void anUnderexposedLineIsLost() throws IOException {
        OutlineScan scan = scan(new TestExposure().rectangle(0, 0, 0.03, 4, 1));
        assertEquals(TroubleSpot.Kind.LOST_LINE, scan.spots().get(0).kind());
        assertEquals(0.015, scan.spots().get(0).xUm(), 1e-9);
    }

    @Test
    void aNarrowGapBetweenOverexposedPadsCloses() throws IOException {
        OutlineScan scan = scan(new TestExposure().rectangle(-5, 0, 0, 10, 2).rectangle(0.02, 0, 5, 10, 2));
        assertTrue(scan.spots().stream()
                .anyMatch(s -> s.kind() == TroubleSpot.Kind.CLOSED_GAP && Math.abs(s.xUm() - 0.01) < 1e-9));
    }

    @Test
    void soundLinesGiveNoAlarm() throws IOException {
        OutlineScan scan =
                scan(new TestExposure().rectangle(0, 0, 0.2, 10, 1.58).rectangle(1, 0, 1.2, 10, 1.58));
        assertTrue(scan.spots().isEmpty(), scan.spots().toString());
    }

    private static OutlineScan scan(TestExposure shapes, PointEnergy energy, EdgeGauges.Region region, int most)
            throws IOException {
        try (Workers one = Workers.of(1)) {
            return OutlineScan.of(shapes.build(PSF), shapes.edges(), energy, region, most, one);
        }
    }

    /** Lines of 30 nm a micrometre apart, and pads with 100 nm between; narrow is up to 240 nm. */
    private static TestExposure lines() {
        TestExposure shapes = new TestExposure();
        for (int k = 0; k < 3; k++) {
            shapes.rectangle(10 + k, 20, 10.03 + k, 24, 1);
        }
        return shapes.rectangle(30, 20, 34, 24, 1).rectangle(34.1, 20, 38, 24, 1);
    }

    @Test
    void linesAreLostBelowTheThresholdAndGapsCloseAboveIt() throws IOException {
        OutlineScan low = scan(lines(), (x, y) -> 0.3, EdgeGauges.Region.ALL, 1000);
        assertEquals(20, low.edges());
        assertEquals(8, low.narrow(), "two sides of three lines, two of the gap");
        assertEquals(6, low.lost());
        assertEquals(0, low.closed());
        assertEquals(3, low.spots().size(), "both sides of a line have one middle");
        for (TroubleSpot spot : low.spots()) {
            assertEquals(0.4, spot.size(), 1e-12);
            assertEquals(22, spot.yUm(), 1e-9);
            assertEquals(0.015, spot.xUm() - Math.floor(spot.xUm()), 1e-9);
            assertEquals("a line of 30 nm stays 40.0 % below the threshold and does not develop", spot.what());
        }
        OutlineScan high = scan(lines(), (x, y) -> 0.8, EdgeGauges.Region.ALL, 1000);
        assertEquals(0, high.lost());
        assertEquals(2, high.closed());
        assertEquals(1, high.spots().size());
        assertEquals(34.05, high.spots().get(0).xUm(), 1e-9);
        assertEquals(
                "a gap of 100 nm is 60.0 % above the threshold and develops too",
                high.spots().get(0).what());
        // At the threshold a line develops and a gap does not.
        OutlineScan even = scan(lines(), (x, y) -> 0.5, EdgeGauges.Region.ALL, 1000);
        assertEquals(0, even.lost() + even.closed());
        OutlineScan some = scan(lines(), (x, y) -> 0.3, (x, y) -> x < 10.5, 1000);
        assertEquals(4, some.edges());
        assertEquals(2, some.lost());
    }

    /** The worst comes first, and lines before gaps. */
    @Test
    void spotsAreSorted() throws IOException {
        OutlineScan scan = scan(lines(), (x, y) -> x < 20 ? 0.4 - 0.01 * (x - 10) : 0.8, EdgeGauges.Region.ALL, 1000);
        assertEquals(
                List.of(12.0, 11.0, 10.0, 34.0),
                scan.spots().stream().map(s -> Math.floor(s.xUm())).toList());
    }

    /** 0.3 below a slanted line's middle, nothing elsewhere: looked at half the width inside its side. */
    @Test
    void theMiddleOfASlantedLineIsLookedAt() throws IOException {
        TestExposure shapes = new TestExposure().parallelogram(10, 20, 0.05, 4, 3, 1);
        double x = 10 + 1.5 + 0.025;
        PointEnergy hole = (px, py) -> Math.hypot(px - x, py - 22) < 1e-6 ? 0.3 : 0.9;
        OutlineScan scan = scan(shapes, hole, EdgeGauges.Region.ALL, 1000);
        // A side's middle lies at y = 22; the way square to it meets the other 0.8 * 50 nm on: the middle of the line
        // is 0.6 * 20 nm off.
        assertEquals(0, scan.lost());
        double my = 22 - 0.02 * 0.6;
        PointEnergy there = (px, py) -> Math.hypot(px - (10 + 1.5 + 0.02 * 0.8), py - my) < 1e-6 ? 0.3 : 0.9;
        OutlineScan found = scan(shapes, there, EdgeGauges.Region.ALL, 1000);
        assertEquals(1, found.lost());
        assertEquals(
                "a line of 40 nm stays 40.0 % below the threshold and does not develop",
                found.spots().get(0).what());
    }

    /** Under a roof at 70 degrees the floor has no line above it; the two walls and the roof have. */
    @Test
    void sidesThatFaceElsewhereMakeNoLine() throws IOException {
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, new long[] {5000, 7000, 5020, 7000, 5020, 7155, 5000, 7100}, 4);
        OutlineEdges edges = OutlineEdges.of(Merge.of(polygons, 1, Workers.of(1), Progress.NONE), 0.001);
        Exposure exposure = lines().build(PSF);
        OutlineScan scan = OutlineScan.of(exposure, edges, (x, y) -> 0.3, EdgeGauges.Region.ALL, 1000, Workers.of(1));
        assertEquals(4, scan.edges());
        assertEquals(3, scan.narrow());
        assertEquals(3, scan.lost());
    }

    /** Of many edges one in each of equal ranges is looked at. */
    @Test
    void aSampleIsSpreadOverTheOutline() throws IOException {
        TestExposure shapes = new TestExposure();
        for (int k = 0; k < 100; k++) {
            shapes.rectangle(10 * k, 20, 10 * k + 1, 21, 1);
        }
        List<Double> seen = new ArrayList<>();
        EdgeGauges.Region counts = (x, y) -> seen.add(x);
        OutlineScan scan = scan(shapes, (x, y) -> 0.9, counts, 50);
        assertEquals(50, scan.edges());
        // Two squares a range: the n-th place lies on the (2n)-th or the next.
        for (int k = 0; k < 50; k++) {
            assertTrue(Math.floor(seen.get(k) / 20) == k, k + " at " + seen.get(k));
        }
        assertEquals(
                400, scan(shapes, (x, y) -> 0.9, EdgeGauges.Region.ALL, 400).edges());
    }

    @Test
    void spotsKeepTheirDistanceFromWorseOnes() {
        List<TroubleSpot> sorted = new ArrayList<>();
        for (double[] at : new double[][] {{10, 20}, {13, 24}, {10, 24.9}, {15, 19}, {13, 23}, {20, 30}}) {
            sorted.add(new TroubleSpot(TroubleSpot.Kind.LOST_LINE, at[0], at[1], 1, ""));
        }
        // 5 um from the first is far enough, 4.9 um is not; (13, 23) is near what was kept.
        assertEquals(
                List.of(sorted.get(0), sorted.get(1), sorted.get(3), sorted.get(5)),
                OutlineScan.keepApart(sorted, 4.95, 10));
        assertEquals(List.of(sorted.get(0), sorted.get(1)), OutlineScan.keepApart(sorted, 4.95, 2));
    }
}
