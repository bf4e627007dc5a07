package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;

/**
 * The grids of the longest terms, one for all tiles of a layout: each tile adds what it exposes to a part of them ({@link
 * TileModel#contribution}), the sums are blurred once, and each tile takes its part of the outcome. All shorter terms are the tiles' own
 * affair. Which terms are shared follows from the point spread function and the extent alone.
 *
 * @serial exclude
 */
public final class SharedGrids implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Nodes of a shared grid, at most: terms that ask for more are computed by each tile for itself. */
    private static final double MOST_NODES = 1 << 23;

    /** As above, for the longest term, whose reach tiles could least do with. */
    private static final double MOST_OF_LONGEST = 1 << 25;

    /** Share of the pitch that terms ask for, down to which it may be less so that tiles see the same nodes. */
    private static final double FINEST = 0.5;

    /** Nodes that lie apart by less, in pitches, are the same. */
    private static final double SAME_NODE = 1e-9;

    private final PointSpreadFunction psf;
    private final int firstShared;
    private final TermGroup[] groups;
    private final FarGrid[] grids;

    /** How far beyond its pieces a tile asks for the energy, um. */
    private final double beyondUm;

    private SharedGrids(
            PointSpreadFunction psf,
            int firstShared,
            List<TermGroup> groups,
            double[] boundsUm,
            double stepUm,
            double beyondUm) {
        this.psf = psf;
        this.beyondUm = beyondUm;
        this.firstShared = firstShared;
        this.groups = groups.toArray(TermGroup[]::new);
        this.grids = groups.stream()
                .map(g -> FarTerms.of(psf, g, 0))
                .map(t -> FarGrid.over(boundsUm, pitchUm(t.pitchUm(), stepUm), t.reachUm()))
                .toArray(FarGrid[]::new);
    }

    /**
     * {@return the grids for a layout}
     *
     * @param psf the point spread function
     * @param boundsUm left, lower, right and upper end of all that is exposed, um
     * @param stepUm a step after which nodes are to lie alike, um, if that makes pitches less by no more than a half; 0 for none
     */
    public static SharedGrids of(PointSpreadFunction psf, double[] boundsUm, double stepUm) {
        return of(psf, psf.directTerms(), boundsUm, stepUm, psf.edgeReachUm());
    }

    /**
     * {@return the grid for the mean of what is exposed over a Gaussian about each place; none if it would be too large}
     *
     * @param rangeUm range (1/e radius) of the Gaussian, um
     * @param boundsUm left, lower, right and upper end of all that is exposed, um
     * @param stepUm as above
     * @param beyondUm how far beyond what is exposed it is asked for, um
     */
    public static SharedGrids ofMean(double rangeUm, double[] boundsUm, double stepUm, double beyondUm) {
        return of(PointSpreadFunction.from(List.of(new GaussianTerm(1, rangeUm))), 0, boundsUm, stepUm, beyondUm);
    }

    /** The grids of terms from {@code least} on. */
    private static SharedGrids of(
            PointSpreadFunction psf, int least, double[] boundsUm, double stepUm, double beyondUm) {
        List<TermGroup> groups = new ArrayList<>();
        int first = psf.parts();
        for (int k = psf.parts() - 1; k >= least; k--) {
            TermGroup alone = new TermGroup(Evaluator.FAR, k, k + 1);
            double nodes = nodes(psf, alone, boundsUm);
            if (nodes > (k == psf.parts() - 1 ? MOST_OF_LONGEST : MOST_NODES)) {
                break;
            }
            first = k;
            TermGroup last = groups.isEmpty() ? alone : groups.get(groups.size() - 1);
            TermGroup joined = new TermGroup(Evaluator.FAR, k, last.end());
            if (nodes(psf, joined, boundsUm) <= nodes + nodes(psf, last, boundsUm)) {
                groups.remove(last);
                groups.add(joined);
            } else {
                groups.add(alone);
            }
        }
        Collections.reverse(groups);
        return new SharedGrids(psf, first, groups, boundsUm, stepUm, beyondUm);
    }

    private static double pitchUm(double largest, double stepUm) {
        double pitch = stepUm > 0 ? stepUm / Math.ceil(stepUm / largest - SAME_NODE) : 0;
        return pitch >= FINEST * largest ? pitch : largest;
    }

    private static double nodes(PointSpreadFunction psf, TermGroup group, double[] boundsUm) {
        FarTerms terms = FarTerms.of(psf, group, 0);
        return FarGrid.nodesFor(boundsUm, terms.pitchUm(), terms.reachUm());
    }

    /** {@return how far the terms that are not shared reach, um} */
    public double ownReachUm() {
        if (firstShared > psf.terms().size()) {
            return FarTerms.of(psf, new TermGroup(Evaluator.FAR, psf.terms().size(), firstShared), 0)
                    .reachUm();
        }
        return firstShared == 0
                ? 0
                : FarTerms.REACH * psf.terms().get(firstShared - 1).rangeUm();
    }

    /** {@return number of nodes of all grids} */
    public long nodes() {
        long sum = 0;
        for (FarGrid grid : grids) {
            sum += grid.nodes();
        }
        return sum;
    }

    /**
     * {@return the sum of what tiles add, a new array for each grid} The order of the tiles is that of the sums.
     *
     * @param contributions parts of all grids, from each tile
     */
    public double[][] sum(List<List<GridPart>> contributions) {
        double[][] sums = new double[grids.length][];
        for (int g = 0; g < grids.length; g++) {
            sums[g] = new double[grids[g].nodes()];
            for (List<GridPart> parts : contributions) {
                GridPart part = parts.get(g);
                for (int r = 0; r < part.rows(); r++) {
                    int to = (part.row() + r) * grids[g].columns() + part.column();
                    for (int c = 0; c < part.columns(); c++) {
                        sums[g][to + c] += part.values()[r * part.columns() + c];
                    }
                }
            }
        }
        return sums;
    }

    /**
     * {@return the energy of the shared terms as spline coefficients, a new array for each grid}
     *
     * @param sums what all tiles add together
     * @param workers threads to compute on
     */
    public double[][] blur(double[][] sums, Workers workers) {
        double[][] blurred = new double[grids.length][];
        for (int g = 0; g < grids.length; g++) {
            blurred[g] = new double[sums[g].length];
            FarField.blurOf(FarTerms.of(psf, groups[g], 0), grids[g], workers).apply(sums[g], blurred[g], workers);
        }
        return blurred;
    }

    /**
     * {@return the parts of grids that a tile wants, copies}
     *
     * @param values values of all nodes
     * @param like parts of the places that are wanted, as a tile's contribution has them
     */
    public List<GridPart> parts(double[][] values, List<GridPart> like) {
        List<GridPart> parts = new ArrayList<>();
        for (int g = 0; g < grids.length; g++) {
            GridPart place = like.get(g);
            double[] part = new double[place.values().length];
            for (int r = 0; r < place.rows(); r++) {
                System.arraycopy(
                        values[g],
                        (place.row() + r) * grids[g].columns() + place.column(),
                        part,
                        r * place.columns(),
                        place.columns());
            }
            parts.add(new GridPart(place.column(), place.row(), place.columns(), part));
        }
        return parts;
    }

    /**
     * {@return whether nodes lie alike about two places that lie so far apart}
     *
     * @param dxUm distance along x, um
     * @param dyUm distance along y, um
     */
    public boolean repeatsAfter(double dxUm, double dyUm) {
        for (FarGrid grid : grids) {
            double columns = dxUm / grid.pitchUm();
            double rows = dyUm / grid.pitchUm();
            if (Math.abs(columns - Math.rint(columns)) > SAME_NODE || Math.abs(rows - Math.rint(rows)) > SAME_NODE) {
                return false;
            }
        }
        return true;
    }

    /**
     * {@return parts of all grids at a place so far away, where nodes lie alike; they share the values}
     *
     * @param parts parts of all grids
     * @param dxUm distance along x, um
     * @param dyUm distance along y, um
     */
    public List<GridPart> moved(List<GridPart> parts, double dxUm, double dyUm) {
        List<GridPart> moved = new ArrayList<>();
        for (int g = 0; g < grids.length; g++) {
            double pitch = grids[g].pitchUm();
            moved.add(parts.get(g).moved((int) Math.rint(dxUm / pitch), (int) Math.rint(dyUm / pitch)));
        }
        return moved;
    }

    /**
     * {@return whether the energy of two places, on the same nodes about them, is the same}
     *
     * @param some parts of all grids
     * @param others parts of the same size
     * @param within largest difference
     */
    public static boolean areSame(List<GridPart> some, List<GridPart> others, double within) {
        for (int g = 0; g < some.size(); g++) {
            if (some.get(g).difference(others.get(g)) > within) {
                return false;
            }
        }
        return true;
    }

    /**
     * {@return what some pieces, exposed at factor 1, add to the grids: a part of each}
     *
     * @param pieces pieces of a tile and of its surroundings
     * @param outside for each unit whether it belongs to the surroundings, and adds nothing
     * @param workers threads to compute on
     */
    public List<GridPart> coverage(Pieces pieces, boolean[] outside, Workers workers) {
        Samples none = new Samples(new double[0], new double[0], new float[0], new int[1], new boolean[0]);
        double[] ones = new double[pieces.units()];
        Arrays.fill(ones, 1);
        List<GridPart> parts = new ArrayList<>();
        for (int g = 0; g < grids.length; g++) {
            GridPlace place = place(g, pieces);
            double[] values = new double[place.grid().nodes()];
            new FarField(pieces, none, place.grid(), outside, terms(g), false, workers, Progress.NONE)
                    .spread(ones, values, workers);
            parts.add(place.with(values));
        }
        return parts;
    }

    /**
     * {@return the energy of the shared terms alone, at any point of a tile}
     *
     * @param pieces pieces of the tile and of its surroundings
     * @param energy the tile's parts of all grids, blurred
     */
    public EnergyField field(Pieces pieces, List<GridPart> energy) {
        List<EnergyField.Smooth> smooth = new ArrayList<>();
        for (int g = 0; g < grids.length; g++) {
            smooth.add(new EnergyField.Smooth(
                    place(g, pieces).grid(), energy.get(g).values(), 1));
        }
        return new EnergyField(
                ExactEnergy.ofNearTerms(pieces, new double[pieces.size()], List.of(), new PieceIndex(pieces)), smooth);
    }

    PointSpreadFunction psf() {
        return psf;
    }

    /** The part of grid {@code g} that matters to pieces; developed edges are looked for beyond the outermost drawn ones. */
    GridPlace place(int g, Pieces pieces) {
        return GridPlace.of(grids[g], pieces.boundsUm(), beyondUm);
    }

    int firstShared() {
        return firstShared;
    }

    int size() {
        return grids.length;
    }

    FarTerms terms(int g) {
        return FarTerms.of(psf, groups[g], 0);
    }
}
