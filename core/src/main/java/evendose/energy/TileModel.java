package evendose.energy;

import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * What {@link EnergyModel} is for a whole layout, for one of its tiles: the criterion values of the tile's units and of those around them.
 * Shorter terms come from these units alone, so values at the rim of the surroundings lack what lies beyond; terms that tiles share come from {@link
 * SharedGrids}, to which a tile's own units add.
 *
 * @serial exclude
 */
public final class TileModel implements Serializable {
    private static final long serialVersionUID = 1L;

    private final SharedGrids shared;
    private final int units;
    private final SparseMatrix near;
    private final TermGroup[] ownFar;
    private final FarField[] own;
    private final int[] column;
    private final int[] row;
    private final FarField[] parts;
    private transient BuiltTerms terms;

    private TileModel(
            SharedGrids shared,
            int units,
            TermGroup[] ownFar,
            BuiltTerms terms,
            int[] column,
            int[] row,
            FarField[] parts) {
        this.shared = shared;
        this.units = units;
        this.near = terms.near;
        this.ownFar = ownFar;
        this.own = terms.far.toArray(FarField[]::new);
        this.column = column;
        this.row = row;
        this.parts = parts;
        this.terms = terms;
    }

    /**
     * Prepares the map, each term that is not shared by the evaluator that is cheaper here.
     *
     * @param pieces pieces of the tile and of its surroundings, at least one
     * @param samples where their units are judged
     * @param outside for each unit whether it belongs to the surroundings, and adds nothing to the shared grids
     * @param shared the grids of all tiles
     * @param workers threads to compute on; the result does not depend on their number
     * @param progress hears the stages
     * @return the map
     */
    public static TileModel build(
            Pieces pieces, Samples samples, boolean[] outside, SharedGrids shared, Workers workers, Progress progress) {
        PieceIndex index = new PieceIndex(pieces);
        UnitCopies copies = UnitCopies.of(pieces, samples, workers);
        List<TermGroup> groups = TermCost.ofCorrection(pieces, samples, copies, index, shared.psf())
                .cheapest(shared.firstShared())
                .groups();
        double[] bounds = pieces.boundsUm();
        BuiltTerms terms =
                BuiltTerms.build(pieces, samples, index, copies, shared.psf(), groups, 0, bounds, workers, progress);
        int n = shared.size();
        int[] column = new int[n];
        int[] row = new int[n];
        FarField[] parts = new FarField[n];
        for (int g = 0; g < n; g++) {
            GridPlace place = shared.place(g, pieces);
            column[g] = place.column();
            row[g] = place.row();
            parts[g] = new FarField(pieces, samples, place.grid(), outside, shared.terms(g), false, workers, progress);
        }
        TermGroup[] far =
                groups.stream().filter(g -> g.evaluator() == Evaluator.FAR).toArray(TermGroup[]::new);
        return new TileModel(shared, pieces.units(), far, terms, column, row, parts);
    }

    /** {@return number of units, surroundings included} */
    public int units() {
        return units;
    }

    /**
     * {@return what the tile's own units add to the shared grids, a part of each}
     *
     * @param dose dose factor of each unit
     * @param workers threads to compute on
     */
    public List<GridPart> contribution(double[] dose, Workers workers) {
        List<GridPart> sums = new ArrayList<>();
        for (int g = 0; g < parts.length; g++) {
            FarGrid grid = parts[g].grid();
            double[] values = new double[grid.nodes()];
            parts[g].spread(dose, values, workers);
            sums.add(new GridPart(column[g], row[g], grid.columns(), values));
        }
        return sums;
    }

    /**
     * Evaluates the map.
     *
     * @param dose dose factor of each unit
     * @param energy the tile's parts of the shared grids, blurred
     * @param criterion receives the criterion value of each unit; another array
     * @param workers threads to compute on
     */
    public void apply(double[] dose, List<GridPart> energy, double[] criterion, Workers workers) {
        resume();
        terms.apply(dose, criterion, workers);
        for (int g = 0; g < parts.length; g++) {
            parts[g].gather(energy.get(g).values(), criterion, workers);
        }
    }

    private void resume() {
        if (terms == null) {
            for (int f = 0; f < own.length; f++) {
                own[f].resume(FarTerms.of(shared.psf(), ownFar[f], 0));
            }
            terms = new BuiltTerms(near, Arrays.asList(own));
        }
    }

    /**
     * {@return the energy at any point of the tile, as {@link EnergyModel#field} gives it for a whole layout}
     *
     * @param pieces the pieces that this was built from
     * @param dose dose factor of each unit
     * @param energy the tile's parts of the shared grids, blurred
     * @param workers threads to compute on
     */
    public EnergyField field(Pieces pieces, double[] dose, List<GridPart> energy, Workers workers) {
        resume();
        List<GaussianTerm> closedForms = new ArrayList<>();
        for (int k = 0; k < Math.min(shared.firstShared(), shared.psf().terms().size()); k++) {
            int term = k;
            if (Arrays.stream(ownFar).noneMatch(g -> g.first() <= term && term < g.end())) {
                closedForms.add(shared.psf().terms().get(k));
            }
        }
        List<EnergyField.Smooth> smooth = new ArrayList<>();
        for (FarField far : own) {
            double[] coverage = new double[far.grid().nodes()];
            double[] blurred = new double[coverage.length];
            far.spread(dose, coverage, workers);
            far.blur(coverage, blurred, workers);
            smooth.add(new EnergyField.Smooth(far.grid(), blurred, 1));
        }
        for (int g = 0; g < parts.length; g++) {
            smooth.add(new EnergyField.Smooth(parts[g].grid(), energy.get(g).values(), 1));
        }
        double[] doseOfPiece = new double[pieces.size()];
        for (int u = 0; u < units; u++) {
            Arrays.fill(doseOfPiece, pieces.unitFirst(u), pieces.unitFirst(u + 1), dose[u]);
        }
        return new EnergyField(
                ExactEnergy.ofNearTerms(pieces, doseOfPiece, closedForms, new PieceIndex(pieces)), smooth);
    }
}
