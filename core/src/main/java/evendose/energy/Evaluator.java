package evendose.energy;

/** How the engine computes a term of the point spread function. */
public enum Evaluator {
    /** Closed forms, once, into a sparse matrix. */
    NEAR,
    /** Coverage on a grid, a blur, and interpolation, at every evaluation. */
    FAR
}
