/**
 * Tiles of a correction on Apache Spark. It says where work is done and keeps what tiles remember; it computes nothing. Spark itself is there only
 * where {@code spark-submit} starts the program, so nothing else may use this package.
 *
 * <p>May use: the command line and the library's tiles.
 *
 * @since 0.1
 */
package evendose.cli.spark;
