package evendose.correction;

import evendose.Supported;
import evendose.pieces.OutlinePoints;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * How far the energy along the exposed outline is off its target, at points at least two direct ranges along it from corners. The outline is
 * that of the pieces: by how much they may stray from the drawn one is another matter.
 *
 * @param points number of points
 * @param rms root mean square, by length of outline, relative to the target
 * @param p95 what 95 % of the outline keeps within
 * @param max largest
 * @param places where it is largest, one place a unit, worst first
 */
@Supported
public record OutlineError(int points, double rms, double p95, double max, List<Place> places) {
    static final int PLACES = 5;

    /**
     * A place.
     *
     * @param xUm x, um
     * @param yUm y, um
     * @param off energy over target, less 1
     * @serial exclude
     */
    public record Place(double xUm, double yUm, double off) implements Serializable {}

    /**
     * Of points.
     *
     * @param off energy over target, less 1, of each point; NaN for those that do not count
     */
    static OutlineError of(OutlinePoints points, double[] off) {
        int n = 0;
        Integer[] order = new Integer[off.length];
        double length = 0;
        double squares = 0;
        for (int p = 0; p < off.length; p++) {
            if (!Double.isNaN(off[p])) {
                order[n++] = p;
                length += points.lengthUm()[p];
                squares += points.lengthUm()[p] * off[p] * off[p];
            }
        }
        Arrays.sort(order, 0, n, (a, b) -> {
            int larger = Double.compare(Math.abs(off[b]), Math.abs(off[a]));
            return larger != 0 ? larger : Integer.compare(a, b);
        });
        double beyond = 0;
        int k = 0;
        while (k < n - 1 && beyond + points.lengthUm()[order[k]] < 0.05 * length) {
            beyond += points.lengthUm()[order[k++]];
        }
        List<Place> places = new ArrayList<>();
        List<Integer> units = new ArrayList<>();
        for (int i = 0; i < n && places.size() < PLACES; i++) {
            int p = order[i];
            if (!units.contains(points.unit()[p])) {
                units.add(points.unit()[p]);
                places.add(new Place(points.xUm()[p], points.yUm()[p], off[p]));
            }
        }
        return n == 0
                ? new OutlineError(0, 0, 0, 0, List.of())
                : new OutlineError(
                        n, Math.sqrt(squares / length), Math.abs(off[order[k]]), Math.abs(off[order[0]]), places);
    }
}
