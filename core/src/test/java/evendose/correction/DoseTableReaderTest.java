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
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.function.IntUnaryOperator;
import java.util.stream.IntStream;
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

    private static DoseTable with(DoseTable t, Pieces pieces) {
        int units = pieces.units();
        return new DoseTable(
                pieces,
                t.pattern(),
                t.options(),
                t.convergence(),
                t.levels(),
                t.factors(),
                IntStream.range(0, units).map(t::level).toArray(),
                IntStream.range(0, units).mapToDouble(t::energyUncorrected).toArray(),
                IntStream.range(0, units).mapToDouble(t::energyCorrected).toArray(),
                IntStream.range(0, units).mapToObj(t::status).toArray(DoseStatus[]::new),
                t.evaluators(),
                t.levelCost(),
                t.levelStudy(),
                t.energyAtWideDose(),
                new float[units],
                t.outlineError(),
                t.counts(),
                IntStream.range(0, units).mapToDouble(t::targetOfUnit).toArray());
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
}
