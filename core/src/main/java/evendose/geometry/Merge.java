package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.concurrent.ConcurrentLinkedQueue;

/**
 * Merges polygons and cuts the result into trapezoids: a scan line that goes up through horizontal bands.
 *
 * <p>What is merged: a place belongs to a polygon if the polygon winds around it any number of times but 0 (non-zero winding),
 * whichever way round; polygons of any kind are welcome, with self-crossings, coincident edges, spikes or holes cut in by a
 * double edge. It belongs to a group if it belongs to one of the group's polygons; where groups overlap, the lowest owns the
 * place.
 *
 * <p>How it is cut: only horizontally, and only where a side begins, ends, turns or changes its exposure. A lone rectangle is
 * one trapezoid, and so are two of equal width that abut vertically. Shapes that touch in a corner only stay two.
 *
 * <p>Cost: n log n for n edges, plus the number of crossings. Memory beyond input and result: about 100 bytes per trapezoid.
 *
 * <p>Accuracy: the order of edges is exact. Corners of the input keep their coordinates; on slanted sides, x is the correctly
 * rounded floor and fraction of the edge's own line at the height of the cut. Heights are input heights or crossings of
 * slanted edges, the latter moved up to a multiple of 1/1024 dbu, so that a crossing may cost or add an area of about
 * 1e-6 dbu^2 times the difference of the two inverse slopes (dx/dy). Layouts of upright and level edges are merged exactly. Held
 * by {@code MergePropertyTest}, {@code MergeStressTest} and {@code MergeReferenceTest}.
 *
 * <p>The result depends on the polygons only, not on their order, the bands or the number of threads.
 */
public final class Merge {
    private Merge() {}

    /**
     * Merges all polygons.
     *
     * @param polygons the polygons
     * @param groups number of groups; every polygon's group is below it
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the merged shapes
     * @throws IllegalArgumentException if a polygon's group is not below {@code groups}
     */
    public static Trapezoids of(Polygons polygons, int groups, Workers workers, Progress progress) {
        return of(polygons, groups, workers, progress, Bands.EDGES, Bands.CUT_PART);
    }

    static Trapezoids of(
            Polygons polygons, int groups, Workers workers, Progress progress, int edgesPerBand, double cutPart) {
        if (polygons.size() == 0) {
            return Trapezoids.EMPTY;
        }
        Bands bands = new Bands(polygons, groups, workers, edgesPerBand, cutPart);
        int count = bands.count();
        progress.begin("merging shapes", count);
        BandTrapezoids[] spans = new BandTrapezoids[count];
        SeamTrapezoids[] begun = new SeamTrapezoids[count];
        SeamTrapezoids[] open = new SeamTrapezoids[count];
        ConcurrentLinkedQueue<Sweeper> idle = new ConcurrentLinkedQueue<>();
        workers.run(count, k -> {
            Sweeper waiting = idle.poll();
            Sweeper sweeper = waiting == null ? new Sweeper(new SweepKernel(), new BandTrapezoids()) : waiting;
            bands.fill(k, sweeper.kernel);
            begun[k] = k == 0 ? null : new SeamTrapezoids();
            open[k] = k == count - 1 ? null : new SeamTrapezoids();
            sweeper.spans.clear();
            sweeper.kernel.run(bands.bottom(k), begun[k], bands.bottom(k + 1), open[k], sweeper.spans);
            spans[k] = sweeper.spans.trimmed();
            idle.add(sweeper);
            progress.advance(1);
        });
        idle.clear();
        bands.forgetEntries();
        Assembly assembly = new Assembly(spans);
        for (int k = 1; k < count; k++) {
            assembly.stitch(k, bands.bottom(k), open[k - 1], begun[k]);
        }
        return assembly.trapezoids(bands.groupOfCompact(), workers);
    }

    /** Working space of a thread, used for one band after the other. */
    private record Sweeper(SweepKernel kernel, BandTrapezoids spans) {}
}
