package evendose.verification;

import evendose.correction.DrawnPattern;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;

/**
 * The outline of a layout, or, where merging all of it would take long, of some square tiles spread over it. Within a tile the
 * outline is that of the whole layout: every polygon that meets the tile takes part.
 */
public final class OutlineSample {
    /** Up to this many polygons, everything is taken. */
    public static final long MOST_POLYGONS = 50_000;

    private static final int MOST_TILES = 24;
    private static final int FEWEST_TILES = 3;

    /** Polygons in all tiles together, about. */
    private static final double POLYGONS_IN_TILES = 8_000;

    /** Polygons near enough to a tile to add to its energy, about, for all tiles. */
    private static final double POLYGONS_IN_REACH = 50_000;

    private final OutlineEdges edges;
    private final EdgeGauges.Region region;
    private final List<double[]> tilesUm;

    private OutlineSample(OutlineEdges edges, EdgeGauges.Region region, List<double[]> tilesUm) {
        this.edges = edges;
        this.region = region;
        this.tilesUm = tilesUm;
    }

    /** The outline. */
    OutlineEdges edges() {
        return edges;
    }

    /** Where it is complete. */
    EdgeGauges.Region region() {
        return region;
    }

    /** Left, bottom, right, top of each tile, um, not to be changed; empty if everything was taken. */
    List<double[]> tilesUm() {
        return tilesUm;
    }

    /**
     * Takes the outline or a sample of it.
     *
     * @param drawn what is drawn
     * @param windowUm left, bottom, right, top of the part to look at, um; empty for all
     * @param reachUm distance from which polygons add to the energy in a tile, um: the larger, the fewer tiles
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the sample
     */
    public static OutlineSample of(
            DrawnPattern drawn, Optional<double[]> windowUm, double reachUm, Workers workers, Progress progress) {
        Polygons polygons = drawn.polygons();
        int groups = drawn.roles().size();
        double dbuUm = drawn.unit().um();
        if (windowUm.isPresent()) {
            long[] window = java.util.Arrays.stream(windowUm.get())
                    .mapToLong(c -> Math.round(c / dbuUm))
                    .toArray();
            return of(polygons, groups, dbuUm, new long[][] {window}, workers, progress);
        }
        if (polygons.size() <= MOST_POLYGONS) {
            Trapezoids merged = drawn.merged(workers, progress);
            progress.begin("collecting the outline", 0);
            return new OutlineSample(OutlineEdges.of(merged, dbuUm, workers), EdgeGauges.Region.ALL, List.of());
        }
        double area = (double) (polygons.right() - polygons.left()) * (polygons.top() - polygons.bottom());
        int count = MOST_TILES;
        double side = 0;
        for (; count >= FEWEST_TILES; count /= 2) {
            side = Math.max(16, Math.sqrt(area * POLYGONS_IN_TILES / polygons.size() / count));
            double reached = side + 2 * reachUm / dbuUm;
            if (polygons.size() / area * count * reached * reached < POLYGONS_IN_REACH) {
                break;
            }
        }
        return of(
                polygons,
                groups,
                dbuUm,
                tiles(polygons, (long) side, Math.max(FEWEST_TILES, count)),
                workers,
                progress);
    }

    private static OutlineSample of(
            Polygons polygons, int groups, double dbuUm, long[][] tiles, Workers workers, Progress progress) {
        Polygons near = new Polygons();
        polygons.forEach(new Picker(tiles, near));
        Trapezoids merged = Merge.of(near, groups, workers, progress);
        List<double[]> um = new ArrayList<>();
        for (long[] tile : tiles) {
            um.add(java.util.Arrays.stream(tile).mapToDouble(c -> c * dbuUm).toArray());
        }
        EdgeGauges.Region region = (x, y) -> {
            for (double[] t : um) {
                if (x > t[0] && x < t[2] && y > t[1] && y < t[3]) {
                    return true;
                }
            }
            return false;
        };
        return new OutlineSample(OutlineEdges.of(merged, dbuUm, workers), region, List.copyOf(um));
    }

    /** Tiles about random polygons: where there is nothing, there is nothing to see. */
    private static long[][] tiles(Polygons polygons, long side, int count) {
        Random random = new Random(11);
        List<long[]> tiles = new ArrayList<>();
        long size = polygons.size();
        polygons.forEach(new Polygons.Visitor() {
            private long seen;
            private long next = (long) (random.nextDouble() * size / count);

            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                point(x0, y0);
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                point(xy[from], xy[from + 1]);
            }

            private void point(long x, long y) {
                if (seen++ == next && tiles.size() < count) {
                    tiles.add(new long[] {x - side / 2, y - side / 2, x + side / 2, y + side / 2});
                    next = (long) ((tiles.size() + random.nextDouble()) * size / count);
                }
            }
        });
        return tiles.toArray(new long[0][]);
    }

    /** Copies the polygons whose bounding box meets a tile. */
    private record Picker(long[][] tiles, Polygons sink) implements Polygons.Visitor {
        @Override
        public void rectangle(int group, long x0, long y0, long x1, long y1) {
            if (meets(x0, y0, x1, y1)) {
                sink.addRectangle(group, x0, y0, x1, y1);
            }
        }

        @Override
        public void polygon(int group, long[] xy, int from, int vertices) {
            long x0 = Long.MAX_VALUE;
            long y0 = Long.MAX_VALUE;
            long x1 = Long.MIN_VALUE;
            long y1 = Long.MIN_VALUE;
            for (int i = from; i < from + 2 * vertices; i += 2) {
                x0 = Math.min(x0, xy[i]);
                x1 = Math.max(x1, xy[i]);
                y0 = Math.min(y0, xy[i + 1]);
                y1 = Math.max(y1, xy[i + 1]);
            }
            if (meets(x0, y0, x1, y1)) {
                sink.addPolygon(group, java.util.Arrays.copyOfRange(xy, from, from + 2 * vertices), vertices);
            }
        }

        private boolean meets(long x0, long y0, long x1, long y1) {
            for (long[] t : tiles) {
                if (x0 <= t[2] && x1 >= t[0] && y0 <= t[3] && y1 >= t[1]) {
                    return true;
                }
            }
            return false;
        }
    }
}
