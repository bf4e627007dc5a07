package evendose.verification;

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

/** Builds exposures from tables of rectangles, by way of the reader. */
final class TestExposure {
    static final double DBU_UM = 0.001;

    private final StringBuilder rows = new StringBuilder(
            "y_bottom_um,y_top_um,x_left_bottom_um,x_right_bottom_um,x_left_top_um,x_right_top_um,dose_factor\n");
    private final Polygons polygons = new Polygons();

    TestExposure rectangle(double x0, double y0, double x1, double y1, double factor) {
        rows.append(String.format(Locale.ROOT, "%s,%s,%s,%s,%s,%s,%s\n", y0, y1, x0, x1, x0, x1, factor));
        polygons.addRectangle(0, nm(x0), nm(y0), nm(x1), nm(y1));
        return this;
    }

    private static long nm(double um) {
        return Math.round(um / DBU_UM);
    }

    Exposure build(PointSpreadFunction psf) throws IOException {
        Path file = Files.createTempFile("doses", ".csv");
        try {
            Files.writeString(file, rows);
            StoredDoses stored = DoseTableReader.read(file);
            return Exposure.of(
                    stored, List.of(LayerRole.corrected(new Layer(1, 0))), CorrectionOptions.of(psf), "doses.csv");
        } finally {
            Files.delete(file);
        }
    }

    OutlineEdges edges() {
        return OutlineEdges.of(merged(), DBU_UM);
    }

    Trapezoids merged() {
        return Merge.of(polygons, 1, Workers.of(1), Progress.NONE);
    }
}
