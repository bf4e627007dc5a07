package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

class PieceLookupTest {
    /** A square in a level and a standing triangle: each point lies in the one on its side of the diagonal. */
    @Test
    void findsLevelAndStandingPieces() throws IOException {
        PieceLookup lookup = new PieceLookup(new TestExposure()
                .piece(0, 0, 1, 0, 0, 1, 0, 1)
                .piece(1, 0, 1, 1, 0, 1, 0, 1)
                .build(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .pieces());
        SplittableRandom random = new SplittableRandom(4);
        for (int k = 0; k < 1000; k++) {
            double x = random.nextDouble();
            double y = random.nextDouble();
            assertEquals(x + y < 1 ? 0 : 1, lookup.at(x, y, 0), x + " " + y);
        }
        assertEquals(-1, lookup.at(1.1, 0.5, 0.05));
        assertEquals(1, lookup.at(1.04, 0.5, 0.05));
        assertEquals(-1, lookup.at(0.5, -0.1, 0.05));
    }
}
