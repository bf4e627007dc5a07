package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Cuts a region into the fewest pieces it finds, thin ones counted as several: with level cuts or standing ones, or divided first
 * along a line that separates parts that run along x from parts that run along y, or two heights so close that a thin
 * piece would lie between.
 */
final class RegionCutter {
    /** Divisions of a region within each other, at most. */
    private static final int DEEPEST = 6;

    /** Share of the outline that may run the wrong way before a division is looked for. */
    private static final double MIXED = 0.04;

    /** Share of the outline that may run the wrong way while the direction is plain. */
    private static final double CLEAR = 0.1;

    /** Lines that are tried where thin pieces are left. */
    private static final int TRIES = 3;

    /** Lines beside one that leaves few thin pieces: how many times they are looked for, and how far away, smallest extents. */
    private static final int MOST_BESIDE = 3;

    private static final double BESIDE = 1.5;

    private final double smallest;
    private final boolean exact;
    private final RegionSweep sweep;
    private double allowed;
    private final RingSplitter splitter;

    RegionCutter(boolean exact, double tolerance, double smallest, RingSplitter splitter, EdgeBuffer drawn) {
        this.exact = exact;
        this.smallest = smallest;
        this.sweep = new RegionSweep(drawn, exact, tolerance, smallest);
        this.splitter = splitter;
    }

    /**
     * Cuts.
     *
     * @param addedArea what earlier cuts have added to the area of the shape and this one should take away again
     * @param allowedArea what may be left of it
     */
    Cut cut(List<Ring> rings, double addedArea, double allowedArea) {
        allowed = allowedArea;
        Cut cut = divided(rings, straight(rings, addedArea, Double.MAX_VALUE), addedArea, DEEPEST);
        if (!Cut.areFewThin(cut.thin, cut.pieces)) {
            return cut;
        }
        Cut other = evened(cut, addedArea, Double.MAX_VALUE);
        return other.cost() < cut.cost() ? other : cut;
    }

    /** The same cut with other places tried where few pieces are thin, and breaks moved so that the area comes out, given what all others have added to it. */
    Cut evened(Cut cut, double addedArea, double allowedArea) {
        Cut evened = new Cut();
        double bent = cut.addedArea;
        for (Cut.Part part : cut.parts) {
            bent -= part.addedArea();
        }
        evened.addedArea = bent;
        for (Cut.Part part : cut.parts) {
            evened.addAll(sweep.cut(
                    part.rings(), part.standing(), addedArea + evened.addedArea, allowedArea, true, Double.MAX_VALUE));
        }
        return evened;
    }

    /** The better of both directions, where it is not plain which one that is; null if they cost {@code limit} or more. */
    private Cut straight(List<Ring> rings, double addedArea, double limit) {
        double[] run = runs(rings);
        // With holes, upright and level sides that are not looked at here may decide.
        boolean level = rings.size() == 1 && run[0] <= CLEAR * run[1];
        boolean standing = rings.size() == 1 && !level && run[1] <= CLEAR * run[0];
        Cut one = sweep.cut(rings, standing, addedArea, allowed, false, limit);
        if ((level || standing) && one != null && one.thin == 0) {
            return one;
        }
        Cut other = sweep.cut(rings, !standing, addedArea, allowed, false, one == null ? limit : one.limit());
        return other == null || one != null && one.wholeCost() <= other.wholeCost() ? one : other;
    }

    /** Whether nearly all slanted outline runs more along one axis than along the other. */
    static boolean runsOneWay(List<Ring> rings) {
        double[] run = runs(rings);
        return Math.min(run[0], run[1]) <= CLEAR * Math.max(run[0], run[1]);
    }

    /** Lengths of slanted outline that run more along x, and more along y. */
    private static double[] runs(List<Ring> rings) {
        double alongX = 0;
        double alongY = 0;
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                int next = k + 1 == r.size ? 0 : k + 1;
                double dx = Math.abs(r.x[next] - r.x[k]);
                double dy = Math.abs(r.y[next] - r.y[k]);
                if (dx > 0 && dy > 0) {
                    if (dx > dy) {
                        alongX += dx;
                    } else {
                        alongY += dy;
                    }
                }
            }
        }
        return new double[] {alongX, alongY};
    }

    private Cut divided(List<Ring> rings, Cut whole, double addedArea, int depth) {
        if (depth == 0 || whole.pieces <= 2) {
            return whole;
        }
        Lines lines = new Lines(rings);
        if (whole.thin == 0 && !lines.isMixed()) {
            return whole;
        }
        lines.addTurns();
        if (whole.thin > 0) {
            lines.addBetweenThin(whole);
        }
        Cut best = whole;
        int others = MOST_BESIDE;
        for (int t = 0; t < lines.count; t++) {
            Cut bestBefore = best;
            splitter.split(rings, lines.alongY[t], lines.at[t], smallest);
            if (splitter.low.isEmpty() || splitter.high.isEmpty()) {
                continue;
            }
            List<Ring> low = List.copyOf(splitter.low);
            List<Ring> high = List.copyOf(splitter.high);
            double bent = splitter.addedArea;
            // Further down, trouble taken for a few thin pieces would multiply.
            double limit = depth == DEEPEST ? best.limit() : best.cost();
            Cut below = straight(low, addedArea + bent, limit);
            if (below == null) {
                continue;
            }
            Cut beyond = straight(high, addedArea + bent + below.addedArea, limit - below.cost());
            if (beyond != null) {
                below = divided(low, below, addedArea + bent, depth - 1);
                beyond = divided(high, beyond, addedArea + bent + below.addedArea, depth - 1);
                Cut both = new Cut();
                both.addAll(below);
                both.addAll(beyond);
                both.addedArea += bent;
                best = depth < DEEPEST || both.wholeCost() < best.wholeCost() ? both : best;
            }
            if (depth == DEEPEST && best != bestBefore && Cut.areFewThin(best.thin, best.pieces) && others > 0) {
                others--;
                lines.addBeside(t);
            }
        }
        return best;
    }

    /** Lines that are worth trying. */
    private final class Lines {
        private final List<Ring> rings;
        private double levelRun;
        private double standingRun;
        private boolean[] alongY = new boolean[8];
        private double[] at = new double[8];
        private int count;

        Lines(List<Ring> rings) {
            this.rings = rings;
            double[] run = runs(rings);
            levelRun = run[0];
            standingRun = run[1];
        }

        boolean isMixed() {
            return Math.min(levelRun, standingRun) > MIXED * Math.max(levelRun, standingRun);
        }

        private void add(boolean y, double c) {
            double place = exact ? c : Math.rint(c);
            for (int t = 0; t < count; t++) {
                if (alongY[t] == y && Math.abs(at[t] - place) < smallest) {
                    return;
                }
            }
            if (count == at.length) {
                alongY = Arrays.copyOf(alongY, 2 * count);
                at = Arrays.copyOf(at, 2 * count);
            }
            alongY[count] = y;
            at[count++] = place;
        }

        /** Of the lines through places where the outline turns from one way to the other, the one that separates them best. */
        void addTurns() {
            List<double[]> turns = new ArrayList<>();
            for (Ring r : rings) {
                collectTurns(r, turns);
            }
            double bestWrong = Double.MAX_VALUE;
            boolean bestY = false;
            double bestAt = 0;
            for (double[] turn : turns) {
                for (int axis = 0; axis < 2; axis++) {
                    double wrong = wrongWay(axis == 1, turn[axis]);
                    if (wrong < bestWrong) {
                        bestWrong = wrong;
                        bestY = axis == 1;
                        bestAt = turn[axis];
                    }
                }
            }
            if (bestWrong < 0.9 * Math.min(levelRun, standingRun)) {
                add(bestY, bestAt);
            }
        }

        /** Places where the direction, smoothed over some edges, changes class; at most some. */
        private void collectTurns(Ring r, List<double[]> turns) {
            int before = 0;
            double sx = 0;
            double sy = 0;
            double chord = 4 * smallest;
            int from = 0;
            for (int k = 0; k <= r.size && turns.size() < 24; k++) {
                int a = k % r.size;
                int next = (k + 1) % r.size;
                sx += Math.abs(r.x[next] - r.x[a]);
                sy += Math.abs(r.y[next] - r.y[a]);
                if (sx + sy < chord) {
                    continue;
                }
                int way = sx == 0 || sy == 0 ? 0 : sx > sy ? 1 : -1;
                if (way != 0 && before != 0 && way != before) {
                    turns.add(new double[] {r.x[from % r.size], r.y[from % r.size]});
                }
                before = way;
                sx = 0;
                sy = 0;
                from = k + 1;
            }
        }

        /** Length that runs the wrong way on either side of a line if each side is cut in its better direction. */
        private double wrongWay(boolean y, double c) {
            double levelLow = 0;
            double standingLow = 0;
            for (Ring r : rings) {
                for (int k = 0; k < r.size; k++) {
                    int next = k + 1 == r.size ? 0 : k + 1;
                    double dx = Math.abs(r.x[next] - r.x[k]);
                    double dy = Math.abs(r.y[next] - r.y[k]);
                    if (dx > 0 && dy > 0 && r.along(y, k) < c) {
                        if (dx > dy) {
                            levelLow += dx;
                        } else {
                            standingLow += dy;
                        }
                    }
                }
            }
            return Math.min(levelLow, standingLow) + Math.min(levelRun - levelLow, standingRun - standingLow);
        }

        /** Lines beside one that leaves few thin pieces. */
        void addBeside(int t) {
            add(alongY[t], at[t] - BESIDE * smallest);
            add(alongY[t], at[t] + BESIDE * smallest);
        }

        /** Lines across thin pieces: what makes them thin lies at both ends. */
        void addBetweenThin(Cut cut) {
            int step = Math.max(1, cut.thin / TRIES);
            int thin = 0;
            for (int i = 0; i < cut.pieces && count < TRIES + 1; i++) {
                double[][] c = cut.coordinates;
                if (c[1][i] - c[0][i] < smallest && thin++ % step == 0) {
                    add(cut.standing[i], 0.25 * (c[2][i] + c[3][i] + c[4][i] + c[5][i]));
                }
            }
        }
    }
}
