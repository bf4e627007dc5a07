/**
 * From a dose test to a point spread function: a pattern to write, the table to fill in, and the fit of exact closed forms to what
 * was measured.
 *
 * <p>May use: {@code psf}, {@code energy}, {@code pieces}, {@code layout}, {@code geometry}, {@code units}, {@code files},
 * {@code parallel}.
 *
 * @since 0.1
 */
package evendose.calibration;
