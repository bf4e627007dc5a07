package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.atomic.AtomicInteger;
import org.junit.jupiter.api.Test;

class ClosedFormEnergyTest {
    private static Exposure scattered(PointSpreadFunction psf) throws IOException {
        TestExposure rectangles = new TestExposure();
        Random random = new Random(5);
        for (int i = 0; i < 300; i++) {
            double x = 1.5 * (i % 20);
            double y = 1.5 * (i / 20);
            rectangles.rectangle(
                    x, y, x + 0.2 + random.nextDouble(), y + 0.2 + random.nextDouble(), 0.5 + random.nextDouble());
        }
        return rectangles.build(psf);
    }

    private static PointSpreadFunction withTable() {
        double[] r = new double[60];
        Arrays.setAll(r, i -> 0.05 * Math.pow(1.13, i));
        RadialTable table = RadialTable.of(
                r, Arrays.stream(r).map(v -> Math.exp(-v * v / 25)).toArray());
        return PointSpreadFunction.from(
                List.of(new GaussianTerm(0.6, 0.02), new GaussianTerm(0.1, 0.4)),
                Optional.of(new TableTerm(0.3, table)));
    }

    @Test
    void onALineEqualsPointByPoint() throws IOException {
        for (PointSpreadFunction psf : List.of(
                PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6),
                PointSpreadFunction.from(
                        List.of(new GaussianTerm(0.6, 0.02), new GaussianTerm(0.1, 0.4), new GaussianTerm(0.3, 5))),
                withTable())) {
            Exposure exposure = scattered(psf);
            onALineEqualsPointByPoint(exposure.exact(true), psf.table().isPresent() ? 1e-6 : 1e-9);
            onALineEqualsPointByPoint(
                    exposure.fields(Workers.of(1), Progress.NONE).of(true), 1e-9);
            inABoxEqualsPointByPoint(exposure.exact(true), psf.table().isPresent() ? 1e-6 : 1e-9);
            nearPlacesEqualsPointByPoint(exposure.exact(true), psf.table().isPresent() ? 1e-6 : 1e-9);
        }
    }

    private static void onALineEqualsPointByPoint(PointEnergy energy, double tolerance) {
        for (double half : new double[] {0.05, 0.6, 3, 12}) {
            double c = Math.cos(0.3);
            double s = Math.sin(0.3);
            PointEnergy line = energy.onLine(8, 6, c, s, -half, half);
            for (int k = 0; k <= 40; k++) {
                double t = half * (k - 20) / 20.0;
                assertEquals(energy.at(8 + t * c, 6 + t * s), line.at(8 + t * c, 6 + t * s), tolerance);
            }
        }
    }

    private static void inABoxEqualsPointByPoint(PointEnergy energy, double tolerance) {
        Random random = new Random(3);
        for (double[] half : new double[][] {{0.05, 0.05}, {0.6, 0}, {0, 0.3}, {2.3, 1.1}, {9, 9}}) {
            PointEnergy box = energy.inBox(8 - half[0], 6 - half[1], 8 + half[0], 6 + half[1], 10_000);
            for (int k = 0; k <= 40; k++) {
                double x = 8 + half[0] * (2 * random.nextDouble() - 1);
                double y = 6 + half[1] * (2 * random.nextDouble() - 1);
                assertEquals(energy.at(x, y), box.at(x, y), tolerance);
            }
            // For few points there is nothing to gain.
            assertSame(energy, energy.inBox(8 - half[0], 6 - half[1], 8 + half[0], 6 + half[1], 9));
        }
    }

    /** Places crowd in one corner of the pattern, so some squares are interpolated and others are not; points lie in both. */
    private static void nearPlacesEqualsPointByPoint(PointEnergy energy, double tolerance) {
        Random random = new Random(4);
        double[] x = random.doubles(400, 2, 7).toArray();
        double[] y = random.doubles(400, -1, 4).toArray();
        PointEnergy near = energy.about(x, y, 3, Workers.of(2));
        assertNotSame(energy, near);
        double c = Math.cos(2);
        double s = Math.sin(2);
        for (int k = 0; k < 200; k++) {
            double px = -3 + 35 * random.nextDouble();
            double py = -3 + 25 * random.nextDouble();
            assertEquals(energy.at(px, py), near.at(px, py), tolerance);
            assertEquals(energy.at(x[k], y[k]), near.at(x[k], y[k]), tolerance);
            // A line may leave the square of its place, and long ones take narrow terms point by point.
            double half = k % 2 == 0 ? 0.1 : 4;
            PointEnergy line = near.onLine(x[k], y[k], c, s, -half, half);
            double t = half * (2 * random.nextDouble() - 1);
            assertEquals(energy.at(x[k] + t * c, y[k] + t * s), line.at(x[k] + t * c, y[k] + t * s), 3 * tolerance);
        }
        // For few places there is nothing to gain.
        assertSame(energy, energy.about(new double[] {4}, new double[] {5}, 3, Workers.of(1)));
    }

    /** What is interpolated takes no sums over pieces at the places any more, and fewer beforehand than these were. */
    @Test
    void sumsAreSavedWherePlacesCrowd() throws IOException {
        AtomicInteger sums = new AtomicInteger();
        double[] ranges = {0.02, 0.4, 0.7, 9};
        PointEnergy energy = new ClosedFormEnergy(ranges, (first, end, x, y) -> {
            sums.addAndGet(end > 1 ? 1 : 0);
            return 0;
        });
        Random random = new Random(6);
        // About 250 in each square of 0.4 um.
        double[] x = random.doubles(5_000, 0, 8).toArray();
        double[] y = random.doubles(5_000, 0, 0.4).toArray();
        PointEnergy near = energy.about(x, y, 1, Workers.of(1));
        int beforehand = sums.getAndSet(0);
        assertTrue(beforehand > 0 && beforehand < 5_000, () -> "sums beforehand: " + beforehand);
        for (int k = 0; k < x.length; k++) {
            near.at(x[k], y[k]);
        }
        assertEquals(0, sums.get());
    }

    /** The report takes the engine's energies: its edges must be those of closed forms within 0.01 nm. */
    @Test
    void engineGivesTheSameEdgesWithinAHundredthOfANanometre() throws IOException {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
        Exposure exposure = scattered(psf);
        PointEnergy exact = exposure.exact(true);
        PointEnergy field = exposure.fields(Workers.of(1), Progress.NONE).of(true);
        ContourSearch search = ContourSearch.of(psf);
        for (int i = 0; i < 40; i++) {
            double x = 1.5 * (i % 20);
            double y = 1.5 * (i / 20) + 0.1;
            double a = search.displacementUm(exact, 0.35, x, y, -1, 0, 0.2);
            double b = search.displacementUm(field, 0.35, x, y, -1, 0, 0.2);
            if (Double.isInfinite(a)) {
                assertEquals(a, b);
            } else {
                assertEquals(1e3 * a, 1e3 * b, 0.01);
            }
        }
    }
}
