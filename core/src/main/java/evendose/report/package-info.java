/**
 * What a person looks at: colour scales, maps of dose and energy, plots, the report page, and the files of a verification.
 *
 * <p>{@link evendose.report.ReportPage} is the page that a correction writes. {@link evendose.report.EnergyRaster} with
 * {@link evendose.report.Contours} is the predicted image of a window. Plots are drawn by XChart, maps by {@code java.awt};
 * neither shows in a public signature.
 *
 * <p>May use: any other package.
 *
 * @since 0.1
 */
package evendose.report;
