package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.LineString;
import org.locationtech.jts.geom.Polygon;

class WritingFieldsTest {
    @Test
    void oneFieldHoldsASmallLayout() {
        WritingFields fields = WritingFields.of(
                new TestDoses().rectangle(0, 0, 0, 100, 100, 1, 0).build(), 100);
        assertEquals(1, fields.count());
        assertEquals(0, fields.cutShapes());
        assertEquals(1, fields.parts());
    }

    @Test
    void aLineAcrossTwoFieldsIsCutOnce() {
        // Extent 0 to 160: two fields of 100, from -20 to 180, border at x = 80.
        WritingFields fields = WritingFields.of(
                new TestDoses()
                        .rectangle(0, 0, 10, 160, 10.5, 1, 0)
                        .rectangle(1, 20, 40, 30, 50, 1, 0)
                        .build(),
                100);
        assertEquals(2, fields.columns());
        assertEquals(1, fields.rows());
        assertEquals(-20, fields.leftUm());
        assertEquals(2, fields.count());
        assertEquals(3, fields.parts());
        assertEquals(List.of(new FieldCut(0, true, 80, 10, 10.5)), fields.cuts());
        assertEquals(80, fields.cuts().get(0).xUm());
        assertEquals(10.25, fields.cuts().get(0).yUm());
    }

    @Test
    void aSlantedPieceIsCutWhereTheBorderMeetsIt() {
        // Left side from x = 0 at y = 0 to x = 100 at y = 50; right side 20 further. Extent 0 to 120, border at 60.
        WritingFields fields = WritingFields.of(
                new TestDoses().trapezoid(3, 0, 50, 0, 20, 100, 120, 1, 0).build(), 60);
        assertEquals(1, fields.cuts().size());
        FieldCut cut = fields.cuts().get(0);
        assertTrue(cut.vertical());
        assertEquals(60, cut.borderUm());
        assertEquals(20, cut.fromUm(), 1e-12);
        assertEquals(30, cut.toUm(), 1e-12);
    }

    /** With x and y exchanged, borders and fields exchange too. */
    @Test
    void standingPiecesAreCutLikeLevelOnes() {
        SplittableRandom random = new SplittableRandom(8);
        for (int trial = 0; trial < 50; trial++) {
            TestDoses level = new TestDoses().trapezoid(0, 0, 1, 0, 40, 0, 41, 1, 0);
            TestDoses standing = new TestDoses().standing(0, 0, 1, 0, 40, 0, 41, 1, 0);
            for (int s = 1; s < 20; s++) {
                double low = random.nextInt(38);
                double from = random.nextInt(20);
                double[] c = {
                    low,
                    low + 1 + random.nextInt(20),
                    from,
                    from + random.nextInt(20),
                    from + 5,
                    from + 6 + random.nextInt(9)
                };
                level.trapezoid(s % 5, c[0], c[1], c[2], c[3], c[4], c[5], 1, 0);
                standing.standing(s % 5, c[0], c[1], c[2], c[3], c[4], c[5], 1, 0);
            }
            WritingFields a = WritingFields.of(level.build(), 10);
            WritingFields b = WritingFields.of(standing.build(), 10);
            assertEquals(a.parts(), b.parts());
            for (int c = 0; c < a.columns(); c++) {
                for (int r = 0; r < a.rows(); r++) {
                    assertEquals(a.isWritten(c, r), b.isWritten(r, c));
                }
            }
            assertEquals(
                    new HashSet<>(a.cuts()),
                    b.cuts().stream()
                            .map(x -> new FieldCut(x.shape(), !x.vertical(), x.borderUm(), x.fromUm(), x.toUm()))
                            .collect(Collectors.toSet()));
        }
    }

    @Test
    void aSeamOnABorderCountsAsACutButAShapesEndDoesNot() {
        DosedPieces pieces = new TestDoses()
                .rectangle(0, 0, 0, 100, 50, 1, 0)
                .rectangle(0, 30, 50, 100, 100, 1, 0) // abuts from above at y = 50 between 30 and 100
                .rectangle(1, 0, 60, 10, 99, 1, 0)
                .rectangle(2, 20, 50, 25, 70, 1, 0) // ends on the border
                .build();
        WritingFields fields = WritingFields.of(pieces, 50.0);
        List<FieldCut> horizontal =
                fields.cuts().stream().filter(c -> !c.vertical()).toList();
        assertEquals(List.of(new FieldCut(0, false, 50, 30, 100)), horizontal);
        List<FieldCut> vertical =
                fields.cuts().stream().filter(FieldCut::vertical).toList();
        assertEquals(List.of(new FieldCut(0, true, 50, 0, 100)), vertical);
        assertEquals(1, fields.cutShapes());
    }

    @Test
    void emptyFieldsAreNotWritten() {
        WritingFields fields = WritingFields.of(
                new TestDoses()
                        .rectangle(0, 0, 0, 1, 1, 1, 0)
                        .rectangle(1, 299, 299, 300, 300, 1, 0)
                        .build(),
                100);
        assertEquals(9, fields.columns() * fields.rows());
        assertEquals(2, fields.count());
        assertTrue(fields.isWritten(0, 0));
        assertTrue(fields.isWritten(2, 2));
        assertFalse(fields.isWritten(1, 1));
    }

    /** Random rectangles on a grid of 1 um against a count of cells, one by one. */
    @Test
    void agreesWithCountingCells() {
        SplittableRandom random = new SplittableRandom(7);
        for (int trial = 0; trial < 50; trial++) {
            TestDoses doses = new TestDoses().rectangle(0, 0, 0, 40, 1, 1, 0).rectangle(1, 0, 0, 1, 40, 1, 0);
            List<int[]> boxes = new ArrayList<>(List.of(new int[] {0, 0, 40, 1}, new int[] {0, 0, 1, 40}));
            for (int s = 2; s < 20; s++) {
                int x = random.nextInt(38);
                int y = random.nextInt(38);
                int[] box = {x, y, x + 1 + random.nextInt(40 - x), y + 1 + random.nextInt(40 - y)};
                boxes.add(box);
                doses.rectangle(s, box[0], box[1], box[2], box[3], 1, 0);
            }
            int side = 10;
            WritingFields fields = WritingFields.of(doses.build(), side);
            TreeSet<Integer> written = new TreeSet<>();
            TreeSet<Integer> cut = new TreeSet<>();
            int parts = 0;
            for (int s = 0; s < boxes.size(); s++) {
                TreeSet<Integer> own = new TreeSet<>();
                int[] b = boxes.get(s);
                for (int x = b[0]; x < b[2]; x++) {
                    for (int y = b[1]; y < b[3]; y++) {
                        own.add(y / side * 4 + x / side);
                    }
                }
                written.addAll(own);
                parts += own.size();
                if (own.size() > 1) {
                    cut.add(s);
                }
            }
            assertEquals(written.size(), fields.count());
            assertEquals(parts, fields.parts());
            assertEquals(cut.size(), fields.cutShapes());
            assertEquals(
                    cut,
                    new TreeSet<>(fields.cuts().stream().map(FieldCut::shape).toList()));
        }
    }

    @Test
    void absurdFieldsAreRefused() {
        DosedPieces pieces = new TestDoses().rectangle(0, 0, 0, 1e4, 1e4, 1, 0).build();
        assertThrows(IllegalArgumentException.class, () -> WritingFields.of(pieces, 0.5));
        assertThrows(IllegalArgumentException.class, () -> WritingFields.of(pieces, -1));
    }

    /** Extent 160 x 60 from (300, 700) on. */
    @Test
    void theGridIsCentredOnTheLayoutWhereverItLies() {
        WritingFields fields = WritingFields.of(
                new TestDoses().rectangle(0, 300, 700, 460, 760, 1, 0).build(), 100);
        assertEquals(2, fields.columns());
        assertEquals(1, fields.rows());
        assertEquals(280, fields.leftUm());
        assertEquals(680, fields.bottomUm());
        assertEquals(100, fields.fieldUm());
        FieldCut cut = fields.cuts().get(0);
        assertEquals(new FieldCut(0, true, 380, 700, 760), cut);
        assertEquals(60, cut.lengthUm());
        assertEquals(380, cut.xUm());
        assertEquals(730, cut.yUm());
    }

    /** A shape's spans on one border, those within pieces and those between two pieces, are one cut where they touch. */
    @Test
    void spansThatTouchAreOneCut() {
        // Border at y = 50: pieces that end there from 0 to 30 and begin from 0 to 30, one across from 30 to 60, a gap,
        // and again.
        DosedPieces pieces = new TestDoses()
                .rectangle(0, 0, 0, 30, 50, 1, 0)
                .rectangle(0, 0, 50, 30, 100, 1, 0)
                .rectangle(0, 30, 0, 60, 100, 1, 0)
                .rectangle(0, 70, 0, 80, 50, 1, 0)
                .rectangle(0, 70, 50, 95, 100, 1, 0)
                .rectangle(0, 80, 0, 100, 50, 1, 0)
                .build();
        WritingFields fields = WritingFields.of(pieces, 50.0);
        assertEquals(
                List.of(new FieldCut(0, false, 50, 0, 60), new FieldCut(0, false, 50, 70, 95)),
                fields.cuts().stream().filter(c -> !c.vertical()).toList());
        assertEquals(1, fields.cutShapes());
    }

    /** Random slanted pieces away from the origin against polygons cut by JTS. */
    @Test
    void agreesWithPolygonsCutBySquares() {
        GeometryFactory jts = new GeometryFactory();
        SplittableRandom random = new SplittableRandom(9);
        for (int trial = 0; trial < 60; trial++) {
            double[] y = {-300 + random.nextDouble(30), -265 + random.nextDouble(30)};
            double[] left = {500 + random.nextDouble(40), 500 + random.nextDouble(40)};
            double[] right = {left[0] + 1 + random.nextDouble(30), left[1] + random.nextDouble(30)};
            boolean standing = trial % 2 == 1;
            TestDoses doses = new TestDoses();
            double[] c = {left[0], y[0], right[0], y[0], right[1], y[1], left[1], y[1]};
            if (standing) {
                doses.standing(0, y[0], y[1], left[0], right[0], left[1], right[1], 1, 0);
            } else {
                doses.trapezoid(0, y[0], y[1], left[0], right[0], left[1], right[1], 1, 0);
            }
            Coordinate[] corners = new Coordinate[5];
            for (int k = 0; k < 5; k++) {
                int at = k % 4 * 2;
                corners[k] = standing ? new Coordinate(c[at + 1], c[at]) : new Coordinate(c[at], c[at + 1]);
            }
            Polygon piece = jts.createPolygon(corners);
            WritingFields fields = WritingFields.of(doses.build(), 10);
            int parts = 0;
            for (int col = 0; col < fields.columns(); col++) {
                for (int row = 0; row < fields.rows(); row++) {
                    double x0 = fields.leftUm() + 10 * col;
                    double y0 = fields.bottomUm() + 10 * row;
                    boolean holds = jts.toGeometry(new Envelope(x0, x0 + 10, y0, y0 + 10))
                                    .intersection(piece)
                                    .getArea()
                            > 1e-9;
                    assertEquals(holds, fields.isWritten(col, row));
                    parts += holds ? 1 : 0;
                }
            }
            assertEquals(parts, fields.parts());
            assertEquals(parts, fields.count());
            List<FieldCut> expected = new ArrayList<>();
            for (int k = 1; k < Math.max(fields.columns(), fields.rows()); k++) {
                double x = fields.leftUm() + 10 * k;
                double v = fields.bottomUm() + 10 * k;
                Envelope on = piece.intersection(line(jts, x, -1e4, x, 1e4)).getEnvelopeInternal();
                if (k < fields.columns() && on.getHeight() > 1e-6) {
                    expected.add(new FieldCut(0, true, x, on.getMinY(), on.getMaxY()));
                }
                on = piece.intersection(line(jts, -1e4, v, 1e4, v)).getEnvelopeInternal();
                if (k < fields.rows() && on.getWidth() > 1e-6) {
                    expected.add(new FieldCut(0, false, v, on.getMinX(), on.getMaxX()));
                }
            }
            expected.sort(Comparator.comparing(FieldCut::vertical).thenComparingDouble(FieldCut::borderUm));
            assertEquals(expected.size(), fields.cuts().size());
            for (int k = 0; k < expected.size(); k++) {
                FieldCut cut = fields.cuts().get(k);
                assertEquals(expected.get(k).vertical(), cut.vertical());
                assertEquals(expected.get(k).borderUm(), cut.borderUm(), 1e-9);
                assertEquals(expected.get(k).fromUm(), cut.fromUm(), 1e-6);
                assertEquals(expected.get(k).toUm(), cut.toUm(), 1e-6);
            }
        }
    }

    private static LineString line(GeometryFactory jts, double x0, double y0, double x1, double y1) {
        return jts.createLineString(new Coordinate[] {new Coordinate(x0, y0), new Coordinate(x1, y1)});
    }

    @Test
    void fieldsAreEqualByWhatTheyHold() {
        DosedPieces pieces = new TestDoses().rectangle(0, 0, 0, 160, 60, 1, 0).build();
        WritingFields fields = WritingFields.of(pieces, 100);
        assertEquals(fields, WritingFields.of(pieces, 100));
        assertEquals(fields.hashCode(), WritingFields.of(pieces, 100).hashCode());
        for (WritingFields other : List.of(
                WritingFields.of(pieces, 90),
                WritingFields.of(
                        new TestDoses().rectangle(0, 1, 0, 161, 60, 1, 0).build(), 100))) {
            assertNotEquals(fields, other);
            assertNotEquals(fields.hashCode(), other.hashCode());
        }
        assertNotEquals(fields, (Object) "fields");
    }
}
