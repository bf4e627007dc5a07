/**
 * The command line: options, progress, exit codes and what is printed. It computes nothing itself.
 *
 * <p>May use: everything in the library.
 *
 * @since 0.1
 */
package evendose.cli;
