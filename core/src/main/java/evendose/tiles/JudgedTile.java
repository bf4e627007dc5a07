package evendose.tiles;

import evendose.correction.ContrastCurve;
import evendose.correction.DoseTable;
import evendose.correction.DrawnSample;
import evendose.correction.LayerDepth;
import evendose.correction.TileDoses;
import evendose.correction.TileTotals;
import evendose.correction.TileUnits;
import evendose.energy.EnergyField;
import evendose.energy.GridPart;
import evendose.energy.SharedGrids;
import evendose.energy.TileModel;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.List;
import java.util.Optional;

/** A tile whose doses are found, where the tile is: none of it travels. */
public final class JudgedTile {
    private final int number;
    private final TileRunner.State state;
    private final DoseTable table;
    private final TileModel model;
    private final TileUnits units;
    private final TileDoses doses;
    private final List<GridPart> energy;
    private final SharedGrids density;
    private final Workers workers;
    private EnergyField withDoses;

    JudgedTile(
            int number,
            TileRunner.State state,
            DoseTable table,
            TileModel model,
            TileUnits units,
            TileDoses doses,
            List<GridPart> energy,
            SharedGrids density,
            Workers workers) {
        this.number = number;
        this.state = state;
        this.table = table;
        this.model = model;
        this.units = units;
        this.doses = doses;
        this.energy = energy;
        this.density = density;
        this.workers = workers;
    }

    /** {@return number of the tile} */
    public int number() {
        return number;
    }

    /** {@return what the tile remembers} */
    public TileRunner.State state() {
        return state;
    }

    /** {@return doses of the units that it owns} */
    public DoseTable table() {
        return table;
    }

    /** {@return pieces of all units that it knows, surroundings included} */
    public Pieces pieces() {
        return units.pieces();
    }

    /** {@return what is drawn in it} */
    public DrawnSample drawn() {
        return state.get(DrawnSample.class);
    }

    /**
     * {@return the energy at any point within its borders}
     *
     * @param corrected whether with the doses; if not, with factor 1 everywhere
     */
    public EnergyField energy(boolean corrected) {
        if (!corrected) {
            return field(false, state.get(FirstEnergy.class).parts());
        }
        if (withDoses == null) {
            withDoses = field(true, energy);
        }
        return withDoses;
    }

    private EnergyField field(boolean corrected, List<GridPart> parts) {
        return model.field(units.pieces(), doses.factors(corrected), parts, workers);
    }

    /** {@return threads to compute on} */
    public Workers workers() {
        return workers;
    }

    /** {@return the density that the development is loaded by, at any point within its borders; empty without a loading} */
    public Optional<EnergyField> density() {
        TileDensity parts = state.get(TileDensity.class);
        return parts != null
                ? Optional.of(units.field(density, parts.parts()))
                : table.options().longRange().loading().map(loading -> units.density(loading, workers));
    }

    /** Numbers of its doses. */
    TileTotals totals(DoseTable joined, Optional<ContrastCurve> curve) {
        return new TileTotals(
                joined,
                doses.outline(energy(true), units, workers),
                doses,
                curve.map(c -> new LayerDepth.Parts(table, c)));
    }
}
