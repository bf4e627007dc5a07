package evendose.pieces;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.function.ToDoubleBiFunction;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Where the samples of each unit lie, against fine sums over its part of the outline: means of x, of y, and of their product about the
 * middle, for polygons far off the origin whose corners turn by a known angle.
 */
class EdgeSamplerTest {
    private static final double ALPHA_UM = 0.02;

    /** Means of places agree to a twentieth of the direct range. */
    private static final double SAME_UM = 0.05 * ALPHA_UM;

    private static final double X_UM = 50;
    private static final double Y_UM = -30;

    /** Corners, nm from (50, -30) um, and how much of a corner each is. */
    private record Outline(long[] xy, double corner) {
        double x(int k) {
            return X_UM + xy[2 * k % xy.length] / 1e3;
        }

        double y(int k) {
            return Y_UM + xy[(2 * k + 1) % xy.length] / 1e3;
        }

        Samples samples(double cellUm, Pieces[] pieces) {
            Polygons polygons = new Polygons();
            long[] shifted = new long[xy.length];
            for (int k = 0; k < xy.length; k += 2) {
                shifted[k] = xy[k] + Math.round(1e3 * X_UM);
                shifted[k + 1] = xy[k + 1] + Math.round(1e3 * Y_UM);
            }
            polygons.addPolygon(0, shifted, xy.length / 2);
            try (Workers one = Workers.of(1)) {
                Fracture.Result cut = Fracture.of(
                        Merge.of(polygons, 1, one, Progress.NONE),
                        0.001,
                        new FractureOptions(cellUm, ALPHA_UM, 0.5, FractureOptions.Judging.EDGES, PieceRules.exact()),
                        one,
                        Progress.NONE);
                pieces[0] = cut.pieces();
                return cut.samples();
            }
        }
    }

    private static Outline outline(String name) {
        return switch (name) {
            // Sides along (3, 4) and (-4, 3): right angles.
            case "turned rectangle" -> new Outline(new long[] {0, 0, 1500, 2000, 700, 2600, -800, 600}, 1);
            case "ell" -> new Outline(new long[] {0, 0, 3000, 0, 3000, 1100, 1400, 1100, 1400, 2700, 0, 2700}, 1);
            case "triangle" -> new Outline(new long[] {0, 0, 2900, 300, 800, 2400}, 1);
            // One corner in three steps of 30 degrees, 6 nm long: over a direct range it is a corner like the others.
            case "blunt" ->
                new Outline(
                        new long[] {0, 0, 1600, 0, 1600, 1190, 1597, 1195, 1592, 1198, 700, 1198, 700, 2000, 0, 2000},
                        1);
            // Turns of 40 degrees; of a corner (0.8660 - 0.7660) / (0.8660 - 0.6428) = f are there, smoothed f^2 (3 - 2
            // f).
            case "nonagon" -> new Outline(ring(9, 1500), smooth(40));
            // Turns of 22.5 degrees: a curve.
            case "sixteen" -> new Outline(ring(16, 1500), 0);
            default -> throw new AssertionError(name);
        };
    }

    private static double smooth(double degrees) {
        double none = Math.cos(Math.toRadians(30));
        double f = (none - Math.cos(Math.toRadians(degrees))) / (none - Math.cos(Math.toRadians(50)));
        return f * f * (3 - 2 * f);
    }

    private static long[] ring(int n, double radius) {
        long[] xy = new long[2 * n];
        for (int k = 0; k < n; k++) {
            xy[2 * k] = Math.round(radius * Math.cos(2 * Math.PI * (k + 0.3) / n));
            xy[2 * k + 1] = Math.round(radius * Math.sin(2 * Math.PI * (k + 0.3) / n));
        }
        return xy;
    }

    /** As {@link JudgingTest} has it. */
    private static double fade(double distanceUm, double corner) {
        double x = Math.pow(distanceUm / ALPHA_UM, 8);
        return 1 - corner * (1 - x / (x + Math.pow(1.75, 8)));
    }

    @ParameterizedTest
    @ValueSource(strings = {"turned rectangle", "ell", "triangle", "blunt", "nonagon", "sixteen"})
    void eachUnitIsJudgedOnItsOwnPartOfTheOutline(String name) {
        Outline outline = outline(name);
        for (double cell : new double[] {20, 0.7}) {
            Pieces[] cut = new Pieces[1];
            Samples samples = outline.samples(cell, cut);
            int units = cut[0].units();
            int[] unitOfPiece = cut[0].unitOfPiece();
            double[][] sums = new double[units][4];
            double[] most = new double[units];
            ToDoubleBiFunction<Double, Double> product = (x, y) -> (x - X_UM) * (y - Y_UM);
            int corners = outline.xy.length / 2;
            for (int k = 0; k < corners; k++) {
                double dx = outline.x(k + 1) - outline.x(k);
                double dy = outline.y(k + 1) - outline.y(k);
                double length = Math.hypot(dx, dy);
                int n = (int) (2e4 * length);
                for (int i = 0; i < n; i++) {
                    double t = (i + 0.5) / n;
                    double x = outline.x(k) + t * dx;
                    double y = outline.y(k) + t * dy;
                    // The inside lies on the left.
                    int unit = unitAt(cut[0], unitOfPiece, x - 1e-7 * dy / length, y + 1e-7 * dx / length);
                    double fade = fade(t * length, outline.corner) * fade((1 - t) * length, outline.corner);
                    double w = fade * length / n;
                    sums[unit][0] += w;
                    sums[unit][1] += w * x;
                    sums[unit][2] += w * y;
                    sums[unit][3] += w * product.applyAsDouble(x, y);
                    most[unit] = Math.max(most[unit], fade);
                }
            }
            int judged = 0;
            for (int u = 0; u < units; u++) {
                assertEquals(sums[u][0] == 0, samples.interior(u), "unit " + u);
                if (most[u] < 0.9) {
                    continue;
                }
                judged++;
                double[] found = new double[4];
                for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                    double w = samples.weight(j);
                    found[0] += w;
                    found[1] += w * samples.xUm(j);
                    found[2] += w * samples.yUm(j);
                    found[3] += w * product.applyAsDouble(samples.xUm(j), samples.yUm(j));
                }
                assertEquals(1, found[0], 1e-6);
                for (int m = 1; m < 4; m++) {
                    // Moments are worth a lever of up to 3 um; sides of a curve are followed, its kinks are not.
                    double tolerance = SAME_UM * (m == 3 ? 3 : 1) * (outline.corner == 0 ? 2 : 1);
                    assertEquals(sums[u][m] / sums[u][0], found[m], tolerance, "unit " + u + " of " + units + ", " + m);
                }
            }
            assertTrue(cell > 5 ? judged == 1 : judged >= 8, judged + " units");
        }
    }

    private static int unitAt(Pieces p, int[] unit, double x, double y) {
        for (int i = 0; i < p.size(); i++) {
            double across = p.standing(i) ? x : y;
            double along = p.standing(i) ? y : x;
            double t = (across - p.lowUm()[i]) / (p.highUm()[i] - p.lowUm()[i]);
            if (t >= 0
                    && t <= 1
                    && along >= p.fromLowUm()[i] + t * (p.fromHighUm()[i] - p.fromLowUm()[i])
                    && along <= p.toLowUm()[i] + t * (p.toHighUm()[i] - p.toLowUm()[i])) {
                return unit[i];
            }
        }
        throw new AssertionError("no piece at " + x + ", " + y);
    }
}
