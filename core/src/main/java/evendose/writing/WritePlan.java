package evendose.writing;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalLong;

/**
 * How a dose table is written: times, rates, fields, and the best current and step.
 *
 * @param settings the tool and the job
 * @param pieces number of pieces of one copy
 * @param shapes number of shapes of one copy
 * @param boundsUm smallest x, smallest y, largest x, largest y of the layout, um; not to be changed
 * @param exposedAreaUm2 exposed area of all copies, um^2
 * @param chargeUc charge of all copies, uC
 * @param fields the writing fields of one copy, if the field size is known
 * @param choices every current with every step, currents rising, steps rising within
 * @param chosen index of the choice that the rest describes: the best one, or the one with the least against it if nothing is
 *     feasible
 * @param fillings what filling with whole steps does at each step, steps rising
 * @param levels how each level is written with it
 * @param feature the smallest feature with it
 */
public record WritePlan(
        WriterSettings settings,
        long pieces,
        long shapes,
        double[] boundsUm,
        double exposedAreaUm2,
        double chargeUc,
        Optional<WritingFields> fields,
        List<PlanChoice> choices,
        int chosen,
        List<StepFilling> fillings,
        List<PlannedLevel> levels,
        SmallestFeature feature) {
    /** Checks that values lie in their ranges. {@inheritDoc} */
    public WritePlan {
        choices = List.copyOf(choices);
        fillings = List.copyOf(fillings);
        levels = List.copyOf(levels);
    }

    /** {@return the choice that the plan describes} */
    public PlanChoice choice() {
        return choices.get(chosen);
    }

    /** {@return what filling does at the step of {@link #choice}} */
    public StepFilling filling() {
        double step = choice().stepNm();
        return fillings.stream().filter(f -> f.stepNm() == step).findFirst().orElseThrow();
    }

    /** {@return number of fields written, all copies} */
    public long fieldsWritten() {
        return (long) settings.copies() * fields.map(WritingFields::count).orElse(1);
    }

    /** {@return number of pieces written, all copies; a piece across a field border counts in each field} */
    public long partsWritten() {
        return settings.copies() * fields.map(WritingFields::parts).orElse(pieces);
    }

    /** {@return time lost at the start of pieces, s} */
    public double pieceSettlingS() {
        return settlingS(partsWritten(), settings);
    }

    /** {@return time lost at the start of fields, s} */
    public double fieldSettlingS() {
        return fieldsWritten() * settings.settlePerFieldS();
    }

    /** {@return time of stage moves, s: one to each field} */
    public double stageMovesS() {
        return fieldsWritten() * settings.stageMoveS();
    }

    static double settlingS(long parts, WriterSettings settings) {
        return parts * settings.settlePerPieceUs() * 1e-6;
    }

    /** {@return time left in the slot at the end, s, negative if it is too short; empty without a slot} */
    public OptionalDouble slotLeftS() {
        return settings.slotS().isPresent()
                ? OptionalDouble.of(settings.slotS().getAsDouble() - choice().totalS())
                : OptionalDouble.empty();
    }

    /** {@return how many copies fit in the slot; empty without a slot} */
    public OptionalLong copiesInSlot() {
        if (settings.slotS().isEmpty()) {
            return OptionalLong.empty();
        }
        double perCopy = (choice().totalS() - settings.loadingS()) / settings.copies();
        double left = settings.slotS().getAsDouble() - settings.loadingS();
        return OptionalLong.of(left < 0 ? 0 : (long) Math.floor(left / perCopy * (1 + 1e-12)));
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {
            settings,
            pieces,
            shapes,
            boundsUm,
            exposedAreaUm2,
            chargeUc,
            fields,
            choices,
            chosen,
            fillings,
            levels,
            feature
        };
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof WritePlan o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
