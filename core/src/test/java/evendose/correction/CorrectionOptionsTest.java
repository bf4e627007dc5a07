package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.pieces.PieceRules;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.RadialTable;
import evendose.psf.TableTerm;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.util.List;
import java.util.Optional;
import java.util.function.UnaryOperator;
import org.apache.commons.numbers.gamma.Erf;
import org.junit.jupiter.api.Test;

/** Options one by one: each is kept, counts for equality, and has bounds; and the lengths that follow from them. */
class CorrectionOptionsTest {
    private static final double ALPHA = 0.02;
    private static final double BETA = 10;
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(ALPHA, BETA, 0.6);
    private static final CorrectionOptions USUAL = CorrectionOptions.of(PSF);

    /** Four terms: 0.02 of them next after the direct one do not matter, with another 0.04 they do. */
    private static final PointSpreadFunction FOUR = PointSpreadFunction.from(List.of(
            new GaussianTerm(0.5, 0.01),
            new GaussianTerm(0.02, 0.2),
            new GaussianTerm(0.04, 0.4),
            new GaussianTerm(0.44, 30)));

    private static CorrectionOptions with(UnaryOperator<CorrectionOptions.Builder> change) {
        return change.apply(USUAL.toBuilder()).build();
    }

    /** To other machines, where nobody listens; with what is set and what is not. */
    @Test
    void optionsAndRolesTravel() throws IOException, ClassNotFoundException {
        Progress deaf = new Progress() {
            @Override
            public void begin(String stage, long total) {}

            @Override
            public void advance(long done) {}
        };
        CorrectionOptions all = with(b -> b.levels(LevelRule.geometric(5))
                .baseDoseUcPerCm2(300)
                .longRange(new LongRange(Optional.of(new Fogging(5, 10)), Optional.empty()))
                .threads(3)
                .progress(deaf));
        assertEquals(all, travelled(all));
        assertEquals(3, travelled(all).threads());
        assertSame(Progress.NONE, travelled(all).progress());
        assertEquals(USUAL, travelled(USUAL));
        Layer layer = new Layer(3, 1);
        for (LayerRole role : List.of(LayerRole.fixed(layer, 0.7), LayerRole.corrected(layer, 0.4))) {
            assertEquals(role, travelled(role));
        }
        DevelopmentLoading loading = DevelopmentLoading.linear(5, 100, 0.5);
        LongRange longRange = travelled(new LongRange(Optional.empty(), Optional.of(loading)));
        assertEquals(Optional.of(loading), longRange.loading());
        assertTrue(longRange.fogging().isEmpty());
    }

    @SuppressWarnings("unchecked")
    private static <T> T travelled(T value) throws IOException, ClassNotFoundException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new ObjectOutputStream(bytes)) {
            out.writeObject(value);
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes.toByteArray()))) {
            return (T) in.readObject();
        }
    }

    @Test
    void eachOptionIsKeptAndCounts() {
        PieceRules rules = new PieceRules(0.0005, 0.004, 0.01);
        LevelRule levels = LevelRule.geometric(5);
        LongRange fogging = new LongRange(Optional.of(new Fogging(5, 10)), Optional.empty());
        List<CorrectionOptions> changed = List.of(
                with(b -> b.criterion(Criterion.MEAN)),
                with(b -> b.referenceDensity(0.25)),
                with(b -> b.maxPieceUm(3)),
                with(b -> b.tolerance(1e-4)),
                with(b -> b.maxIterations(7)),
                with(b -> b.minFactor(0.2)),
                with(b -> b.maxFactor(4)),
                with(b -> b.levels(levels)),
                with(b -> b.levelStudy(true)),
                with(b -> b.oneDosePerShape(true)),
                with(b -> b.baseDoseUcPerCm2(300)),
                with(b -> b.rules(rules)),
                with(b -> b.allowedEdgeError(0.02)),
                with(b -> b.longRange(fogging)),
                with(b -> b.biasUm(0.01)));
        for (CorrectionOptions options : changed) {
            assertNotEquals(USUAL, options);
            assertEquals(options, options.toBuilder().build());
            assertEquals(options.hashCode(), options.toBuilder().build().hashCode());
            assertEquals(1, changed.stream().filter(options::equals).count());
        }
        assertEquals(
                15, changed.stream().map(CorrectionOptions::hashCode).distinct().count());
        assertEquals(Criterion.MEAN, changed.get(0).criterion());
        assertEquals(0.25, changed.get(1).referenceDensity());
        assertEquals(3, changed.get(2).maxPieceUm());
        assertEquals(1e-4, changed.get(3).tolerance());
        assertEquals(7, changed.get(4).maxIterations());
        assertEquals(0.2, changed.get(5).minFactor());
        assertEquals(4, changed.get(6).maxFactor());
        assertEquals(Optional.of(levels), changed.get(7).levels());
        assertTrue(changed.get(8).levelStudy() && !USUAL.levelStudy());
        assertTrue(changed.get(9).oneDosePerShape() && !USUAL.oneDosePerShape());
        assertEquals(300, changed.get(10).baseDoseUcPerCm2().getAsDouble());
        assertEquals(rules, changed.get(11).rules());
        assertEquals(0.02, changed.get(12).allowedEdgeError());
        assertEquals(fogging, changed.get(13).longRange());
        assertEquals(0.01, changed.get(14).biasUm());
        assertSame(PSF, USUAL.psf());
        assertEquals(3, with(b -> b.threads(3)).threads());
        assertEquals(USUAL, with(b -> b.threads(3)));
        assertTrue(USUAL.toString().startsWith("CorrectionOptions[psf="), USUAL.toString());
    }

    @Test
    void theEndsOfWhatIsAllowed() {
        assertEquals(0, with(b -> b.referenceDensity(0)).referenceDensity());
        assertEquals(1, with(b -> b.referenceDensity(1)).referenceDensity());
        assertEquals(1, with(b -> b.maxIterations(1)).maxIterations());
        refused("reference density must lie in 0 to 1, got -0.1", b -> b.referenceDensity(-0.1));
        refused("reference density must lie in 0 to 1, got 1.1", b -> b.referenceDensity(1.1));
        refused("largest piece (um) must be", b -> b.maxPieceUm(0));
        refused("tolerance must lie between 0 and 1, got 0.0", b -> b.tolerance(0));
        refused("tolerance must lie between 0 and 1, got 1.0", b -> b.tolerance(1));
        refused("number of iterations must be at least 1, got 0", b -> b.maxIterations(0));
        refused("smallest factor must be", b -> b.minFactor(0));
        refused("largest factor must be above the smallest (0.05), got 0.05", b -> b.maxFactor(0.05));
        refused("largest factor must be above the smallest", b -> b.maxFactor(Double.POSITIVE_INFINITY));
        refused("base dose (uC/cm^2) must be", b -> b.baseDoseUcPerCm2(-1));
        refused("allowed error along edges must be", b -> b.allowedEdgeError(0));
        refused("bias (um) must be finite, got NaN", b -> b.biasUm(Double.NaN));
        refused("a bias goes with the edge criterion", b -> b.biasUm(0.01).criterion(Criterion.MEAN));
        LongRange loading = new LongRange(Optional.empty(), Optional.of(DevelopmentLoading.linear(10, 100, 0.5)));
        refused("a bias does not go with the loading", b -> b.biasUm(0.01).longRange(loading));
        assertEquals(loading, with(b -> b.longRange(loading)).longRange());
    }

    private static void refused(String message, UnaryOperator<CorrectionOptions.Builder> change) {
        String told =
                assertThrows(IllegalArgumentException.class, () -> with(change)).getMessage();
        assertTrue(told.startsWith(message), told);
    }

    /** A quarter of the mean range, each term by {@code x^4 / (x^4 + 10^4)}, with a thousandth of 1,000 shortest ranges. */
    @Test
    void theUsualCell() {
        // Two terms at 10 and 500 shortest ranges count half and nearly whole.
        PointSpreadFunction psf = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.5, 0.02), new GaussianTerm(0.3, 0.2), new GaussianTerm(0.2, 10)));
        double direct = 0.5 / (1 + 1e4);
        double far = 0.2 / (1 + 1e4 / Math.pow(500, 4));
        double mean = (0.5 * 0.3 * 0.2 + far * 10 + direct * 0.02 + 1e-3 * 20) / (0.5 * 0.3 + far + direct + 1e-3);
        assertEquals(mean / 4, CorrectionOptions.usualCellUm(psf), 1e-12);
        // One Gaussian: little else than what is added.
        PointSpreadFunction one = PointSpreadFunction.doubleGaussian(0.02, 1, 0);
        double little = 1 / (1 + 1e4);
        assertEquals((little * 0.02 + 1e-3 * 20) / (little + 1e-3) / 4, CorrectionOptions.usualCellUm(one), 1e-12);
        assertEquals(CorrectionOptions.usualCellUm(PSF), USUAL.maxPieceUm());
    }

    @Test
    void samplesAndPointsForTheShortestRangeThatMatters() {
        CorrectionOptions four = CorrectionOptions.of(FOUR);
        assertEquals(1, FOUR.directTerms());
        assertEquals(0.2, four.fracture().sampleSpacingUm(), 1e-12, "half of 0.4 um");
        assertEquals(0.01, four.fracture().directRangeUm());
        assertEquals(four.maxPieceUm(), four.fracture().maxPieceUm());
        assertEquals(0.1, four.measuring(0).spacingUm(), 1e-12, "a quarter of 0.4 um");
        assertEquals(2, four.measuring(2).spacingUm());
        CorrectionOptions small = four.toBuilder().maxPieceUm(0.4).build();
        assertEquals(0.05, small.measuring(0).spacingUm(), 1e-12, "an eighth of a cell");
        CorrectionOptions tiny = four.toBuilder().maxPieceUm(0.01).build();
        assertEquals(0.05, tiny.fracture().maxPieceUm(), 1e-12, "five direct ranges");
        assertEquals(0.025, tiny.measuring(0).spacingUm(), 1e-12, "half of that");
        // Where nothing beyond the direct term matters, the main one tells.
        PointSpreadFunction weak =
                PointSpreadFunction.from(List.of(new GaussianTerm(0.97, 0.01), new GaussianTerm(0.03, 8)));
        assertEquals(4, CorrectionOptions.of(weak).fracture().sampleSpacingUm(), 1e-12);
        // A table counts by its rms radius.
        double[] radii = new double[400];
        double[] density = new double[400];
        for (int k = 0; k < radii.length; k++) {
            radii[k] = 0.1 * (k + 0.5);
            density[k] = Math.exp(-radii[k] * radii[k] / 36) / (36 * Math.PI);
        }
        PointSpreadFunction table = PointSpreadFunction.from(
                List.of(new GaussianTerm(0.6, 0.01)), Optional.of(new TableTerm(0.4, RadialTable.of(radii, density))));
        assertEquals(3, CorrectionOptions.of(table).fracture().sampleSpacingUm(), 0.01);
    }

    /** Over that extent the energy at the edge of half a plane changes by twice what is allowed, as error functions tell. */
    @Test
    void shapesTooSmallForTheBackgroundToVaryAreNotDivided() {
        CorrectionOptions options = with(b -> b.allowedEdgeError(0.01));
        double extent = options.measuring(0).divisibleUm();
        double change = 0.6 / 1.6 * Erf.value(0.5 * extent / BETA);
        assertEquals(0.02, change / 0.5, 1e-5);
        assertEquals(5 * ALPHA, with(b -> b.allowedEdgeError(1e-9)).measuring(0).divisibleUm(), 1e-12);
        PointSpreadFunction one = PointSpreadFunction.doubleGaussian(ALPHA, BETA, 0);
        assertEquals(Double.MAX_VALUE, CorrectionOptions.of(one).measuring(0).divisibleUm());
    }
}
