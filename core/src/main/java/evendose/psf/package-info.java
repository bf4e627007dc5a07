/**
 * Point spread functions: sums of Gaussians, their files, built-in sets, measured or simulated radial profiles and fits.
 *
 * <p>May use: {@code units}, {@code files}.
 *
 * @since 0.1
 */
package evendose.psf;
