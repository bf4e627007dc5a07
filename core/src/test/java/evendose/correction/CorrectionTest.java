package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;

/** When the outline is measured and whether it is fine enough, with lengths and errors known. */
class CorrectionTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);

    /**
     * On an outline so long that it alone decides, points stand for a hundred thousandth of it: of a square on the grid, of a rhombus
     * with sides 5 (3 along, 4 up), and of two squares that touch along a side of 100, which is no outline.
     */
    @Test
    void pointsStandForAShareOfTheOutline() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 1_000, 1_000, 1_100, 1_200);
        polygons.addPolygon(0, new long[] {2_000, 2_000, 2_030, 2_040, 2_000, 2_080, 1_970, 2_040}, 4);
        polygons.addRectangle(0, 3_000, 1_000, 3_100, 1_100);
        polygons.addRectangle(1, 3_100, 1_000, 3_150, 1_100);
        double expected = 600 + 4 * 50 + 2 * (150 + 100);
        double dbuUm = 1e6;
        try (Workers one = Workers.of(1)) {
            double share = Correction.measuring(
                            Merge.of(polygons, 2, one, Progress.NONE), dbuUm, CorrectionOptions.of(PSF))
                    .orElseThrow()
                    .spacingUm();
            assertEquals(expected * dbuUm / 100_000, share, 1e-6 * share);
            assertEquals(
                    Optional.empty(),
                    Correction.measuring(
                            Merge.of(polygons, 2, one, Progress.NONE),
                            dbuUm,
                            CorrectionOptions.builder(PSF)
                                    .criterion(Criterion.MEAN)
                                    .build()));
        }
    }

    /** A target that scales all doses changes nothing else: neither rounds nor units. */
    @Test
    void aTargetForAllScalesDosesOnly() {
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 12, 9);
        Corrections.box(polygons, 0, 14, 0, 14.3, 9);
        DoseTable half = Corrections.correct(polygons, CorrectionOptions.of(PSF));
        DoseTable lone = Corrections.correct(
                polygons, CorrectionOptions.builder(PSF).referenceDensity(0).build());
        double ratio = lone.target(0) / half.target(0);
        // A lone line has factor 1 in place of 1 + eta.
        assertEquals(1 / 1.6, ratio, 1e-12);
        assertEquals(half.convergence().iterations(), lone.convergence().iterations());
        double[] scaled = half.factors();
        for (int u = 0; u < scaled.length; u++) {
            scaled[u] *= ratio;
        }
        assertArrayEquals(scaled, lone.factors(), 1e-9);
        assertEquals(half.convergence().history()[0], lone.convergence().history()[0], 1e-9);
        // On units that are not divided: doses start from the factors that wide areas would have.
        Convergence whole = Corrections.correct(
                        polygons,
                        CorrectionOptions.builder(PSF).allowedEdgeError(1).build())
                .convergence();
        assertEquals(whole.uncorrectedMaxResidual(), whole.history()[0], 1e-6);
    }

    @Test
    void stagesAreToldInTheirOrder() {
        List<String> stages = new ArrayList<>();
        Polygons polygons = new Polygons();
        Corrections.box(polygons, 0, 0, 0, 3, 3);
        Corrector.correct(
                TestPatterns.of(polygons, Corrections.DBU_UM, List.of(Corrections.LINES)),
                CorrectionOptions.builder(PSF)
                        .threads(1)
                        .progress(new Progress() {
                            @Override
                            public void begin(String stage, long total) {
                                stages.add(stage);
                            }

                            @Override
                            public void advance(long done) {}
                        })
                        .build());
        assertEquals(
                List.of(
                        "merging shapes",
                        "cutting shapes into pieces",
                        "planning the energy model",
                        "near field",
                        "correcting doses",
                        "correcting doses",
                        "measuring along the outline",
                        "correcting doses",
                        "measuring along the outline",
                        "measuring along the outline"),
                stages);
    }
}
