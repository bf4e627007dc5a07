/**
 * Physical constants and conversions between units.
 *
 * <p>May use: nothing else of the project.
 */
package evendose.units;
