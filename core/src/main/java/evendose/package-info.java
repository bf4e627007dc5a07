/**
 * What is promised to those who build on the library.
 *
 * <p>The way in: {@code evendose.layout.formats.LayoutFiles} reads a layout, or {@code evendose.layout.Layout#builder} makes one of arrays;
 * {@code evendose.psf.PointSpreadFunction} says how energy spreads; {@code evendose.correction.Corrector} finds the doses;
 * {@code evendose.correction.PolygonDoses} and {@code evendose.verification.PredictedWidths} tell more of them;
 * {@code evendose.correction.DoseTableCsv} and {@code DoseTableReader} write and read them. These and the types that they speak of are
 * marked {@link evendose.Supported}.
 *
 * <p>May use: nothing else of the project.
 */
package evendose;
