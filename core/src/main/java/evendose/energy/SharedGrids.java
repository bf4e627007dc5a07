package evendose.energy;

import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.Serializable;
import java.util.ArrayList;
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

    private final PointSpreadFunction psf;
    private final int firstShared;
    private final TermGroup[] groups;
    private final FarGrid[] grids;

    private SharedGrids(PointSpreadFunction psf, int firstShared, List<TermGroup> groups, double[] boundsUm) {
        this.psf = psf;
        this.firstShared = firstShared;
        this.groups = groups.toArray(TermGroup[]::new);
        this.grids = groups.stream()
                .map(g -> FarTerms.of(psf, g, 0))
                .map(t -> FarGrid.over(boundsUm, t.pitchUm(), t.reachUm()))
                .toArray(FarGrid[]::new);
    }

    /**
     * {@return the grids for a layout}
     *
     * @param psf the point spread function
     * @param boundsUm left, lower, right and upper end of all that is exposed, um
     */
    public static SharedGrids of(PointSpreadFunction psf, double[] boundsUm) {
        List<TermGroup> groups = new ArrayList<>();
        int first = psf.parts();
        for (int k = psf.parts() - 1; k >= psf.directTerms(); k--) {
            TermGroup alone = new TermGroup(Evaluator.FAR, k, k + 1);
            double nodes = nodes(psf, alone, boundsUm);
            if (nodes > MOST_NODES) {
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
        return new SharedGrids(psf, first, groups, boundsUm);
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

    PointSpreadFunction psf() {
        return psf;
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

    FarGrid grid(int g) {
        return grids[g];
    }
}
