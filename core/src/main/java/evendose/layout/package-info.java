/**
 * Layouts: cells, layers, references between cells, and their flattening to polygons. One sub-package per file format;
 * {@code evendose.layout.formats} opens any of them.
 *
 * <p>A reader fills {@link evendose.layout.Cell}s and makes a {@link evendose.layout.Layout} of them;
 * {@link evendose.layout.Flattener} counts its polygons or hands them to {@link evendose.geometry.Polygons}. May use:
 * {@code geometry}, {@code units}, {@code files}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.layout;
