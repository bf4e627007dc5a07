package evendose.verification;

import evendose.correction.DrawnPattern;
import evendose.correction.DrawnSample;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.List;
import java.util.Optional;

/** The outline of what is drawn, and where it is complete. */
public final class OutlineSample {
    private final OutlineEdges edges;
    private final EdgeGauges.Region region;
    private final EdgeGauges.Region known;
    private final List<double[]> windowsUm;

    /**
     * The outline of a sample.
     *
     * @param drawn the sample
     * @param workers threads to compute on
     */
    public OutlineSample(DrawnSample drawn, Workers workers) {
        this.edges = OutlineEdges.of(drawn.merged(), drawn.dbuUm(), workers);
        this.windowsUm = drawn.windowsUm();
        this.region = isInWindow(0);
        this.known = isInWindow(drawn.aroundUm());
    }

    private EdgeGauges.Region isInWindow(double around) {
        return windowsUm.isEmpty() ? EdgeGauges.Region.ALL : (x, y) -> isInWindow(x, y, around);
    }

    /** So that no place on a border between windows counts twice, the left and the lower one belong to a window. */
    private boolean isInWindow(double x, double y, double around) {
        for (double[] w : windowsUm) {
            if (x >= w[0] - around && x < w[2] + around && y >= w[1] - around && y < w[3] + around) {
                return true;
            }
        }
        return false;
    }

    /** The outline. */
    OutlineEdges edges() {
        return edges;
    }

    /** Where places are to be looked at. */
    EdgeGauges.Region region() {
        return region;
    }

    /** Where it is complete: there, and some way around. */
    EdgeGauges.Region known() {
        return known;
    }

    /** Left, bottom, right, top of each window, um, not to be changed; empty if everything was taken. */
    List<double[]> windowsUm() {
        return windowsUm;
    }

    /**
     * Takes the outline or a sample of it.
     *
     * @param drawn what is drawn
     * @param windowUm left, bottom, right, top of the part to look at, um; empty for all
     * @param reachUm distance from which polygons add to the energy in a window, um: the larger, the fewer windows
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return the sample
     */
    public static OutlineSample of(
            DrawnPattern drawn, Optional<double[]> windowUm, double reachUm, Workers workers, Progress progress) {
        DrawnSample sample = DrawnSample.of(drawn, windowUm, reachUm, workers, progress);
        progress.begin("collecting the outline", 0);
        return new OutlineSample(sample, workers);
    }
}
