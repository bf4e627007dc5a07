/**
 * What will develop: where the threshold contour lies relative to the drawn outline, how wide lines become, how sensitive
 * they are, and whether a dose table fits its layout.
 *
 * <p>{@link evendose.verification.Exposure} is what is exposed. {@link evendose.verification.OutlineEdges} is the drawn
 * outline; {@link evendose.verification.EdgeGauges} and {@link evendose.verification.WidthGauge} are places where it is
 * compared with the contour. {@link evendose.verification.Verifier} does it all. Energies come from closed forms
 * ({@link evendose.energy.ExactEnergy}) unless a method says that it takes the engine's.
 *
 * <p>May use: {@code energy}, {@code correction}, {@code pieces}, {@code psf}, {@code layout}, {@code geometry}, {@code units},
 * {@code files}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.verification;
