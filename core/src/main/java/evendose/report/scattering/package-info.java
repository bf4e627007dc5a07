/**
 * Pictures of point spread functions and of electrons in a stack.
 *
 * <p>May use: {@code report}, {@code scattering}, {@code psf}, {@code files}.
 */
package evendose.report.scattering;
