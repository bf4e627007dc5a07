package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.Set;
import java.util.function.IntUnaryOperator;
import java.util.stream.IntStream;
import java.util.zip.GZIPOutputStream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class DoseTableReaderTest {
    private static final String HEADER = "x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor";

    @TempDir
    private Path folder;

    private static DoseTable table() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 10_000, 6_000);
        polygons.addRectangle(0, 12_000, 0, 12_200, 6_000);
        polygons.addPolygon(0, new long[] {14_000, 0, 17_000, 1_000, 15_000, 4_000}, 3);
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .baseDoseUcPerCm2(300)
                .allowedEdgeError(1)
                .build();
        return TestPatterns.correct(
                polygons, 0.001, List.of(LayerRole.corrected(new Layer(7, 3))), options, Workers.of(1), Progress.NONE);
    }

    private Path file(String text) throws IOException {
        return Files.writeString(folder.resolve("doses.csv"), text);
    }

    /** As {@code table}, with x and y of all pieces exchanged: those that are no rectangles stand. */
    private static DoseTable standing() {
        DoseTable table = table();
        Pieces p = table.pieces();
        int n = p.size();
        double[][] six = new double[6][n];
        boolean[] standing = new boolean[n];
        for (int i = 0; i < n; i++) {
            standing[i] = !p.isRectangle(i);
            double[] kept = {
                p.lowUm()[i], p.highUm()[i], p.fromLowUm()[i], p.toLowUm()[i], p.fromHighUm()[i], p.toHighUm()[i]
            };
            int[] of = standing[i] ? new int[] {0, 1, 2, 3, 4, 5} : new int[] {2, 3, 0, 1, 0, 1};
            for (int k = 0; k < 6; k++) {
                six[k][i] = kept[of[k]];
            }
        }
        return with(
                table,
                new Pieces(
                        six,
                        standing,
                        starts(p.units(), p::unitFirst),
                        starts(p.shapes(), p::shapeFirst),
                        IntStream.range(0, p.shapes()).map(p::layerOfShape).toArray()));
    }

    private static int[] starts(int count, IntUnaryOperator first) {
        return IntStream.rangeClosed(0, count).map(first).toArray();
    }

    /** Other pieces in as many units of the same doses and levels. */
    private static DoseTable with(DoseTable t, Pieces pieces) {
        HandMadeDoses doses = new HandMadeDoses(pieces);
        doses.roles = t.roles();
        doses.options = t.options();
        doses.levels = t.levels();
        doses.factor = t.factors();
        doses.level = IntStream.range(0, pieces.units()).map(t::level).toArray();
        return doses.build();
    }

    private static void assertSamePieces(Pieces expected, Pieces found) {
        assertArrayEquals(expected.lowUm(), found.lowUm());
        assertArrayEquals(expected.highUm(), found.highUm());
        assertArrayEquals(expected.fromLowUm(), found.fromLowUm());
        assertArrayEquals(expected.toLowUm(), found.toLowUm());
        assertArrayEquals(expected.fromHighUm(), found.fromHighUm());
        assertArrayEquals(expected.toHighUm(), found.toHighUm());
        for (int i = 0; i < expected.size(); i++) {
            assertEquals(expected.standing(i), found.standing(i));
        }
    }

    @Test
    void standingPiecesComeBackToTheLastDigit() {
        DoseTable table = standing();
        assertTrue(!table.pieces().areLevel());
        Path file = folder.resolve("doses.csv");
        DoseTableCsv.write(table, file, Workers.of(1), Progress.NONE);
        assertSamePieces(table.pieces(), DoseTableReader.read(file).pieces());
    }

    /** Slanted pieces on the database grid come back as they were, from either format. */
    @ParameterizedTest
    @EnumSource(LayoutFormat.class)
    void standingPiecesComeBackFromALayout(LayoutFormat format) {
        double[][] six = {{0, 3}, {1, 4}, {0.5, 0.2}, {2, 0.2}, {0, 0}, {2.5, 1}};
        DoseTable one = table().within(-1, -1, 2, 2);
        Pieces pieces = new Pieces(six, new boolean[] {true, true}, new int[] {0, 2}, new int[] {0, 1}, new int[] {0});
        assertEquals(1, one.pieces().units());
        CorrectedLayout.write(
                with(one, pieces), DatabaseUnit.NANOMETRE, folder.resolve("corrected"), format, Progress.NONE);
        DoseTableCsv.writeLevels(with(one, pieces), folder.resolve("levels.csv"));
        assertSamePieces(
                pieces, DoseTableReader.read(folder.resolve("corrected")).pieces());
    }

    @Test
    void cornersMayBeginAnywhereAndGoEitherWay() throws IOException {
        Pieces standing = DoseTableReader.read(
                        file(HEADER + "\n2,2,2,1,0,0,0,3,1\n0,0,0,3,2,2,2,1,1\n2,1,2,2,0,3,0,0,1\n"))
                .pieces();
        for (int i = 0; i < 3; i++) {
            assertTrue(standing.standing(i));
            assertEquals(4, standing.areaUm2(i));
            assertEquals(1, standing.fromHighUm()[i]);
        }
    }

    @Test
    void whatWasWrittenComesBack() {
        DoseTable table = table();
        Path file = folder.resolve("doses.csv");
        DoseTableCsv.write(table, file, Workers.of(1), Progress.NONE);
        StoredDoses stored = DoseTableReader.read(file);
        assertEquals(List.of(new Layer(7, 3)), stored.layers());
        assertEquals(table.pieces().units(), stored.pieces().units());
        assertEquals(table.pieces().shapes(), stored.pieces().shapes());
        assertSamePieces(table.pieces(), stored.pieces());
        assertArrayEquals(table.factors(), stored.factors(), 1e-9);
        assertEquals(300, stored.baseDoseUcPerCm2().orElseThrow(), 1e-5);
        assertTrue(stored.splitUnits().isEmpty() && stored.contradictions().isEmpty());
    }

    @Test
    void rowsMayComeInAnyOrder() throws IOException {
        Path file = folder.resolve("doses.csv");
        DoseTableCsv.write(table(), file, Workers.of(1), Progress.NONE);
        StoredDoses straight = DoseTableReader.read(file);
        List<String> lines = new ArrayList<>(Files.readAllLines(file));
        Collections.shuffle(lines.subList(1, lines.size()), new Random(1));
        StoredDoses shuffled = DoseTableReader.read(file(String.join("\r\n", lines)));
        assertEquals(straight.pieces().units(), shuffled.pieces().units());
        assertArrayEquals(straight.factors(), shuffled.factors());
    }

    @Test
    void aLayoutOfPiecesWithItsLevelsComesBackWithinHalfALevel() {
        DoseTable table = table();
        CorrectedLayout.write(
                table, DatabaseUnit.NANOMETRE, folder.resolve("corrected.gds"), LayoutFormat.GDSII, Progress.NONE);
        DoseTableCsv.writeLevels(table, folder.resolve("levels.csv"));
        StoredDoses stored = DoseTableReader.read(folder.resolve("corrected.gds"));
        double area = 0;
        double dosed = 0;
        for (int u = 0; u < stored.pieces().units(); u++) {
            for (int i = stored.pieces().unitFirst(u); i < stored.pieces().unitFirst(u + 1); i++) {
                area += stored.pieces().areaUm2(i);
                dosed += stored.pieces().areaUm2(i) * stored.factor(u);
            }
        }
        assertTrue(stored.rounded());
        assertEquals(table.areaUm2(), area, 0.01);
        assertEquals(table.dosedAreaUm2() / table.areaUm2(), dosed / area, 2e-3);
        double expected = table.levels().factor(1) / table.levels().factor(0);
        assertEquals(expected, stored.levelRatio(), 1e-6);
    }

    @Test
    void handMadeTablesNeedLittle() throws IOException {
        StoredDoses stored =
                DoseTableReader.read(file("\ufeff# made by hand\n\n" + HEADER + "\n0,0,2,0,2,1,0,1,1.25\n"));
        assertEquals(1, stored.pieces().units());
        assertEquals(1.25, stored.factor(0));
        assertEquals(DoseStatus.OK, stored.status(0));
        assertTrue(stored.baseDoseUcPerCm2().isEmpty());
    }

    @Test
    void differentDosesInOneUnitAreTold() throws IOException {
        StoredDoses stored = DoseTableReader.read(
                file("unit," + HEADER + "\n0,0,0,2,0,2,1,0,1,1\n0,0,1,2,1,2,2,0,2,1.1\n1,0,3,2,3,2,4,0,4,1\n"));
        assertEquals(3, stored.pieces().units());
        assertEquals(1, stored.splitUnits().size());
        assertEquals("line 3", stored.splitUnits().get(0).place());
        assertEquals(1.1, stored.splitUnits().get(0).ratio(), 1e-12);
    }

    @Test
    void absoluteDosesThatContradictTheFactorsAreTold() throws IOException {
        StoredDoses stored = DoseTableReader.read(file(
                HEADER + ",dose_uc_per_cm2\n0,0,2,0,2,1,0,1,1,300\n0,1,2,1,2,2,0,2,1.1,330\n0,3,2,3,2,4,0,4,1,330\n"));
        assertEquals(1, stored.contradictions().size());
        assertTrue(stored.contradictions().get(0).startsWith("line 4: 330"));
    }

    @Test
    void badTablesAreRefusedWithTheirPlace() throws IOException {
        Map<String, String> cases = Map.of(
                "",
                "is empty",
                "a,b\n",
                "line 1: the column x1_um is missing",
                HEADER.replace(',', ';') + "\n",
                "line 1: columns must be separated by commas",
                HEADER + "\n0,0,2,0,2,1,0,1,x\n",
                "line 2: dose_factor is 'x', not a number",
                HEADER + "\n0,0,2,0,2,1,0,1,-1\n",
                "line 2: dose_factor must be positive, got -1.0",
                HEADER + "\n0,0,2,0,2,1,0,1,NaN\n",
                "line 2: dose_factor is 'NaN', not a number",
                HEADER + "\n0,0,2,0.5,1,1,0,2,1\n",
                "line 2: the corners x1_um, y1_um to x4_um, y4_um must be those of a trapezoid with two sides along x",
                HEADER + "\n0,0,2,0,0,1,2,1,1\n",
                "line 2: the corners",
                HEADER + "\n0,0,2,0,2,1,0,1,1,5\n",
                "line 2: has 10 values for 9 columns",
                HEADER + ",status\n0,0,2,0,2,1,0,1,1,fine\n",
                "line 2: 'fine' is not a status");
        for (Map.Entry<String, String> c : cases.entrySet()) {
            Path file = file(c.getKey());
            BadInputException e = assertThrows(BadInputException.class, () -> DoseTableReader.read(file), c.getValue());
            assertTrue(e.getMessage().contains(c.getValue()), e.getMessage());
            assertTrue(e.getMessage().lines().count() == 1);
        }
    }

    @Test
    void aLayoutWithoutLevelsIsRefused() {
        DoseTable table = table();
        Path file = folder.resolve("corrected.gds");
        CorrectedLayout.write(table, DatabaseUnit.NANOMETRE, file, LayoutFormat.GDSII, Progress.NONE);
        BadInputException e = assertThrows(BadInputException.class, () -> DoseTableReader.read(file));
        assertTrue(e.getMessage().contains("levels.csv"));
    }

    @Test
    void aRecordedRunComesBack() throws IOException {
        DoseTable table = table();
        RunSummary summary = new RunSummary(
                table, "chip.gds", List.of("A"), Optional.of(new double[] {0, 1, 2, 3}), "1", "", Map.of(), Map.of());
        Path file = Files.writeString(folder.resolve("summary.json"), summary.toJson());
        RecordedRun run = RecordedRun.read(file);
        assertEquals(table.options(), run.options());
        assertEquals(table.roles(), run.roles());
        assertEquals(List.of("A"), run.cells());
        assertArrayEquals(new double[] {0, 1, 2, 3}, run.windowUm().orElseThrow());
        assertArrayEquals(table.convergence().history(), run.residualHistory());
    }

    private static final String PLACED = "shape,unit,layer,datatype," + HEADER;

    private static String square(int x) {
        return x + ",0," + (x + 1) + ",0," + (x + 1) + ",1," + x + ",1";
    }

    /** 3,000 squares of two layers by shape and unit, shuffled: arranged again, and each where it belongs. */
    @Test
    void manyRowsAreArrangedByLayerShapeAndUnit() throws IOException {
        List<String> lines = new ArrayList<>();
        for (int n = 0; n < 3_000; n++) {
            // Shapes of 10 units, units of 3 squares; layer 4/0 from half of them on.
            lines.add(n / 30 + "," + n / 3 % 10 + "," + (n < 1_500 ? "4,0," : "4,9,") + square(2 * n) + ","
                    + (1 + n / 3 * 1e-3));
        }
        for (int shuffled = 0; shuffled < 2; shuffled++) {
            StoredDoses stored = DoseTableReader.read(file(PLACED + "\n" + String.join("\n", lines) + "\n"));
            Pieces p = stored.pieces();
            assertEquals(3_000, p.size());
            assertEquals(1_000, p.units());
            assertEquals(100, p.shapes());
            assertEquals(Set.of(new Layer(4, 0), new Layer(4, 9)), Set.copyOf(stored.layers()));
            assertTrue(stored.splitUnits().isEmpty());
            int[] shape = p.shapeOfUnit();
            int[] seen = new int[3_000];
            for (int u = 0; u < p.units(); u++) {
                assertEquals(3, p.unitFirst(u + 1) - p.unitFirst(u));
                for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                    int n = (int) Math.round(p.leftUm(i) / 2);
                    seen[n]++;
                    assertEquals(1 + n / 3 * 1e-3, stored.factor(u), 1e-12);
                    assertEquals(
                            new Layer(4, n < 1_500 ? 0 : 9), stored.layers().get(p.layerOfShape(shape[u])));
                    assertEquals(n % 30 / 3, u - p.shapeFirst(shape[u]));
                }
            }
            assertTrue(Arrays.stream(seen).allMatch(k -> k == 1));
            Collections.shuffle(lines, new Random(2));
        }
    }

    @Test
    void aUnitThatIsSplitIsToldWithItsPlace() throws IOException {
        StoredDoses stored = DoseTableReader.read(file(PLACED + "\n" + "0,0,1,0," + square(0) + ",2\n0,1,1,0,"
                + square(4) + ",1\n0,0,1,0," + square(2) + ",3\n"));
        StoredDoses.SplitUnit split = stored.splitUnits().get(0);
        assertEquals(new StoredDoses.SplitUnit("line 4", 2.5, 0.5, 1.5), split);
        assertArrayEquals(new double[] {2, 3, 1}, stored.factors());
        assertEquals("StoredDoses[3 pieces, 3 units on layers [1/0]]", stored.toString());
        assertTrue(!stored.rounded());
    }

    @Test
    void aFolderStandsForItsTable() throws IOException {
        file(HEADER + "\n" + square(0) + ",1.25\n");
        assertEquals(1.25, DoseTableReader.read(folder).factor(0));
        // What a killed run left unfinished is put in order first: nothing of this name is kept.
        assertEquals(1, Files.list(folder).count());
    }

    @Test
    void statusesAreReadAndRowsWithoutUnitStandAlone() throws IOException {
        StoredDoses stored = DoseTableReader.read(
                file(HEADER + ",status\n" + square(0) + ",1,fixed\n" + square(2) + ",1,\n" + square(4) + ",1,ok\n"));
        assertEquals(3, stored.pieces().units());
        assertEquals(3, stored.pieces().shapes());
        assertEquals(DoseStatus.FIXED, stored.status(0));
        assertEquals(DoseStatus.OK, stored.status(1));
    }

    @Test
    void layersReachFrom0To65535() throws IOException {
        StoredDoses stored = DoseTableReader.read(
                file(PLACED + "\n0,0,65535,0," + square(0) + ",1\n1,1,0,65535," + square(2) + ",1\n"));
        assertEquals(List.of(new Layer(65_535, 0), new Layer(0, 65_535)), stored.layers());
        for (String layer : List.of("65536,0", "0,65536", "-1,0", "0,-1")) {
            Path bad = file(PLACED + "\n0,0," + layer + "," + square(0) + ",1\n");
            BadInputException e = assertThrows(BadInputException.class, () -> DoseTableReader.read(bad));
            assertTrue(
                    e.getMessage().contains("line 2: layer and datatype must lie in 0 to 65535, not "), e.getMessage());
        }
    }

    /** One part in 100,000 is allowed, for nine decimals; five rows are told one by one. */
    @Test
    void contradictionsAreCountedBeyondFive() throws IOException {
        String rows = HEADER + ",dose_uc_per_cm2\n" + square(0) + ",2,600\n" + square(2) + ",1,300.0029\n" + square(4)
                + ",1,299.9971\n";
        assertTrue(DoseTableReader.read(file(rows)).contradictions().isEmpty());
        List<String> told = DoseTableReader.read(file(rows + square(6) + ",1,300.0031\n" + square(8) + ",1,299.9969\n"))
                .contradictions();
        assertEquals(
                List.of(
                        "line 5: 300.0031 uC/cm^2 is not the factor 1.0 times the base dose of 300.000 uC/cm^2",
                        "line 6: 299.9969 uC/cm^2 is not the factor 1.0 times the base dose of 300.000 uC/cm^2"),
                told);
        StringBuilder many = new StringBuilder(rows);
        for (int k = 0; k < 5; k++) {
            many.append(square(10 + 2 * k)).append(",1,400\n");
        }
        assertEquals(
                5, DoseTableReader.read(file(many.toString())).contradictions().size());
        for (int k = 0; k < 3; k++) {
            many.append(square(30 + 2 * k)).append(",1,400\n");
        }
        told = DoseTableReader.read(file(many.toString())).contradictions();
        assertEquals(6, told.size());
        assertEquals("3 more rows do", told.get(5));
    }

    @Test
    void rowsCutShortAreRefused() throws IOException {
        Path cut = file(HEADER + "\n" + square(0) + ",1\n" + square(2) + "\n");
        assertTrue(assertThrows(BadInputException.class, () -> DoseTableReader.read(cut))
                .getMessage()
                .endsWith("line 3: has 8 values for 9 columns; give one for each column, or delete the row"));
    }

    /** A compressed table of polygons, as a layout of pieces might come, with a levels.csv of the given rows beside it. */
    private Path layout(String polygons, String levels) throws IOException {
        Path file = folder.resolve("pieces.csv.gz");
        try (OutputStream out = new GZIPOutputStream(Files.newOutputStream(file))) {
            out.write(("wkt,layer,datatype\n" + polygons).getBytes(StandardCharsets.US_ASCII));
        }
        Files.writeString(folder.resolve("levels.csv"), "level,dose_factor\n" + levels);
        return file;
    }

    private static String polygon(String corners, int datatype) {
        return "\"POLYGON ((" + corners + "))\",6," + datatype + "\n";
    }

    /** An L, which no correction writes, is cut; neighbours of one level are a unit; the datatype gives the dose. */
    @Test
    void piecesOfALayoutGetTheDosesOfTheirLevels() throws IOException {
        Path file = layout(
                polygon("0 0, 4 0, 4 1, 1 1, 1 3, 0 3, 0 0", 5)
                        + polygon("6 0, 7 0, 7 1, 6 1, 6 0", 5)
                        + polygon("8 0, 9 0, 9 1, 8 1, 8 0", 2),
                "2,1.5\n4,1.2\n5,0.9\n");
        StoredDoses stored = DoseTableReader.read(file);
        Pieces p = stored.pieces();
        assertEquals(2, p.units());
        assertEquals(List.of(new Layer(6, 0)), stored.layers());
        assertTrue(stored.rounded());
        assertTrue(stored.baseDoseUcPerCm2().isEmpty());
        for (int u = 0; u < 2; u++) {
            double area = 0;
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                area += p.areaUm2(i);
            }
            double[] box = p.unitBoundsUm(u);
            boolean first = box[0] == 0;
            assertEquals(first ? 0.9 : 1.5, stored.factor(u));
            assertEquals(first ? 4 + 2 + 1 : 1, area, 1e-9);
            assertArrayEquals(first ? new double[] {0, 0, 7, 3} : new double[] {8, 0, 9, 1}, box, 1e-9);
        }
        assertEquals(1, stored.levelRatio(), "levels that fall have no distance");
        // From 1 to 1.21 in two steps, from there to 1.22 in one.
        layout(polygon("0 0, 4 0, 4 1, 0 0", 5), "2,1\n4,1.21\n5,1.22\n");
        assertEquals(1.1, DoseTableReader.read(file).levelRatio(), 1e-12);
    }

    @Test
    void levelsThatCannotBeAreRefused() throws IOException {
        String square = polygon("0 0, 1 0, 1 1, 0 1, 0 0", 5);
        for (String[] bad : new String[][] {
            {"5,1\n5,2\n", "levels.csv, line 3: level 5 occurs twice"},
            {"5,1\n6\n", "levels.csv, line 3: has 1 values for 2 columns"},
            {"5,0\n", "levels.csv, line 2: dose_factor must be positive"},
            {"4,1\n", "layer 6/5: its datatype is no level that levels.csv lists"},
        }) {
            Path file = layout(square, bad[0]);
            String message = assertThrows(BadInputException.class, () -> DoseTableReader.read(file))
                    .getMessage();
            assertTrue(message.contains(bad[1]), message);
        }
    }

    /** Of pieces of 1 um, 0.4 nm and 3 um on a grid of 1 nm the second has no area left; the listener hears of all. */
    @Test
    void piecesThatRoundingLeavesWithoutAreaAreCounted() {
        DoseTable table = new HandMadeDoses(HandMadePieces.rectangles(
                        new double[] {0, 0, 1, 1}, new double[] {2, 0, 2.0004, 1}, new double[] {4, 0, 7, 1}))
                .build();
        List<String> heard = new ArrayList<>();
        Progress progress = new Progress() {
            @Override
            public void begin(String stage, long total) {
                heard.add(stage + " " + total);
            }

            @Override
            public void advance(long done) {
                assertTrue(done > 0);
                heard.add("more");
            }
        };
        Path file = folder.resolve("pieces.gds");
        assertEquals(1, CorrectedLayout.write(table, DatabaseUnit.NANOMETRE, file, LayoutFormat.GDSII, progress));
        assertEquals(List.of("writing the layout 3", "more"), heard);
        assertEquals(1, CorrectedLayout.write(table, folder.resolve("again.gds"), LayoutFormat.GDSII));
        DoseTableCsv.writeLevels(table, folder.resolve("levels.csv"));
        assertEquals(2, DoseTableReader.read(file).pieces().size());
    }
}
