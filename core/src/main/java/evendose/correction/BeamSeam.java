package evendose.correction;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.util.Arrays;
import org.apache.commons.numbers.gamma.Erf;

/**
 * How a fine and a coarse beam meet inside a wide shape, so that the energy there is that of a uniformly exposed pad.
 *
 * <p>Across a straight seam at {@code x = 0}, the bulk at {@code x > 0}, the direct terms of the coarse beam leave of the plateau that they
 * reach deep inside
 *
 * <pre>S(x) = sum_k v_k erfc(-x / a_k) / 2,      v_k = w_k / sum of the direct w</pre>
 *
 * <p>and those of the fine beam, exposed up to an edge at {@code e}, the share {@code 1 - F(x - e)}, F likewise. One edge of the fine exposure,
 * wherever it lies, leaves a dip on one side of it and an excess on the other, each of nearly half of the direct energy if the coarse beam is
 * much the wider. So the fine exposure overlaps the bulk and goes down in steps of equal width about its edge, each with the share that, blurred by
 * the fine beam, is what the coarse one lacks. Ranges of Gaussians add in squares, so with {@code a_f} the fine beam's direct range that share is
 *
 * <pre>1 - sum_k v_k erfc(-x / sqrt(a_k^2 - a_f^2)) / 2      in the middle of the step.</pre>
 *
 * <p>With {@code q_m} what the share falls by at the edge {@code e_m} of a step, what is left of an even energy is
 *
 * <pre>D(x) = S(x) - sum_m q_m F(x - e_m)</pre>
 *
 * <p>of the direct energy, which is never more than the whole energy in a pad, so {@code max |D|} bounds what a seam is off by. The number of steps is the
 * smallest that keeps it to {@value #WANTED}, and their reach the one that makes it least; beams of nearly equal blur simply abut.
 *
 * <p>Along a curved seam of radius R the coarse beam lacks about {@code a / (2 sqrt(pi) R)} of its plateau, 1.4 % at {@code R = 20 a}. So a
 * bulk is nowhere narrower than 40 ranges; what is, is left to the fine beam.
 *
 * @param rimUm width of the rim: how far the bulk keeps from the drawn outline, um
 * @param edgesUm where the share of the fine dose falls, um, rising, into the bulk from its edge; not to be changed
 * @param shares share of the fine dose between neighbouring edges, falling, one less than there are edges; not to be changed
 * @param reachUm beyond this distance from its edge the coarse beam is within 0.1 % of its plateau, or of nothing, um
 * @param coreUm half of the least width of a bulk, um
 * @param deviation largest {@code |D|}
 */
public record BeamSeam(
        double rimUm, double[] edgesUm, double[] shares, double reachUm, double coreUm, double deviation) {
    /** Largest deviation wanted, of the 0.02 that a seam may be off; the rest is left to grids, joined doses and rounding. */
    static final double WANTED = 0.006;

    private static final int MOST_STEPS = 60;

    /** What the coarse beam may lack at {@link #reachUm}. */
    private static final double LACK = 1e-3;

    /** Half of the least width of a bulk, direct ranges of the coarse beam. */
    private static final double CORE_RANGES = 20;

    /** Reaches of the steps that are tried. */
    private static final int REACHES = 30;

    /** Places in the finest range at which the deviation is looked at. */
    private static final double PLACES_PER_RANGE = 6;

    private static final int MOST_PLACES = 1000;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public BeamSeam {
        Range.positive("width of the rim (um)", rimUm);
    }

    /**
     * {@return the seam with the fewest steps that keep it even}
     *
     * @param fine point spread function of the fine beam
     * @param bulk point spread function of the coarse beam
     * @param rimUm width of the rim, um, positive; steps reach into no more than half of it
     * @param leastUm steps are no narrower, um, at least 0: what a writer can expose
     * @param gridUm edges lie on multiples of it, um, positive
     * @throws IllegalArgumentException if the rim's width is not positive
     */
    public static BeamSeam of(
            PointSpreadFunction fine, PointSpreadFunction bulk, double rimUm, double leastUm, double gridUm) {
        Range.positive("width of the rim (um)", rimUm);
        Direct blur = Direct.of(bulk);
        Direct edge = Direct.of(fine);
        Direct wanted = blur.without(fine.direct().rangeUm());
        double reach = blur.where(1 - LACK);
        double core = CORE_RANGES * bulk.direct().rangeUm();
        BeamSeam best = seam(edge, blur, rimUm, new double[] {0}, new double[0], reach, core);
        double most = Math.min(0.5 * rimUm, reach);
        for (int steps = 1; steps <= MOST_STEPS && best.deviation > WANTED; steps++) {
            for (int k = 1; k <= REACHES; k++) {
                double half = most * k / REACHES;
                double[] edges = new double[steps + 1];
                double[] shares = new double[steps];
                boolean wide = true;
                for (int m = 0; m <= steps; m++) {
                    edges[m] = gridUm * Math.rint(half * (2.0 * m / steps - 1) / gridUm);
                    if (m > 0) {
                        shares[m - 1] = 1 - wanted.risen(0.5 * (edges[m] + edges[m - 1]));
                        wide &= edges[m] - edges[m - 1] >= Math.max(leastUm, gridUm) * (1 - 1e-9);
                    }
                }
                if (wide) {
                    BeamSeam seam = seam(edge, blur, rimUm, edges, shares, reach, core);
                    best = seam.deviation < best.deviation ? seam : best;
                }
            }
        }
        return best;
    }

    private static BeamSeam seam(
            Direct fine, Direct bulk, double rimUm, double[] edges, double[] shares, double reach, double core) {
        double worst = 0;
        double step = Math.max(Math.min(fine.ranges[0], bulk.ranges[0]) / PLACES_PER_RANGE, 2 * reach / MOST_PLACES);
        for (double x = -reach; x <= reach; x += step) {
            double sum = bulk.risen(x);
            double share = 1;
            for (int m = 0; m < edges.length; m++) {
                double next = m < shares.length ? shares[m] : 0;
                sum -= (share - next) * fine.risen(x - edges[m]);
                share = next;
            }
            worst = Math.max(worst, Math.abs(sum));
        }
        return new BeamSeam(rimUm, edges, shares, reach, core, worst);
    }

    /** {@return number of steps between full and no fine dose; 0 if the exposures abut} */
    public int steps() {
        return shares.length;
    }

    /** {@return least width of the rim that keeps the coarse beam off the drawn outline, um: its energy there is 0.1 % of its plateau} */
    public double sensibleRimUm() {
        return reachUm;
    }

    /** {@return how far the fine exposure reaches into the bulk, um; 0 if both abut} */
    public double overlapUm() {
        return edgesUm[edgesUm.length - 1];
    }

    /**
     * {@return share of the coarse beam's plateau that its direct terms leave at a distance inside its edge, S}
     *
     * @param bulk point spread function of the coarse beam
     * @param xUm distance, um; negative outside
     */
    public static double risen(PointSpreadFunction bulk, double xUm) {
        return Direct.of(bulk).risen(xUm);
    }

    /**
     * {@return largest change of the energy at a straight seam if the coarse exposure is shifted across it, of the coarse beam's plateau:
     * {@code sum_k v_k erf(shift / (2 a_k))}} This is the difference of S at two places {@code shift} apart, which is largest about the seam.
     *
     * @param bulk point spread function of the coarse beam
     * @param shiftUm the shift, um
     */
    public static double ofShift(PointSpreadFunction bulk, double shiftUm) {
        Direct blur = Direct.of(bulk);
        return blur.risen(0.5 * shiftUm) - blur.risen(-0.5 * shiftUm);
    }

    /** The direct terms of a point spread function across a straight edge; ranges may be 0. */
    private static final class Direct {
        private static final int HALVINGS = 60;

        private final double[] ranges;
        private final double[] weights;

        private Direct(double[] ranges, double[] weights) {
            this.ranges = ranges;
            this.weights = weights;
        }

        static Direct of(PointSpreadFunction psf) {
            int n = psf.directTerms();
            double whole = psf.direct().weight();
            return new Direct(
                    psf.terms().stream()
                            .limit(n)
                            .mapToDouble(GaussianTerm::rangeUm)
                            .toArray(),
                    psf.terms().stream()
                            .limit(n)
                            .mapToDouble(t -> t.weight() / whole)
                            .toArray());
        }

        /** What, blurred by a Gaussian of a range, gives this; nothing narrower than that can be told apart. */
        Direct without(double rangeUm) {
            return new Direct(
                    Arrays.stream(ranges)
                            .map(a -> Math.sqrt(Math.max(0, a * a - rangeUm * rangeUm)))
                            .toArray(),
                    weights);
        }

        double risen(double x) {
            double sum = 0.5;
            for (int k = 0; k < ranges.length; k++) {
                sum += 0.5 * weights[k] * (ranges[k] == 0 ? Math.signum(x) : Erf.value(x / ranges[k]));
            }
            return sum;
        }

        /** Where {@link #risen} has a value, by bisection. */
        double where(double share) {
            double high = 6 * ranges[ranges.length - 1];
            double low = -high;
            for (int k = 0; k < HALVINGS; k++) {
                double middle = 0.5 * (low + high);
                if (risen(middle) < share) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            return 0.5 * (low + high);
        }
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {rimUm, edgesUm, shares, reachUm, coreUm, deviation};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof BeamSeam o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
