package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.energy.EnergyModel;
import evendose.energy.ExactEnergy;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import java.net.URISyntaxException;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The engine against the exact evaluator: at most 1e-4 of the clearing energy apart, on the demo and on a real layout. */
class EngineAccuracyTest {
    private static final double CLEARING = 0.5;
    private static final int POINTS = 300;

    @Test
    void onTheDemoChip() {
        compare("demo/tidepool-spectrometer.gds", PointSpreadFunction.doubleGaussian(0.012, 31, 0.6));
    }

    @ParameterizedTest
    @ValueSource(strings = {"layouts/cd-500nm.gds", "layouts/grating-coupler.gds"})
    void onRealLayouts(String file) {
        compare(file, PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
    }

    /** One, two, five and seventeen terms; the last as simulated for 300 nm of PMMA on Si at 100 keV. */
    @ParameterizedTest
    @ValueSource(ints = {1, 2, 5, 17})
    void withAnyNumberOfTerms(int terms) throws URISyntaxException {
        PointSpreadFunction psf = switch (terms) {
            case 1 -> PointSpreadFunction.from(List.of(new GaussianTerm(1, 9.5)));
            case 2 -> PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
            case 5 ->
                PointSpreadFunction.from(List.of(
                        new GaussianTerm(0.5, 0.02),
                        new GaussianTerm(0.1, 0.4),
                        new GaussianTerm(0.1, 3),
                        new GaussianTerm(0.2, 9.5),
                        new GaussianTerm(0.1, 14)));
            default ->
                PsfFile.read(Path.of(EngineAccuracyTest.class
                                .getResource("/psf-17-terms.json")
                                .toURI()))
                        .psf();
        };
        assertEquals(terms, psf.parts());
        compare("layouts/cd-500nm.gds", psf);
        if (terms == 17) {
            compare("demo/tidepool-spectrometer.gds", psf);
        }
    }

    private static void compare(String file, PointSpreadFunction psf) {
        Layout layout = LayoutFiles.read(TestData.file(file));
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(new Layer(1, 0), 0), polygons);
        try (Workers workers = Workers.of(2)) {
            Fracture.Result cut = Fracture.of(
                    Merge.of(polygons, 1, workers, Progress.NONE),
                    layout.unit().um(),
                    CorrectionOptions.of(psf).fracture(),
                    workers,
                    Progress.NONE);
            EnergyModel model = EnergyModel.build(cut.pieces(), cut.samples(), psf, workers, Progress.NONE);
            int units = cut.pieces().units();
            SplittableRandom random = new SplittableRandom(11);
            double[] dose = random.doubles(units, 0.6, 2).toArray();
            ExactEnergy exact = ExactEnergy.ofUnits(cut.pieces(), dose, psf);

            double[] box = cut.pieces().boundsUm();
            double[] x = random.doubles(POINTS, box[0], box[2]).toArray();
            double[] y = random.doubles(POINTS, box[1], box[3]).toArray();
            double[] engine = model.field(dose).at(x, y, workers);
            double[] truth = exact.at(x, y, workers);
            double worst = 0;
            for (int k = 0; k < POINTS; k++) {
                worst = Math.max(worst, Math.abs(engine[k] - truth[k]) / CLEARING);
            }
            assertEquals(0, worst, 1e-4, "at random points of " + file);

            // The criterion of random units, too: the same sums over samples, from the exact evaluator.
            double[] criterion = new double[units];
            model.apply(dose, criterion);
            double worstUnit = 0;
            int checked = 0;
            for (int k = 0; k < 16; k++) {
                int u = random.nextInt(units);
                if (cut.samples().interior(u)) {
                    continue;
                }
                double sum = 0;
                for (int j = cut.samples().first(u); j < cut.samples().first(u + 1); j++) {
                    sum += cut.samples().weight(j)
                            * exact.at(cut.samples().xUm(j), cut.samples().yUm(j));
                }
                worstUnit = Math.max(worstUnit, Math.abs(sum - criterion[u]) / CLEARING);
                checked++;
            }
            assertTrue(checked > 5 || psf.parts() == 1);
            assertEquals(0, worstUnit, 1e-4, "criterion of units of " + file);
            System.out.printf(
                    "%s, %d terms: points %.1e, units %.1e%n", file, psf.terms().size(), worst, worstUnit);
        }
    }
}
