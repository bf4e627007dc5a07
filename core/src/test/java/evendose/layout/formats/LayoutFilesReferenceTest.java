package evendose.layout.formats;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import java.io.IOException;
import java.math.BigInteger;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Real layouts against polygon counts, areas and extents per layer computed with a general-purpose layout library; see
 * testdata/reference/README.md.
 */
class LayoutFilesReferenceTest {
    /** One row of the reference table. Extents and area may be absent. */
    private record Row(String file, String dbuUm, Layer layer, long polygons, String area, String[] extent) {}

    private static List<Row> rows() throws IOException {
        List<Row> rows = new ArrayList<>();
        for (String line : Files.readAllLines(TestData.file("reference/layouts.csv"))) {
            String[] f = line.split(",", -1);
            if (!f[0].equals("file")) {
                Layer layer = new Layer(Integer.parseInt(f[2]), Integer.parseInt(f[3]));
                rows.add(new Row(
                        f[0], f[1], layer, Long.parseLong(f[4]), f[5], new String[] {f[8], f[9], f[10], f[11]}));
            }
        }
        return rows;
    }

    static Stream<String> files() throws IOException {
        return rows().stream().map(Row::file).distinct();
    }

    @ParameterizedTest
    @MethodSource("files")
    void countsAreasAndExtents(String file) throws IOException {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + file));
        Map<Layer, Long> counts = new HashMap<>(Flattener.of(layout).counts());
        List<String> wrong = new ArrayList<>();
        for (Row row : rows()) {
            if (!row.file.equals(file)) {
                continue;
            }
            if (!row.dbuUm.isEmpty()) {
                assertEquals(
                        Double.parseDouble(row.dbuUm),
                        layout.unit().um(),
                        1e-12 * layout.unit().um());
            }
            Long count = counts.remove(row.layer);
            Polygons polygons = new Polygons();
            Flattener.of(layout).flatten(Map.of(row.layer, 3), polygons);
            check(wrong, row, "count", "" + row.polygons, "" + count);
            check(wrong, row, "flattened", "" + row.polygons, "" + polygons.size());
            check(wrong, row, "area", row.area, area(polygons));
            check(wrong, row, "left", row.extent[0], "" + polygons.left());
            check(wrong, row, "bottom", row.extent[1], "" + polygons.bottom());
            check(wrong, row, "right", row.extent[2], "" + polygons.right());
            check(wrong, row, "top", row.extent[3], "" + polygons.top());
        }
        assertTrue(wrong.isEmpty(), String.join("\n", wrong));
        assertTrue(counts.isEmpty(), "layers not in the reference: " + counts);
    }

    private static void check(List<String> wrong, Row row, String what, String expected, String actual) {
        if (!expected.isEmpty() && !expected.equals(actual)) {
            wrong.add(row.file + " " + row.layer + " " + what + " " + actual + " instead of " + expected);
        }
    }

    /**
     * Sum of the polygons' absolute shoelace areas in dbu^2. The reference counts whole dbu^2 and drops each polygon's half, as
     * shown by the agreement to the last digit.
     */
    private static String area(Polygons polygons) {
        BigInteger[] area = {BigInteger.ZERO};
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                area[0] = area[0].add(BigInteger.valueOf(x1 - x0).multiply(BigInteger.valueOf(y1 - y0)));
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                BigInteger sum = BigInteger.ZERO;
                for (int i = 0; i < vertices; i++) {
                    int p = from + 2 * i;
                    int q = from + 2 * ((i + 1) % vertices);
                    sum = sum.add(BigInteger.valueOf(xy[p]).multiply(BigInteger.valueOf(xy[q + 1])))
                            .subtract(BigInteger.valueOf(xy[q]).multiply(BigInteger.valueOf(xy[p + 1])));
                }
                area[0] = area[0].add(sum.abs().shiftRight(1));
            }
        });
        return area[0].toString();
    }
}
