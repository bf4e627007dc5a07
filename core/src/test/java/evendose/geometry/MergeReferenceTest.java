package evendose.geometry;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.io.IOException;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** Real layouts against merged areas and numbers of merged polygons from a general-purpose layout library. */
class MergeReferenceTest {
    /** One row of the reference table. */
    private record Row(String file, Layer layer, double area, int polygons) {}

    private static List<Row> rows() throws IOException {
        List<Row> rows = new ArrayList<>();
        for (String line : Files.readAllLines(TestData.file("reference/layouts.csv"))) {
            String[] f = line.split(",", -1);
            if (f[0].endsWith(".gds") && !f[6].isEmpty()) {
                Layer layer = new Layer(Integer.parseInt(f[2]), Integer.parseInt(f[3]));
                rows.add(new Row(f[0], layer, Double.parseDouble(f[6]), Integer.parseInt(f[7])));
            }
        }
        return rows;
    }

    static Stream<String> files() throws IOException {
        return rows().stream().map(Row::file).distinct();
    }

    @ParameterizedTest
    @MethodSource("files")
    void mergedAreasAndCounts(String file) throws IOException {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + file));
        List<String> wrong = new ArrayList<>();
        try (Workers workers = Workers.of(2)) {
            for (Row row : rows()) {
                if (!row.file.equals(file)) {
                    continue;
                }
                Polygons polygons = new Polygons();
                Flattener.of(layout).flatten(Map.of(row.layer, 0), polygons);
                Trapezoids merged = Merge.of(polygons, 1, workers, Progress.NONE);
                boolean upright = true;
                for (int i = 0; i < merged.size(); i++) {
                    upright &= merged.xLeftBottom(i) == merged.xLeftTop(i)
                            && merged.xRightBottom(i) == merged.xRightTop(i);
                }
                double error = Math.abs(merged.area() - row.area);
                if (error > (upright ? 0 : 1e-6 * row.area)) {
                    wrong.add(row + " area " + merged.area());
                }
                if (merged.shapes() != row.polygons) {
                    wrong.add(row + " shapes " + merged.shapes());
                }
            }
        }
        assertTrue(wrong.isEmpty(), String.join("\n", wrong));
    }
}
