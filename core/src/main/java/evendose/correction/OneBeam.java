package evendose.correction;

import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.energy.TermChoice;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.CellRule;
import evendose.pieces.Fracture;
import evendose.pieces.Measuring;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/** All shapes exposed with one beam, fogging of the column included. */
final class OneBeam implements Beams {
    private final ExposedShapes exposed;
    private final double dbuUm;
    private final CorrectionOptions options;
    private final Optional<Measuring> measuring;
    private final Workers workers;
    private final Progress progress;

    OneBeam(ExposedShapes exposed, double dbuUm, CorrectionOptions options, Workers workers, Progress progress) {
        this.exposed = exposed;
        this.dbuUm = dbuUm;
        this.options = options;
        this.measuring = Correction.measuring(exposed.shapes(), dbuUm, options);
        this.workers = workers;
        this.progress = progress;
    }

    @Override
    public Fracture.Result cut(List<CellRule> rules, Optional<Fracture.Result> former) {
        return Fracture.of(exposed.shapes(), dbuUm, exposed.fracture(), measuring, rules, former, workers, progress);
    }

    @Override
    public UnitEnergy energy(Fracture.Result cut) {
        EnergyModel model = model(
                cut.pieces(),
                cut.samples().withInteriorShare(exposed.directShare()),
                options.longRange().with(options.psf()),
                workers,
                progress);
        return new UnitEnergy() {
            @Override
            public void apply(double[] dose, double[] criterion) {
                model.apply(dose, criterion);
            }

            @Override
            public double[] at(double[] dose, double[] xUm, double[] yUm) {
                return model.field(dose).at(xUm, yUm, workers);
            }

            @Override
            public List<TermChoice> choices() {
                return model.choices();
            }
        };
    }

    /** Builds the model if it fits. */
    static EnergyModel model(
            Pieces pieces, Samples samples, PointSpreadFunction psf, Workers workers, Progress progress) {
        progress.begin("planning the energy model", 0);
        EnginePlan plan = EnginePlan.of(pieces, samples, psf, workers);
        MemoryNeed.requireBeside(
                MemoryNeed.ofModel(plan, pieces.units()),
                String.format(Locale.ROOT, "the layout was cut into %,d pieces", pieces.size()));
        return EnergyModel.build(plan, workers, progress);
    }
}
