package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.FractureOptions;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class DoseTestPatternTest {
    /**
     * The layout that is written, read back and computed exactly with all figures and marks at their own doses, gives every figure
     * the energy of its closed form: neighbours are far enough and polygons round enough.
     */
    @Test
    void everyFigureGetsTheEnergyOfItsClosedForm(@TempDir Path folder) {
        DoseTestPattern.Guess guess = new DoseTestPattern.Guess(0.05, 4, 0.6, 100, 8, 5);
        DoseTestPattern pattern = DoseTestPattern.design(guess);
        Path file = folder.resolve("t.gds");
        pattern.writeLayout(file);
        Layout layout = LayoutFiles.read(file);
        Flattener flattener = Flattener.of(layout);
        Map<Layer, Integer> groups = new HashMap<>();
        flattener.counts().keySet().forEach(l -> groups.put(l, groups.size()));
        Polygons polygons = new Polygons();
        flattener.flatten(groups, polygons);
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.05, 4, 0.6);
        Pieces pieces;
        try (Workers workers = Workers.of(2)) {
            Trapezoids merged = Merge.of(polygons, groups.size(), workers, Progress.NONE);
            pieces = Fracture.of(merged, layout.unit().um(), options(psf), workers, Progress.NONE)
                    .pieces();
        }
        double[] doseOfGroup = new double[groups.size()];
        groups.forEach((layer, g) -> {
            assertEquals(DoseTestPattern.LAYER, layer.number());
            doseOfGroup[g] = dose(pattern, layer.datatype());
        });
        double[] dose = new double[pieces.units()];
        int[] shape = pieces.shapeOfUnit();
        Arrays.setAll(dose, u -> doseOfGroup[pieces.layerOfShape(shape[u])]);
        ExactEnergy exact = ExactEnergy.ofUnits(pieces, dose, psf);
        double[] weight = psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray();
        double[] range = psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
        for (DoseTestPattern.Row row : pattern.rows()) {
            for (int k = 0; k < row.doses().size(); k++) {
                double own = pattern.doseUcPerCm2(row.doses().get(k));
                double x = row.firstXUm() + k * row.pitchUm();
                double expected;
                double at = x;
                if (row.figure() instanceof TestFigure.Ring ring) {
                    expected = FigureEnergy.ring(ring, weight, range);
                } else {
                    TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                    at = x + lines.widthUm() / 2;
                    expected = FigureEnergy.lines(lines, lines.widthUm() / 2, weight, range);
                }
                assertEquals(
                        own * expected, exact.at(at, row.yUm()), 2e-3 * own * expected, DoseTestPattern.label(row));
            }
        }
    }

    private static FractureOptions options(PointSpreadFunction psf) {
        return evendose.correction.CorrectionOptions.of(psf).fracture();
    }

    private static double dose(DoseTestPattern pattern, int datatype) {
        for (DoseTestPattern.Row row : pattern.rows()) {
            for (int step : row.doses()) {
                if (pattern.datatype(step) == datatype) {
                    return pattern.doseUcPerCm2(step);
                }
            }
        }
        throw new AssertionError("no dose has the datatype " + datatype);
    }

    /** 20 to 100 kV on several substrates: a test exists, and its rows clear in the middle if the guess is right. */
    @ParameterizedTest
    @CsvSource({"0.0066,31,0.6", "0.01,9.5,0.62", "0.02,2,0.75", "0.012,14.5,1.0"})
    void usualGuessesWork(double alpha, double beta, double eta) {
        DoseTestPattern pattern = DoseTestPattern.design(new DoseTestPattern.Guess(alpha, beta, eta, 300, 5, 13));
        assertTrue(pattern.doses() <= 250);
        String[] rows = pattern.figuresCsv().split("\n");
        for (DoseTestPattern.Row row : pattern.rows()) {
            String first = find(rows, row.number(), 1);
            String last = find(rows, row.number(), row.doses().size());
            if (row.figure() instanceof TestFigure.Ring) {
                assertTrue(first.endsWith("stays"), first);
                assertTrue(last.endsWith("clears"), last);
            } else {
                assertTrue(first.endsWith(" nm") && last.endsWith(" nm"), first + " " + last);
            }
        }
        String[] dosesCsv = pattern.dosesCsv().split("\n");
        assertEquals(pattern.doses() + 1, dosesCsv.length);
    }

    private static String find(String[] rows, int row, int column) {
        return Arrays.stream(rows)
                .filter(r -> r.startsWith(row + "," + column + ","))
                .findFirst()
                .orElseThrow();
    }

    @Test
    void theTableToFillInIsUnderstoodOnceFilledIn() {
        DoseTestPattern pattern = DoseTestPattern.design(new DoseTestPattern.Guess(0.01, 9.5, 0.62, 150, 5, 13));
        String filled =
                pattern.measuredCsv().replace(",,uC/cm2,", ",200,uC/cm2,").replace(",,nm,", ",100,nm,");
        MeasurementFile file = MeasurementFile.parse("m.csv", filled);
        assertEquals(0, file.empty());
        assertEquals(11 + 6 * 5, file.measurements().size());
    }

    @Test
    void absurdGuessesAreRefused() {
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(1, 9, 0.6, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, -1, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 5, 12));
        assertThrows(
                IllegalArgumentException.class,
                () -> DoseTestPattern.design(new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 0.5, 51)));
    }
}
