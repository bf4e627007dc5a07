package evendose.layout;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.SortedMap;
import java.util.TreeMap;

/** A named group of shapes and of references to other cells. Readers fill it; afterwards it is only read. */
public final class Cell {
    private final String name;
    private final SortedMap<Layer, Shapes> shapes = new TreeMap<>();
    private final List<Reference> references = new ArrayList<>();

    /** An empty cell. */
    public Cell(String name) {
        this.name = name;
    }

    public String name() {
        return name;
    }

    /** The store for shapes on {@code layer}, made when first asked for. */
    public Shapes on(Layer layer) {
        return shapes.computeIfAbsent(layer, l -> new Shapes());
    }

    /** The cell's own shapes by layer. */
    public SortedMap<Layer, Shapes> shapes() {
        return Collections.unmodifiableSortedMap(shapes);
    }

    /** Places another cell in this one. */
    public void add(Reference reference) {
        references.add(reference);
    }

    /** The cells placed in this one. */
    public List<Reference> references() {
        return Collections.unmodifiableList(references);
    }

    @Override
    public String toString() {
        return "Cell[" + name + "]";
    }
}
