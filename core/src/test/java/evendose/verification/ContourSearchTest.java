package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.psf.PointSpreadFunction;
import org.apache.commons.numbers.gamma.Erfc;
import org.apache.commons.numbers.gamma.InverseErfc;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Developed edges of energies whose contours are known. */
class ContourSearchTest {
    private static final double ALPHA_UM = 0.02;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(ALPHA_UM, 9.5, 0);
    private static final ContourSearch SEARCH = ContourSearch.of(PSF);

    /** The half plane left of x = 0. */
    private static final PointEnergy HALF_PLANE = (x, y) -> 0.5 * Erfc.value(x / ALPHA_UM);

    @ParameterizedTest
    @ValueSource(doubles = {0.001, 0.1, 0.3, 0.499, 0.5, 0.501, 0.8, 0.999})
    void theEdgeOfAHalfPlaneIsFoundOnEitherSide(double threshold) {
        double expected = ALPHA_UM * InverseErfc.value(2 * threshold);
        assertEquals(
                expected, SEARCH.displacementUm(HALF_PLANE, threshold, 0, 3, 1, 0, Double.POSITIVE_INFINITY), 1e-8);
        // From a place 5 nm off, along a direction at 30 degrees to the normal.
        double cosine = Math.cos(Math.toRadians(30));
        assertEquals(
                (expected + 0.005) / cosine,
                SEARCH.displacementUm(HALF_PLANE, threshold, -0.005, 3, cosine, 0.5, Double.POSITIVE_INFINITY),
                1e-8);
    }

    /** Bands half developed, half not: the border next to the drawn edge counts, however many lie within reach. */
    @Test
    void theNearestOfManyContoursIsFound() {
        double period = 2.5 * ALPHA_UM;
        for (double phase = 0.02; phase < 1; phase += 0.04) {
            double shift = phase;
            PointEnergy waves = (x, y) -> 0.5 + 0.4 * Math.sin(2 * Math.PI * (x / period + shift));
            // Above the threshold in the first half of a period: it ends outwards. Below it in the second, which begins
            // inwards.
            double expected = (0.5 - phase) * period;
            assertEquals(
                    expected,
                    SEARCH.displacementUm(waves, 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY),
                    1e-8,
                    "phase " + phase);
        }
    }

    /** A half plane whose border runs through (2, -1), normal to (0.6, 0.8): along the normal, and at an angle of cosine 0.96 to it. */
    @Test
    void slantedEdgesAreFoundAwayFromTheOrigin() {
        PointEnergy slanted = (x, y) -> 0.5 * Erfc.value((0.6 * (x - 2) + 0.8 * (y + 1)) / ALPHA_UM);
        double expected = ALPHA_UM * InverseErfc.value(0.6);
        double far = Double.POSITIVE_INFINITY;
        assertEquals(expected, SEARCH.displacementUm(slanted, 0.3, 2, -1, 0.6, 0.8, far), 1e-8);
        assertEquals(expected / 0.96, SEARCH.displacementUm(slanted, 0.3, 2, -1, 0.8, 0.6, far), 1e-8);
    }

    /** What lies behind the drawn edge, seen the way the search goes, is nobody's business, even where it crosses the threshold nearer by. */
    @Test
    void contoursBehindTheEdgeDoNotCount() {
        // Falls to 0.5 at -0.05 and has risen to it again at 0.01.
        PointEnergy dip = (x, y) -> 0.4 + 10 * Math.max(0, -0.04 - x) + 50 * Math.max(0, x - 0.008);
        assertEquals(-0.05, SEARCH.displacementUm(dip, 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY), 1e-8);
        PointEnergy hump = (x, y) -> 0.6 - 10 * Math.max(0, x - 0.04) - 50 * Math.max(0, -0.008 - x);
        assertEquals(0.05, SEARCH.displacementUm(hump, 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY), 1e-8);
    }

    @Test
    void whatNeverDevelopsIsLostAndWhatAlwaysDoesIsFlooded() {
        PointEnergy low = (x, y) -> 0.2;
        PointEnergy high = (x, y) -> 0.9;
        assertEquals(ContourSearch.LOST, SEARCH.displacementUm(low, 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY));
        assertEquals(ContourSearch.FLOODED, SEARCH.displacementUm(high, 0.5, 0, 0, 1, 0, Double.POSITIVE_INFINITY));
        assertEquals(0, SEARCH.displacementUm((x, y) -> 0.5, 0.5, 0, 0, 1, 0, 1));
    }

    /** A step 0.3 um inwards or outwards: found within the shape and within the reach, not beyond. */
    @Test
    void theSearchEndsWithTheShapeAndTheReach() {
        PointEnergy inwards = (x, y) -> 0.5 * Erfc.value((x + 0.3) / ALPHA_UM);
        assertEquals(-0.3, SEARCH.displacementUm(inwards, 0.5, 0, 0, 1, 0, 0.31), 1e-8);
        assertEquals(ContourSearch.LOST, SEARCH.displacementUm(inwards, 0.5, 0, 0, 1, 0, 0.29));
        PointEnergy outwards = (x, y) -> 0.5 * Erfc.value((x - 0.3) / ALPHA_UM);
        // How far inwards the shape reaches has nothing to do with what lies outside.
        assertEquals(0.3, SEARCH.displacementUm(outwards, 0.5, 0, 0, 1, 0, 0.01), 1e-8);
        assertEquals(ContourSearch.FLOODED, new ContourSearch(PSF, 0.29).displacementUm(outwards, 0.5, 0, 0, 1, 0, 1));
        assertEquals(0.3, new ContourSearch(PSF, 0.31).displacementUm(outwards, 0.5, 0, 0, 1, 0, 1), 1e-8);
    }

    @Test
    void theUsualReachIs25DirectRanges() {
        assertEquals(0.5, SEARCH.reachUm());
        assertEquals(
                2.5,
                ContourSearch.of(PointSpreadFunction.doubleGaussian(0.1, 9.5, 0.6))
                        .reachUm(),
                1e-12);
    }

    /** Few evaluations: the energy's slope tells where to look first. */
    @Test
    void theFirstStepFollowsTheSlope() {
        int[] calls = {0};
        PointEnergy counted = (x, y) -> {
            calls[0]++;
            return HALF_PLANE.at(x, y);
        };
        double found = SEARCH.displacementUm(counted, 0.45, 0, 0, 1, 0, Double.POSITIVE_INFINITY);
        assertEquals(ALPHA_UM * InverseErfc.value(0.9), found, 1e-8);
        assertTrue(calls[0] <= 8, calls[0] + " evaluations");
    }
}
