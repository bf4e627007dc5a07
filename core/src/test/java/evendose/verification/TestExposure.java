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

/** Builds exposures from tables of rectangles, by way of the reader. */
final class TestExposure {
    static final double DBU_UM = 0.001;

    private final StringBuilder rows =
            new StringBuilder("x1_um,y1_um,x2_um,y2_um,x3_um,y3_um,x4_um,y4_um,dose_factor\n");
    private final Polygons polygons = new Polygons();

    TestExposure rectangle(double x0, double y0, double x1, double y1, double factor) {
        row(factor, x0, y0, x1, y0, x1, y1, x0, y1);
        polygons.addRectangle(0, nm(x0), nm(y0), nm(x1), nm(y1));
        return this;
    }

    /** A parallelogram whose level sides are {@code width} long, its upper one shifted by {@code shift}. */
    TestExposure parallelogram(double x0, double y0, double width, double height, double shift, double factor) {
        double x1 = x0 + width;
        double y1 = y0 + height;
        row(factor, x0, y0, x1, y0, x1 + shift, y1, x0 + shift, y1);
        polygons.addPolygon(
                0, new long[] {nm(x0), nm(y0), nm(x1), nm(y0), nm(x1 + shift), nm(y1), nm(x0 + shift), nm(y1)}, 4);
        return this;
    }

    /** A piece of factor 1 with these corners, without a shape of its own in the layout. */
    TestExposure piece(double... corners) {
        row(1, corners);
        return this;
    }

    private void row(double factor, double... corners) {
        for (double c : corners) {
            rows.append(c).append(',');
        }
        rows.append(factor).append('\n');
    }

    private static long nm(double um) {
        return Math.round(um / DBU_UM);
    }

    Exposure build(PointSpreadFunction psf) throws IOException {
        return build(CorrectionOptions.of(psf));
    }

    Exposure build(PointSpreadFunction psf, double baseDoseUcPerCm2) throws IOException {
        return build(CorrectionOptions.builder(psf)
                .baseDoseUcPerCm2(baseDoseUcPerCm2)
                .build());
    }

    Exposure build(CorrectionOptions options) throws IOException {
        return build(options, LayerRole.corrected(new Layer(1, 0)));
    }

    Exposure build(CorrectionOptions options, LayerRole role) throws IOException {
        Path file = Files.createTempFile("doses", ".csv");
        try {
            Files.writeString(file, rows);
            StoredDoses stored = DoseTableReader.read(file);
            return Exposure.of(stored, List.of(role), options, "doses.csv");
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
