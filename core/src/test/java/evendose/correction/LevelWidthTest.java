package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.energy.ExactEnergy;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PsfPresets;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.apache.commons.math3.analysis.solvers.BrentSolver;
import org.junit.jupiter.api.Test;

/** Widths on the demo chip from contours of the exact energy, with free doses and with 32 levels. */
class LevelWidthTest {
    /** Lines and dots of the demo: x of the left side, width, y of the cut, um. */
    private static List<double[]> gauges() {
        List<double[]> gauges = new ArrayList<>();
        double[] widths = {0.05, 0.1, 0.2, 0.5, 1.0};
        for (int k = 0; k < widths.length; k++) {
            gauges.add(new double[] {60 + 25 * k, widths[k], 655});
            gauges.add(new double[] {220 + 25 * k + 4 * widths[k], widths[k], 655});
        }
        for (double[] grating : new double[][] {{40, 0.2}, {260, 0.5}, {480, 0.8}}) {
            for (int line : new int[] {0, 1, 20, 90}) {
                gauges.add(new double[] {grating[0] + line, grating[1], 141});
            }
        }
        gauges.add(new double[] {400, 0.1, 600.05});
        gauges.add(new double[] {415, 0.1, 615.05});
        gauges.add(new double[] {475, 0.2, 615.1});
        return gauges;
    }

    private static DoseTable correct(Workers workers, LevelRule rule) {
        Layout layout = LayoutFiles.read(TestData.file("demo/tidepool-spectrometer.gds"));
        Layer layer = new Layer(1, 0);
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(layer, 0), polygons);
        CorrectionOptions.Builder options = CorrectionOptions.builder(
                PsfPresets.find("si-100kv").orElseThrow().psf());
        // Free doses as they were found: levels are compared with these.
        options.allowedEdgeError(1);
        if (rule != null) {
            options.levels(rule);
        }
        return TestPatterns.correct(
                polygons,
                layout.unit().um(),
                List.of(LayerRole.corrected(layer)),
                options.build(),
                workers,
                Progress.NONE);
    }

    private static double[] widthsUm(DoseTable table) {
        ExactEnergy energy = ExactEnergy.ofUnits(
                table.pieces(), table.factors(), table.options().psf());
        double target = table.target(0);
        double reach = 0.04;
        return gauges().stream()
                .mapToDouble(g -> {
                    BrentSolver solver = new BrentSolver(1e-8);
                    double left = solver.solve(
                            50, x -> energy.at(x, g[2]) - target, g[0] - reach, g[0] + Math.min(reach, g[1] / 2));
                    double right = g[0] + g[1];
                    return solver.solve(
                                    50,
                                    x -> energy.at(x, g[2]) - target,
                                    right - Math.min(reach, g[1] / 2),
                                    right + reach)
                            - left;
                })
                .toArray();
    }

    @Test
    void thirtyTwoLevelsAddLessThanHalfANanometre() {
        try (Workers workers = Workers.of(2)) {
            double[] free = widthsUm(correct(workers, null));
            for (LevelRule rule : List.of(LevelRule.optimal(32), LevelRule.geometric(32))) {
                DoseTable table = correct(workers, rule);
                double[] widths = widthsUm(table);
                double most = 0;
                for (int k = 0; k < widths.length; k++) {
                    most = Math.max(most, 1e3 * Math.abs(widths[k] - free[k]));
                }
                LevelTrial cost = table.levelCost().orElseThrow();
                System.out.printf(
                        "demo, 32 %s levels: added width error %.3f nm at %d gauges, at most %.3f nm anywhere, rms %.3f nm%n",
                        rule.spacing(), most, widths.length, cost.maxWidthNm(), cost.rmsWidthNm());
                assertTrue(most < 0.5, "added " + most + " nm");
                assertTrue(cost.maxWidthNm() < 0.5, "added at most " + cost.maxWidthNm() + " nm");
                // Gauges cannot be worse than the stated largest error; 3 % for energies that vary along a unit's
                // outline.
                assertTrue(most <= 1.03 * cost.maxWidthNm(), most + " nm beyond the stated " + cost.maxWidthNm());
                assertTrue(most > 0.1 * cost.maxWidthNm(), "the stated error is not a fantasy");
            }
        }
    }
}
