package evendose.correction;

import evendose.energy.TermChoice;
import java.util.List;

/** The energy that the doses of units give, where the units are judged and at any point; linear in the doses. */
interface UnitEnergy {
    /**
     * Finds criterion values.
     *
     * @param dose dose of each unit
     * @param criterion receives the criterion value of each unit; another array
     */
    void apply(double[] dose, double[] criterion);

    /** The energy at points (um), a new array. */
    double[] at(double[] dose, double[] xUm, double[] yUm);

    /** How each term is computed, by rising range. */
    List<TermChoice> choices();
}
