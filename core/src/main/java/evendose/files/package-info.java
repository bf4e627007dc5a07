/**
 * What every reader and writer of files shares: the exception for bad input, and output that appears whole or not at all.
 *
 * <p>May use: nothing else of the project.
 *
 * @since 0.1
 */
package evendose.files;
