/**
 * Plane geometry in integer database units: polygons in, merged disjoint trapezoids out.
 *
 * <p>May use: {@code units}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.geometry;
