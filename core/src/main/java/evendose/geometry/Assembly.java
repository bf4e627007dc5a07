package evendose.geometry;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.function.Function;

/**
 * Puts the spans of all bands together: stitches those that a seam has cut, finds shapes, brings everything into its final
 * order. BandTrapezoids are numbered through from the lowest band up.
 */
final class Assembly {
    private final BandTrapezoids[] bands;
    private final int[] base;
    private final int total;
    /** Forest of spans that hang together, see {@link BandTrapezoids#parent}. */
    private final int[] parent;
    /** The span that this one continues above a seam; itself if none. */
    private final int[] origin;
    /** Exposed parts of horizontal sides on the seam below each band; spans numbered through. */
    private final BandTrapezoids[] seamParts;
    /** How many spans of each band begin at the seam below it; they are its first. */
    private final int[] begun;

    Assembly(BandTrapezoids[] bands) {
        this.bands = bands;
        base = new int[bands.length + 1];
        for (int k = 0; k < bands.length; k++) {
            base[k + 1] = Math.addExact(base[k], bands[k].size);
        }
        total = base[bands.length];
        parent = new int[total];
        origin = new int[total];
        seamParts = new BandTrapezoids[bands.length];
        begun = new int[bands.length];
        for (int k = 0; k < bands.length; k++) {
            for (int i = 0; i < bands[k].size; i++) {
                parent[base[k] + i] = base[k] + bands[k].parent[i];
                origin[base[k] + i] = base[k] + i;
            }
            bands[k].parent = null;
        }
    }

    /**
     * Joins band {@code k} to the one below it; to be called from the bottom up.
     *
     * @param open spans of the band below that reach the seam
     * @param begun spans of band {@code k} that begin at the seam
     */
    void stitch(int k, long height, SeamTrapezoids open, SeamTrapezoids begun) {
        this.begun[k] = begun.size;
        BandTrapezoids parts = new BandTrapezoids();
        seamParts[k] = parts;
        BandTrapezoids lower = bands[k - 1];
        BandTrapezoids upper = bands[k];
        open.sort(height);
        TouchingSides touching = new TouchingSides();
        int o = 0;
        for (int b = 0; b < begun.size; b++) {
            int order = 1;
            while (o < open.size && (order = open.compareLeft(height, o, begun, b)) < 0) {
                close(k - 1, height, open, o++, touching);
            }
            int s = begun.span[b];
            if (o < open.size && order == 0) {
                int below = open.span[o];
                if (lower.group[below] == upper.group[s]
                        && lower.sides[below] == upper.sides[s]
                        && open.compareRight(height, o, begun, b) == 0) {
                    origin[base[k] + s] = origin[base[k - 1] + below];
                    Connected.join(parent, base[k - 1] + below, base[k] + s);
                    o++;
                    continue;
                }
                close(k - 1, height, open, o++, touching);
            }
            touching.addBottom(base[k] + s, upper.group[s], upper.xLeftBottom[s], upper.xRightBottom[s]);
        }
        while (o < open.size) {
            close(k - 1, height, open, o++, touching);
        }
        touching.find(new TouchingSides.Sink() {
            @Override
            public void join(int top, int bottom) {
                Connected.join(parent, top, bottom);
            }

            @Override
            public void exposed(int trapezoid, boolean onTop, double from, double to) {
                parts.addPart(trapezoid, onTop, from, to);
            }
        });
    }

    private void close(int k, long height, SeamTrapezoids open, int o, TouchingSides touching) {
        BandTrapezoids band = bands[k];
        int s = open.span[o];
        band.setTop(s, height, open.left(height, o), open.leftSlope(o), open.right(height, o), open.rightSlope(o));
        touching.addTop(base[k] + s, band.group[s], band.xLeftTop[s], band.xRightTop[s]);
    }

    /** The result; the spans are used up. */
    Trapezoids trapezoids(char[] groupOfCompact, Workers workers) {
        int[] shapeFirst = new int[16];
        int shapes = 0;
        // Roots come first in their trees, so shapes get their numbers in order. A root's number is kept in its place.
        int[] place = new int[total];
        int kept = 0;
        for (int i = 0; i < total; i++) {
            if (origin[i] != i) {
                continue;
            }
            kept++;
            int root = Connected.root(parent, i);
            if (root == i) {
                if (shapes + 2 > shapeFirst.length) {
                    shapeFirst = Arrays.copyOf(shapeFirst, 2 * shapeFirst.length);
                }
                place[i] = shapes++;
            }
            shapeFirst[place[root] + 1]++;
        }
        shapeFirst = Arrays.copyOf(shapeFirst, shapes + 1);
        for (int s = 0; s < shapes; s++) {
            shapeFirst[s + 1] += shapeFirst[s];
        }
        int[] next = Arrays.copyOf(shapeFirst, shapes);
        for (int i = total - 1; i >= 0; i--) {
            // From the end, so that a root's place is overwritten last.
            if (origin[i] == i) {
                int shape = place[Connected.root(parent, i)];
                place[i] = shapeFirst[shape + 1] - 1 - (next[shape]++ - shapeFirst[shape]);
            }
        }

        double[] yBottom = gather(kept, place, workers, spans -> spans.yBottom, false);
        double[] xLeftBottom = gather(kept, place, workers, spans -> spans.xLeftBottom, false);
        double[] xRightBottom = gather(kept, place, workers, spans -> spans.xRightBottom, false);
        double[] yTop = gather(kept, place, workers, spans -> spans.yTop, true);
        double[] xLeftTop = gather(kept, place, workers, spans -> spans.xLeftTop, true);
        double[] xRightTop = gather(kept, place, workers, spans -> spans.xRightTop, true);
        char[] group = new char[kept];
        byte[] sides = new byte[kept];
        workers.run(bands.length, k -> {
            BandTrapezoids band = bands[k];
            for (int s = 0; s < band.size; s++) {
                int i = base[k] + s;
                if (origin[i] == i) {
                    group[place[i]] = groupOfCompact[band.group[s]];
                    sides[place[i]] = band.sides[s];
                }
            }
            band.forgetAllButParts();
        });
        int[] exposedFirst = new int[kept + 1];
        for (int k = 0; k < bands.length; k++) {
            BandTrapezoids band = bands[k];
            if (seamParts[k] != null) {
                countParts(seamParts[k], 0, place, exposedFirst);
            }
            countParts(band, base[k], place, exposedFirst);
        }
        for (int i = 0; i < kept; i++) {
            exposedFirst[i + 1] = Math.addExact(exposedFirst[i], exposedFirst[i + 1]);
        }
        int parts = exposedFirst[kept];
        double[] exposedFrom = new double[parts];
        double[] exposedTo = new double[parts];
        boolean[] exposedOnTop = new boolean[parts];
        int[] cursor = Arrays.copyOf(exposedFirst, kept);
        for (int k = 0; k < bands.length; k++) {
            for (int pass = 0; pass < 2; pass++) {
                BandTrapezoids source = pass == 0 ? seamParts[k] : bands[k];
                int offset = pass == 0 ? 0 : base[k];
                for (int p = 0; source != null && p < source.parts; p++) {
                    int to = cursor[place[origin[offset + (source.partSpan[p] >> 1)]]]++;
                    exposedFrom[to] = source.partFrom[p];
                    exposedTo[to] = source.partTo[p];
                    exposedOnTop[to] = (source.partSpan[p] & 1) != 0;
                }
            }
            bands[k] = null;
            seamParts[k] = null;
        }
        return new Trapezoids(
                yBottom,
                yTop,
                xLeftBottom,
                xRightBottom,
                xLeftTop,
                xRightTop,
                group,
                sides,
                exposedFirst,
                exposedFrom,
                exposedTo,
                exposedOnTop,
                shapeFirst);
    }

    /**
     * Brings one number per span into the final order.
     *
     * @param last whether a span cut by seams has the number of its topmost part, not of its lowest
     */
    private double[] gather(
            int kept, int[] place, Workers workers, Function<BandTrapezoids, double[]> column, boolean last) {
        double[] gathered = new double[kept];
        workers.run(bands.length, k -> {
            double[] values = column.apply(bands[k]);
            for (int s = 0; s < bands[k].size; s++) {
                int i = base[k] + s;
                if (origin[i] == i) {
                    gathered[place[i]] = values[s];
                }
            }
        });
        for (int k = 1; last && k < bands.length; k++) {
            double[] values = column.apply(bands[k]);
            for (int s = 0; s < begun[k]; s++) {
                int i = base[k] + s;
                if (origin[i] != i) {
                    gathered[place[origin[i]]] = values[s];
                }
            }
        }
        return gathered;
    }

    private void countParts(BandTrapezoids source, int offset, int[] place, int[] exposedFirst) {
        for (int p = 0; p < source.parts; p++) {
            exposedFirst[place[origin[offset + (source.partSpan[p] >> 1)]] + 1]++;
        }
    }
}
