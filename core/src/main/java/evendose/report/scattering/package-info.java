/**
 * Pictures of point spread functions and of electrons in a stack.
 *
 * <p>May use: {@code report}, {@code scattering}, {@code psf}, {@code files}.
 *
 * @since 0.1
 */
package evendose.report.scattering;
