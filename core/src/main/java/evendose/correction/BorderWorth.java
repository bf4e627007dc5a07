package evendose.correction;

import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * What a border between dose units has to be worth: as much as possible, so that units are few, but so little that 95 % of the outline is
 * foretold to come within the goal when each part has its own mean made right.
 */
final class BorderWorth {
    /** Share of the goal that the forecast has to keep; more of it is left to joining ({@link UnitJoining}), which saves pieces. */
    private static final double MARGIN = 0.65;

    /** Parts get doses of their own at the latest when they differ by so many times the goal... */
    private static final double AT_THE_LATEST = 2;

    /** ...and the shortest not before it is off by so much of it. */
    private static final double AT_THE_EARLIEST = 0.5;

    private static final double MISSED = 0.05;
    private static final int HALVINGS = 12;

    private final Pieces pieces;
    private final OutlinePoints points;
    private final double[] off;
    private final BestBorder borders;
    private final Part[] units;
    private final double goal;
    private final double least;
    private final double apart;

    /** What can be divided, and what its best border is worth; each half again. */
    private record Part(int[] inside, BestBorder.Found border, Part low, Part high) {}

    /**
     * Units that may be divided.
     *
     * @param off by how much the energy at each point is off, relative to its target
     * @param isFree for each unit whether its dose may change
     * @param divisibleUm smallest extent of a unit that is worth dividing, um
     * @param shortestUm shortest straight outline of a part, um
     * @param goal what 95 % of the outline is to be within
     */
    BorderWorth(
            Pieces pieces,
            OutlinePoints points,
            double[] off,
            boolean[] isFree,
            double divisibleUm,
            double shortestUm,
            double goal) {
        this.points = points;
        this.off = off;
        this.pieces = pieces;
        this.borders = new BestBorder(points, off, shortestUm);
        this.goal = MARGIN * goal;
        this.least = shortestUm * Math.pow(AT_THE_EARLIEST * goal, 2);
        this.apart = AT_THE_LATEST * goal;
        int[] count = new int[pieces.units()];
        for (int unit : points.unit()) {
            count[unit]++;
        }
        int[][] inside = new int[pieces.units()][];
        for (int p = 0; p < points.size(); p++) {
            int unit = points.unit()[p];
            if (!isFree[unit]) {
                continue;
            }
            if (inside[unit] == null) {
                inside[unit] = new int[count[unit]];
                count[unit] = 0;
            }
            inside[unit][count[unit]++] = p;
        }
        this.units = new Part[inside.length];
        for (int u = 0; u < inside.length; u++) {
            if (inside[u] != null) {
                double[] box = pieces.unitBoundsUm(u);
                boolean isDivisible = Math.max(box[2] - box[0], box[3] - box[1]) > divisibleUm;
                units[u] = isDivisible ? part(inside[u], box) : new Part(inside[u], null, null, null);
            }
        }
    }

    private Part part(int[] inside, double[] box) {
        List<BestBorder.Found> found = isWorthLooking(inside) ? borders.of(inside, least, apart, box) : List.of();
        if (found.isEmpty()) {
            return new Part(inside, null, null, null);
        }
        BestBorder.Found border = found.get(0);
        int axis = border.alongY() ? 1 : 0;
        double[] along = border.alongY() ? points.inCellYUm() : points.inCellXUm();
        double[] lower = box.clone();
        double[] upper = box.clone();
        lower[axis + 2] = border.at();
        upper[axis] = border.at();
        return new Part(
                inside,
                border,
                part(Arrays.stream(inside).filter(p -> along[p] < border.at()).toArray(), lower),
                part(Arrays.stream(inside).filter(p -> along[p] >= border.at()).toArray(), upper));
    }

    /** Whether any border could be worth enough: at most a quarter of the length times the square of the largest difference. */
    private boolean isWorthLooking(int[] inside) {
        double length = 0;
        double lowest = Double.MAX_VALUE;
        double highest = -Double.MAX_VALUE;
        for (int p : inside) {
            length += points.lengthUm()[p];
            lowest = Math.min(lowest, off[p]);
            highest = Math.max(highest, off[p]);
        }
        return 0.25 * length * (highest - lowest) * (highest - lowest) >= 0.9 * least;
    }

    /** {@return whether the goal is foretold to be met when all borders are made that are worth anything} */
    boolean suffices() {
        return missed(least) <= MISSED;
    }

    /** {@return what a border has to be worth, um times squares of relative errors; infinite if the goal needs none} */
    double needed() {
        if (missed(Double.POSITIVE_INFINITY) <= MISSED) {
            return Double.POSITIVE_INFINITY;
        }
        double low = least;
        double high = least;
        for (Part unit : units) {
            high = unit == null || unit.border == null ? high : Math.max(high, unit.border.worth());
        }
        for (int k = 0; k < HALVINGS; k++) {
            double middle = Math.sqrt(low * high);
            if (missed(middle) <= MISSED) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return low;
    }

    private boolean isMade(Part part, double needed) {
        return part != null && part.border != null && (part.border.worth() >= needed || part.border.apart() >= apart);
    }

    /**
     * {@return the rule that makes these borders; empty if there is none}
     *
     * @param bucketUm about the size of the smaller cells, um: only speed depends on it
     */
    Optional<UnitDivision> division(double bucketUm) {
        double needed = needed();
        boolean[] divided = new boolean[units.length];
        boolean any = false;
        for (int u = 0; u < units.length; u++) {
            divided[u] = isMade(units[u], needed);
            any |= divided[u];
        }
        return any
                ? Optional.of(new UnitDivision(pieces, points, borders, needed, apart, divided, bucketUm))
                : Optional.empty();
    }

    /** The share of the outline that is foretold to be beyond the goal if borders are made that are worth so much. */
    private double missed(double worth) {
        double beyond = 0;
        double length = 0;
        for (Part unit : units) {
            if (unit == null) {
                continue;
            }
            beyond += beyond(unit, worth);
            for (int p : unit.inside) {
                length += counted(p);
            }
        }
        return length > 0 ? beyond / length : 0;
    }

    private double beyond(Part part, double worth) {
        if (isMade(part, worth)) {
            return beyond(part.low, worth) + beyond(part.high, worth);
        }
        double length = 0;
        double sum = 0;
        for (int p : part.inside) {
            length += points.lengthUm()[p];
            sum += points.lengthUm()[p] * off[p];
        }
        double beyond = 0;
        for (int p : part.inside) {
            beyond += Math.abs(off[p] - sum / length) > goal ? counted(p) : 0;
        }
        return beyond;
    }

    /** The goal is one for outline off corners. */
    private double counted(int p) {
        return points.nearCorner()[p] ? 0 : points.lengthUm()[p];
    }
}
