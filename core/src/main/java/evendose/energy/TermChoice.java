package evendose.energy;

/**
 * How some terms are computed and what that takes.
 *
 * @param terms the terms and who computes them
 * @param columns columns of their grid, 0 for near terms
 * @param rows rows of their grid, 0 for near terms
 * @param entries stored entries of the matrix that all near terms share, 0 for far ones
 * @param bytes memory of that matrix (shared by all near terms), or of the grid and its weights
 */
public record TermChoice(TermGroup terms, int columns, int rows, long entries, long bytes) {}
