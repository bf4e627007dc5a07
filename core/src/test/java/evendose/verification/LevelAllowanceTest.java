package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.LevelRule;
import evendose.correction.StoredDoses;
import evendose.correction.TestPatterns;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What dose levels allow a common error of all doses: half a step, {@code sqrt(1.04) - 1 = 0.0198}, beside the usual 0.01. */
class LevelAllowanceTest {
    @ParameterizedTest
    @CsvSource({"1, 1.008, false", "1, 1.012, true", "1.04, 1.027, false", "1.04, 1.033, true", "1.04, 0.973, false"})
    void halfAStepIsAllowed(double ratio, double factor, boolean complains, @TempDir Path folder) throws IOException {
        // Without backscattering factor 1 is right for wide lines. Most of the outline belongs to the first three.
        double[] left = {0, 3, 6, 9};
        double[] top = {10, 10, 10, 1};
        StringBuilder table = new StringBuilder("x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n");
        Polygons polygons = new Polygons();
        for (int k = 0; k < 4; k++) {
            table.append(String.format(
                    Locale.ROOT,
                    "%1$s,0,%2$s,0,%2$s,%3$s,%1$s,%3$s,%4$s%n",
                    left[k],
                    left[k] + 1,
                    top[k],
                    k < 3 ? factor : factor * ratio));
            polygons.addRectangle(
                    0, Math.round(1000 * left[k]), 0, Math.round(1000 * left[k]) + 1000, Math.round(1000 * top[k]));
        }
        Path file = folder.resolve("doses.csv");
        Files.writeString(file, table);
        StoredDoses stored = DoseTableReader.read(file);
        CorrectionOptions options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0))
                .levels(LevelRule.step(4))
                .build();
        try (Workers workers = Workers.of(1)) {
            Verification verification = Verifier.verify(
                    Exposure.of(stored, List.of(LayerRole.corrected(new Layer(1, 0))), options, "doses.csv"),
                    stored,
                    TestPatterns.of(polygons, 0.001, List.of(LayerRole.corrected(new Layer(1, 0)))),
                    OptionalDouble.empty(),
                    null,
                    5,
                    Optional.empty(),
                    workers,
                    Progress.NONE);
            assertEquals(factor - 1, verification.energyBias(), 1e-3);
            assertEquals(complains, verification.bias().isPresent());
        }
    }
}
