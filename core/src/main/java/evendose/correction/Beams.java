package evendose.correction;

import evendose.pieces.CellRule;
import evendose.pieces.Fracture;
import java.util.List;
import java.util.Optional;

/** What exposes a layout: cuts it into what gets doses, and knows the energy that these give. */
interface Beams {
    /**
     * Cuts the layout.
     *
     * @param rules cells are divided by the first, their parts by the second, and so on
     * @param former the result of all rules but the last, if there is one
     */
    Fracture.Result cut(List<CellRule> rules, Optional<Fracture.Result> former);

    /** The energy of what was cut. */
    UnitEnergy energy(Fracture.Result cut);
}
