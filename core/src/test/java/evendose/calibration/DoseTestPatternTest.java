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
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
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
        DoseTestPattern pattern = DoseTestPattern.design(guess, 5, 3);
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
        DoseTestPattern pattern =
                DoseTestPattern.design(new DoseTestPattern.Guess(alpha, beta, eta, 300, 5, 13), 5.4, 3);
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
        String[] levels = pattern.levelsCsv().split("\n");
        assertTrue(levels.length > 10 && levels.length <= pattern.doses() + 1);
    }

    private static String find(String[] rows, int row, int column) {
        return Arrays.stream(rows)
                .filter(r -> r.startsWith(row + "," + column + ","))
                .findFirst()
                .orElseThrow();
    }

    @Test
    void theTableToFillInIsUnderstoodOnceFilledIn() {
        DoseTestPattern pattern =
                DoseTestPattern.design(new DoseTestPattern.Guess(0.01, 9.5, 0.62, 150, 5, 13), 5.4, 3);
        StringBuilder filled = new StringBuilder();
        for (String line : pattern.measuredCsv().split("\n")) {
            String[] f = line.split(",", -1);
            if (f[0].equals("clearing")) {
                f[11] = f[8];
                f[12] = f[9];
            } else if (f[0].equals("width")) {
                f[13] = String.valueOf(1000 * Double.parseDouble(f[3]));
            }
            filled.append(String.join(",", f)).append('\n');
        }
        MeasurementFile file = MeasurementFile.parse("m.csv", filled.toString());
        assertEquals(0, file.empty());
        assertEquals(pattern.readings(), file.measurements().size());
        assertTrue(file.measurements().stream().noneMatch(Measurement::bound));
    }

    /** An hour at 2 nA, loading included, tells beta and eta better than to 4 %: also for a guess of other parameters. */
    @ParameterizedTest
    @CsvSource({"0.01,31,0.6,375", "0.02,9.5,0.62,150", "0.012,14.5,1.0,300"})
    void theUsualTestFitsIntoAnHour(double alpha, double beta, double eta, double dose) {
        DoseTestPattern pattern =
                DoseTestPattern.design(new DoseTestPattern.Guess(alpha, beta, eta, dose, 5, 13), 5.4, 3);
        assertTrue(pattern.targetReached());
        DoseTestEffort effort = new DoseTestEffort(pattern, new double[] {2}, 3);
        assertTrue(effort.beamOnMin(2) <= 45, effort.times());
        assertEquals(1e3 / 60 * pattern.chargeUc() / 2, effort.beamOnMin(2), 1e-9);
        assertTrue(pattern.expectedErrors().get("beta") < 0.04
                && pattern.expectedErrors().get("eta") < 0.04);
        assertTrue(pattern.readings() <= 35, effort.microscope());
    }

    /** What the page promises is what a fit of exact readings with the assumed scatter states, by another way of computing it. */
    @Test
    void theExpectedErrorsAreThoseOfAFit() {
        DoseTestPattern.Guess guess = new DoseTestPattern.Guess(0.01, 31, 0.6, 375, 5, 13);
        DoseTestPattern pattern = DoseTestPattern.design(guess, 5.4, 3);
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(0.01, 31, 0.6);
        double[] weight = psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray();
        double[] range = psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
        List<Measurement> readings = new ArrayList<>();
        for (DoseTestPattern.Row row : pattern.rows()) {
            if (row.figure() instanceof TestFigure.Ring ring) {
                double dose = 375 / FigureEnergy.ring(ring, weight, range);
                double ratio = pattern.doseUcPerCm2(row.doses().get(1))
                        / pattern.doseUcPerCm2(row.doses().get(0));
                readings.add(Measurement.clearing(
                        ring, dose / Math.sqrt(ratio), dose * Math.sqrt(ratio), OptionalDouble.of(0.02 * dose), 1));
            } else {
                TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                for (int step : row.doses()) {
                    double dose = pattern.doseUcPerCm2(step);
                    double width = FigureEnergy.width(lines, 375 / dose, lines.widthUm() / 2, weight, range);
                    readings.add(Measurement.width(lines, dose, width, OptionalDouble.of(0.002), 1));
                }
            }
        }
        Calibration fit = CalibrationFit.fit("m.csv", readings, FitOptions.USUAL);
        for (String name : List.of("alpha", "beta", "eta")) {
            FittedParameter p = fit.parameter(name);
            assertEquals(
                    p.standardError() / p.value(), pattern.expectedErrors().get(name), 1e-3 * p.standardError(), name);
        }
        assertEquals(
                fit.baseDose().standardError() / fit.baseDose().value(),
                pattern.expectedErrors().get("base dose"),
                1e-5);
    }

    @Test
    void absurdGuessesAreRefused() {
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(1, 9, 0.6, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, -1, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 5, 12));
        assertThrows(
                IllegalArgumentException.class,
                () -> DoseTestPattern.design(new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 0.5, 51), 5.4, 3));
    }
}
