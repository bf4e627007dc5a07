/**
 * Monte Carlo of electrons in a resist on a stack of layers: materials, cross-sections, transport and what it leaves where.
 *
 * <p>{@link evendose.scattering.ScatteringSimulation} is the entry. Cross-sections stand in classes of their own, which
 * tests hold against tables; the transport works on tables made of them. May use: {@code psf}, {@code units}, {@code files},
 * {@code parallel}.
 *
 * @since 0.1
 */
package evendose.scattering;
