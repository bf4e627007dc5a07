/**
 * Physical constants, conversions between units, and assertions on the range of values.
 *
 * <p>May use: nothing else of the project.
 *
 * @since 0.1
 */
package evendose.units;
