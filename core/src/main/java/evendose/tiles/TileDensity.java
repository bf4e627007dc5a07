package evendose.tiles;

import evendose.energy.GridPart;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.List;

/**
 * What a tile remembers of the density that the development is loaded by: its parts of the grids for it.
 *
 * @serial exclude
 */
record TileDensity(List<GridPart> parts) implements Serializable {
    TileDensity {
        // A list that travels.
        parts = new ArrayList<>(parts);
    }
}
