package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Random places on upright rectangles; the direct range is 20 nm, so corners reach 40 nm. */
class EdgeGaugesTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /** A pad of 3 x 1 um, one of 1 x 1 um, and a dot of 60 nm. */
    private static final double[][] BOXES = {{10, 20, 13, 21}, {30, 20, 31, 21}, {40, 20, 40.06, 20.06}};

    private static TestExposure shapes() {
        TestExposure shapes = new TestExposure();
        for (double[] b : BOXES) {
            shapes.rectangle(b[0], b[1], b[2], b[3], 1);
        }
        return shapes;
    }

    private static EdgeGauges places(int count, EdgeGauges.Region region, long seed) throws IOException {
        return EdgeGauges.random(shapes().edges(), shapes().build(PSF), count, region, seed);
    }

    @Test
    void placesAreSpreadOverTheLengthOfTheOutline() throws IOException {
        EdgeGauges places = places(1224, EdgeGauges.Region.ALL, 4);
        assertEquals(1224, places.size());
        int[] on = new int[3];
        int corners = 0;
        for (int g = 0; g < places.size(); g++) {
            double x = places.xUm[g];
            double y = places.yUm[g];
            double nearest = Double.MAX_VALUE;
            for (int b = 0; b < 3; b++) {
                double[] box = BOXES[b];
                boolean inside = x >= box[0] - 1e-9 && x <= box[2] + 1e-9 && y >= box[1] - 1e-9 && y <= box[3] + 1e-9;
                double left = Math.min(Math.abs(x - box[0]), Math.abs(x - box[2]));
                double low = Math.min(Math.abs(y - box[1]), Math.abs(y - box[3]));
                if (inside) {
                    assertEquals(0, Math.min(left, low), 1e-9);
                    on[b]++;
                    nearest = Math.max(left, low);
                }
            }
            assertEquals(nearest < 0.04 - 1e-9, places.corner[g], "at " + x + ", " + y);
            // Long edges keep off corners by themselves; the dot has nothing but corners.
            assertEquals(x > 39, places.corner[g]);
            corners += places.corner[g] ? 1 : 0;
        }
        // One place in each of equal lengths: 100 a um, but for one where edges meet.
        assertEquals(800, on[0], 1);
        assertEquals(400, on[1], 2);
        assertEquals(24, on[2], 1);
        assertEquals(corners, places.nearCorners());
        assertEquals(places.size() - corners, places.awayFromCorners(places.xUm).length);
    }

    @Test
    void aSeedFixesThePlacesAndARegionHoldsThem() throws IOException {
        EdgeGauges.Region second = (x, y) -> x > 29 && x < 32;
        EdgeGauges places = places(50, second, 4);
        assertArrayEquals(places.xUm, places(50, second, 4).xUm);
        assertNotEquals(Arrays.toString(places.xUm), Arrays.toString(places(50, second, 5).xUm));
        assertTrue(Arrays.stream(places.xUm).allMatch(x -> x >= 30 && x <= 31));
        assertEquals(50, places.size());
        assertEquals(0, places(50, (x, y) -> false, 4).size());
    }

    /** Of the sides of 3 um that are level, only a part about the middle lies in the region: so do all places. */
    @Test
    void placesOnLongEdgesLieInTheRegion() throws IOException {
        EdgeGauges places = places(400, (x, y) -> x > 11.3 && x < 11.9, 4);
        assertEquals(400, places.size());
        assertTrue(Arrays.stream(places.xUm).allMatch(x -> x > 11.3 && x < 11.9));
        assertTrue(Arrays.stream(places.xUm).max().orElseThrow() > 11.85);
        assertTrue(Arrays.stream(places.xUm).min().orElseThrow() < 11.35);
    }

    /** Where only a dot's share of the places is lost, about as many good ones come back as were asked for. */
    @Test
    void placesLostToCornersAreDrawnAgain() throws IOException {
        // Edges of the pad of 1 um and of the dot: 0.24 of 1.24 um are corners if one edge of the pad counts.
        EdgeGauges.Region some = (x, y) -> x > 39 || x == 31;
        Exposure exposure = shapes().build(PSF);
        EdgeGauges first = EdgeGauges.random(shapes().edges(), exposure, 200, some, 4);
        assertEquals(200 * 0.24 / 1.24, first.nearCorners(), 2);
        EdgeGauges again = EdgeGauges.awayFromCorners(shapes().edges(), exposure, 200, some, 4);
        assertEquals(1.1 * 200, again.size() - again.nearCorners(), 3);
        // Nothing to gain: all are good, or none is.
        EdgeGauges.Region pad = (x, y) -> x < 15;
        assertEquals(
                200,
                EdgeGauges.awayFromCorners(shapes().edges(), exposure, 200, pad, 4)
                        .size());
        EdgeGauges.Region dot = (x, y) -> x > 39;
        assertEquals(
                200,
                EdgeGauges.awayFromCorners(shapes().edges(), exposure, 200, dot, 4)
                        .size());
    }

    /** An energy that falls by 10 a um away from the middle of the pad of 3 um, 0.5 where it is 2 nm inside its outline. */
    @Test
    void errorsAndPlacementsByHand() throws IOException {
        EdgeGauges places = places(60, (x, y) -> x > 39 || x == 10 || x == 13, 4);
        PointEnergy slope = (x, y) -> 0.5 + 10 * (1.498 - Math.abs(x - 11.5));
        double[] errors = places.energyErrors(slope, Workers.of(1));
        double[] off = places.placementsNm(slope, ContourSearch.of(PSF), Workers.of(1));
        int good = 0;
        for (int g = 0; g < 60; g++) {
            if (places.corner[g]) {
                assertEquals(Double.NaN, errors[g]);
                assertEquals(Double.NaN, off[g]);
            } else {
                assertEquals(-0.02 / 0.5, errors[g], 1e-9);
                assertEquals(-2, off[g], 1e-6);
                good++;
            }
        }
        assertTrue(good > 40 && good < 60);
        assertTrue(Arrays.stream(places.awayFromCorners(off)).allMatch(v -> Math.abs(v + 2) < 1e-6));
    }
}
