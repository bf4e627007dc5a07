/**
 * From merged trapezoids to what is dosed: pieces for the writer, dose units, and the sample points where energy is judged.
 *
 * <p>May use: {@code geometry}, {@code layout}, {@code units}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.pieces;
