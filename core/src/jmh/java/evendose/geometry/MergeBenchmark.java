package evendose.geometry;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.TearDown;
import org.openjdk.jmh.annotations.Warmup;

/** Time to merge random shapes of 0.5 to 1.5 um that cover a fifth of a square field, at 1 nm per dbu. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.SingleShotTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Fork(value = 1, jvmArgs = "-Xmx4g")
@Warmup(iterations = 2)
@Measurement(iterations = 3)
public class MergeBenchmark {
    @Param({"1000000"})
    int shapes;

    @Param({"rectangles", "triangles"})
    String kind;

    @Param({"1", "3"})
    int groups;

    @Param({"1", "2"})
    int threads;

    private Polygons polygons;
    private Workers workers;

    @Setup(Level.Trial)
    public void draw() {
        polygons = draw(shapes, kind.equals("triangles"), groups);
        workers = Workers.of(threads);
    }

    static Polygons draw(int shapes, boolean triangles, int groups) {
        SplittableRandom random = new SplittableRandom(7);
        Polygons drawn = new Polygons();
        int field = (int) Math.sqrt(shapes * 1e6 / 0.2);
        long[] xy = new long[6];
        for (int i = 0; i < shapes; i++) {
            long x = random.nextInt(field);
            long y = random.nextInt(field);
            if (triangles) {
                for (int k = 0; k < 6; k += 2) {
                    xy[k] = x + random.nextInt(1500);
                    xy[k + 1] = y + random.nextInt(1500);
                }
                drawn.addPolygon(i % groups, xy, 3);
            } else {
                drawn.addRectangle(i % groups, x, y, x + random.nextInt(500, 1500), y + random.nextInt(500, 1500));
            }
        }
        return drawn;
    }

    @TearDown(Level.Trial)
    public void close() {
        workers.close();
    }

    @Benchmark
    public Trapezoids merge() {
        return Merge.of(polygons, groups, workers, Progress.NONE);
    }
}
