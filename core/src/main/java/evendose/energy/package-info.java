/**
 * Absorbed energy of exposed pieces: in closed form at any point, and as a fast linear map from dose factors to the values
 * that a correction makes equal.
 *
 * <p>{@link evendose.energy.ExactEnergy} is the slow truth. {@link evendose.energy.EnergyModel} is the engine: short-ranged
 * terms of the point spread function become one sparse matrix, long-ranged ones go over grids.
 * {@link evendose.energy.EnergyField} is the engine's energy at any point for given doses.
 *
 * <p>May use: {@code pieces}, {@code psf}, {@code units}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.energy;
