package evendose.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.StoredDoses;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.Test;

/**
 * Contours through the points of {@code testdata/reference/polygon-energies.csv} (computed by mpmath, outside the project): with
 * the energy of such a point as threshold, the contour goes through it, so a search that begins 7 nm beside it must come back 7
 * nm.
 */
class EdgePlacementReferenceTest {
    private static final double BESIDE_UM = 0.007;
    private static final long PER_UM = 1L << 20;

    @Test
    void contoursGoThroughTheReferencePoints() throws IOException {
        int checked = 0;
        List<String> rows = Files.readAllLines(TestData.file("reference/polygon-energies.csv"));
        for (String row : rows.subList(1, rows.size())) {
            String[] f = row.split(",");
            PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(
                    Double.parseDouble(f[2]), Double.parseDouble(f[3]), Double.parseDouble(f[4]));
            double x = Double.parseDouble(f[5]);
            double y = Double.parseDouble(f[6]);
            double threshold = Double.parseDouble(f[7]);
            PointEnergy energy = exposure(f[1], psf).exact(true);
            // The direction in which the energy falls fastest.
            double h = 1e-5;
            double gx = energy.at(x + h, y) - energy.at(x - h, y);
            double gy = energy.at(x, y + h) - energy.at(x, y - h);
            double slope = Math.hypot(gx, gy) / (2 * h);
            if (slope < 1) {
                // On a flat top or far away, the place of the contour is not well determined.
                continue;
            }
            double outX = -gx / (2 * h * slope);
            double outY = -gy / (2 * h * slope);
            double found = ContourSearch.of(psf)
                    .displacementUm(
                            energy,
                            threshold,
                            x - BESIDE_UM * outX,
                            y - BESIDE_UM * outY,
                            outX,
                            outY,
                            Double.POSITIVE_INFINITY);
            assertEquals(1e3 * BESIDE_UM, 1e3 * found, 0.01, row);
            checked++;
        }
        assertTrue(checked >= 8, "only " + checked + " points have a slope");
    }

    /** The polygon merged and cut by the project, corners on a grid of 2^-20 um. */
    private static Exposure exposure(String vertices, PointSpreadFunction psf) throws IOException {
        String[] v = vertices.trim().split(" +");
        long[] xy = new long[v.length];
        for (int i = 0; i < v.length; i++) {
            xy[i] = Math.round(Double.parseDouble(v[i]) * PER_UM);
        }
        Polygons polygons = new Polygons();
        polygons.addPolygon(0, xy, xy.length / 2);
        Trapezoids t = Merge.of(polygons, 1, Workers.of(1), Progress.NONE);
        StringBuilder table = new StringBuilder("x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n");
        for (int i = 0; i < t.size(); i++) {
            double[] c = {
                t.xLeftBottom(i), t.yBottom(i), t.xRightBottom(i), t.yBottom(i),
                t.xRightTop(i), t.yTop(i), t.xLeftTop(i), t.yTop(i)
            };
            for (double value : c) {
                table.append(String.format(Locale.ROOT, "%s,", value / PER_UM));
            }
            table.append("1\n");
        }
        Path file = Files.createTempFile("doses", ".csv");
        try {
            Files.writeString(file, table);
            StoredDoses stored = DoseTableReader.read(file);
            return Exposure.of(
                    stored, List.of(LayerRole.corrected(new Layer(1, 0))), CorrectionOptions.of(psf), "doses.csv");
        } finally {
            Files.delete(file);
        }
    }
}
