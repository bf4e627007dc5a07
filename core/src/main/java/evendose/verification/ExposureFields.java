package evendose.verification;

import evendose.energy.EnergyModel;
import evendose.psf.PointSpreadFunction;
import java.util.function.UnaryOperator;

/** The engine's energies of one exposure. */
public final class ExposureFields {
    private final ExposedUnits units;
    private final PointSpreadFunction psf;
    private final FarEffects effects;
    private final EnergyModel model;

    /** What another beam adds, or null. */
    private final ExposureFields ofAdded;

    private final EnergyModel.Exposed[] exposed = new EnergyModel.Exposed[2];

    ExposureFields(
            ExposedUnits units,
            PointSpreadFunction psf,
            FarEffects effects,
            EnergyModel model,
            ExposureFields ofAdded) {
        this.units = units;
        this.psf = psf;
        this.effects = effects;
        this.model = model;
        this.ofAdded = ofAdded;
    }

    /**
     * {@return energy with the doses or with factors 1}
     *
     * @param withDoses whether with the doses; if not, all factors are 1
     */
    public PointEnergy of(boolean withDoses) {
        return of(withDoses, same -> same);
    }

    /** Energy if the point spread function of each beam were another, whose ranges are the usual ones within the slack. */
    PointEnergy of(boolean withDoses, UnaryOperator<PointSpreadFunction> change) {
        int which = withDoses ? 1 : 0;
        if (exposed[which] == null) {
            exposed[which] = model.exposed(units.factors(withDoses));
        }
        PointEnergy own = effects.with(withDoses, new FieldEnergy(exposed[which].field(change.apply(psf))));
        return ofAdded == null ? own : new Superposed(1, own, ofAdded.of(withDoses, change));
    }
}
