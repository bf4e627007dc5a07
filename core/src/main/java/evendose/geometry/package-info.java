/**
 * Plane geometry in integer database units: polygons in, merged disjoint trapezoids out.
 *
 * <p>The way of a layout through this room, which {@code Merge} walks:
 *
 * <ol>
 *   <li>{@code Polygons} keeps what is drawn, flat. {@code FarCorner} refuses what a damaged file threw far away.
 *   <li>{@code Bands} cuts the plane into horizontal bands, each with the edges that reach into it. Polygons that may wind
 *       backwards ({@code SimplePolygons} tells most that cannot) are unwound on their own first; {@code Strays} holds what comes
 *       of it.
 *   <li>{@code SweepKernel}, the scan line, sweeps one band: from below to above, a height at a time. {@code HeightSort} orders its edges,
 *       {@code Lines} answers exactly which of two lies on the left and where they cross. The band's trapezoids go into {@code Spans};
 *       those that its border cuts go into {@code SeamSpans}, too; {@code Contacts} finds which of them touch, and which parts of
 *       their horizontal sides are outline.
 *   <li>{@code Assembly} stitches the bands together at their seams, finds shapes, and brings all into the order of
 *       {@code Trapezoids}, which depends on neither bands nor threads.
 *   <li>{@code Outline} chains the exposed sides to contours, by {@code EdgeBuffer} and {@code EdgeLinks}.
 * </ol>
 *
 * <p>May use: {@code units}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.geometry;
