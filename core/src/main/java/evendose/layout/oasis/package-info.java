/**
 * OASIS, the compact layout format: a reader for all of it and a streaming writer of rectangles and trapezoids.
 *
 * <p>Format: SEMI P39, OASIS - Open Artwork System Interchange Standard. May use: what {@code evendose.layout} may use, and
 * {@code evendose.layout}.
 *
 * @since 0.1
 */
package evendose.layout.oasis;
