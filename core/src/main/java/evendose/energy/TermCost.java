package evendose.energy;

import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * What terms would cost by either evaluator, estimated before anything is built: operations are counted on a sample of units and
 * multiplied by what one takes. What depends on the pitch alone, the windows of a grid, is counted once for all groups of
 * terms with the same one.
 *
 * <p>The estimate counts ten evaluations, as many as a correction with some difficulty takes. {@code TermCostTest} holds the
 * choices against measured times, on other layouts than those that the prices were fitted to.
 */
final class TermCost {
    /** How many evaluations the estimate counts. */
    static final double EVALUATIONS = 10;

    private static final int UNITS_COUNTED = 1000;

    /** A near term that alone is so many times dearer than a grid of its own does not pay, whatever it shares with others. */
    private static final double MOST_OF_FAR = 4;

    /** Exact integrals over a piece at a point, search included, ns. */
    private static final double POINT_UPRIGHT = 34;

    private static final double POINT_SLANTED = 210;

    private final Pieces pieces;
    private final Samples samples;
    private final UnitCopies copies;
    private final PieceIndex index;
    private final double[] boundsUm;
    private final PointSpreadFunction psf;
    private final double slack;
    private final double evaluations;
    private final double points;
    private final Map<Double, GridWork> windowsByPitch = new HashMap<>();

    private TermCost(
            Pieces pieces,
            Samples samples,
            UnitCopies copies,
            PieceIndex index,
            PointSpreadFunction psf,
            double slack,
            double evaluations,
            double points) {
        this.pieces = pieces;
        this.samples = samples;
        this.copies = copies;
        this.index = index;
        this.boundsUm = pieces.boundsUm();
        this.psf = psf;
        this.slack = slack;
        this.evaluations = evaluations;
        this.points = points;
    }

    /**
     * Costs of a correction.
     *
     * @param pieces pieces, at least one
     */
    static TermCost ofCorrection(
            Pieces pieces, Samples samples, UnitCopies copies, PieceIndex index, PointSpreadFunction psf) {
        return new TermCost(pieces, samples, copies, index, psf, 0, EVALUATIONS, 0);
    }

    /** Costs of energies at points; see {@link EnginePlan#forPoints}. */
    static TermCost ofPoints(
            Pieces pieces, PieceIndex index, PointSpreadFunction psf, double points, double fields, double slack) {
        return new TermCost(pieces, null, null, index, psf, slack, fields, points);
    }

    /**
     * Time and memory.
     *
     * @param ns time on one core, ns
     * @param bytes memory
     */
    record Cost(double ns, double bytes) {
        static final Cost NONE = new Cost(0, 0);
        static final Cost IMPOSSIBLE = new Cost(Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY);

        Cost plus(Cost other) {
            return new Cost(ns + other.ns, bytes + other.bytes);
        }
    }

    /**
     * The cheapest way to divide the terms into near ones and grids. What is cheapest for the first terms depends on what becomes of
     * others only by the last near one among them, so it is found term by term for each of these.
     *
     * @param parts how many of the terms, from the shortest on; a tabulated part comes last
     */
    Plan cheapest(int parts) {
        NearCost[] near = new NearCost[parts];
        // best[end][n]: of the first terms, number n - 1 being the last near one; n = 0 if there is none.
        Plan[][] best = new Plan[parts + 1][parts + 1];
        best[0][0] = new Plan(List.of(), Cost.NONE);
        for (int end = 1; end <= parts; end++) {
            for (int first = 0; first < end; first++) {
                TermGroup group = new TermGroup(Evaluator.FAR, first, end);
                Cost cost = far(group);
                for (int n = 0; n <= first; n++) {
                    if (best[first][n] != null) {
                        best[end][n] = best[first][n].and(group, cost).orCheaper(best[end][n]);
                    }
                }
            }
            double most = MOST_OF_FAR
                    * far(new TermGroup(Evaluator.FAR, end - 1, end)).ns();
            near[end - 1] = near(end - 1, most);
            if (near[end - 1].alone().ns() > most) {
                continue;
            }
            TermGroup alone = new TermGroup(Evaluator.NEAR, end - 1, end);
            for (int n = 0; n < end; n++) {
                if (best[end - 1][n] != null) {
                    Cost more = n == 0 ? near[end - 1].alone() : near[end - 1].beside(near[n - 1]);
                    best[end][end] = best[end - 1][n].and(alone, more).orCheaper(best[end][end]);
                }
            }
        }
        Plan cheapest = null;
        for (Plan plan : best[parts]) {
            cheapest = plan == null ? cheapest : plan.orCheaper(cheapest);
        }
        return cheapest;
    }

    /** Groups of the first terms and what they cost together. */
    record Plan(List<TermGroup> groups, Cost cost) {
        Plan and(TermGroup group, Cost more) {
            List<TermGroup> all = new ArrayList<>(groups);
            all.add(group);
            return new Plan(all, cost.plus(more));
        }

        Plan orCheaper(Plan other) {
            return other != null && other.cost.ns <= cost.ns ? other : this;
        }
    }

    /**
     * What a near term costs.
     *
     * @param walk the way over all pieces near each unit, and the matrix: once for all near terms, by the widest
     * @param integralsNs time for the term's own integrals, ns
     */
    record NearCost(Cost walk, double integralsNs) {
        Cost alone() {
            return new Cost(walk.ns + integralsNs, walk.bytes);
        }

        /** What it costs beside near terms of smaller range, the widest of which is given. */
        Cost beside(NearCost smaller) {
            return new Cost(walk.ns - smaller.walk.ns + integralsNs, walk.bytes - smaller.walk.bytes);
        }
    }

    /**
     * A near term.
     *
     * @param mostNs counting stops when it is dearer than this; then the cost is a lower bound
     */
    NearCost near(int term, double mostNs) {
        if (term == psf.terms().size()) {
            return new NearCost(Cost.IMPOSSIBLE, 0);
        }
        if (samples == null) {
            return new NearCost(Cost.NONE, pointwiseNs(term, mostNs));
        }
        int units = pieces.units();
        int counted = Math.min(units, UNITS_COUNTED);
        boolean skipInterior = term < psf.directTerms();
        MatrixWork matrix = new MatrixWork(pieces, samples, index, copies);
        for (int c = 0; c < counted && matrix.ns() <= mostNs; c++) {
            int u = unit(c, units, counted);
            if (!(skipInterior && samples.interior(u))) {
                matrix.count(u, psf.terms().get(term), (double) units / counted);
            }
        }
        return new NearCost(new Cost(matrix.walkNs(), matrix.bytes()), matrix.integralsNs());
    }

    /** A near term at points that lie where the pieces are, ns. */
    private double pointwiseNs(int term, double mostNs) {
        double reach = GaussianKernel.ENGINE.reach() * psf.terms().get(term).rangeUm();
        int counted = Math.min(pieces.size(), UNITS_COUNTED);
        PieceIndex.Hits hits = new PieceIndex.Hits();
        double ns = 0;
        for (int c = 0; c < counted && ns <= mostNs; c++) {
            int i = unit(c, pieces.size(), counted);
            double x = pieces.middleXUm(i);
            double y = pieces.middleYUm(i);
            index.find(x - reach, y - reach, x + reach, y + reach, hits);
            for (int h = 0; h < hits.size; h++) {
                ns += (pieces.isRectangle(hits.piece[h]) ? POINT_UPRIGHT : POINT_SLANTED) * points / counted;
            }
        }
        return ns;
    }

    /** Terms that share a grid; impossible if it would be too large, or direct terms would share it with others. */
    Cost far(TermGroup group) {
        FarTerms terms = FarTerms.of(psf, group, slack);
        double nodes = FarGrid.nodesFor(boundsUm, terms.pitchUm(), terms.reachUm());
        boolean direct = group.first() < psf.directTerms();
        if (nodes > FarGrid.MOST_NODES || (direct && group.end() > psf.directTerms())) {
            return Cost.IMPOSSIBLE;
        }
        GridWork windows = windowsByPitch.computeIfAbsent(terms.pitchUm(), pitch -> windows(pitch, direct));
        return new Cost(windows.ns(nodes, evaluations), windows.bytes(nodes));
    }

    private GridWork windows(double pitchUm, boolean skipInterior) {
        int units = pieces.units();
        int counted = Math.min(units, UNITS_COUNTED);
        GridWork grid = new GridWork();
        for (int c = 0; c < counted; c++) {
            grid.count(pieces, samples, unit(c, units, counted), pitchUm, skipInterior, (double) units / counted);
        }
        return grid;
    }

    /** Units spread evenly over all. */
    private static int unit(int c, int units, int counted) {
        return (int) ((c + 0.5) * units / counted);
    }

    /** What the weights of a grid, spreading, blurring and gathering take. */
    static final class GridWork {
        // As above.
        private static final double EACH = 8_500;
        private static final double UNIT = 30;
        private static final double SLANTED = 15;
        private static final double BUILT = 5.1;
        private static final double SAMPLE = 32;
        private static final double WEIGHT = 1.2;
        private static final double PREPARED = 0.43;
        private static final double NODE = 23;

        private static final double BYTES_PER_UNIT = 32;
        private static final double BYTES_PER_WEIGHT = 6;

        double units;
        double slanted;
        double spreading;
        double samples;
        double gathering;

        void count(Pieces pieces, Samples all, int u, double pitchUm, boolean skipInterior, double scale) {
            double perPitch = 1 / pitchUm;
            units += scale;
            double apart = 0;
            for (int i = pieces.unitFirst(u); i < pieces.unitFirst(u + 1); i++) {
                double window =
                        window(pieces.rightUm(i) - pieces.leftUm(i), pieces.topUm(i) - pieces.bottomUm(i), perPitch);
                slanted += pieces.isRectangle(i) ? 0 : scale * window;
                apart += window;
            }
            double[] box = pieces.unitBoundsUm(u);
            double together = window(box[2] - box[0], box[3] - box[1], perPitch);
            spreading += scale * Math.min(together, apart);
            if (all == null) {
                return;
            }
            int count = all.first(u + 1) - all.first(u);
            if (count > 0 && !(skipInterior && all.interior(u))) {
                samples += scale * count;
                // Samples lie within the unit or on its outline.
                gathering += scale * Math.min(together, 16.0 * count);
            }
        }

        private static double window(double width, double height, double perPitch) {
            return (width * perPitch + 4) * (height * perPitch + 4);
        }

        double ns(double nodes, double evaluations) {
            return EACH * evaluations
                    + UNIT * units
                    + SLANTED * slanted
                    + BUILT * (spreading + gathering)
                    + SAMPLE * samples
                    + WEIGHT * evaluations * (spreading + gathering)
                    + (PREPARED + NODE * evaluations) * nodes;
        }

        double bytes(double nodes) {
            return BYTES_PER_UNIT * units
                    + BYTES_PER_WEIGHT * (spreading + gathering)
                    + FarField.BYTES_PER_NODE * nodes;
        }
    }
}
