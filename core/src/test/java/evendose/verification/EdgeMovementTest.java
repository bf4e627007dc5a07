package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.correction.EdgeMove;
import evendose.correction.LayerRole;
import evendose.files.BadInputException;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.verification.EdgeMovement.Moved;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.solvers.BrentSolver;
import org.apache.commons.math3.special.Erf;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/** Moved edges: contours from sums of error functions of what is exposed, shapes by JTS. */
class EdgeMovementTest {
    private static final GeometryFactory JTS = new GeometryFactory();
    private static final Layer LINES = new Layer(1, 0);
    private static final PointSpreadFunction BLURRED = PointSpreadFunction.doubleGaussian(0.04, 9.5, 0.6);

    /** Half a step of the grid, which is what moves leave, and a tenth of a nm for where doses stop. */
    private static final double AGREES_UM = 0.0006;

    private static DrawnPattern pattern(Layout layout, LayerRole... roles) {
        return DrawnPattern.of(layout, roles.length == 0 ? List.of(LayerRole.corrected(LINES)) : List.of(roles));
    }

    private static EdgeMovement found(DrawnPattern drawn, CorrectionOptions options, double allowedNm, double mostUm) {
        try (Workers workers = Workers.of(options.threads())) {
            return EdgeMovement.of(
                    drawn,
                    options,
                    allowedNm > 0 ? OptionalDouble.of(allowedNm) : OptionalDouble.empty(),
                    mostUm,
                    workers,
                    Progress.NONE);
        }
    }

    private static DoseTable corrected(DrawnPattern drawn, CorrectionOptions options, EdgeMovement movement) {
        return Corrector.correct(
                drawn, options.toBuilder().moves(movement.moves()).build());
    }

    /** How far the upright edge drawn at {@code x} moved at height {@code y}, um. */
    private static double outAt(EdgeMovement movement, double x, double y) {
        return movement.moves().stream()
                .filter(m -> m.x0Um() == x && m.x1Um() == x && (m.y0Um() - y) * (m.y1Um() - y) < 0)
                .mapToDouble(EdgeMove::outUm)
                .findAny()
                .orElse(0);
    }

    private static double factorAt(DoseTable table, double x, double y) {
        Pieces p = table.pieces();
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                if (x > p.leftUm(i) && x < p.rightUm(i) && y > p.bottomUm(i) && y < p.topUm(i)) {
                    return table.factor(u);
                }
            }
        }
        throw new AssertionError("no piece at " + x + ", " + y);
    }

    private static double root(UnivariateFunction f, double about) {
        return new BrentSolver(1e-14, 1e-9).solve(200, f, about - 0.02, about + 0.02);
    }

    /**
     * A long line beside a wide plane, a dose each: one dose cannot put both edges of the line where they are drawn, since one of them faces
     * the gap. Energy across is a sum of error functions; it passes the threshold where edges are drawn only if they have moved.
     */
    @Test
    void aGapBetweenALineAndAPlaneOpensToItsDrawnWidth() {
        double beta = 3;
        double[][] strips = {{0, 1}, {1.05, 31}};
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, strips[0][0], -30, strips[0][1], 30, strips[1][0], -30, strips[1][1], 30)
                .build());
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.04, beta, 0.6))
                .oneDosePerShape(true)
                .threads(2)
                .build();
        EdgeMovement movement = found(drawn, options, 1, 0.04);
        for (boolean moved : new boolean[] {false, true}) {
            DoseTable table = moved ? corrected(drawn, options, movement) : Corrector.correct(drawn, options);
            double y = 1.2345;
            double[] dose = {factorAt(table, 0.4321, y), factorAt(table, 5.4321, y)};
            UnivariateFunction over = x -> {
                double sum = -0.5;
                for (GaussianTerm t : options.psf().terms()) {
                    for (int k = 0; k < 2; k++) {
                        double a = strips[k][0] - (moved ? outAt(movement, strips[k][0], y) : 0);
                        double b = strips[k][1] + (moved ? outAt(movement, strips[k][1], y) : 0);
                        sum += 0.5
                                * dose[k]
                                * t.weight()
                                * (Erf.erf((b - x) / t.rangeUm()) - Erf.erf((a - x) / t.rangeUm()));
                    }
                }
                return sum;
            };
            double worst = 0;
            for (double edge : new double[] {0, 1, 1.05, 31}) {
                worst = Math.max(worst, Math.abs(root(over, edge) - edge));
            }
            assertEquals(moved, worst < AGREES_UM, moved + " " + worst);
            assertTrue(moved || worst > 0.002, "doses alone: " + worst);
        }
        assertTrue(outAt(movement, 0, 1.2345) > 0 && outAt(movement, 1, 1.2345) < 0, movement.toString());
    }

    /** The end of a line of a little more than two direct ranges falls short; its contour, by products of error functions, comes to where it is drawn. */
    @Test
    void aLineEndComesToWhereItIsDrawn() {
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 0.09, 20)
                .build());
        CorrectionOptions options =
                CorrectionOptions.builder(BLURRED).threads(2).build();
        double alone = endOf(Corrector.correct(drawn, options));
        assertTrue(alone < 20 - 0.003, "doses alone: " + alone);
        EdgeMovement movement = found(drawn, options, 2, 0.04);
        assertEquals(20, endOf(corrected(drawn, options, movement)), AGREES_UM);
        assertEquals(2, movement.moved().size(), movement.toString());
        for (Moved m : movement.moved()) {
            assertEquals(1e3 * (alone - 20), m.offWithDosesNm(), 0.1);
            assertTrue(m.move().outUm() > 0 && m.move().y0Um() == m.move().y1Um());
        }
    }

    /** The end of a line may be off by a tenth of the line's width, though the line is long: one of 60 nm moves. */
    @Test
    void endsAreJudgedByTheWidthOfTheLine() {
        CorrectionOptions options =
                CorrectionOptions.builder(BLURRED).threads(2).build();
        for (int nm = 60; nm <= 90; nm += 30) {
            DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                    .rectangles(LINES, 0, 0, 1e-3 * nm, 30)
                    .build());
            EdgeMovement movement = found(drawn, options, 0, 0.04);
            assertEquals(nm == 60 ? 2 : 0, movement.moved().size(), movement.toString());
            assertEquals(0, movement.both().troubled());
        }
    }

    private static double endOf(DoseTable table) {
        return root(y -> energy(table, 0.045, y) - 0.5, 20 - 0.005);
    }

    /** Energy of rectangles: products of differences of error functions, no more. */
    private static double energy(DoseTable table, double x, double y) {
        Pieces p = table.pieces();
        double sum = 0;
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                for (GaussianTerm t : table.options().psf().terms()) {
                    double s = t.rangeUm();
                    sum += 0.25
                            * table.factor(u)
                            * t.weight()
                            * (Erf.erf((p.rightUm(i) - x) / s) - Erf.erf((p.leftUm(i) - x) / s))
                            * (Erf.erf((p.topUm(i) - y) / s) - Erf.erf((p.bottomUm(i) - y) / s));
                }
            }
        }
        return sum;
    }

    /** Pads beside gaps: fewer places off, nothing worse; what is told of moved parts holds by closed forms; shapes stay what they were. */
    @Test
    void gapsBetweenPadsAreMended() {
        List<double[]> boxes = GapPads.boxes(new double[] {0.03, 0.06}, new double[] {1, 3}, new double[] {1});
        DrawnPattern drawn = pattern(GapPads.layout(boxes));
        CorrectionOptions options =
                CorrectionOptions.builder(BLURRED).threads(2).build();
        double most = 0.02;
        EdgeMovement movement = found(drawn, options, 0, most);
        assertTrue(movement.doses().troubled() > 10, movement.doses().toString());
        assertTrue(
                movement.both().troubled() < movement.doses().troubled() / 5,
                movement.both().toString());
        assertEquals(movement.both().troubled(), movement.left().size());
        assertTrue(movement.both().placementNm().rms()
                < movement.doses().placementNm().rms());
        assertTrue(movement.both().placementNm().max()
                <= movement.doses().placementNm().max());
        assertEquals(movement.doses().places(), movement.both().places());

        DoseTable table = corrected(drawn, options, movement);
        for (Moved m : movement.moved()) {
            double steps = 1e3 * m.move().outUm();
            assertEquals(Math.rint(steps), steps, 1e-9);
            assertTrue(Math.abs(steps) >= 1 && Math.abs(steps) <= 1e3 * most + 1e-9, m.toString());
            assertTrue(Math.abs(contourNm(table, m.move())) <= Math.abs(m.offNm()) + 0.3, m.toString());
        }
        List<Geometry> before = new ArrayList<>();
        boxes.forEach(b -> before.add(box(b[0], b[1], b[2], b[3])));
        Geometry exposed = exposed(table);
        Geometry asDrawn = UnaryUnionOp.union(before);
        assertTrue(exposed.isValid());
        assertEquals(asDrawn.getNumGeometries(), exposed.getNumGeometries());
        assertTrue(asDrawn.buffer(1.5 * most).covers(exposed));
        assertTrue(exposed.buffer(1.5 * most).covers(asDrawn));
        assertTrue(exposed.symDifference(asDrawn).getArea() > 1e-3);
    }

    /** Distance from the middle of a part to the contour, outwards, nm. */
    private static double contourNm(DoseTable table, EdgeMove m) {
        double length = Math.hypot(m.x1Um() - m.x0Um(), m.y1Um() - m.y0Um());
        double nx = (m.y1Um() - m.y0Um()) / length;
        double ny = (m.x0Um() - m.x1Um()) / length;
        double x = 0.5 * (m.x0Um() + m.x1Um());
        double y = 0.5 * (m.y0Um() + m.y1Um());
        return 1e3
                * new BrentSolver(1e-14, 1e-9)
                        .solve(200, t -> energy(table, x + t * nx, y + t * ny) - 0.5, -0.014, 0.014);
    }

    private static Geometry exposed(DoseTable table) {
        Pieces p = table.pieces();
        List<Geometry> all = new ArrayList<>();
        for (int i = 0; i < p.size(); i++) {
            all.add(box(p.leftUm(i), p.bottomUm(i), p.rightUm(i), p.topUm(i)));
        }
        return UnaryUnionOp.union(all);
    }

    private static Geometry box(double x0, double y0, double x1, double y1) {
        // On the grid, where neighbours share corners exactly.
        double[] c = {x0, y0, x1, y1};
        for (int k = 0; k < 4; k++) {
            c[k] = Math.rint(1e3 * c[k]) / 1e3;
        }
        return JTS.createPolygon(new Coordinate[] {
            new Coordinate(c[0], c[1]),
            new Coordinate(c[2], c[1]),
            new Coordinate(c[2], c[3]),
            new Coordinate(c[0], c[3]),
            new Coordinate(c[0], c[1])
        });
    }

    /** A lone rectangle whose sides all move alike stays one, and its dose is the one that its drawn sides ask for: as with a bias. */
    @Test
    void aRectangleIsJudgedWhereItIsDrawn() {
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 0.3, 1)
                .build());
        for (double out : new double[] {-0.02, 0.03}) {
            CorrectionOptions.Builder builder =
                    CorrectionOptions.builder(BLURRED).threads(1);
            DoseTable biased = Corrector.correct(drawn, builder.biasUm(out).build());
            builder.biasUm(0)
                    .moves(List.of(
                            new EdgeMove(LINES, 0, 1, 0, 0, out),
                            new EdgeMove(LINES, 0, 0, 0.3, 0, out),
                            new EdgeMove(LINES, 0.3, 0, 0.3, 1, out),
                            new EdgeMove(LINES, 0.3, 1, 0, 1, out)));
            DoseTable table = Corrector.correct(drawn, builder.build());
            assertEquals((0.3 + 2 * out) * (1 + 2 * out), table.areaUm2(), 1e-6);
            assertEquals(0.5, energy(table, 0, 0.5), 0.01);
            assertEquals(0.5, energy(table, 0.15, 1), 0.01);
            assertEquals(factorAt(biased, 0.1, 0.4), factorAt(table, 0.1, 0.4), 1e-6);
        }
    }

    @Test
    void movesOfAnotherLayoutAreRefusedWithTheirPlace() {
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 10, 10)
                .build());
        for (EdgeMove move : List.of(
                new EdgeMove(LINES, 10, 2, 10, 12, 0.01),
                new EdgeMove(LINES, 10.002, 2, 10.002, 3, 0.01),
                new EdgeMove(LINES, 10, 3, 10, 2, 0.01),
                new EdgeMove(new Layer(3, 0), 10, 2, 10, 3, 0.01))) {
            CorrectionOptions options =
                    CorrectionOptions.builder(BLURRED).moves(List.of(move)).build();
            assertTrue(assertThrows(BadInputException.class, () -> Corrector.correct(drawn, options))
                    .getMessage()
                    .contains("is no part of the drawn outline"));
        }
        CorrectionOptions through = CorrectionOptions.builder(BLURRED)
                .moves(List.of(new EdgeMove(LINES, 10, 2, 10, 3, -10.5)))
                .build();
        assertTrue(assertThrows(BadInputException.class, () -> Corrector.correct(drawn, through))
                .getMessage()
                .contains("make a part of a shape vanish"));
    }

    @Test
    void threadsChangeNothing() {
        List<double[]> boxes = GapPads.boxes(new double[] {0.03}, new double[] {1, 3}, new double[] {1});
        DrawnPattern drawn = pattern(GapPads.layout(boxes));
        CorrectionOptions.Builder builder = CorrectionOptions.builder(BLURRED);
        EdgeMovement one = found(drawn, builder.threads(1).build(), 0, 0.04);
        EdgeMovement two = found(drawn, builder.threads(2).build(), 0, 0.04);
        assertFalse(one.moved().isEmpty());
        assertEquals(one, two);
    }

    @Test
    void whereDosesDoNothingMoves() {
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 10, 10)
                .build());
        EdgeMovement movement =
                found(drawn, CorrectionOptions.builder(BLURRED).threads(2).build(), 0, 0.04);
        assertEquals(0, movement.doses().troubled());
        assertEquals(List.of(), movement.moved());
        assertEquals(0, movement.rounds());
        assertTrue(movement.before().placementNm().rms() > 5);
    }

    @Test
    void whatStaysIsTold() {
        List<double[]> boxes = GapPads.boxes(new double[] {0.03}, new double[] {1}, new double[] {1});
        CorrectionOptions options =
                CorrectionOptions.builder(BLURRED).threads(2).build();
        Layout line = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 0.06, 30)
                .build();
        EdgeMovement little = found(pattern(line), options, 1, 0.005);
        assertTrue(little.left().stream().anyMatch(l -> l.why().contains("as far as allowed")), little.toString());

        // The first pad abuts another layer.
        Layer other = new Layer(2, 0);
        Layout beside = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, boxes.get(0))
                .rectangles(LINES, boxes.get(1))
                .rectangles(other, -1, 0, 0, 1)
                .build();
        EdgeMovement seam =
                found(pattern(beside, LayerRole.corrected(LINES), LayerRole.fixed(other, 0.7)), options, 0.6, 0.04);
        assertTrue(seam.left().stream().anyMatch(l -> l.why().contains("abuts another layer")), seam.toString());
        assertTrue(seam.moves().stream().allMatch(m -> m.x0Um() > 1));

        // A disc of short sides.
        double[] xy = new double[720];
        for (int k = 0; k < 360; k++) {
            xy[2 * k] = 0.3 * Math.cos(Math.toRadians(k));
            xy[2 * k + 1] = 0.3 * Math.sin(Math.toRadians(k));
        }
        Layout disc = Layout.builder(DatabaseUnit.NANOMETRE)
                .polygon(LINES, xy)
                .rectangles(LINES, 0.33, -1, 2.33, 1)
                .build();
        EdgeMovement curve = found(pattern(disc), options, 1, 0.04);
        assertTrue(curve.left().stream().anyMatch(l -> l.why().contains("curve")), curve.toString());
        assertTrue(curve.moves().stream().allMatch(m -> m.x0Um() >= 0.33));
    }

    @Test
    void lessThanAStepIsRefused() {
        DrawnPattern drawn = pattern(Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 10, 10)
                .build());
        CorrectionOptions options = CorrectionOptions.of(BLURRED);
        assertTrue(assertThrows(IllegalArgumentException.class, () -> found(drawn, options, 0, 0.0005))
                .getMessage()
                .contains("whole steps of the grid"));
    }

    @Test
    void movesGoWithTheEdgeCriterionAlone() {
        CorrectionOptions.Builder builder = CorrectionOptions.builder(BLURRED)
                .moves(List.of(new EdgeMove(LINES, 0, 0, 0, 1, 0.001)))
                .biasUm(0.001);
        assertThrows(IllegalArgumentException.class, builder::build);
    }

    /** All gaps from 30 to 500 nm between pads of 1 to 100 um. */
    @Test
    @Tag("slow")
    void allGapsBetweenPadsAreMended() throws IOException {
        List<double[]> boxes = GapPads.boxes(GapPads.GAPS, GapPads.SIZES, GapPads.SMALL_SIZES);
        Path file = Path.of("..", "testdata", "demo", "gap-pads.csv");
        assertEquals(GapPads.csv(boxes), Files.readString(file), "made by GapPads");
        CorrectionOptions options =
                CorrectionOptions.builder(BLURRED).threads(2).build();
        EdgeMovement movement = found(pattern(GapPads.layout(boxes)), options, 0, 0.04);
        assertTrue(movement.doses().troubled() > 50, movement.doses().toString());
        assertTrue(movement.both().troubled() <= 10, movement.both().toString());
        assertTrue(
                movement.both().placementNm().rms()
                        < 0.9 * movement.doses().placementNm().rms(),
                movement.both().toString());
        assertEquals(0, movement.both().gone());
        // Ends of sides beside corners of the narrowest gap are 14 nm off with doses, which is little for pads of 1 um.
        assertTrue(
                movement.both().placementNm().max()
                        < 0.65 * movement.doses().placementNm().max(),
                movement.both().toString());
    }
}
