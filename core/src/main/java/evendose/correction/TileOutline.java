package evendose.correction;

import evendose.pieces.OutlinePoints;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/**
 * How far the energy along the outline of tiles is off, as {@link OutlineError} tells it, without keeping each point: what 95 % of the outline keeps
 * within is known to half a percent of itself, all else exactly ({@code TileOutlineTest}).
 *
 * @serial exclude
 */
public final class TileOutline implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Errors whose logarithms lie in one cell are alike. */
    private static final double CELL = 0.01;

    /** Errors below this are alike. */
    private static final double LEAST = 1e-9;

    private static final Comparator<OutlineError.Place> WORST_FIRST =
            Comparator.comparingDouble((OutlineError.Place p) -> -Math.abs(p.off()));

    private long points;
    private double length;
    private double squares;
    private double largest;
    private List<OutlineError.Place> places = List.of();

    /** Length of outline by size of the error. */
    private final TreeMap<Integer, Double> lengthOf = new TreeMap<>();

    /** Of no tile. */
    TileOutline() {}

    /**
     * Of one tile.
     *
     * @param off energy over target, less 1, of each point; NaN for those that do not count
     */
    TileOutline(OutlinePoints outline, double[] off) {
        OutlineError error = OutlineError.of(outline, off);
        points = error.points();
        largest = error.max();
        places = error.places();
        for (int p = 0; p < off.length; p++) {
            if (!Double.isNaN(off[p])) {
                double l = outline.lengthUm()[p];
                length += l;
                squares += l * off[p] * off[p];
                lengthOf.merge((int) Math.floor(Math.log(Math.max(LEAST, Math.abs(off[p]))) / CELL), l, Double::sum);
            }
        }
    }

    /** Adds what another tile tells, if it lies so far from where it says. */
    void add(TileOutline other, double dxUm, double dyUm) {
        points += other.points;
        length += other.length;
        squares += other.squares;
        largest = Math.max(largest, other.largest);
        other.lengthOf.forEach((cell, l) -> lengthOf.merge(cell, l, Double::sum));
        List<OutlineError.Place> all = new ArrayList<>(places);
        for (OutlineError.Place p : other.places) {
            all.add(new OutlineError.Place(p.xUm() + dxUm, p.yUm() + dyUm, p.off()));
        }
        all.sort(WORST_FIRST);
        places = List.copyOf(all.subList(0, Math.min(OutlineError.PLACES, all.size())));
    }

    /** All that was added. */
    OutlineError error() {
        if (points == 0) {
            return new OutlineError(0, 0, 0, 0, List.of());
        }
        double beyond = 0;
        double p95 = 0;
        for (Map.Entry<Integer, Double> cell : lengthOf.descendingMap().entrySet()) {
            beyond += cell.getValue();
            p95 = Math.min(largest, Math.exp((cell.getKey() + 0.5) * CELL));
            if (beyond >= 0.05 * length) {
                break;
            }
        }
        return new OutlineError(
                (int) Math.min(Integer.MAX_VALUE, points), Math.sqrt(squares / length), p95, largest, places);
    }
}
