package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.energy.ExactEnergy;
import evendose.geometry.Polygons;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import java.net.URISyntaxException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.condition.EnabledIfSystemProperty;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.locationtech.jts.geom.Coordinate;
import org.locationtech.jts.geom.Envelope;
import org.locationtech.jts.geom.Geometry;
import org.locationtech.jts.geom.GeometryFactory;
import org.locationtech.jts.geom.Polygon;
import org.locationtech.jts.geom.util.PolygonExtracter;
import org.locationtech.jts.index.strtree.STRtree;
import org.locationtech.jts.operation.union.UnaryUnionOp;

/**
 * What the goal for edges promises, on real layouts (see testdata/layouts): points on the sides of the drawn outline as JTS merges it,
 * two direct ranges off any corner of any shape, and the energy there from closed forms. Pieces are exact: by
 * how much they may stray from drawn curves is another matter.
 */
class OutlineGoalTest {
    private static final int MOST_POINTS = 2_000;

    private static PointSpreadFunction psf(String terms) throws URISyntaxException {
        if (terms.equals("17 terms")) {
            return PsfFile.read(Path.of(OutlineGoalTest.class
                            .getResource("/psf-17-terms.json")
                            .toURI()))
                    .psf();
        }
        List<GaussianTerm> list = new ArrayList<>();
        for (String term : terms.split(" ")) {
            String[] rangeAndWeight = term.split(":");
            list.add(new GaussianTerm(Double.parseDouble(rangeAndWeight[1]), Double.parseDouble(rangeAndWeight[0])));
        }
        return PointSpreadFunction.from(list);
    }

    /** The largest errors: one place of 2,000 each is off by more than 3 %, 2.1 direct ranges off a corner beside a narrow gap (4.2 and 3.2 %). */
    @ParameterizedTest
    @CsvSource({
        "cd-500nm.gds, 0.02:0.46875 0.3:0.25 9.5:0.28125, 4.5",
        "cd-500nm.gds, 0.02:0.5 0.4:0.2 9.5:0.3, 3",
        "cd-500nm.gds, 0.012:0.4375 2:0.3 9.5:0.2625, 3",
        "cd-500nm.gds, 0.02:0.46875 3:0.25 9.5:0.28125, 3",
        "cd-500nm.gds, 0.02:0.625 9.5:0.375, 3.3",
        "cd-500nm.gds, 17 terms, 3",
        "bragg-gratings.gds, 0.02:0.625 9.5:0.375, 3",
        "phc-waveguides.gds, 0.02:0.625 9.5:0.375, 3",
    })
    @Tag("slow")
    void edgesOffCornersComeOut(String name, String terms, double largestPercent) throws URISyntaxException {
        edges(name, terms, largestPercent);
    }

    /** Minutes of closed forms: with {@code -Devendose.goal.all=true}. */
    @ParameterizedTest
    @CsvSource({"bragg-gratings.gds, 17 terms, 3", "phc-waveguides.gds, 17 terms, 3.3"})
    @EnabledIfSystemProperty(named = "evendose.goal.all", matches = "true")
    void edgesOffCornersComeOutWithManyTerms(String name, String terms, double largestPercent)
            throws URISyntaxException {
        edges(name, terms, largestPercent);
    }

    private static void edges(String name, String terms, double largestPercent) throws URISyntaxException {
        DrawnLayer drawn = DrawnLayer.of(name);
        PointSpreadFunction psf = psf(terms);
        try (Workers workers = Workers.of(2)) {
            DoseTable table = drawn.correctExactly(psf, workers);
            double[][] points =
                    sample(sides(drawn.polygons()), drawn.dbuUm(), psf.direct().rangeUm());
            double[] energy =
                    ExactEnergy.ofUnits(table.pieces(), table.factors(), psf).at(points[0], points[1], workers);
            double[] off =
                    Arrays.stream(energy).map(e -> Math.abs(2 * e - 1)).sorted().toArray();
            double p95 = 100 * off[(int) (0.95 * off.length)];
            double largest = 100 * off[off.length - 1];
            String found = String.format(
                    "%s %s: %d points, p95 %.2f %%, largest %.2f %%, %d units, %d rounds; the run says p95 %.2f %%",
                    name,
                    terms,
                    off.length,
                    p95,
                    largest,
                    table.counts().units(),
                    table.convergence().iterations(),
                    100 * table.outlineError().p95());
            System.out.println(found);
            assertTrue(p95 <= 1, found);
            assertTrue(table.convergence().iterations() <= 12, found);
            assertTrue(largest <= largestPercent, found);
        }
    }

    /** Rings of the merged outline, database units, without vertices on straight sides. */
    private static List<Coordinate[]> sides(Polygons polygons) {
        GeometryFactory factory = new GeometryFactory();
        List<Geometry> drawn = new ArrayList<>();
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                drawn.add(factory.toGeometry(new Envelope(x0, x1, y0, y1)));
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                Coordinate[] ring = new Coordinate[vertices + 1];
                for (int v = 0; v <= vertices; v++) {
                    int at = from + 2 * (v % vertices);
                    ring[v] = new Coordinate(xy[at], xy[at + 1]);
                }
                drawn.add(factory.createPolygon(ring).buffer(0));
            }
        });
        List<Coordinate[]> rings = new ArrayList<>();
        for (Object polygon : PolygonExtracter.getPolygons(UnaryUnionOp.union(drawn))) {
            Polygon p = (Polygon) polygon;
            rings.add(corners(p.getExteriorRing().getCoordinates()));
            for (int h = 0; h < p.getNumInteriorRing(); h++) {
                rings.add(corners(p.getInteriorRingN(h).getCoordinates()));
            }
        }
        return rings;
    }

    private static Coordinate[] corners(Coordinate[] closed) {
        int n = closed.length - 1;
        List<Coordinate> corners = new ArrayList<>();
        for (int k = 0; k < n; k++) {
            Coordinate before = closed[(k + n - 1) % n];
            Coordinate at = closed[k];
            Coordinate after = closed[k + 1];
            double turn = (at.x - before.x) * (after.y - at.y) - (at.y - before.y) * (after.x - at.x);
            if (turn != 0) {
                corners.add(at);
            }
        }
        return corners.toArray(Coordinate[]::new);
    }

    /** x and y of points spread evenly over the length of all sides, those near corners left out, um. */
    private static double[][] sample(List<Coordinate[]> rings, double dbuUm, double directUm) {
        double away = 2 * directUm / dbuUm;
        STRtree corners = new STRtree();
        double length = 0;
        for (Coordinate[] ring : rings) {
            for (int k = 0; k < ring.length; k++) {
                corners.insert(new Envelope(ring[k]), ring[k]);
                length += Math.max(0, ring[k].distance(ring[(k + 1) % ring.length]) - 2 * away);
            }
        }
        double step = length / MOST_POINTS;
        double next = step * new SplittableRandom(5).nextDouble();
        List<double[]> points = new ArrayList<>();
        double along = 0;
        for (Coordinate[] ring : rings) {
            for (int k = 0; k < ring.length; k++) {
                Coordinate from = ring[k];
                Coordinate to = ring[(k + 1) % ring.length];
                double side = from.distance(to);
                double usable = Math.max(0, side - 2 * away);
                for (; next < along + usable; next += step) {
                    double t = (away + next - along) / side;
                    Coordinate at = new Coordinate(from.x + t * (to.x - from.x), from.y + t * (to.y - from.y));
                    Envelope around = new Envelope(at);
                    around.expandBy(away);
                    boolean isOff = ((List<?>) corners.query(around))
                            .stream().noneMatch(c -> at.distance((Coordinate) c) < away);
                    if (isOff) {
                        points.add(new double[] {at.x * dbuUm, at.y * dbuUm});
                    }
                }
                along += usable;
            }
        }
        return new double[][] {
            points.stream().mapToDouble(p -> p[0]).toArray(),
            points.stream().mapToDouble(p -> p[1]).toArray()
        };
    }
}
