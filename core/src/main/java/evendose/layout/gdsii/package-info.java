/**
 * GDSII Stream, the trade's most common layout format: a reader and a streaming writer.
 *
 * <p>Format: GDSII Stream Format Manual, Release 6, as excerpted in the SPIE Handbook of Microlithography, Micromachining and
 * Microfabrication, vol. 1, section 2.9 (1997). May use: what {@code evendose.layout} may use, and {@code evendose.layout}.
 *
 * @since 0.1
 */
package evendose.layout.gdsii;
