package evendose.correction;

import evendose.Supported;
import evendose.layout.Layer;
import evendose.pieces.Pieces;
import java.util.List;
import java.util.OptionalDouble;

/**
 * Doses read back from files: what would be exposed, without what is known about how it was found.
 *
 * <p>Pieces of one unit share a dose here too: where a file gives pieces of one unit different doses, each run of equal dose is a
 * unit of its own, and {@link #splitUnits} tells of it.
 */
@Supported
public final class StoredDoses {
    /**
     * A unit whose pieces carry different doses in the file.
     *
     * @param place where in the file it begins, for instance {@code line 12}
     * @param xUm x of the first piece that differs, um
     * @param yUm y of it, um
     * @param ratio its dose over that of the piece before
     */
    public record SplitUnit(String place, double xUm, double yUm, double ratio) {}

    private final Pieces pieces;
    private final List<Layer> layers;
    private final double[] factor;
    private final DoseStatus[] status;
    private final OptionalDouble baseDose;
    private final double levelRatio;
    private final boolean rounded;
    private final List<SplitUnit> splitUnits;
    private final List<String> contradictions;

    StoredDoses(
            Pieces pieces,
            List<Layer> layers,
            double[] factor,
            DoseStatus[] status,
            OptionalDouble baseDose,
            double levelRatio,
            boolean rounded,
            List<SplitUnit> splitUnits,
            List<String> contradictions) {
        this.pieces = pieces;
        this.layers = List.copyOf(layers);
        this.factor = factor;
        this.status = status;
        this.baseDose = baseDose;
        this.levelRatio = levelRatio;
        this.rounded = rounded;
        this.splitUnits = List.copyOf(splitUnits);
        this.contradictions = List.copyOf(contradictions);
    }

    /** {@return the pieces; layers are indices into {@link #layers}} */
    public Pieces pieces() {
        return pieces;
    }

    /** {@return layers in the order of their indices} A layout file of pieces gives datatype 0: levels took its place. */
    public List<Layer> layers() {
        return layers;
    }

    /**
     * {@return dose factor of unit {@code u}}
     *
     * @param u number of the unit, from 0
     */
    public double factor(int u) {
        return factor[u];
    }

    /** {@return dose factors of all units, a new array} */
    public double[] factors() {
        return factor.clone();
    }

    /**
     * {@return status of unit {@code u}; {@link DoseStatus#OK} where the file has none}
     *
     * @param u number of the unit, from 0
     */
    public DoseStatus status(int u) {
        return status[u];
    }

    /** {@return dose at factor 1, uC/cm^2, if the file gives absolute doses} */
    public OptionalDouble baseDoseUcPerCm2() {
        return baseDose;
    }

    /** {@return ratio of neighbouring dose levels that the factors were snapped to; 1 if they are free} */
    public double levelRatio() {
        return levelRatio;
    }

    /** {@return whether corners were rounded to the database unit of a layout file} */
    public boolean rounded() {
        return rounded;
    }

    /** {@return units whose pieces carry different doses} */
    public List<SplitUnit> splitUnits() {
        return splitUnits;
    }

    /** {@return rows whose columns contradict each other, one sentence each; at most a few} */
    public List<String> contradictions() {
        return contradictions;
    }

    @Override
    public String toString() {
        return "StoredDoses[" + pieces.size() + " pieces, " + pieces.units() + " units on layers " + layers + "]";
    }
}
