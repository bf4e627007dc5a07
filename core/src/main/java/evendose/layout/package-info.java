/**
 * Layouts: cells, layers, references between cells, and their flattening to polygons. One sub-package per file format.
 *
 * <p>May use: {@code geometry}, {@code units}, {@code files}, {@code parallel}.
 */
package evendose.layout;
