/**
 * Plane geometry in integer database units: polygons in, merged disjoint trapezoids out.
 *
 * <p>The way of a layout through this room, which {@code Merge} walks:
 *
 * <ol>
 *   <li>{@code Polygons} keeps what is drawn, flat. {@code FarCorner} refuses what a damaged file threw far away.
 *   <li>{@code Bands} cuts the plane into horizontal bands, each with the edges that reach into it. Polygons that may wind
 *       backwards ({@code SimplePolygons} tells most that cannot) are unwound on their own first; {@code UnwoundEdges} holds what comes
 *       of it.
 *   <li>{@code SweepKernel} sweeps one band from below to above, a height at a time. It takes {@code BandEdges}, which {@code HeightSort} sorts
 *       by where they begin and end; {@code Lines} answers exactly which of two lies on the left and where they cross. At each height
 *       {@code ScanLine} brings the edges that it meets into their new order, from the {@code Crossings} to come as well, and notes where that
 *       changed something in {@code DisturbedRanges}. The kernel looks at these ranges alone: it winds, and so finds which spans between
 *       edges end and which begin ({@code SpanChanges}). A span that ends is a trapezoid of {@code BandTrapezoids}; those that a border of
 *       the band cuts stand in {@code SeamTrapezoids}, too. {@code TouchingSides} finds which of them touch, and which parts of their horizontal
 *       sides are outline.
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
