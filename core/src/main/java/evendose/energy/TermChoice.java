package evendose.energy;

import evendose.psf.GaussianTerm;

/**
 * How one term is computed and what that takes.
 *
 * @param term the term
 * @param evaluator who computes it
 * @param columns columns of its grid, 0 for a near term
 * @param rows rows of its grid, 0 for a near term
 * @param entries stored entries of the matrix that all near terms share, 0 for a far term
 * @param bytes memory of that matrix (shared by all near terms), or of the grid and its weights
 */
public record TermChoice(GaussianTerm term, Evaluator evaluator, int columns, int rows, long entries, long bytes) {}
