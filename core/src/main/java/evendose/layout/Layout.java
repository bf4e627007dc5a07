package evendose.layout;

import evendose.Internal;
import evendose.Supported;
import evendose.files.BadInputException;
import java.io.Serializable;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collection;
import java.util.Collections;
import java.util.Deque;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * A layout as a file holds it: named cells that place each other, and the length of the database unit.
 *
 * <p>References form no loop. A reference to a cell that is missing is allowed, warned of and otherwise without effect.
 *
 * @serial exclude
 */
@Supported
public final class Layout implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Deepest nesting of cells that is accepted; real layouts stay below a few dozen. */
    static final int MAX_DEPTH = 1000;

    private final String source;
    private final DatabaseUnit unit;
    private final Map<String, Cell> cells = new LinkedHashMap<>();
    private final List<Cell> bottomUp = new ArrayList<>();
    private final List<Cell> topCells = new ArrayList<>();
    private final List<String> warnings;

    /**
     * A layout of the given cells.
     *
     * @param source the file's name for messages, as the user gave it
     * @param unit database unit
     * @param cells cells in the order of the file, each name once
     * @param warnings what the reader had to put up with, one sentence each
     * @throws BadInputException if cells place each other in a loop, or are nested deeper than 1,000 levels
     * @throws IllegalArgumentException if a name occurs twice
     */
    @Internal
    public Layout(String source, DatabaseUnit unit, Collection<Cell> cells, List<String> warnings) {
        this.source = source;
        this.unit = unit;
        this.warnings = new ArrayList<>(warnings);
        for (Cell cell : cells) {
            if (this.cells.put(cell.name(), cell) != null) {
                throw new IllegalArgumentException("two cells are named " + cell.name());
            }
        }
        sort();
        findTopCells();
    }

    /**
     * {@return a builder of a layout from arrays, without a file}
     *
     * @param unit database unit to which coordinates are rounded
     */
    public static LayoutBuilder builder(DatabaseUnit unit) {
        return new LayoutBuilder(unit);
    }

    /** {@return the file's name, as the user gave it} */
    public String source() {
        return source;
    }

    /** {@return length of the coordinates' unit} */
    public DatabaseUnit unit() {
        return unit;
    }

    /** {@return cells by name, in the order of the file} */
    @Internal
    public Map<String, Cell> cells() {
        return Collections.unmodifiableMap(cells);
    }

    /** {@return cells that no other cell places, in the order of the file} */
    @Internal
    public List<Cell> topCells() {
        return Collections.unmodifiableList(topCells);
    }

    /** {@return what had to be put up with in reading, one sentence each} */
    public List<String> warnings() {
        return Collections.unmodifiableList(warnings);
    }

    /** All cells, each after those that it places. */
    List<Cell> bottomUp() {
        return bottomUp;
    }

    private void sort() {
        Map<Cell, Integer> height = new HashMap<>();
        Set<Cell> open = new HashSet<>();
        SortedMap<String, String> missing = new TreeMap<>();
        Deque<Cell> path = new ArrayDeque<>();
        Deque<Iterator<Reference>> pending = new ArrayDeque<>();
        for (Cell root : cells.values()) {
            if (height.containsKey(root)) {
                continue;
            }
            path.push(root);
            open.add(root);
            pending.push(root.references().iterator());
            while (!path.isEmpty()) {
                Cell cell = path.element();
                if (!pending.element().hasNext()) {
                    height.put(cell, 1 + highestChild(cell, height));
                    if (height.get(cell) > MAX_DEPTH) {
                        throw new BadInputException(
                                source, "cell " + cell.name(), "cells are nested deeper than " + MAX_DEPTH + " levels");
                    }
                    bottomUp.add(cell);
                    open.remove(cell);
                    path.pop();
                    pending.pop();
                    continue;
                }
                String name = pending.element().next().cell();
                Cell child = cells.get(name);
                if (child == null) {
                    missing.putIfAbsent(name, cell.name());
                } else if (open.contains(child)) {
                    throw new BadInputException(
                            source,
                            "cell " + cell.name(),
                            "places " + name + ", which directly or through others contains " + cell.name()
                                    + "; remove one of the references");
                } else if (!height.containsKey(child)) {
                    path.push(child);
                    open.add(child);
                    pending.push(child.references().iterator());
                }
            }
        }
        missing.forEach((name, in) ->
                warnings.add("cell " + name + " is placed (first in " + in + ") but missing from the file; left out"));
    }

    private int highestChild(Cell cell, Map<Cell, Integer> height) {
        int highest = 0;
        String last = null;
        for (Reference reference : cell.references()) {
            if (!reference.cell().equals(last)) {
                last = reference.cell();
                Cell child = cells.get(last);
                highest = Math.max(highest, child == null ? 0 : height.get(child));
            }
        }
        return highest;
    }

    private void findTopCells() {
        Set<String> placed = new HashSet<>();
        for (Cell cell : cells.values()) {
            for (Reference reference : cell.references()) {
                placed.add(reference.cell());
            }
        }
        for (Cell cell : cells.values()) {
            if (!placed.contains(cell.name())) {
                topCells.add(cell);
            }
        }
    }

    @Override
    public String toString() {
        return "Layout[" + source + ", " + cells.size() + " cells, dbu " + unit.um() + " um]";
    }
}
