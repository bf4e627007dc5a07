package evendose.layout;

import java.io.Serializable;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * A named group of shapes and of references to other cells. Readers fill it; afterwards it is only read.
 *
 * @serial exclude
 */
public final class Cell implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Name of a cell in which some programs keep notes; readers drop it with all that it places. */
    public static final String CONTEXT = "$$$CONTEXT_INFO$$$";

    private final String name;
    private final SortedMap<Layer, Shapes> shapes;
    private final List<Reference> references;

    /**
     * An empty cell.
     *
     * @param name its name
     */
    public Cell(String name) {
        this(name, new TreeMap<>(), new ArrayList<>());
    }

    private Cell(String name, SortedMap<Layer, Shapes> shapes, List<Reference> references) {
        this.name = name;
        this.shapes = shapes;
        this.references = references;
    }

    /**
     * {@return this cell's contents, shared with it, under another name}
     *
     * @param newName the other name
     */
    public Cell renamed(String newName) {
        return new Cell(newName, shapes, references);
    }

    /**
     * {@return a name as files hold it: UTF-8, or ISO 8859-1 where the bytes are no UTF-8}
     *
     * @param bytes bytes that hold the name
     * @param from index of its first byte
     * @param length number of its bytes
     */
    public static String decodeName(byte[] bytes, int from, int length) {
        try {
            return StandardCharsets.UTF_8
                    .newDecoder()
                    .decode(ByteBuffer.wrap(bytes, from, length))
                    .toString();
        } catch (CharacterCodingException e) {
            return new String(bytes, from, length, StandardCharsets.ISO_8859_1);
        }
    }

    /** {@return the name, by which references find it} */
    public String name() {
        return name;
    }

    /**
     * {@return the store for shapes on {@code layer}, made when first asked for}
     *
     * @param layer layer and datatype
     */
    public Shapes on(Layer layer) {
        return shapes.computeIfAbsent(layer, l -> new Shapes());
    }

    /** {@return the cell's own shapes by layer} */
    public SortedMap<Layer, Shapes> shapes() {
        return Collections.unmodifiableSortedMap(shapes);
    }

    /**
     * Places another cell in this one.
     *
     * @param reference which cell, and where
     */
    public void add(Reference reference) {
        references.add(reference);
    }

    /** The cells placed in this one. */
    List<Reference> references() {
        return Collections.unmodifiableList(references);
    }

    @Override
    public String toString() {
        return "Cell[" + name + "]";
    }
}
