package evendose.tiles;

import evendose.correction.CorrectionOptions;
import evendose.correction.Momentum;
import evendose.correction.TileDoses;
import evendose.correction.TileSums;
import evendose.correction.TileUnits;
import evendose.energy.GridPart;
import evendose.energy.TileModel;
import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.List;

/**
 * What every tile does in a round, with the energy of the doses as they are.
 *
 * @param <R> what a tile tells
 */
interface TileStep<R extends Serializable> extends Serializable {
    /** Does it on a tile. */
    R of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew);

    /** What of it the shared grids take. */
    TileSums sums(R result);

    /** A step towards what the criterion asks for. */
    record Solve(Momentum momentum) implements TileStep<TileSums> {
        private static final long serialVersionUID = 1L;

        @Override
        public TileSums of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            if (!doses.hasBegun()) {
                state.put(new FirstEnergy(energy));
            }
            TileSums sums = doses.step(model, energy, momentum, crew);
            state.put(doses);
            return sums;
        }

        @Override
        public TileSums sums(TileSums result) {
            return result;
        }
    }

    /**
     * Doses right for wide areas, for two rounds: the first tells what they add, the second judges them and goes back to the doses that were found.
     */
    record Wide(boolean isAdded) implements TileStep<TileSums> {
        private static final long serialVersionUID = 1L;

        @Override
        public TileSums of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            if (!isAdded) {
                return doses.exposeWide(model, crew);
            }
            TileSums sums = doses.judgeWide(model, energy, state.get(TileUnits.class), crew);
            state.put(doses);
            return sums;
        }

        @Override
        public TileSums sums(TileSums result) {
            return result;
        }
    }

    /** The end of stepping: doses that agree become equal. */
    record Join(CorrectionOptions options) implements TileStep<TileSums> {
        private static final long serialVersionUID = 1L;

        @Override
        public TileSums of(TileRunner.State state, TileModel model, List<GridPart> energy, Workers crew) {
            TileDoses doses = state.get(TileDoses.class);
            TileSums sums = doses.join(model, state.get(TileUnits.class), options, crew);
            state.put(doses);
            return sums;
        }

        @Override
        public TileSums sums(TileSums result) {
            return result;
        }
    }
}
