/**
 * The dose of every unit: criteria, the solver, dose levels, and the table of results with its files.
 *
 * <p>May use: {@code energy}, {@code pieces}, {@code psf}, {@code layout}, {@code geometry}, {@code units}, {@code files},
 * {@code parallel}.
 *
 * @since 0.1
 */
package evendose.correction;
