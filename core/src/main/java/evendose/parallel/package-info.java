/**
 * Runs numbered parts of a computation on a fixed number of threads, and tells whoever listens how far it is.
 *
 * <p>Parts are numbered and write to places of their own, so results do not depend on the number of threads. May use:
 * nothing else of the project.
 *
 * @since 0.1
 */
package evendose.parallel;
