/**
 * A correction in tiles, for layouts that fit no memory whole. May use everything up to {@code correction}.
 *
 * <p>A tile flattens, merges and cuts its part of the layout with a rim, keeps its units and their doses, and steps by itself; per round only its part
 * of the far grids and a few sums travel. {@link evendose.tiles.TileRunner} says how tiles are run.
 *
 * @since 0.1.0
 */
package evendose.tiles;
