package evendose.verification;

import evendose.geometry.Trapezoids;
import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;
import java.util.Random;

/**
 * Whether energies, taken as a whole, are those that the criterion asks for. This needs no unit, no cut and no sampler of the
 * correction: places are random ones on the drawn outline (edge criterion, corners left out) or inside the drawn shapes (area criterion),
 * energies come from closed forms, what is wanted from {@link WantedEnergy}.
 *
 * <p>Single doses that are wrong are {@link DoseCheck}'s to find. What is off everywhere by the same share is a wrong base dose or
 * reference; this finds it long before single doses become suspicious.
 *
 * @param places number of places
 * @param bias median (edges) or mean (areas) of the relative energy errors
 * @param rms root mean square of those errors
 * @param uniform whether at least four of five errors lie nearer to the bias than the bias to 0
 * @param tolerance bias up to which energies pass
 * @param mostRms rms up to which they pass
 */
record EnergyBias(int places, double bias, double rms, boolean uniform, double tolerance, double mostRms) {
    /** Bias up to which energies pass; what levels may add comes on top. */
    static final double TOLERANCE = 0.01;

    /** Rms of energy errors on edges up to which doses pass; what levels may add comes on top. */
    static final double MOST_RMS = 0.1;

    private static final int FEWEST = 20;
    private static final double UNIFORM_SHARE = 0.8;
    private static final double STANDARD_ERRORS = 4;

    /** Whether energies pass. */
    boolean holds() {
        return places < FEWEST || (Math.abs(bias) <= tolerance && rms <= mostRms);
    }

    /** What is wrong, a sentence; empty if nothing is. */
    Optional<String> complaint() {
        if (holds()) {
            return Optional.empty();
        }
        if (Math.abs(bias) <= tolerance) {
            return Optional.of(String.format(
                    Locale.ROOT, "Energies on drawn edges are off by %.0f %% rms: the doses do not fit.", 100 * rms));
        }
        return Optional.of(String.format(
                Locale.ROOT,
                uniform
                        ? "All doses are too %s by about %.2f %%, the same everywhere: look at the base dose."
                        : "Doses are too %s on the whole: energies are off by %.2f %% in the middle, and not the same everywhere.",
                bias > 0 ? "high" : "low",
                100 * Math.abs(bias)));
    }

    /**
     * On edges.
     *
     * @param errors relative energy errors at {@code gauges}
     * @param levels relative error that levels may add
     */
    static EnergyBias onEdges(
            Exposure exposure, EdgeGauges gauges, OutlineEdges edges, double[] errors, double levels, double slackUm) {
        PieceLookup lookup = new PieceLookup(exposure.pieces());
        int[] unitOfPiece = exposure.pieces().unitOfPiece();
        // Pieces exposed smaller than drawn begin farther inside.
        double inside = slackUm + Math.max(0, -exposure.options().biasUm());
        double[] kept = new double[errors.length];
        int n = 0;
        for (int g = 0; g < errors.length; g++) {
            int piece = lookup.at(
                    gauges.xUm[g] - inside * edges.outX(gauges.edge[g]),
                    gauges.yUm[g] - inside * edges.outY(gauges.edge[g]),
                    slackUm);
            if (!gauges.corner[g] && piece >= 0 && exposure.isJudged(unitOfPiece[piece])) {
                kept[n++] = errors[g];
            }
        }
        // Shapes of one dose meet their edges on average only.
        double mostRms = exposure.options().oneDosePerShape() ? Double.POSITIVE_INFINITY : MOST_RMS + levels;
        return of(Arrays.copyOf(kept, n), true, TOLERANCE + levels, mostRms);
    }

    /** In the drawn shapes, at random places spread by area. */
    static EnergyBias inAreas(
            Exposure exposure,
            Trapezoids layout,
            double dbuUm,
            PointEnergy energy,
            int count,
            double levels,
            double slackUm,
            Workers workers) {
        double[] sum = new double[layout.size()];
        double total = 0;
        for (int i = 0; i < sum.length; i++) {
            total += exposure.isCorrected(layout.group(i)) ? layout.area(i) : 0;
            sum[i] = total;
        }
        PieceLookup lookup = new PieceLookup(exposure.pieces());
        int[] unitOfPiece = exposure.pieces().unitOfPiece();
        Random random = new Random(17);
        double[] share = random.doubles(3L * count).toArray();
        double all = total;
        double[] error = new double[all > 0 ? count : 0];
        workers.run(error.length, k -> {
            int at = Arrays.binarySearch(sum, (k + share[3 * k]) / count * all);
            int i = Math.min(sum.length - 1, at < 0 ? -at - 1 : at);
            double t = across(layout, i, share[3 * k + 1]);
            double y = dbuUm * (layout.yBottom(i) + t * (layout.yTop(i) - layout.yBottom(i)));
            double left = layout.xLeftBottom(i) + t * (layout.xLeftTop(i) - layout.xLeftBottom(i));
            double right = layout.xRightBottom(i) + t * (layout.xRightTop(i) - layout.xRightBottom(i));
            double x = dbuUm * (left + share[3 * k + 2] * (right - left));
            int piece = lookup.at(x, y, slackUm);
            double wanted = exposure.wanted(layout.group(i), x, y);
            error[k] = piece >= 0 && exposure.isJudged(unitOfPiece[piece]) ? energy.at(x, y) / wanted - 1 : Double.NaN;
        });
        double[] kept = Arrays.stream(error).filter(Double::isFinite).toArray();
        double mean = Arrays.stream(kept).average().orElse(0);
        double variance =
                Arrays.stream(kept).map(e -> (e - mean) * (e - mean)).average().orElse(0);
        double standardError = Math.sqrt(variance / Math.max(1, kept.length));
        return of(kept, false, TOLERANCE + levels + STANDARD_ERRORS * standardError, Double.POSITIVE_INFINITY);
    }

    /** The height, as a share, below which {@code share} of a trapezoid's area lies. */
    private static double across(Trapezoids layout, int i, double share) {
        double a = layout.xRightBottom(i) - layout.xLeftBottom(i);
        double b = layout.xRightTop(i) - layout.xLeftTop(i);
        double root = Math.sqrt(a * a + share * (b * b - a * a));
        return a + root > 0 ? share * (a + b) / (a + root) : 0;
    }

    private static EnergyBias of(double[] errors, boolean median, double tolerance, double mostRms) {
        int n = errors.length;
        if (n == 0) {
            return new EnergyBias(0, 0, 0, false, tolerance, mostRms);
        }
        double[] sorted = errors.clone();
        Arrays.sort(sorted);
        double bias = median ? sorted[n / 2] : Arrays.stream(errors).average().orElse(0);
        long near = Arrays.stream(errors)
                .filter(e -> Math.abs(e - bias) < Math.abs(bias))
                .count();
        double rms = Math.sqrt(Arrays.stream(errors).map(e -> e * e).sum() / n);
        return new EnergyBias(n, bias, rms, near >= UNIFORM_SHARE * n, tolerance, mostRms);
    }
}
