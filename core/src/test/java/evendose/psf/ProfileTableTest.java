package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.Test;

class ProfileTableTest {
    private static final double END = 75;

    /**
     * Energy beyond r of a made profile that ends, as simulated ones do where electrons have lost all their energy: Gaussians of 5
     * nm, 60 nm and 1 um, and 0.35 of the energy spread as (1 - r^2 / 75^2)^7 within 75 um.
     */
    private static double beyond(double r) {
        double tail = r < END ? Math.pow(1 - r * r / (END * END), 8) : 0;
        return 0.4 * gauss(r, 0.005) + 0.15 * gauss(r, 0.06) + 0.1 * gauss(r, 1) + 0.35 * tail;
    }

    private static double gauss(double r, double s) {
        return Math.exp(-r * r / (s * s));
    }

    private static RadialProfile profile() {
        int perDecade = 20;
        int n = 6 * perDecade;
        double[] edges = new double[n + 1];
        for (int i = 1; i <= n; i++) {
            edges[i] = 1e-4 * Math.pow(10, (i - 1.0) / perDecade);
        }
        double[] energy = new double[n];
        double[] error = new double[n];
        for (int i = 0; i < n; i++) {
            energy[i] = beyond(edges[i]) - beyond(edges[i + 1]);
            error[i] = 0.01 * energy[i];
        }
        return RadialProfile.of(edges, energy, error, new double[0][]);
    }

    /** Where a sum of Gaussians cannot follow, the table does. */
    @Test
    void theTailIsTheProfiles() {
        RadialProfile profile = profile();
        PointSpreadFunction ladder = ProfileFits.ladder(profile).psf().orElseThrow();
        PointSpreadFunction psf = ProfileTable.of(profile, ladder);
        assertTrue(Math.abs(ladder.shareBeyond(50) / beyond(50) - 1) > 0.1, "no sum of Gaussians ends");
        // At the edges of rings, which is what a profile knows.
        for (int i = 0; i <= profile.size(); i++) {
            double r = profile.edgeUm(i);
            if (r > 6 && r < 65) {
                assertEquals(1, psf.shareBeyond(r) / beyond(r), 0.01, "beyond " + r);
            }
        }
        // Near the centre it is the Gaussians' fit, less the energy that this misplaces further out.
        for (double r = 0.001; r < 6; r *= 1.5) {
            double off = Math.abs(psf.shareBeyond(r) - beyond(r));
            assertTrue(off < (r < 1 ? 0.01 : 0.001), off + " beyond " + r);
            assertTrue(off < Math.abs(ladder.shareBeyond(r) - beyond(r)), "closer than the fit beyond " + r);
        }
        assertTrue(psf.table().orElseThrow().table().reachUm() < 80);
        assertTrue(psf.terms().size() < ladder.terms().size());
        // Long enough to need no fine grid: a smooth part alone.
        double smooth = psf.table().orElseThrow().table().smoothnessUm();
        assertTrue(smooth > ladder.main().rangeUm() / 20, "as smooth as " + smooth);
    }

    @Test
    void needsBothParts() {
        RadialProfile profile = profile();
        assertThrows(
                IllegalArgumentException.class,
                () -> ProfileTable.of(
                        profile, PointSpreadFunction.from(List.of(new GaussianTerm(1, 30), new GaussianTerm(1, 20)))));
    }
}
