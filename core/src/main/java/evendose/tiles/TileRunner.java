package evendose.tiles;

import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.List;
import java.util.function.BiConsumer;

/**
 * Where and how tiles are worked on. A tile's state stays where the tile is; only what work takes and returns travels.
 */
public interface TileRunner extends AutoCloseable {
    /** {@return number of tiles} */
    int tiles();

    /**
     * Does the same work on each tile.
     *
     * @param <I> what the work takes
     * @param <R> what it returns
     * @param stage what is being done, for a person to read
     * @param inputs what the work takes for each tile, in the order of the tiles; serialisable, or null
     * @param work the work
     * @return what it returned for each tile, in the order of the tiles
     */
    <I, R> List<R> each(String stage, List<I> inputs, Work<I, R> work);

    /**
     * Brings a value of each tile here, one after the other in the order of the tiles.
     *
     * @param <T> kind of the value
     * @param kind its class
     * @param use takes the number of a tile and its value; tiles without one are left out
     */
    <T extends Serializable> void fetch(Class<T> kind, BiConsumer<Integer, T> use);

    /** Drops all states. */
    @Override
    void close();

    /**
     * Work on a tile: a pure function of the tile's number, its state and the input.
     *
     * @param <I> what the work takes
     * @param <R> what it returns
     */
    @FunctionalInterface
    interface Work<I, R> extends Serializable {
        /**
         * Works.
         *
         * @param tile number of the tile
         * @param state what the tile remembers
         * @param input what the work takes
         * @param workers threads to compute on
         * @return what the work returns, serialisable, or null
         */
        R of(int tile, State state, I input, Workers workers);
    }

    /** What a tile remembers from one work to the next: one value of each kind. */
    interface State {
        /**
         * {@return the value of a kind, or null if there is none}
         *
         * @param <T> kind of the value
         * @param kind its class
         */
        <T extends Serializable> T get(Class<T> kind);

        /**
         * {@return the value of a kind, which is forgotten, or null if there is none}
         *
         * @param <T> kind of the value
         * @param kind its class
         */
        <T extends Serializable> T take(Class<T> kind);

        /**
         * Keeps a value in place of the former of its kind, as {@link StateStream} writes it: what is rounded there is rounded by every runner, so all
         * give the same doses.
         *
         * @param value the value
         */
        void put(Serializable value);
    }
}
