package evendose.writing;

import evendose.units.Range;
import java.util.OptionalDouble;

/**
 * One exposure with two currents, one after the other on the same load, beside the same exposure with the fine one alone:
 *
 * <pre>t = t_fine + t_bulk - t_load + t_change
 * t_alone = t_fine + n (Q_bulk / I_fine + bulk pieces t_piece)</pre>
 *
 * <p>Each of {@code t_fine} and {@code t_bulk} is the total of {@link WritePlanner}, so both count loading, their fields and their moves. The steps of the
 * seam and the bulk that they overlap make up one full dose, so the charge that the fine beam alone would need is that of both tables; it
 * settles at the pieces of both and goes through its fields once.
 *
 * @param fine the fine exposure
 * @param bulk the coarse one
 * @param changeS time from the end of one exposure to the begin of the other: setting the current, focusing, aligning, s
 */
public record TwoBeamPlan(WritePlan fine, WritePlan bulk, double changeS) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public TwoBeamPlan {
        Range.notNegative("time between the exposures", changeS);
    }

    /** {@return time from loading to the end of both, s} */
    public double totalS() {
        return fine.choice().totalS() + bulk.choice().totalS() - fine.settings().loadingS() + changeS;
    }

    /** {@return time that the fine current would take for all, s} */
    public double aloneS() {
        return fine.choice().totalS() + aloneBulkBeamOnS() + bulk.pieceSettlingS();
    }

    /** {@return time that the fine beam would be on for what the coarse one exposes, s} */
    public double aloneBulkBeamOnS() {
        return ExposureArithmetic.beamOnS(bulk.chargeUc(), fine.choice().currentNa());
    }

    /** {@return time that the coarse beam saves, s; below 0 if it costs some} */
    public double savedS() {
        return aloneS() - totalS();
    }

    /** {@return time left in the slot at the end of both, s, negative if it is too short; empty without a slot} */
    public OptionalDouble slotLeftS() {
        OptionalDouble slot = fine.settings().slotS();
        return slot.isPresent() ? OptionalDouble.of(slot.getAsDouble() - totalS()) : slot;
    }

    /** {@return whether nothing forbids either exposure and the slot holds both} */
    public boolean feasible() {
        return fine.choice().feasible()
                && bulk.choice().feasible()
                && slotLeftS().orElse(0) >= 0;
    }
}
