package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;

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
}
