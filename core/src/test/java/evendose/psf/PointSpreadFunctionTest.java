package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

class PointSpreadFunctionTest {
    @Test
    void theDoubleGaussianHasOneDirectTerm() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.012, 31, 0.6);
        assertEquals(1, psf.directTerms());
        assertEquals(new GaussianTerm(1 / 1.6, 0.012), psf.direct());
        assertEquals(31, psf.main().rangeUm());
        assertEquals(0.6, psf.eta(), 1e-15);
        // Mass beyond 3 and 4 ranges of a Gaussian: exp(-9) and exp(-16).
        PointSpreadFunction one = PointSpreadFunction.doubleGaussian(1, 1, 0);
        assertEquals(1.234098e-4, one.shareBeyond(3), 1e-10);
        assertEquals(1.125352e-7, one.shareBeyond(4), 1e-13);
    }

    @Test
    void midRangeTermsAreNotDirect() {
        PointSpreadFunction psf = PointSpreadFunction.from(List.of(
                new GaussianTerm(0.3, 31),
                new GaussianTerm(0.1, 3),
                new GaussianTerm(0.5, 0.012),
                new GaussianTerm(0.1, 0.4)));
        assertEquals(1, psf.directTerms());
        assertEquals(31, psf.main().rangeUm());
        assertEquals(1, psf.eta(), 1e-12);
    }

    @Test
    void aFineLadderHasManyDirectTermsThatCountAsOne() {
        List<GaussianTerm> ladder = new ArrayList<>();
        for (double range = 0.003; range < 40; range *= 2) {
            ladder.add(new GaussianTerm(range < 0.05 ? 1 : range < 15 ? 0.05 : 1.5, range));
        }
        PointSpreadFunction psf = PointSpreadFunction.from(ladder);
        // Limit: 0.003^(2/3) 24.6^(1/3) = 0.0605 um; direct are 0.003, 0.006, 0.012, 0.024 and 0.048 um.
        assertEquals(5, psf.directTerms());
        assertEquals((0.003 + 0.006 + 0.012 + 0.024 + 0.048) / 5, psf.direct().rangeUm(), 1e-12);
        double sum = ladder.stream().mapToDouble(GaussianTerm::weight).sum();
        assertEquals(5 / sum, psf.direct().weight(), 1e-12);
        assertEquals(24.576, psf.main().rangeUm(), 1e-12);
    }

    @Test
    void energyIsNormalised() {
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(3, 0.1), new GaussianTerm(2, 1), new GaussianTerm(5, 7)));
        // Integral of 2 pi r f(r) by the midpoint rule on a logarithmic grid.
        double sum = 0;
        double step = 1e-3;
        for (double u = Math.log(1e-4); u < Math.log(100); u += step) {
            double r = Math.exp(u + step / 2);
            sum += 2 * Math.PI * r * r * step * psf.density(r);
        }
        assertEquals(1, sum, 1e-6);
        assertEquals(1, psf.shareBeyond(0), 1e-15);
    }

    @Test
    void nonsenseIsRefused() {
        assertThrows(IllegalArgumentException.class, () -> PointSpreadFunction.from(List.of()));
        assertThrows(IllegalArgumentException.class, () -> PointSpreadFunction.doubleGaussian(0, 1, 1));
        assertThrows(IllegalArgumentException.class, () -> PointSpreadFunction.doubleGaussian(1, Double.NaN, 1));
        assertThrows(IllegalArgumentException.class, () -> PointSpreadFunction.doubleGaussian(1, 1, -1));
    }
}
