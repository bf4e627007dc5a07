package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.io.Serializable;
import java.util.Arrays;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;

/**
 * Some long-ranged terms on one grid, in three pure steps: {@link #spread} puts the doses on the nodes by exact cubic B-spline
 * coverage, {@link #blur} convolves with the terms' density, {@link #gather} takes the criterion's share from the blurred nodes
 * with the same splines. The pitch is a quarter of the shortest range, or wider for weak terms ({@link FarTerms#pitchUm}).
 *
 * <p>The weights of the first and last step do not depend on the doses and are computed once. For spreading, the grid is cut
 * into bands of rows and each unit's window is cut at their borders, so bands are filled independently of each other
 * and every node is summed in the order of the units.
 *
 * @serial exclude
 */
final class FarField implements Serializable {
    private static final long serialVersionUID = 1L;
    private static final int UNITS_PER_PART = 4096;
    private static final int SMALLEST_BAND = 8;
    private static final int LARGEST_BAND = 64;

    /** Nodes of the largest grid that is transformed where sums would do. */
    static final int MOST_TRANSFORMED = 1 << 24;

    /** Coverage, blurred values, and a quarter of them for the transfer function. */
    static final double BYTES_PER_NODE = 18;

    private transient FarTerms terms;
    private final FarGrid grid;
    private transient Blur blur;
    private final int bandRows;
    private final GridWindows[] spreading;
    private final GridWindows[] gathering;

    /** Convolves a grid; {@code in} and {@code out} are different arrays. */
    @FunctionalInterface
    interface Blur {
        void apply(double[] in, double[] out, Workers workers);
    }

    /**
     * Computes the weights.
     *
     * @param boundsUm what the grid must cover: at least the pieces
     * @param skipInterior whether interior units take nothing from these terms (direct ones, judged by the half-plane rule)
     */
    FarField(
            Pieces pieces,
            Samples samples,
            double[] boundsUm,
            FarTerms terms,
            boolean skipInterior,
            Workers workers,
            Progress progress) {
        this(
                pieces,
                samples,
                FarGrid.over(boundsUm, terms.pitchUm(), terms.reachUm()),
                new boolean[pieces.units()],
                terms,
                skipInterior,
                workers,
                progress);
    }

    /**
     * As above, on a given grid.
     *
     * @param silent for each unit whether it is not spread
     */
    FarField(
            Pieces pieces,
            Samples samples,
            FarGrid grid,
            boolean[] silent,
            FarTerms terms,
            boolean skipInterior,
            Workers workers,
            Progress progress) {
        this.terms = terms;
        this.grid = grid;
        this.bandRows = Math.max(SMALLEST_BAND, Math.min(LARGEST_BAND, (grid.rows() + 15) / 16));
        progress.begin("grid weights", 2L * pieces.units());
        this.spreading = spreadingWindows(pieces, silent, workers, progress);
        this.gathering = gatheringWindows(samples, skipInterior, workers, progress);
    }

    FarTerms terms() {
        return terms;
    }

    /** Sets the terms after the field was read from a stream, where they do not travel along. */
    void resume(FarTerms same) {
        terms = same;
    }

    FarGrid grid() {
        return grid;
    }

    long bytes() {
        long sum = (long) (BYTES_PER_NODE * grid.nodes());
        for (GridWindows w : spreading) {
            sum += w.bytes();
        }
        for (GridWindows w : gathering) {
            sum += w.bytes();
        }
        return sum;
    }

    /** Replaces {@code coverage} (one value a node) by the dose on the nodes: the mean dose factor about each, by its spline. */
    void spread(double[] doseOfUnit, double[] coverage, Workers workers) {
        int columns = grid.columns();
        workers.run(spreading.length, band -> {
            int from = band * bandRows * columns;
            int to = Math.min(grid.nodes(), from + bandRows * columns);
            Arrays.fill(coverage, from, to, 0);
            spreading[band].scatter(doseOfUnit, coverage, columns);
        });
    }

    /** Blurs {@code coverage} into {@code blurred}. */
    void blur(double[] coverage, double[] blurred, Workers workers) {
        if (blur == null) {
            blur = blurOf(terms, grid, workers);
        }
        blur.apply(coverage, blurred, workers);
    }

    /** As {@link #blur} with other terms, which must be no finer and reach no further than those of the grid. */
    void blur(double[] coverage, double[] blurred, FarTerms others, Workers workers) {
        blurOf(others, grid, workers).apply(coverage, blurred, workers);
    }

    /**
     * By the Fourier transform; only a single Gaussian on a grid of more than {@link #MOST_TRANSFORMED} nodes by sums, which then
     * save more time than anybody would overlook.
     */
    static Blur blurOf(FarTerms some, FarGrid grid, Workers workers) {
        if (some.table().isEmpty() && some.gaussians().size() == 1 && grid.nodes() > MOST_TRANSFORMED) {
            GaussianTerm term = some.gaussians().get(0);
            if (term.rangeUm() == FarGrid.NODES_PER_RANGE * grid.pitchUm()) {
                return (in, out, crew) ->
                        GaussianFilter.apply(in, term.weight(), out, grid.columns(), grid.rows(), crew);
            }
        }
        return new FourierFilter(grid, some, workers)::apply;
    }

    /** Adds the terms' share to the criterion of each unit. */
    void gather(double[] blurred, double[] criterion, Workers workers) {
        workers.run(gathering.length, part -> gathering[part].gather(blurred, grid.columns(), criterion));
    }

    private GridWindows[] spreadingWindows(Pieces pieces, boolean[] silent, Workers workers, Progress progress) {
        int units = pieces.units();
        int bands = (grid.rows() + bandRows - 1) / bandRows;
        // Count, then list the units that reach into each band, in rising order.
        int[] lowest = new int[units];
        int[] highest = new int[units];
        int[] start = new int[bands + 1];
        for (int u = 0; u < units; u++) {
            double[] box = pieces.unitBoundsUm(u);
            if (box.length == 0 || silent[u]) {
                highest[u] = -1;
                continue;
            }
            lowest[u] = CubicSpline.firstOver(grid.row(box[1])) / bandRows;
            highest[u] = CubicSpline.lastOver(grid.row(box[3])) / bandRows;
            for (int b = lowest[u]; b <= highest[u]; b++) {
                start[b + 1]++;
            }
        }
        for (int b = 0; b < bands; b++) {
            start[b + 1] += start[b];
        }
        int[] listed = new int[start[bands]];
        int[] next = Arrays.copyOf(start, bands);
        for (int u = 0; u < units; u++) {
            for (int b = lowest[u]; b <= highest[u]; b++) {
                listed[next[b]++] = u;
            }
        }
        GridWindows[] windows = new GridWindows[bands];
        Queue<SpreadKernel> spare = new ConcurrentLinkedQueue<>();
        workers.run(bands, b -> {
            SpreadKernel former = spare.poll();
            SpreadKernel kernel = former == null ? new SpreadKernel(pieces, grid) : former;
            kernel.begin(b * bandRows, Math.min(grid.rows(), (b + 1) * bandRows));
            for (int q = start[b]; q < start[b + 1]; q++) {
                kernel.add(listed[q]);
            }
            windows[b] = kernel.windows.copy();
            spare.add(kernel);
            progress.advance((long) units * (b + 1) / bands - (long) units * b / bands);
        });
        return windows;
    }

    /** Builds the windows of one band of rows after the other. */
    private static final class SpreadKernel {
        private final Pieces pieces;
        private final FarGrid grid;
        private int bandFrom;
        private int bandTo;
        private int c0;
        private int c1;
        private int r0;
        private int r1;
        private final CoverageKernel coverage = new CoverageKernel();
        private double[] window = new double[64];
        final GridWindows windows = new GridWindows();

        SpreadKernel(Pieces pieces, FarGrid grid) {
            this.pieces = pieces;
            this.grid = grid;
        }

        /** Begins the band of rows {@code from} to {@code to - 1}. */
        void begin(int from, int to) {
            bandFrom = from;
            bandTo = to;
            windows.clear();
        }

        void add(int unit) {
            int first = pieces.unitFirst(unit);
            int end = pieces.unitFirst(unit + 1);
            if (end - first > 1 && nodes(first, end) > nodesOneByOne(first, end)) {
                for (int i = first; i < end; i++) {
                    add(unit, i, i + 1);
                }
            } else {
                add(unit, first, end);
            }
        }

        private int columnFrom(int i) {
            return CubicSpline.firstOver(grid.column(pieces.leftUm(i)));
        }

        private int columnTo(int i) {
            return CubicSpline.lastOver(grid.column(pieces.rightUm(i))) + 1;
        }

        private int rowFrom(int i) {
            return Math.max(bandFrom, CubicSpline.firstOver(grid.row(pieces.bottomUm(i))));
        }

        private int rowTo(int i) {
            return Math.min(bandTo, CubicSpline.lastOver(grid.row(pieces.topUm(i))) + 1);
        }

        /** Finds the window that holds the nodes of all pieces {@code first} to {@code end - 1}. */
        private void bound(int first, int end) {
            c0 = Integer.MAX_VALUE;
            c1 = 0;
            r0 = Integer.MAX_VALUE;
            r1 = 0;
            for (int i = first; i < end; i++) {
                c0 = Math.min(c0, columnFrom(i));
                c1 = Math.max(c1, columnTo(i));
                r0 = Math.min(r0, rowFrom(i));
                r1 = Math.max(r1, rowTo(i));
            }
        }

        private long nodes(int first, int end) {
            bound(first, end);
            return (long) (c1 - c0) * Math.max(0, r1 - r0);
        }

        private long nodesOneByOne(int first, int end) {
            long sum = 0;
            for (int i = first; i < end; i++) {
                sum += (long) (columnTo(i) - columnFrom(i)) * Math.max(0, rowTo(i) - rowFrom(i));
            }
            return sum;
        }

        private void add(int unit, int first, int end) {
            bound(first, end);
            if (r0 >= r1) {
                return;
            }
            int width = c1 - c0;
            int size = width * (r1 - r0);
            if (window.length < size) {
                window = new double[2 * size];
            }
            Arrays.fill(window, 0, size, 0);
            coverage.into(window, c0, width, r0, r1);
            for (int i = first; i < end; i++) {
                cover(i);
            }
            windows.add(unit, r0 * grid.columns() + c0, width, r1 - r0, window);
        }

        private void cover(int i) {
            double low = pieces.lowUm()[i];
            double high = pieces.highUm()[i];
            double fromLow = pieces.fromLowUm()[i];
            double toLow = pieces.toLowUm()[i];
            double fromHigh = pieces.fromHighUm()[i];
            double toHigh = pieces.toHighUm()[i];
            if (pieces.standing(i)) {
                coverage.addStanding(
                        grid.column(low),
                        grid.column(high),
                        grid.row(fromLow),
                        grid.row(toLow),
                        grid.row(fromHigh),
                        grid.row(toHigh));
            } else if (pieces.isRectangle(i)) {
                coverage.addRectangle(grid.column(fromLow), grid.column(toLow), grid.row(low), grid.row(high));
            } else {
                coverage.addLevel(
                        grid.row(low),
                        grid.row(high),
                        grid.column(fromLow),
                        grid.column(toLow),
                        grid.column(fromHigh),
                        grid.column(toHigh));
            }
        }
    }

    private GridWindows[] gatheringWindows(Samples samples, boolean skipInterior, Workers workers, Progress progress) {
        GridWindows[] windows = new GridWindows[Workers.partCount(samples.units(), UNITS_PER_PART)];
        Queue<GatherKernel> spare = new ConcurrentLinkedQueue<>();
        workers.runRanges(samples.units(), UNITS_PER_PART, (from, to, part) -> {
            GatherKernel former = spare.poll();
            GatherKernel kernel = former == null ? new GatherKernel(samples, grid) : former;
            kernel.begin();
            for (int u = from; u < to; u++) {
                if (!(skipInterior && samples.interior(u))) {
                    kernel.add(u);
                }
            }
            windows[part] = kernel.windows.copy();
            spare.add(kernel);
            progress.advance(to - from);
        });
        return windows;
    }
}
