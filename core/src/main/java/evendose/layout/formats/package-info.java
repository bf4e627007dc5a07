/**
 * The front door for layout files: finds out a file's format from its content and hands it to that format's reader.
 *
 * <p>It stands apart from {@code evendose.layout} because it knows every format, and every format knows
 * {@code evendose.layout}. May use: {@code evendose.layout} and its format packages, {@code files}.
 *
 * @since 0.1
 */
package evendose.layout.formats;
