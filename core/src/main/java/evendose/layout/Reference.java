package evendose.layout;

import java.io.Serializable;

/**
 * A cell placed in another, once or as an array, which stays an array until it is flattened.
 *
 * @param cell name of the placed cell
 * @param transform how the first one is placed
 * @param repetition the array, in coordinates of the cell that holds the reference
 * @serial exclude
 */
public record Reference(String cell, Transform transform, Repetition repetition) implements Serializable {}
