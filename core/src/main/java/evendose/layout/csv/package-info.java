/**
 * Layouts as text tables: one rectangle or one WKT polygon a row.
 *
 * <p>May use: what {@code evendose.layout} may use, and {@code evendose.layout}.
 *
 * @since 0.1
 */
package evendose.layout.csv;
