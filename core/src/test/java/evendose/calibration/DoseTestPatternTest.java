package evendose.calibration;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
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
import java.util.Locale;
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
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 5, 1));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0, 9, 0.6, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 1e4, 0.6, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 10, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0, 100, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 0, 5, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 0.49, 13));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 30.1, 13));
        // At the limits they stand.
        assertEquals(30, new DoseTestPattern.Guess(0.5, 10, 0.6, 100, 30, 3).stepPercent());
        assertEquals(0.5, new DoseTestPattern.Guess(0.5, 10, 0.6, 100, 0.5, 3).stepPercent());
        assertThrows(
                IllegalArgumentException.class,
                () -> DoseTestPattern.design(new DoseTestPattern.Guess(0.01, 9, 0.6, 100, 0.5, 51), 5.4, 3));
    }

    /** Beta is 4 um, doses rise by 8 % from a guess of 100. */
    private static DoseTestPattern small() {
        return DoseTestPattern.design(new DoseTestPattern.Guess(0.05, 4, 0.6, 100, 8, 5), 5, 3);
    }

    /** Trapezoids of a test that was written and read back, dbu of 1 nm; groups are datatypes. */
    private static Trapezoids readBack(DoseTestPattern pattern, Path folder) {
        Path file = folder.resolve("t.gds");
        pattern.writeLayout(file);
        Flattener flattener = Flattener.of(LayoutFiles.read(file));
        Map<Layer, Integer> groups = new HashMap<>();
        flattener.counts().keySet().forEach(l -> groups.put(l, l.datatype()));
        Polygons polygons = new Polygons();
        flattener.flatten(groups, polygons);
        try (Workers one = Workers.of(1)) {
            return Merge.of(polygons, 256, one, Progress.NONE);
        }
    }

    /** The group that covers a place, um, or -1. */
    private static int covers(Trapezoids t, double xUm, double yUm) {
        double x = 1e3 * xUm;
        double y = 1e3 * yUm;
        for (int i = 0; i < t.size(); i++) {
            double share = (y - t.yBottom(i)) / (t.yTop(i) - t.yBottom(i));
            if (share >= 0
                    && share < 1
                    && x >= t.xLeftBottom(i) + share * (t.xLeftTop(i) - t.xLeftBottom(i))
                    && x < t.xRightBottom(i) + share * (t.xRightTop(i) - t.xRightBottom(i))) {
                return t.group(i);
            }
        }
        return -1;
    }

    /** Areas, charges and places that the tables name are those of the layout. */
    @Test
    void theLayoutIsWhatTheTablesSay(@TempDir Path folder) {
        DoseTestPattern pattern = small();
        Trapezoids written = readBack(pattern, folder);
        double[] area = new double[256];
        double right = 0;
        double bottom = 0;
        for (int i = 0; i < written.size(); i++) {
            area[written.group(i)] += 1e-6 * written.area(i);
            right = Math.max(right, Math.max(written.xRightBottom(i), written.xRightTop(i)) / 1e3);
            bottom = Math.min(bottom, written.yBottom(i) / 1e3);
        }
        DoseTestPattern.Row lowest = pattern.rows().get(pattern.rows().size() - 1);
        double widest = pattern.rows().stream()
                .mapToDouble(r -> (r.doses().size() - 1) * r.pitchUm() + r.firstXUm() + r.radiusUm())
                .max()
                .orElseThrow();
        assertArrayEquals(new double[] {widest, lowest.radiusUm() - lowest.yUm()}, pattern.sizeUm(), 1e-9);
        assertTrue(right <= widest + 0.01 && -bottom <= pattern.sizeUm()[1] + 0.01);
        double charge = 0;
        String[] levels = pattern.levelsCsv().split("\n");
        for (int k = 1; k < levels.length; k++) {
            String[] f = levels[k].split(",");
            int level = Integer.parseInt(f[0]);
            double dose = Double.parseDouble(f[2]);
            assertEquals(area[level], Double.parseDouble(f[3]), 1e-3 * area[level]);
            assertEquals(dose * area[level] * 1e-8, Double.parseDouble(f[4]), 1e-3 * dose * area[level] * 1e-8);
            assertEquals(dose / 200, Double.parseDouble(f[1]), 1e-5);
            area[level] = 0;
            charge += Double.parseDouble(f[4]);
        }
        assertEquals(0, Arrays.stream(area).sum(), "levels without a line");
        assertEquals(200, pattern.baseDoseUcPerCm2());
        assertEquals(charge, pattern.chargeUc(), 1e-5 * charge);
        assertTrue(charge <= pattern.budgetUc() && pattern.budgetUc() == 5);
        assertEquals(3, pattern.targetPercent());
        assertEquals(pattern.guess(), new DoseTestPattern.Guess(0.05, 4, 0.6, 100, 8, 5));
        String[] figures = pattern.figuresCsv().split("\n");
        int line = 1;
        for (DoseTestPattern.Row row : pattern.rows()) {
            for (int k = 0; k < row.doses().size(); k++) {
                String[] f = figures[line++].split(",");
                double x = Double.parseDouble(f[3]);
                double y = Double.parseDouble(f[4]);
                int datatype = Integer.parseInt(f[5]);
                double dose = 100 * Math.pow(1.08, row.doses().get(k));
                assertEquals(dose, Double.parseDouble(f[6]), 1e-5 * dose);
                assertEquals(dose, dose(pattern, datatype), 1e-9 * dose);
                assertEquals(k + 1, Integer.parseInt(f[1]));
                if (row.figure() instanceof TestFigure.Ring ring) {
                    double middle = 0.5 * (ring.innerRadiusUm() + ring.outerRadiusUm());
                    assertEquals(ring.innerRadiusUm() == 0 ? datatype : -1, covers(written, x, y));
                    for (double[] way : new double[][] {{1, 0.001}, {-1, 0.001}, {0, 1}, {0, -1}}) {
                        assertEquals(datatype, covers(written, x + middle * way[0], y + middle * way[1]));
                    }
                } else {
                    TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                    assertEquals(datatype, covers(written, x, y + 0.49 * lines.lengthUm()));
                    if (lines.lines() > 1) {
                        assertEquals(-1, covers(written, x + 0.5 * lines.pitchUm(), y));
                        assertEquals(datatype, covers(written, x + (lines.lines() - 1) / 2 * lines.pitchUm(), y));
                    }
                }
            }
        }
        assertEquals(figures.length, line);
    }

    /** Three ranges of backscattering lie between figures and between rows; row n has n marks left of it, five in a line, in its middle dose. */
    @Test
    void rowsKeepApartAndAreCounted(@TempDir Path folder) {
        DoseTestPattern pattern = small();
        Trapezoids written = readBack(pattern, folder);
        double top = 0;
        int marks = 0;
        int beside = 0;
        for (DoseTestPattern.Row row : pattern.rows()) {
            assertEquals(top - row.radiusUm(), row.yUm(), 1e-3);
            top = row.yUm() - row.radiusUm() - 12;
            assertEquals(2 * row.radiusUm() + 12, row.pitchUm(), 1e-3);
            assertEquals(12 + row.radiusUm(), row.firstXUm(), 1e-3);
            double reach = row.figure() instanceof TestFigure.Ring ring
                    ? ring.outerRadiusUm()
                    : 0.5 * ((TestFigure.Lines) row.figure()).lengthUm();
            assertTrue(row.radiusUm() >= reach);
            int dose = pattern.datatype(row.doses().get(row.doses().size() / 2));
            for (int k = 0; k < row.number(); k++) {
                assertEquals(dose, covers(written, -0.12 - 0.48 * (k % 5), row.yUm() + 0.12 - 0.48 * (k / 5)));
                marks++;
            }
        }
        for (int s = 0; s < written.shapes(); s++) {
            double[] box = written.box(s);
            if (box[2] <= 0) {
                beside++;
                assertEquals(240, box[2] - box[0]);
                assertEquals(240, box[3] - box[1]);
            }
        }
        assertEquals(marks, beside);
    }

    @Test
    void theEffortIsReckonedInTimes() throws JsonProcessingException {
        DoseTestPattern pattern = small();
        DoseTestEffort effort = new DoseTestEffort(pattern, new double[] {2, 0.5}, 4);
        double minutes = pattern.chargeUc() * 1e3 / 60;
        assertEquals(
                String.format(Locale.ROOT, "%.3g min at 2 nA, %.3g min at 0.5 nA", minutes / 2, minutes / 0.5),
                effort.times());
        int readings = 0;
        for (DoseTestPattern.Row row : pattern.rows()) {
            readings +=
                    row.figure() instanceof TestFigure.Ring ? 1 : row.doses().size();
        }
        assertEquals(
                String.format(Locale.ROOT, "%d readings, %.2g h at 4 min each", readings, readings / 15.0),
                effort.microscope());
        double beta = 100 * pattern.expectedErrors().get("beta");
        assertTrue(effort.expectation().startsWith("standard errors: alpha "), effort.expectation());
        assertTrue(
                effort.expectation().contains(String.format(Locale.ROOT, ", beta %.2g %%, ", beta)),
                effort.expectation());
        assertTrue(effort.expectation().endsWith("(if clearing doses scatter by 2.0 % and widths by 2.0 nm)"));
        JsonNode json = new JsonMapper().readTree(effort.json("1.2"));
        assertEquals(beta, json.at("/expected_standard_errors_percent/beta").asDouble(), 1e-9);
        assertTrue(json.at("/expected_standard_errors_percent/base_dose").isNumber());
        assertEquals(minutes / 0.5, json.at("/beam_on/1/minutes").asDouble(), 1e-9);
        assertEquals(readings / 15.0, json.get("microscope_h").asDouble(), 1e-9);
        assertEquals(pattern.rows().size(), json.get("rows").size());
        JsonNode first = json.at("/rows/0/doses_uc_per_cm2");
        assertEquals(pattern.rows().get(0).doses().size(), first.size());
        assertEquals(1.08, first.get(1).asDouble() / first.get(0).asDouble(), 1e-9);
        assertEquals(effort, new DoseTestEffort(pattern, new double[] {2, 0.5}, 4));
        assertEquals(effort.hashCode(), new DoseTestEffort(pattern, new double[] {2, 0.5}, 4).hashCode());
        assertNotEquals(effort, new DoseTestEffort(pattern, new double[] {2, 0.6}, 4));
        assertNotEquals(effort, (Object) "effort");
        assertThrows(IllegalArgumentException.class, () -> new DoseTestEffort(pattern, new double[] {2, 0}, 4));
        assertThrows(IllegalArgumentException.class, () -> new DoseTestEffort(pattern, new double[] {2}, 0));
    }
}
