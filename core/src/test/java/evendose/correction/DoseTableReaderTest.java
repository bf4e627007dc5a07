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
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class DoseTableReaderTest {
    private static final String HEADER =
            "y_bottom_um,y_top_um,x_left_bottom_um,x_right_bottom_um,x_left_top_um,x_right_top_um,dose_factor";

    @TempDir
    private Path folder;

    private static DoseTable table() {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 10_000, 6_000);
        polygons.addRectangle(0, 12_000, 0, 12_200, 6_000);
        polygons.addPolygon(0, new long[] {14_000, 0, 17_000, 1_000, 15_000, 4_000}, 3);
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6))
                .baseDoseUcPerCm2(300)
                .build();
        return Corrector.correct(
                polygons, 0.001, List.of(LayerRole.corrected(new Layer(7, 3))), options, Workers.of(1), Progress.NONE);
    }

    private Path file(String text) throws IOException {
        return Files.writeString(folder.resolve("doses.csv"), text);
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
        assertArrayEquals(table.pieces().xRightTopUm(), stored.pieces().xRightTopUm());
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
        StoredDoses stored = DoseTableReader.read(file("\ufeff# made by hand\n\n" + HEADER + "\n0,1,0,2,0,2,1.25\n"));
        assertEquals(1, stored.pieces().units());
        assertEquals(1.25, stored.factor(0));
        assertEquals(DoseStatus.OK, stored.status(0));
        assertTrue(stored.baseDoseUcPerCm2().isEmpty());
    }

    @Test
    void differentDosesInOneUnitAreTold() throws IOException {
        StoredDoses stored = DoseTableReader.read(
                file("unit," + HEADER + "\n0,0,1,0,2,0,2,1\n0,1,2,0,2,0,2,1.1\n1,3,4,0,2,0,2,1\n"));
        assertEquals(3, stored.pieces().units());
        assertEquals(1, stored.splitUnits().size());
        assertEquals("line 3", stored.splitUnits().get(0).place());
        assertEquals(1.1, stored.splitUnits().get(0).ratio(), 1e-12);
    }

    @Test
    void absoluteDosesThatContradictTheFactorsAreTold() throws IOException {
        StoredDoses stored = DoseTableReader.read(
                file(HEADER + ",dose_uc_per_cm2\n0,1,0,2,0,2,1,300\n1,2,0,2,0,2,1.1,330\n3,4,0,2,0,2,1,330\n"));
        assertEquals(1, stored.contradictions().size());
        assertTrue(stored.contradictions().get(0).startsWith("line 4: 330"));
    }

    @Test
    void badTablesAreRefusedWithTheirPlace() throws IOException {
        Map<String, String> cases = Map.of(
                "",
                "is empty",
                "a,b\n",
                "line 1: the column y_bottom_um is missing",
                HEADER.replace(',', ';') + "\n",
                "line 1: columns must be separated by commas",
                HEADER + "\n0,1,0,2,0,2,x\n",
                "line 2: dose_factor is 'x', not a number",
                HEADER + "\n0,1,0,2,0,2,-1\n",
                "line 2: dose_factor must be positive, got -1.0",
                HEADER + "\n0,1,0,2,0,2,NaN\n",
                "line 2: dose_factor is 'NaN', not a number",
                HEADER + "\n1,0,0,2,0,2,1\n",
                "line 2: y_top_um must be above y_bottom_um",
                HEADER + "\n0,1,2,0,2,0,1\n",
                "line 2: right corners must not lie left",
                HEADER + "\n0,1,0,2,0,2,1,5\n",
                "line 2: has 8 values for 7 columns",
                HEADER + ",status\n0,1,0,2,0,2,1,fine\n",
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
                table, "chip.gds", List.of("A"), Optional.of(new double[] {0, 1, 2, 3}), "1", "", Map.of());
        Path file = Files.writeString(folder.resolve("summary.json"), summary.toJson());
        RecordedRun run = RecordedRun.read(file);
        assertEquals(table.options(), run.options());
        assertEquals(table.roles(), run.roles());
        assertEquals(List.of("A"), run.cells());
        assertArrayEquals(new double[] {0, 1, 2, 3}, run.windowUm().orElseThrow());
        assertArrayEquals(table.convergence().history(), run.residualHistory());
    }
}
