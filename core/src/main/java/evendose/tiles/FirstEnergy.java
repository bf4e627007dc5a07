package evendose.tiles;

import evendose.energy.GridPart;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.List;

/**
 * What a tile remembers of the shared grids from before its first step: its parts of them with factor 1 everywhere.
 *
 * @serial exclude
 */
record FirstEnergy(List<GridPart> parts) implements Serializable {
    FirstEnergy {
        // A list that travels.
        parts = new ArrayList<>(parts);
    }
}
