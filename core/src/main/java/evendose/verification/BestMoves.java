package evendose.verification;

import evendose.geometry.Connected;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * What each round has brought to each neighbourhood, and the moves that were best there. Moves act over a few direct ranges: while one gap
 * still swings, another has come out, and of no round all of it is the best.
 */
final class BestMoves {
    /** Parts whose ends lie within so many direct ranges of each other act on each other. */
    private static final double REACH = 4;

    /** What a place without an edge counts, nm. */
    private static final double NO_EDGE_NM = 500;

    private final OutlineParts parts;
    private final double reachUm;
    private final List<Round> rounds = new ArrayList<>();

    private record Round(int[] steps, float[] worstNm, boolean[] troubled) {}

    BestMoves(OutlineParts parts, double directUm) {
        this.parts = parts;
        this.reachUm = REACH * directUm;
    }

    /**
     * Adds a round.
     *
     * @param steps by how many steps each part moved
     * @param worstNm where each part was off the most
     * @param troubled whether a part was off by more than allowed
     */
    void add(int[] steps, double[] worstNm, boolean[] troubled) {
        float[] nm = new float[worstNm.length];
        for (int p = 0; p < nm.length; p++) {
            nm[p] = (float) Math.min(NO_EDGE_NM, Math.abs(worstNm[p]));
        }
        rounds.add(new Round(steps.clone(), nm, troubled.clone()));
    }

    /** Whether a round has tried these steps. */
    boolean has(int[] steps) {
        return rounds.stream().anyMatch(r -> Arrays.equals(r.steps, steps));
    }

    /** For each neighbourhood the moves of the round with the fewest parts in trouble, and of those the one whose worst is least. */
    int[] steps() {
        int[] moving = moving();
        int[] group = groups(moving);
        int n = rounds.size();
        int[][] troubled = new int[moving.length][n];
        float[][] worst = new float[moving.length][n];
        for (int k = 0; k < moving.length; k++) {
            for (int r = 0; r < n; r++) {
                Round round = rounds.get(r);
                troubled[group[k]][r] += round.troubled[moving[k]] ? 1 : 0;
                worst[group[k]][r] = Math.max(worst[group[k]][r], round.worstNm[moving[k]]);
            }
        }
        int[] steps = new int[parts.size()];
        for (int k = 0; k < moving.length; k++) {
            int g = group[k];
            int best = 0;
            for (int r = 1; r < n; r++) {
                if (troubled[g][r] < troubled[g][best]
                        || (troubled[g][r] == troubled[g][best] && worst[g][r] < worst[g][best])) {
                    best = r;
                }
            }
            steps[moving[k]] = rounds.get(best).steps[moving[k]];
        }
        return steps;
    }

    /** Parts that any round has moved. */
    private int[] moving() {
        int[] moving = new int[parts.size()];
        int n = 0;
        for (int p = 0; p < parts.size(); p++) {
            for (Round round : rounds) {
                if (round.steps[p] != 0) {
                    moving[n++] = p;
                    break;
                }
            }
        }
        return Arrays.copyOf(moving, n);
    }

    /** For each of these parts the number, among them, of the first in its neighbourhood. */
    private int[] groups(int[] moving) {
        int[] group = new int[moving.length];
        Arrays.setAll(group, k -> k);
        Map<Long, List<double[]>> buckets = new HashMap<>();
        for (int k = 0; k < moving.length; k++) {
            for (double[] at : points(moving[k])) {
                long column = (long) Math.floor(at[0] / reachUm);
                long row = (long) Math.floor(at[1] / reachUm);
                for (long c = column - 1; c <= column + 1; c++) {
                    for (long r = row - 1; r <= row + 1; r++) {
                        for (double[] other : buckets.getOrDefault(key(c, r), List.of())) {
                            if (Math.hypot(other[0] - at[0], other[1] - at[1]) < reachUm) {
                                Connected.join(group, (int) other[2], k);
                            }
                        }
                    }
                }
                buckets.computeIfAbsent(key(column, row), b -> new ArrayList<>())
                        .add(new double[] {at[0], at[1], k});
            }
        }
        for (int k = 0; k < group.length; k++) {
            group[k] = Connected.root(group, k);
        }
        return group;
    }

    private static long key(long column, long row) {
        return column << 32 ^ (row & 0xFFFFFFFFL);
    }

    /** Points along a part, no farther from each other than parts reach. */
    private List<double[]> points(int part) {
        List<double[]> points = new ArrayList<>();
        int n = (int) Math.ceil(parts.lengthUm(part) / reachUm);
        for (int i = 0; i <= n; i++) {
            points.add(parts.point(part, (double) i / Math.max(1, n)));
        }
        return points;
    }
}
