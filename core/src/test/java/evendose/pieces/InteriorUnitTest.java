package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Point;

/** Units without exposed outline are judged at the centroid that JTS finds. Another layer around a shape leaves none of it exposed. */
class InteriorUnitTest {
    private static final double DBU_UM = 0.001;

    @ParameterizedTest
    @ValueSource(
            strings = {
                "0 0 4000 0 4000 1000 1500 1000 1500 3000 0 3000",
                "0 0 4000 0 2500 2000 2000 2000",
                "0 0 300 4000 900 4000 2000 0",
                "0 0 6000 0 6000 900 0 500",
                "0 0 4000 700 4000 1300 2000 1700 0 900",
                "0 0 3000 0 3500 1500 5000 2000 5000 4000 3000 4000 2500 2500 0 1000"
            })
    void areJudgedAtTheirCentroid(String corners) {
        String[] numbers = corners.split(" ");
        long[] xy = new long[numbers.length];
        List<Coordinate> ring = new ArrayList<>();
        for (int i = 0; i < xy.length; i++) {
            xy[i] = Long.parseLong(numbers[i]);
        }
        for (int k = 0; k <= xy.length / 2; k++) {
            ring.add(new Coordinate(xy[2 * k % xy.length], xy[(2 * k + 1) % xy.length]));
        }
        Point centroid = new GeometryFactory()
                .createPolygon(ring.toArray(new Coordinate[0]))
                .getCentroid();
        for (PieceRules rules : List.of(PieceRules.exact(), new PieceRules(0.0005, 0.001, 0.01))) {
            Polygons polygons = new Polygons();
            polygons.addPolygon(0, xy, xy.length / 2);
            polygons.addRectangle(1, -1000, -1000, 8000, 8000);
            Fracture.Result cut;
            try (Workers workers = Workers.of(1)) {
                cut = Fracture.of(
                        Merge.of(polygons, 2, workers, Progress.NONE),
                        DBU_UM,
                        new FractureOptions(20, 0.02, 5, FractureOptions.Judging.EDGES, rules),
                        workers,
                        Progress.NONE);
            }
            int unit = 0;
            while (cut.pieces().layerOfShape(cut.pieces().shapeOfUnit()[unit]) != 0) {
                unit++;
            }
            Samples samples = cut.samples();
            assertTrue(samples.interior(unit));
            assertEquals(samples.first(unit) + 1, samples.first(unit + 1));
            int j = samples.first(unit);
            // Pieces keep to the outline within half a nanometre, so their centroid is known to less.
            double tolerance = rules.isExact() ? 1e-9 : 2e-4;
            assertEquals(centroid.getX() * DBU_UM, samples.xUm(j), tolerance);
            assertEquals(centroid.getY() * DBU_UM, samples.yUm(j), tolerance);
            assertEquals(1, samples.weight(j));
            assertEquals(0, cut.judged()[unit]);
        }
    }
}
