/**
 * From a dose table to a booked slot: dwell times and frequencies, electrons per point, fields and the shapes that their borders
 * cut, times and the best current and step.
 *
 * <p>May use: {@code correction}, {@code pieces}, {@code layout}, {@code units}, {@code files}, {@code parallel}.
 *
 * @since 0.1
 */
package evendose.writing;
