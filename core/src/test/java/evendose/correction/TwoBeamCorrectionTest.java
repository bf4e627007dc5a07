package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.pieces.PieceRules;
import evendose.pieces.Pieces;
import java.util.List;
import java.util.Optional;
import java.util.stream.IntStream;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Test;

/** A pad, a narrow line and a frame with a hole, all of rectangles: energies are sums of products of error functions. */
class TwoBeamCorrectionTest {
    private final TwoBeamCorrection found = correct();

    /** Anew for each test, so that runs with mutants know which tests it is for. */
    private static TwoBeamCorrection correct() {
        return TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(
                                new double[] {0, 0, 20, 20},
                                new double[] {22, 0, 22.2, 20},
                                new double[] {30, 0, 38, 20},
                                new double[] {38, 0, 46, 8},
                                new double[] {38, 12, 46, 20},
                                new double[] {46, 0, 54, 20}),
                        CorrectionOptions.builder(TwoBeamFixture.FINE_PSF)
                                .threads(2)
                                .build(),
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .orElseThrow();
    }

    private double energy(double x, double y) {
        return TwoBeamFixture.energy(found, x, y);
    }

    @Test
    void edgesOfWideAndNarrowShapesGetTheClearingEnergyOfBothExposures() {
        for (double[] place : new double[][] {
            {0, 10}, {0, 5.3}, {20, 10}, {10, 0}, {22, 10}, {22.2, 4}, {30, 10}, {54, 3}, {42, 0}, {38, 10}, {42, 8}
        }) {
            assertEquals(0.5, energy(place[0], place[1]), 0.5 * 0.01, place[0] + ", " + place[1]);
        }
    }

    /** Share of the plateau that the coarse beam leaves at a distance inside its edge. */
    private static double risen(double x) {
        return 0.5 * (1 + Erf.erf(x / TwoBeamFixture.BULK[0][1]));
    }

    @Test
    void acrossTheSeamTheEnergyIsThatOfAnEvenPad() {
        double reach = 2.2 * TwoBeamFixture.BULK[0][1];
        // Seams along y and x, at the outside of the pad and at the hole of the frame.
        double[][] seams = {
            {TwoBeamFixture.RIM, 10, 1, 0},
            {20 - TwoBeamFixture.RIM, 7, -1, 0},
            {10, TwoBeamFixture.RIM, 0, 1},
            {38 - TwoBeamFixture.RIM, 10, -1, 0},
            {42, 8 - TwoBeamFixture.RIM, 0, -1}
        };
        for (double[] seam : seams) {
            double[] ends = new double[2];
            for (int k = 0; k < 2; k++) {
                double t = (2 * k - 1) * reach;
                ends[k] = energy(seam[0] + t * seam[2], seam[1] + t * seam[3]);
            }
            for (double t = -reach; t <= reach; t += 0.004) {
                double even = ends[0] * (1 - risen(t)) + ends[1] * risen(t);
                assertEquals(
                        even, energy(seam[0] + t * seam[2], seam[1] + t * seam[3]), 0.02 * even, seam[0] + " " + t);
            }
        }
    }

    /** Everywhere along two sides of the pad, also where units of rim, steps and bulk meet. */
    @Test
    void seamsAreEvenWhereUnitsMeet() {
        double reach = 2.2 * TwoBeamFixture.BULK[0][1];
        double worst = 0;
        for (double along = 1.5; along <= 18.5; along += 0.043) {
            for (boolean top : new boolean[] {true, false}) {
                double[] e = new double[9];
                for (int k = 0; k < e.length; k++) {
                    double in = TwoBeamFixture.RIM + reach * (k - 4) / 4.0;
                    e[k] = top ? energy(along, 20 - in) : energy(20 - in, along);
                }
                for (int k = 0; k < e.length; k++) {
                    double share = risen(reach * (k - 4) / 4.0);
                    worst = Math.max(worst, Math.abs(e[k] / (e[0] * (1 - share) + e[8] * share) - 1));
                }
            }
        }
        assertTrue(worst < 0.01, "off by " + worst);
    }

    /** No step goes on where the dose of the rim beside it changes. */
    @Test
    void stepsEndWhereUnitsOfTheRimDo() {
        Pieces p = found.fine().pieces();
        int[] unit = p.unitOfPiece();
        double[] meet = IntStream.range(0, p.size())
                .filter(i -> p.topUm(i) == 20 && p.leftUm(i) > 1 && p.rightUm(i) < 19)
                .mapToDouble(p::rightUm)
                .toArray();
        assertTrue(meet.length > 5, meet.length + " units of the rim");
        int steps = 0;
        for (int i = 0; i < p.size(); i++) {
            boolean isStep = p.bottomUm(i) > 19 && p.topUm(i) < 19.9 && p.topUm(i) - p.bottomUm(i) < 0.1;
            if (isStep && p.leftUm(i) > 1 && p.rightUm(i) < 19) {
                for (double x : meet) {
                    assertFalse(
                            p.leftUm(i) < x - 0.012 && p.rightUm(i) > x + 0.012,
                            "step of unit " + unit[i] + " goes on at " + x);
                }
                steps++;
            }
        }
        assertTrue(steps > 50, steps + " steps");
    }

    @Test
    void insideTheBulkHalfOfItsDirectEnergyAndAllBackgroundReachTheClearingEnergy() {
        Pieces p = found.bulk().pieces();
        int looked = 0;
        for (int u = 0; u < p.units(); u++) {
            double[] box = p.unitBoundsUm(u);
            double x = 0.5 * (box[0] + box[2]);
            double y = 0.5 * (box[1] + box[3]);
            if (p.unitFirst(u + 1) - p.unitFirst(u) == 1 && x > 2 && x < 18 && y > 2 && y < 18) {
                assertEquals(
                        0.5,
                        energy(x, y)
                                - 0.5 * TwoBeamFixture.BULK[0][0] * found.bulk().factor(u),
                        0.005);
                looked++;
            }
        }
        assertTrue(looked > 20, "looked at " + looked);
    }

    @Test
    void rimsNarrowShapesAndBulkMakeUpTheDrawnArea() {
        double drawn = 400 + 4 + 2 * 8 * 20 + 2 * 8 * 8;
        double bulk = 19 * 19 + 23.0 * 19 - 9 * 5;
        assertEquals(bulk, found.bulk().areaUm2(), 1e-6);
        double overlap = 0;
        Pieces p = found.fine().pieces();
        double full = 0;
        double[] shares = found.shareOfShape();
        for (int s = 0; s < p.shapes(); s++) {
            for (int i = p.unitFirst(p.shapeFirst(s)); i < p.unitFirst(p.shapeFirst(s + 1)); i++) {
                full += shares[s] == 1 ? p.areaUm2(i) : 0;
                overlap += shares[s] < 1 ? p.areaUm2(i) : 0;
            }
        }
        // Rims end where the first step begins; steps lie on both sides of the edge of the bulk.
        double out = -found.seam().edgesUm()[0];
        double in = found.seam().overlapUm();
        double wider = Math.pow(19 + 2 * out, 2) + (23 + 2 * out) * (19 + 2 * out) - (9 - 2 * out) * (5 - 2 * out);
        double narrower = Math.pow(19 - 2 * in, 2) + (23 - 2 * in) * (19 - 2 * in) - (9 + 2 * in) * (5 + 2 * in);
        assertEquals(drawn - wider, full, 1e-6);
        assertEquals(wider - narrower, overlap, 1e-6);
    }

    @Test
    void joiningKeepsDosesAndShares() {
        TwoBeamCorrection joined = found.joined();
        assertTrue(joined.bulk().pieces().size() < found.bulk().pieces().size());
        assertEquals(found.fine().dosedAreaUm2(), joined.fine().dosedAreaUm2(), 1e-6);
        assertEquals(found.bulk().dosedAreaUm2(), joined.bulk().dosedAreaUm2(), 1e-6);
        assertEquals(joined.fine().pieces().shapes(), joined.shareOfShape().length);
    }

    @Test
    void theSameForAnyNumberOfThreads() {
        DrawnPattern pattern = TwoBeamFixture.pattern(new double[] {0, 0, 8, 6}, new double[] {9, 0, 9.1, 6});
        CorrectionOptions.Builder options = CorrectionOptions.builder(TwoBeamFixture.FINE_PSF);
        TwoBeamCorrection one = TwoBeamCorrection.of(
                        pattern, options.threads(1).build(), TwoBeamFixture.BULK_PSF, TwoBeamFixture.RIM)
                .orElseThrow();
        TwoBeamCorrection two = TwoBeamCorrection.of(
                        pattern, options.threads(2).build(), TwoBeamFixture.BULK_PSF, TwoBeamFixture.RIM)
                .orElseThrow();
        assertArrayEquals(one.fine().factors(), two.fine().factors());
        assertArrayEquals(one.bulk().factors(), two.bulk().factors());
    }

    @Test
    void whereNoShapeIsWideThereIsNoBulk() {
        // The least bulk is 40 ranges of 0.06 um wide, with two rims 3.4 um.
        CorrectionOptions options = CorrectionOptions.of(TwoBeamFixture.FINE_PSF);
        assertTrue(TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(new double[] {0, 0, 3.39, 9}),
                        options,
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .isEmpty());
        assertTrue(TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(new double[] {0, 0, 3.41, 9}),
                        options,
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .isPresent());
    }

    @Test
    void otherRolesAndCriteriaAreRefused() {
        DrawnPattern fixed = DrawnPattern.of(
                Layout.builder(DatabaseUnit.NANOMETRE)
                        .rectangles(TwoBeamFixture.LAYER, new double[] {0, 0, 9, 9})
                        .build(),
                List.of(LayerRole.fixed(TwoBeamFixture.LAYER, 0.8)));
        assertThrows(
                IllegalArgumentException.class,
                () -> TwoBeamCorrection.of(
                        fixed,
                        CorrectionOptions.of(TwoBeamFixture.FINE_PSF),
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM));
        CorrectionOptions mean = CorrectionOptions.builder(TwoBeamFixture.FINE_PSF)
                .criterion(Criterion.MEAN)
                .build();
        assertThrows(
                IllegalArgumentException.class,
                () -> TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(new double[] {0, 0, 9, 9}),
                        mean,
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM));
    }

    /** A bulk and steps off the grid would be rounded to steps of other widths. */
    @Test
    void bulkAndStepsLieOnTheGridOfTheWriter() {
        PieceRules rules = new PieceRules(0.0005, 0.004, 0.01);
        TwoBeamCorrection both = TwoBeamCorrection.of(
                        TwoBeamFixture.pattern(new double[] {0.001, 0.003, 20.002, 20.005}),
                        CorrectionOptions.builder(TwoBeamFixture.FINE_PSF)
                                .rules(rules)
                                .threads(2)
                                .build(),
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .orElseThrow();
        for (double edge : both.seam().edgesUm()) {
            assertEquals(0, Math.IEEEremainder(edge, 0.004), 1e-9);
        }
        for (double side : both.bulk().pieces().boundsUm()) {
            assertEquals(0, Math.IEEEremainder(side, 0.004), 1e-9);
        }
        assertEquals(0, both.bulkShapes().left() % 4);
        assertEquals(0, both.bulkShapes().top() % 4);
    }

    @Test
    void whatIsNotBuiltForTwoBeamsIsRefused() {
        CorrectionOptions usual =
                CorrectionOptions.builder(TwoBeamFixture.FINE_PSF).build();
        LongRange fogging = new LongRange(Optional.of(new Fogging(4, 10)), Optional.empty());
        for (CorrectionOptions options : List.of(
                usual.toBuilder().biasUm(0.01).build(),
                usual.toBuilder().longRange(fogging).build())) {
            assertThrows(
                    IllegalArgumentException.class,
                    () -> TwoBeamCorrection.of(
                            TwoBeamFixture.pattern(new double[] {0, 0, 20, 20}),
                            options,
                            TwoBeamFixture.BULK_PSF,
                            TwoBeamFixture.RIM));
        }
    }

    /** Rims stay on the layers that they were drawn on; the steps of the seam go with the first. */
    @Test
    void rimsKeepTheirLayers() {
        Layer second = new Layer(2, 0);
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(TwoBeamFixture.LAYER, 0, 0, 6, 6)
                .rectangles(second, 14, 0, 20, 6)
                .build();
        DrawnPattern pattern = DrawnPattern.of(
                layout, List.of(LayerRole.corrected(TwoBeamFixture.LAYER), LayerRole.corrected(second)));
        TwoBeamCorrection both = TwoBeamCorrection.of(
                        pattern,
                        CorrectionOptions.of(TwoBeamFixture.FINE_PSF),
                        TwoBeamFixture.BULK_PSF,
                        TwoBeamFixture.RIM)
                .orElseThrow();
        Pieces p = both.fine().pieces();
        double[] share = both.shareOfShape();
        int[] rims = new int[2];
        for (int s = 0; s < p.shapes(); s++) {
            int layer = p.leftUm(p.unitFirst(p.shapeFirst(s))) < 10 ? 0 : 1;
            assertEquals(share[s] == 1 ? layer : 0, p.layerOfShape(s));
            rims[layer] += share[s] == 1 ? 1 : 0;
        }
        assertArrayEquals(new int[] {1, 1}, rims);
    }
}
