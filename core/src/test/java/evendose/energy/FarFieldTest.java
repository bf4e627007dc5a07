package evendose.energy;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What a grid keeps: windows as small as they can be, and the terms that it can carry. */
class FarFieldTest {
    private static final Workers ONE = Workers.of(1);
    private static final FarTerms TERMS =
            new FarTerms(List.of(new GaussianTerm(0.4, 4), new GaussianTerm(0.2, 6)), Optional.empty(), 0);

    private static FarField field(Pieces pieces, Samples samples, boolean skipInterior) {
        return new FarField(pieces, samples, pieces.boundsUm(), TERMS, skipInterior, ONE, Progress.NONE);
    }

    private static Samples samples(boolean interior, double... xy) {
        int n = xy.length / 2;
        double[] x = new double[n];
        double[] y = new double[n];
        float[] w = new float[n];
        for (int j = 0; j < n; j++) {
            x[j] = xy[2 * j];
            y[j] = xy[2 * j + 1];
            w[j] = 1f / n;
        }
        return new Samples(x, y, w, new int[] {0, n}, new boolean[] {interior});
    }

    /** Nodes over an extent: one before it, two beyond, and those within; the pitch is 1 um and the grid begins on a whole one. */
    private static int nodes(double from, double to) {
        return (int) Math.floor(to) - (int) Math.floor(from) + 4;
    }

    /** Bytes less those of the nodes are 16 a window and 4 a weight; a window may be cut where bands of rows end. */
    private static void assertWeights(int weights, int fewestWindows, int mostWindows, FarField field) {
        double bytes = field.bytes() - FarField.BYTES_PER_NODE * field.grid().nodes() - 4.0 * weights;
        assertTrue(
                bytes >= 16 * fewestWindows && bytes <= 16 * mostWindows && bytes % 16 == 0,
                weights + " weights, then " + bytes + " bytes");
    }

    @Test
    void partsFarApartHaveWindowsOfTheirOwn() {
        Pieces apart = new TestPieces()
                .unit()
                .trapezoid(0, 1.5, 0, 2.5, 0, 2.5)
                .trapezoid(40, 42.5, 50.5, 51.25, 50.5, 51.25)
                .build();
        int spread = nodes(0, 2.5) * nodes(0, 1.5) + nodes(50.5, 51.25) * nodes(40, 42.5);
        // Two samples far apart take the 4 by 4 nodes around each.
        assertWeights(spread + 32, 4, 8, field(apart, samples(false, 0.5, 0.5, 50.75, 41), false));
        assertWeights(spread, 2, 4, field(apart, samples(true, 0.5, 0.5, 50.75, 41), true));
        assertWeights(spread + 32, 4, 8, field(apart, samples(true, 0.5, 0.5, 50.75, 41), false));
    }

    @Test
    void partsThatTouchShareAWindow() {
        Pieces touching = new TestPieces()
                .unit()
                .trapezoid(0, 1.5, 0, 3.5, 0, 3.5)
                .trapezoid(1.5, 2.5, 0, 3.5, 0.25, 3.25)
                .build();
        int spread = nodes(0, 3.5) * nodes(0, 2.5);
        // Samples between (0.5, 0.5) and (2.5, 1.5): 6 by 5 nodes, fewer than 16 each.
        assertWeights(spread + 6 * 5, 2, 4, field(touching, samples(false, 0.5, 0.5, 2.5, 1.5, 1, 1), false));
    }

    @ParameterizedTest
    @CsvSource({"-60, 1", "80, 1", "1, -60", "1, 80"})
    void samplesFarFromAllPiecesAreRefused(double x, double y) {
        Pieces pieces = new TestPieces().rectangle(0, 0, 2, 2).build();
        Samples far = samples(false, x, y);
        String message = assertThrows(IllegalArgumentException.class, () -> field(pieces, far, false))
                .getMessage();
        assertTrue(message.contains("unit 0"), message);
    }

    private static RadialTable table(double stretch) {
        double[] r = new double[40];
        double[] density = new double[40];
        for (int i = 0; i < r.length; i++) {
            r[i] = 0.5 * Math.pow(1.1, i) * stretch;
            density[i] = Math.exp(-r[i] / (2 * stretch));
        }
        return RadialTable.of(r, density);
    }

    @Test
    void termsOfAGroup() {
        RadialTable table = table(1);
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.1), new GaussianTerm(0.2, 2)), Optional.of(new TableTerm(0.3, table)));
        FarTerms all = FarTerms.of(psf, new TermGroup(Evaluator.FAR, 1, 3), 0.1);
        assertEquals(1, all.gaussians().size());
        assertEquals(0.3, all.table().orElseThrow().weight(), 1e-15);
        assertEquals(0.5, all.weight(), 1e-15);
        assertEquals(0.9 * Math.min(2, table.smoothnessUm()) / 4, all.pitchUm(), 1e-12);
        assertEquals(1.1 * Math.max(9, table.reachUm()), all.reachUm(), 1e-12);
        FarTerms last = FarTerms.of(psf, new TermGroup(Evaluator.FAR, 2, 3), 0);
        assertTrue(last.gaussians().isEmpty() && last.table().isPresent() && !last.isEmpty());
        assertEquals(table.smoothnessUm() / 4, last.pitchUm(), 0);
        assertEquals(table.reachUm(), last.reachUm(), 0);
        FarTerms gaussian = FarTerms.of(psf, new TermGroup(Evaluator.FAR, 1, 2), 0);
        assertTrue(gaussian.table().isEmpty() && !gaussian.isEmpty());
        assertEquals(0.5, gaussian.pitchUm());
        assertEquals(9, gaussian.reachUm());
        assertTrue(new FarTerms(List.of(), Optional.empty(), 0).isEmpty());
    }

    @Test
    void aGridCarriesWhatIsNoFinerAndReachesNoFurther() {
        assertTrue(TERMS.cover(TERMS));
        assertTrue(TERMS.cover(gaussians(4, 6)) && TERMS.cover(gaussians(5)) && TERMS.cover(gaussians(6)));
        assertFalse(TERMS.cover(gaussians(3.999)));
        assertFalse(TERMS.cover(gaussians(6.001)));
        assertTrue(new FarTerms(TERMS.gaussians(), Optional.empty(), 0.1).cover(gaussians(3.61, 6.59)));
        assertFalse(new FarTerms(TERMS.gaussians(), Optional.empty(), 0.1).cover(gaussians(3.59)));
    }

    private static FarTerms gaussians(double... ranges) {
        return new FarTerms(
                java.util.Arrays.stream(ranges)
                        .mapToObj(r -> new GaussianTerm(0.3, r))
                        .toList(),
                Optional.empty(),
                0);
    }

    @Test
    void proportionalTermsDifferByOneFactor() {
        FarTerms twice =
                new FarTerms(List.of(new GaussianTerm(0.8, 4), new GaussianTerm(0.4, 6)), Optional.empty(), 0.2);
        assertTrue(TERMS.isProportional(twice) && twice.isProportional(TERMS) && TERMS.isProportional(TERMS));
        assertFalse(TERMS.isProportional(gaussians(4, 6)), "other weights");
        assertFalse(TERMS.isProportional(
                new FarTerms(List.of(new GaussianTerm(0.4, 4), new GaussianTerm(0.2, 6.1)), Optional.empty(), 0)));
        assertFalse(TERMS.isProportional(
                new FarTerms(List.of(new GaussianTerm(0.4, 4), new GaussianTerm(0.2 + 1e-9, 6)), Optional.empty(), 0)));
        assertFalse(TERMS.isProportional(gaussians(4)), "fewer");
        FarTerms table = new FarTerms(List.of(), Optional.of(new TableTerm(0.3, table(1))), 0);
        RadialTable same = table.table().orElseThrow().table();
        assertTrue(table.isProportional(new FarTerms(List.of(), Optional.of(new TableTerm(0.1, same)), 0)));
        assertFalse(table.isProportional(new FarTerms(List.of(), Optional.of(new TableTerm(0.3, table(1.1))), 0)));
        assertFalse(table.isProportional(new FarTerms(List.of(), Optional.empty(), 0)));
    }

    /** Transforms at pairs of wave numbers: exp(-(k s)^2 / 4) for each Gaussian, the table's own for it; added to what is there. */
    @Test
    void wavesAreTheTransforms() {
        RadialTable table = table(1);
        FarTerms terms = new FarTerms(
                List.of(new GaussianTerm(0.4, 4), new GaussianTerm(0.2, 6)), Optional.of(new TableTerm(0.3, table)), 0);
        double[] kx = {0, 0.1, 0.3};
        double[] ky = {0, 0.2};
        double[] values = new double[6];
        values[5] = 1;
        for (int i = 0; i < 3; i++) {
            terms.waves(kx, ky).addTo(values, i);
        }
        for (int i = 0; i < 3; i++) {
            for (int j = 0; j < 2; j++) {
                double k = Math.hypot(kx[i], ky[j]);
                double expected = 0.4 * Math.exp(-4 * k * k) + 0.2 * Math.exp(-9 * k * k) + 0.3 * table.transform(k);
                assertEquals(expected + (i == 2 && j == 1 ? 1 : 0), values[2 * i + j], 1e-12);
            }
        }
        // At 0 the transform is the whole energy.
        assertEquals(0.9, values[0], 1e-3);
    }
}
