package evendose.verification;

import static evendose.files.NumberText.percent;

import evendose.correction.BeamSeam;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.TwoBeamCorrection;
import evendose.geometry.Merge;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;

/**
 * How even the energy is where a fine and a coarse beam meet, and what an error of overlay between both exposures does to it.
 *
 * <p><b>Even</b> is what a uniformly exposed pad has. Its energy across the seam is taken from both sides: with {@code E(-a)} and {@code E(b)} the energies
 * in rim and bulk where the coarse beam has reached nothing and its plateau, and S the share of the plateau that it has at x ({@link BeamSeam#risen}),
 *
 * <pre>even(x) = E(-a) (1 - S(x)) + E(b) S(x),      off = E(x) / even(x) - 1</pre>
 *
 * <p>Doses of rim and bulk differ as those of neighbouring units do, which is no fault of the seam; where they are the same, even(x) is the energy of a
 * pad. Corners of the bulk are left out of {@code off}, for the coarse beam rounds them, and are part of {@code lowest}.
 *
 * @param places number of places on the seam, off corners
 * @param offBy largest {@code |off|} across the seam at these places
 * @param offXUm where, x, um
 * @param offYUm where, y, um
 * @param lowest lowest energy about the seam, corners included, over the clearing energy
 * @param lowestXUm where, x, um
 * @param lowestYUm where, y, um
 * @param shiftUm error of overlay across the seam, either way, um
 * @param shifted largest change of the energy by it, of the clearing energy
 * @param shiftedXUm where, x, um
 * @param shiftedYUm where, y, um
 */
public record SeamCheck(
        int places,
        double offBy,
        double offXUm,
        double offYUm,
        double lowest,
        double lowestXUm,
        double lowestYUm,
        double shiftUm,
        double shifted,
        double shiftedXUm,
        double shiftedYUm) {
    /** What a seam may be off, of the energy of an even pad. */
    public static final double ALLOWED = 0.02;

    /** Error of overlay that is looked at, um. */
    public static final double SHIFT_UM = 0.02;

    private static final int PLACES = 400;

    /** Points across the seam. */
    private static final int POINTS = 81;

    /** How near to the drawn outline a profile may begin, of the rim's width: nearer, the edge itself would count. */
    private static final double WITHIN_RIM = 0.7;

    /** Edges of the bulk so many of the coarse beam's ranges long end in corners that are looked at. */
    private static final double LONG = 8;

    /**
     * Looks along the seam.
     *
     * @param both the doses
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what is found
     */
    public static SeamCheck of(TwoBeamCorrection both, Workers workers, Progress progress) {
        Exposure bulk = Exposure.of(both.bulk());
        PointEnergy coarse = bulk.fields(workers, Progress.NONE).of(true);
        PointEnergy fine =
                Exposure.of(both.fine()).fields(workers, Progress.NONE).of(true);
        progress.begin("looking along the seam", 0);
        OutlineEdges edges = OutlineEdges.of(
                Merge.of(both.bulkShapes(), 1, workers, Progress.NONE),
                both.fine().pattern().unit().um());
        EdgeGauges places = EdgeGauges.random(edges, bulk, PLACES, EdgeGauges.Region.ALL, 5);
        int[] cornerEdges = cornerEdges(edges, bulk.psf().direct().rangeUm());
        Profile[] profiles = new Profile[places.size() + cornerEdges.length];
        workers.run(profiles.length, g -> {
            boolean onSeam = g < places.size();
            int e = onSeam ? places.edge[g] : cornerEdges[g - places.size()];
            profiles[g] = new Profile(
                    onSeam ? places.xUm[g] : edges.xUm(e, 0),
                    onSeam ? places.yUm[g] : edges.yUm(e, 0),
                    -edges.outX(e),
                    -edges.outY(e),
                    onSeam && !places.corner[g]);
            profiles[g].look(both.seam(), bulk.psf(), new Superposed(1, fine, coarse), coarse);
        });
        double threshold = Exposure.of(both.fine()).threshold();
        Profile off = null;
        Profile lowest = null;
        Profile shifted = null;
        int onSeam = 0;
        for (Profile p : profiles) {
            onSeam += p.counts ? 1 : 0;
            off = p.counts && (off == null || p.off > off.off) ? p : off;
            shifted = p.counts && (shifted == null || p.shifted > shifted.shifted) ? p : shifted;
            lowest = lowest == null || p.lowest < lowest.lowest ? p : lowest;
        }
        return new SeamCheck(
                onSeam,
                off == null ? 0 : off.off,
                off == null ? Double.NaN : off.x(off.offAt),
                off == null ? Double.NaN : off.y(off.offAt),
                lowest.lowest / threshold,
                lowest.x(lowest.lowestAt),
                lowest.y(lowest.lowestAt),
                SHIFT_UM,
                shifted == null ? 0 : shifted.shifted / threshold,
                shifted == null ? Double.NaN : shifted.x(shifted.shiftedAt),
                shifted == null ? Double.NaN : shifted.y(shifted.shiftedAt));
    }

    /**
     * {@return a verdict with what the bulk and its seam add to it}
     *
     * @param verdict the verdict on edges and fine doses
     * @param bulk the doses of the bulk
     */
    public Verdict judged(Verdict verdict, DoseTable bulk) {
        List<String> wrong = new ArrayList<>();
        long off = bulk.heldPieces() + bulk.pieces(DoseStatus.UNCONVERGED);
        if (off > 0) {
            wrong.add(text("%,d pieces of the bulk miss their energy.", off));
        }
        if (lowest < 1) {
            wrong.add(text(
                    "Inside a wide shape the energy falls to %s of the clearing energy at (%.3f, %.3f) um.",
                    percent(lowest), lowestXUm, lowestYUm));
        }
        if (offBy > ALLOWED) {
            wrong.add(text(
                    "The seam of both beams is off an even pad by %s at (%.3f, %.3f) um; %s are allowed.",
                    percent(offBy), offXUm, offYUm, percent(ALLOWED)));
        }
        List<String> notes = new ArrayList<>();
        if (places > 0 && offBy <= ALLOWED) {
            notes.add(text("The seam of both beams is within %s of an even pad.", percent(offBy)));
        }
        if (places > 0) {
            notes.add(text(
                    "%.3g nm of overlay error between both exposures change the energy at the seam by up to %s of the clearing energy, at"
                            + " (%.3f, %.3f) um.",
                    1e3 * shiftUm, percent(shifted), shiftedXUm, shiftedYUm));
        }
        return verdict.with(wrong, notes);
    }

    private static String text(String pattern, Object... values) {
        return String.format(Locale.ROOT, pattern, values);
    }

    /** Some of the edges that are long beside the coarse beam. */
    private static int[] cornerEdges(OutlineEdges edges, double rangeUm) {
        int[] found = new int[edges.size()];
        int n = 0;
        for (int e = 0; e < found.length; e++) {
            if (edges.lengthUm(e) > LONG * rangeUm) {
                found[n++] = e;
            }
        }
        int every = 1 + n / PLACES;
        int[] some = new int[(n + every - 1) / every];
        for (int k = 0; k < some.length; k++) {
            some[k] = found[k * every];
        }
        return some;
    }

    /** The energy across the seam at one place; lengths count into the bulk. */
    private static final class Profile {
        private final double xUm;
        private final double yUm;
        private final double inX;
        private final double inY;
        private final boolean counts;
        private double off;
        private double offAt;
        private double lowest = Double.MAX_VALUE;
        private double lowestAt;
        private double shifted;
        private double shiftedAt;

        Profile(double xUm, double yUm, double inX, double inY, boolean counts) {
            this.xUm = xUm;
            this.yUm = yUm;
            this.inX = inX;
            this.inY = inY;
            this.counts = counts;
        }

        double x(double t) {
            return xUm + t * inX;
        }

        double y(double t) {
            return yUm + t * inY;
        }

        void look(BeamSeam seam, PointSpreadFunction bulk, PointEnergy energy, PointEnergy coarse) {
            double from = -Math.min(seam.reachUm(), WITHIN_RIM * seam.rimUm());
            double to = seam.reachUm();
            double[] along = new double[POINTS];
            Arrays.setAll(along, k -> from + (to - from) * k / (POINTS - 1));
            double[] e = Arrays.stream(along).map(t -> energy.at(x(t), y(t))).toArray();
            for (int k = 0; k < POINTS; k++) {
                double t = along[k];
                double s = BeamSeam.risen(bulk, t);
                double even = e[0] * (1 - s) + e[POINTS - 1] * s;
                double isOff = Math.abs(e[k] / even - 1);
                if (isOff > off) {
                    off = isOff;
                    offAt = t;
                }
                if (e[k] < lowest) {
                    lowest = e[k];
                    lowestAt = t;
                }
                double here = coarse.at(x(t), y(t));
                double moved = Math.max(
                        Math.abs(coarse.at(x(t + SHIFT_UM), y(t + SHIFT_UM)) - here),
                        Math.abs(coarse.at(x(t - SHIFT_UM), y(t - SHIFT_UM)) - here));
                if (moved > shifted) {
                    shifted = moved;
                    shiftedAt = t;
                }
            }
        }
    }
}
