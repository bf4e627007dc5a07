package evendose.energy;

import evendose.TestData;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.FractureOptions;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.io.IOException;
import java.io.PrintStream;
import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;

/**
 * Measures what each evaluator takes on real and made layouts, on one thread: the near one for terms of all ranges, the far one for
 * all grids from one range to another. Writes the table that {@link TermCostTest} holds the estimates against, with the
 * counted operations beside the times, so that prices can be fitted again after the evaluators have changed: to the
 * layouts of {@link #FITTED}, since the test takes the others.
 *
 * <pre>mvn -q -pl core test-compile org.codehaus.mojo:exec-maven-plugin:3.6.4:java -Dexec.classpathScope=test \
 *     -Dexec.mainClass=evendose.energy.EvaluatorTimes -Dexec.args=core/src/test/resources/evaluator-times.csv</pre>
 */
public final class EvaluatorTimes {
    static final List<String> FITTED = List.of("demo", "dots", "slanted", "pads", "discs", "holes");
    static final List<String> HELD_OUT = List.of("cd-500nm", "grating-coupler", "phc-waveguides", "bragg-gratings");
    static final double[] RANGES_UM = {0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30};

    private static final double MOST_MATRIX_NS = 3e8;
    private static final double MOST_GRID_NODES = 1e7;
    private static final int RUN = 32;
    private static final double FEWEST_ROWS = 4 * RUN;
    private static final int REPEATS = 2;

    private EvaluatorTimes() {}

    /** Takes the file to write. */
    public static void main(String[] args) throws IOException {
        try (Workers one = Workers.of(1);
                PrintStream out =
                        new PrintStream(Files.newOutputStream(Path.of(args[0])), false, StandardCharsets.UTF_8)) {
            out.println(
                    "# Times of both evaluators on one thread, s: building (of the near one the walk over pieces, and the integrals of a term), and one evaluation. Written by EvaluatorTimes on "
                            + System.getProperty("os.arch") + ", Java " + System.getProperty("java.version") + ".");
            out.println(
                    "layout,first_um,last_um,near_walk_s,near_integrals_s,near_evaluation_s,far_build_s,far_evaluation_s,"
                            + "rows,classes,fresh,remembered,skipped,upright,places,shared,slanted,evaluations,entries,"
                            + "units,slanted_nodes,spreading,samples,gathering,nodes");
            // The first pass is for the compiler.
            measure(HELD_OUT.subList(0, 1), one, null);
            measure(FITTED, one, out);
            measure(HELD_OUT, one, out);
        }
    }

    private static void measure(List<String> layouts, Workers one, PrintStream out) {
        for (String name : layouts) {
            Fracture.Result cut = cut(name, one);
            PieceIndex index = new PieceIndex(cut.pieces());
            for (int first = 0; first < RANGES_UM.length; first++) {
                for (int last = first; last < RANGES_UM.length; last++) {
                    String row = row(name, RANGES_UM[first], RANGES_UM[last], cut.pieces(), cut.samples(), index, one);
                    if (out != null) {
                        out.println(row);
                        System.err.println(row);
                    }
                }
            }
        }
    }

    private static String row(
            String name, double firstUm, double lastUm, Pieces pieces, Samples samples, PieceIndex index, Workers one) {
        double[] dose =
                new SplittableRandom(1).doubles(pieces.units(), 0.8, 1.5).toArray();
        String near = firstUm == lastUm ? near(firstUm, pieces, samples, index, dose, one) : "NaN,NaN,NaN,,,,,,,,,,,";
        String[] n = near.split(",", 4);
        return name + "," + firstUm + "," + lastUm + "," + n[0] + "," + n[1] + "," + n[2] + ","
                + far(firstUm, lastUm, pieces, samples, dose, one).replace(";", "," + n[3] + ",");
    }

    private static String near(
            double range, Pieces pieces, Samples samples, PieceIndex index, double[] dose, Workers one) {
        GaussianTerm term = new GaussianTerm(0.5, range);
        int units = pieces.units();
        MatrixWork matrix = new MatrixWork(pieces, samples, index, UnitCopies.of(pieces, samples, one));
        int step = Math.max(1, units / 3000);
        for (int u = step / 2; u < units && matrix.ns() < 20 * MOST_MATRIX_NS; u += step) {
            matrix.count(u, term, 1);
        }
        double scale = units / matrix.rows;
        // Of a matrix that would take long, only some rows are built; what they are of the whole, counted operations
        // tell.
        double share = Math.min(1, Math.max(MOST_MATRIX_NS / (scale * matrix.ns()), FEWEST_ROWS / units));
        Samples some = share < 1 ? runs(samples, share) : samples;
        UnitCopies copies = UnitCopies.of(pieces, some, one);
        double whole = 1;
        if (share < 1) {
            MatrixWork part = new MatrixWork(pieces, some, index, copies);
            for (int u = 0; u < units; u++) {
                if (some.first(u + 1) > some.first(u)) {
                    part.count(u, term, 1);
                }
            }
            whole = scale * matrix.ns() / part.ns();
        }
        SparseMatrix[] built = new SparseMatrix[1];
        double once = fastest(() ->
                built[0] = NearField.assemble(pieces, some, index, copies, List.of(term), 0, 0.5, one, Progress.NONE));
        double twice = fastest(() -> built[0] =
                NearField.assemble(pieces, some, index, copies, List.of(term, term), 0, 0.5, one, Progress.NONE));
        double integrals = Math.max(0, twice - once);
        double[] criterion = new double[units];
        double evaluation = fastest(() -> built[0].multiply(dose, criterion, one));
        return String.format(
                Locale.ROOT,
                "%.4g,%.4g,%.4g,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f,%.0f",
                (once - integrals) * whole,
                integrals * whole,
                evaluation * whole,
                (double) units,
                scale * matrix.classes,
                scale * matrix.fresh,
                scale * matrix.remembered,
                scale * matrix.skipped,
                scale * matrix.upright,
                scale * matrix.places,
                scale * matrix.shared,
                scale * matrix.slanted,
                scale * matrix.evaluations,
                scale * matrix.entries);
    }

    private static String far(
            double firstUm, double lastUm, Pieces pieces, Samples samples, double[] dose, Workers one) {
        FarTerms terms = new FarTerms(
                firstUm == lastUm
                        ? List.of(new GaussianTerm(0.5, firstUm))
                        : List.of(new GaussianTerm(0.5, firstUm), new GaussianTerm(0.5, lastUm)),
                Optional.empty(),
                0);
        double build = Double.NaN;
        double evaluation = Double.NaN;
        double nodes = FarGrid.nodesFor(pieces.boundsUm(), terms.pitchUm(), terms.reachUm());
        TermCost.GridWork grid = new TermCost.GridWork();
        for (int u = 0; u < pieces.units(); u++) {
            grid.count(pieces, samples, u, terms.pitchUm(), false, 1);
        }
        if (nodes < MOST_GRID_NODES && grid.bytes(nodes) < 3e9) {
            FarField[] far = new FarField[1];
            build = fastest(
                    () -> far[0] = new FarField(pieces, samples, pieces.boundsUm(), terms, false, one, Progress.NONE));
            double[] coverage = new double[far[0].grid().nodes()];
            double[] blurred = new double[coverage.length];
            double[] criterion = new double[dose.length];
            evaluation = fastest(() -> {
                far[0].spread(dose, coverage, one);
                far[0].blur(coverage, blurred, one);
                far[0].gather(blurred, criterion, one);
            });
        }
        return String.format(
                Locale.ROOT,
                "%.4g,%.4g;%.0f,%.0f,%.0f,%.0f,%.0f,%.0f",
                build,
                evaluation,
                grid.units,
                grid.slanted,
                grid.spreading,
                grid.samples,
                grid.gathering,
                nodes);
    }

    /** Leaves samples to a share of the units, in runs spread evenly, so that neighbours stay neighbours. */
    private static Samples runs(Samples all, double share) {
        int units = all.units();
        int kept = 0;
        boolean[] keep = new boolean[units];
        for (int u = 0; u < units; u++) {
            int run = u / RUN;
            keep[u] = Math.floor((run + 1) * share) > Math.floor(run * share);
            kept += keep[u] ? all.first(u + 1) - all.first(u) : 0;
        }
        double[] x = new double[kept];
        double[] y = new double[kept];
        float[] w = new float[kept];
        int[] first = new int[units + 1];
        int at = 0;
        for (int u = 0; u < units; u++) {
            for (int j = all.first(u); keep[u] && j < all.first(u + 1); j++) {
                x[at] = all.xUm(j);
                y[at] = all.yUm(j);
                w[at++] = all.weight(j);
            }
            first[u + 1] = at;
        }
        return new Samples(x, y, w, first, new boolean[units]);
    }

    /** Shortest time on the processor: one worker works in the calling thread, and others on the machine do not count. */
    private static double fastest(Runnable work) {
        ThreadMXBean threads = ManagementFactory.getThreadMXBean();
        double best = Double.MAX_VALUE;
        for (int k = 0; k < REPEATS; k++) {
            long begun = threads.getCurrentThreadCpuTime();
            work.run();
            best = Math.min(best, (threads.getCurrentThreadCpuTime() - begun) * 1e-9);
        }
        return best;
    }

    /** The pieces of a layout, as a correction at 100 kV would cut them. */
    static Fracture.Result cut(String name, Workers workers) {
        Polygons polygons = new Polygons();
        double dbuUm = 0.001;
        switch (name) {
            case "dots" -> dots(polygons);
            case "slanted" -> slanted(polygons);
            case "pads" -> pads(polygons);
            case "discs" -> discs(polygons);
            case "holes" -> holes(polygons);
            default -> {
                String file = name.equals("demo") ? "demo/tidepool-spectrometer.gds" : "layouts/" + name + ".gds";
                Layout layout = LayoutFiles.read(TestData.file(file));
                dbuUm = layout.unit().um();
                Flattener.of(layout).flatten(Map.of(new Layer(1, 0), 0), polygons);
            }
        }
        return Fracture.of(
                Merge.of(polygons, 1, workers, Progress.NONE),
                dbuUm,
                new FractureOptions(
                        31 / 4.0, 0.012, 31 / 2.0, FractureOptions.Judging.EDGES, evendose.pieces.PieceRules.exact()),
                workers,
                Progress.NONE);
    }

    /** 100 nm dots, 300 nm apart. */
    private static void dots(Polygons polygons) {
        for (int i = 0; i < 200; i++) {
            for (int j = 0; j < 200; j++) {
                polygons.addRectangle(0, 300 * i, 300 * j, 300 * i + 100, 300 * j + 100);
            }
        }
    }

    /** Parallelograms of 1 um, 3 um apart. */
    private static void slanted(Polygons polygons) {
        for (int i = 0; i < 100; i++) {
            for (int j = 0; j < 100; j++) {
                long x = 3000L * i;
                long y = 3000L * j;
                polygons.addPolygon(0, new long[] {x, y, x + 1000, y + 300, x + 1200, y + 1300, x + 200, y + 1000}, 4);
            }
        }
    }

    /** Pads of 80 um, 200 um apart. */
    private static void pads(Polygons polygons) {
        for (int i = 0; i < 10; i++) {
            for (int j = 0; j < 10; j++) {
                long x = 200_000L * i;
                long y = 200_000L * j;
                polygons.addRectangle(0, x, y, x + 80_000, y + 80_000);
            }
        }
    }

    /** Polygons of 240 corners and 3 um, 8 um apart: units of many slices. */
    private static void discs(Polygons polygons) {
        int corners = 240;
        for (int i = 0; i < 12; i++) {
            for (int j = 0; j < 12; j++) {
                long[] xy = new long[2 * corners];
                for (int k = 0; k < corners; k++) {
                    double angle = 2 * Math.PI * (k + 0.3) / corners;
                    xy[2 * k] = 8000L * i + Math.round(1500 * Math.cos(angle));
                    xy[2 * k + 1] = 8000L * j + Math.round(1500 * Math.sin(angle));
                }
                polygons.addPolygon(0, xy, corners);
            }
        }
    }

    /** A plate of 40 um with holes of 24 corners and 240 nm, 600 nm apart: units of many pieces and many samples. */
    private static void holes(Polygons polygons) {
        int corners = 24;
        for (int i = 0; i < 66; i++) {
            // Two strips a row of holes, which meet along its middle.
            for (int side = -1; side <= 1; side += 2) {
                long middle = 600L * i;
                List<long[]> outline = new ArrayList<>();
                outline.add(new long[] {-300, middle});
                for (int j = 0; j < 66; j++) {
                    for (int k = 0; k <= corners / 2; k++) {
                        double angle = Math.PI * (1 - 2.0 * k / corners);
                        outline.add(new long[] {
                            600L * j + Math.round(120 * Math.cos(angle)),
                            middle + side * Math.round(120 * Math.sin(angle))
                        });
                    }
                }
                long end = 600L * 65 + 300;
                outline.add(new long[] {end, middle});
                outline.add(new long[] {end, middle + side * 300});
                outline.add(new long[] {-300, middle + side * 300});
                long[] xy = outline.stream().flatMapToLong(Arrays::stream).toArray();
                polygons.addPolygon(0, xy, outline.size());
            }
        }
    }
}
