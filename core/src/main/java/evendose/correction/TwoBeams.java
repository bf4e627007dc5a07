package evendose.correction;

import evendose.energy.EnergyModel;
import evendose.energy.PieceIndex;
import evendose.energy.TermChoice;
import evendose.geometry.BluntOffset;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.CellRule;
import evendose.pieces.Fracture;
import evendose.pieces.FractureOptions;
import evendose.pieces.Measuring;
import evendose.pieces.PieceRules;
import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * Rims of wide shapes and all narrow ones exposed with a fine beam, the inside of wide ones, the bulk, with a coarse one.
 *
 * <p>Pieces of rims and narrow shapes come first, then those of the steps of the seam, then those of the bulk. In the bulk no outline is drawn, so its units
 * follow the half-plane rule with the direct term of their own beam: {@code w d / 2} and all far terms of both beams make the target. Steps have no
 * dose of their own: each gets its share of that of the rim beside it, so that the energy passes over to that of the bulk as the coarse beam
 * rises ({@link BeamSeam}).
 */
final class TwoBeams implements Beams {
    private static final int STEPS_PER_PART = 1 << 10;

    private final BeamSeam seam;
    private final CorrectionOptions fine;
    private final CorrectionOptions bulk;
    private final double dbuUm;
    private final Trapezoids rimShapes;
    private final Trapezoids stepShapes;
    private final Trapezoids bulkShapes;
    private final Polygons inside;
    private final Optional<Measuring> measuring;
    private final Workers workers;
    private final Progress progress;
    private Fracture.Result bulkCut;
    private Fracture.Result stepCut;

    private TwoBeams(
            BeamSeam seam,
            CorrectionOptions fine,
            CorrectionOptions bulk,
            double dbuUm,
            Trapezoids rimShapes,
            Trapezoids stepShapes,
            Trapezoids bulkShapes,
            Polygons inside,
            Workers workers,
            Progress progress) {
        this.seam = seam;
        this.fine = fine;
        this.bulk = bulk;
        this.dbuUm = dbuUm;
        this.rimShapes = rimShapes;
        this.stepShapes = stepShapes;
        this.bulkShapes = bulkShapes;
        this.inside = inside;
        this.measuring = Correction.measuring(rimShapes, dbuUm, fine);
        this.workers = workers;
        this.progress = progress;
    }

    /** {@return both exposures of a pattern; empty if it has no wide shape} */
    static Optional<TwoBeams> of(
            DrawnPattern drawn,
            BeamSeam seam,
            CorrectionOptions fine,
            CorrectionOptions bulk,
            Workers workers,
            Progress progress) {
        double dbuUm = drawn.unit().um();
        long rim = Math.max(1, Math.round(seam.rimUm() / dbuUm));
        // On the grid as the steps are, so that rounding pieces to it leaves all steps as wide as they should be.
        long grid = gridSteps(fine.rules(), dbuUm);
        // What is wide enough for a bulk, brought back to its size without its narrow parts.
        long half = Math.max(1, Math.round(seam.coreUm() / dbuUm));
        Polygons core = BluntOffset.of(drawn.polygons(), -rim - half, 1, workers, progress);
        if (core.size() == 0) {
            return Optional.empty();
        }
        Polygons inside = BluntOffset.of(core, half, grid, workers, progress);
        int edges = seam.edgesUm().length;
        Polygons exposed = new Polygons();
        for (int m = 0; m < edges; m++) {
            long out = -Math.round(seam.edgesUm()[m] / dbuUm);
            int group = edges - 1 - m;
            exposed.addAll(out == 0 ? inside : BluntOffset.of(inside, out, grid, workers, progress), g -> group);
        }
        exposed.addAll(drawn.polygons(), g -> edges + g);
        int groups = edges + drawn.roles().size();
        Trapezoids fineShapes = Merge.of(exposed, groups, workers, progress);
        Polygons whole = new Polygons();
        // The lowest group owns the place, so that of the bulk comes first here; its index, 0, is free among those of
        // the fine exposure.
        whole.addAll(inside, g -> 0);
        whole.addAll(drawn.polygons(), g -> 1);
        Trapezoids bulkShapes = Merge.of(whole, 2, workers, progress).ofGroups(g -> g == 0);
        MemoryNeed.require(
                MemoryNeed.ofMerged(
                        fineShapes.size() + bulkShapes.size(),
                        (fineShapes.area() + bulkShapes.area()) * dbuUm * dbuUm,
                        fine.maxPieceUm()),
                String.format(
                        Locale.ROOT,
                        "the layout in rims and bulk has %,d trapezoids",
                        fineShapes.size() + bulkShapes.size()));
        return Optional.of(new TwoBeams(
                seam,
                fine,
                bulk,
                dbuUm,
                fineShapes.ofGroups(g -> g >= edges),
                fineShapes.ofGroups(g -> g > 0 && g < edges),
                bulkShapes,
                inside,
                workers,
                progress));
    }

    /** The grid that pieces lie on, dbu; edges are whole numbers of dbu, so a finer or broken one counts as the next multiple. */
    static long gridSteps(PieceRules rules, double dbuUm) {
        return Math.max(1, (long) Math.ceil(rules.gridUm() / dbuUm - 1e-6));
    }

    BeamSeam seam() {
        return seam;
    }

    /** What the coarse beam exposes. */
    Polygons inside() {
        return inside;
    }

    /** The roles of what is cut by layer: 0 is the bulk, then the steps of the seam from the inside, then the drawn layers. */
    List<LayerRole> roles(List<LayerRole> drawn) {
        List<LayerRole> roles = new ArrayList<>(Collections.nCopies(seam.edgesUm().length, drawn.get(0)));
        roles.addAll(drawn);
        return roles;
    }

    /** Index among the drawn layers for an index in {@link #roles}: bulk and steps belong to the first. */
    int drawnLayer(int layer) {
        return Math.max(0, layer - seam.edgesUm().length);
    }

    /** For each unit the one whose dose it gets a share of: for steps of the seam the rim beside them, for all others they themselves. */
    int[] sources(Fracture.Result cut) {
        Pieces all = cut.pieces();
        int[] source = new int[all.units()];
        Arrays.setAll(source, u -> u);
        int to = fineUnits(cut);
        int from = to - stepCut.pieces().units();
        boolean[] isRim = new boolean[all.units()];
        Arrays.fill(isRim, 0, from, true);
        Pieces rims = all.ofUnits(isRim);
        int[] unitOfPiece = rims.unitOfPiece();
        PieceIndex index = new PieceIndex(rims);
        double usual = 2 * (seam.overlapUm() - seam.edgesUm()[0]);
        workers.runRanges(to - from, STEPS_PER_PART, (first, end, part) -> {
            PieceIndex.Hits hits = new PieceIndex.Hits();
            for (int u = from + first; u < from + end; u++) {
                int i = all.unitFirst(u) + (all.unitFirst(u + 1) - all.unitFirst(u)) / 2;
                source[u] = unitOfPiece[nearest(rims, index, hits, all.middleXUm(i), all.middleYUm(i), usual)];
            }
        });
        return source;
    }

    private static int nearest(
            Pieces pieces, PieceIndex index, PieceIndex.Hits hits, double x, double y, double usualUm) {
        for (double reach = usualUm; ; reach *= 2) {
            index.find(x - reach, y - reach, x + reach, y + reach, hits);
            int nearest = -1;
            double least = Double.MAX_VALUE;
            for (int k = 0; k < hits.size(); k++) {
                int i = hits.piece(k);
                double dx = Math.max(0, Math.max(pieces.leftUm(i) - x, x - pieces.rightUm(i)));
                double dy = Math.max(0, Math.max(pieces.bottomUm(i) - y, y - pieces.topUm(i)));
                double away = Math.hypot(dx, dy);
                if (away < least || (away == least && i < nearest)) {
                    least = away;
                    nearest = i;
                }
            }
            // A piece beyond the box may be nearer than one in its corner.
            if (nearest >= 0 && least <= reach) {
                return nearest;
            }
        }
    }

    /** Share of the full dose that shapes of a layer in {@link #roles} get: below 1 in steps of the seam. */
    double share(int layer) {
        return layer == 0 ? 0 : layer > seam.steps() ? 1 : seam.shares()[seam.steps() - layer];
    }

    /** Number of units that the fine beam exposes; those of the bulk follow. */
    int fineUnits(Fracture.Result cut) {
        return cut.pieces().units() - bulkCut.pieces().units();
    }

    @Override
    public Fracture.Result cut(List<CellRule> rules, Optional<Fracture.Result> former) {
        if (bulkCut == null) {
            bulkCut = Fracture.of(bulkShapes, dbuUm, bulk.fracture(), workers, progress);
        }
        Fracture.Result rimCut =
                Fracture.of(rimShapes, dbuUm, fine.fracture(), measuring, rules, former, workers, progress);
        CellRule borders = new RimBorders(
                rimCut.pieces(), seam.rimUm(), Math.max(fine.rules().smallestUm(), dbuUm));
        stepCut = Fracture.of(
                stepShapes,
                dbuUm,
                stepOptions(),
                Optional.empty(),
                List.of(borders),
                Optional.empty(),
                workers,
                progress);
        return rimCut.and(stepCut).and(bulkCut);
    }

    /** Steps are cut short from the start, so that they follow slanted rims, and again where rims are ({@link RimBorders}). */
    private FractureOptions stepOptions() {
        FractureOptions usual = fine.fracture();
        return new FractureOptions(
                Math.min(usual.maxPieceUm(), 0.5 * fine.measuring(0).divisibleUm()),
                usual.directRangeUm(),
                usual.sampleSpacingUm(),
                usual.judging(),
                usual.rules());
    }

    @Override
    public UnitEnergy energy(Fracture.Result cut) {
        return new Energy(cut);
    }

    private final class Energy implements UnitEnergy {
        private final EnergyModel ofFine;
        private final EnergyModel ofBulk;
        private final int fineUnits;
        private final double[] share;
        private final int[] source;
        private final double[] fineDose;
        private final double[] bulkDose;
        private final double[] added;

        Energy(Fracture.Result cut) {
            Pieces pieces = cut.pieces();
            ofFine = OneBeam.model(pieces, cut.samples(), fine.psf(), workers, progress);
            ofBulk = OneBeam.model(pieces, cut.samples(), bulk.psf(), workers, progress);
            fineUnits = fineUnits(cut);
            share = new double[pieces.units()];
            int[] shape = pieces.shapeOfUnit();
            Arrays.setAll(share, u -> share(pieces.layerOfShape(shape[u])));
            source = sources(cut);
            fineDose = new double[share.length];
            bulkDose = new double[share.length];
            added = new double[share.length];
        }

        private void expose(double[] dose) {
            for (int u = 0; u < dose.length; u++) {
                fineDose[u] = u < fineUnits ? share[u] * dose[source[u]] : 0;
                bulkDose[u] = u < fineUnits ? 0 : dose[u];
            }
        }

        @Override
        public void apply(double[] dose, double[] criterion) {
            expose(dose);
            ofFine.apply(fineDose, criterion);
            ofBulk.apply(bulkDose, added);
            Arrays.setAll(criterion, u -> criterion[u] + added[u]);
            // A step follows its rim: whatever moves that one's dose moves its own.
            for (int u = 0; u < fineUnits; u++) {
                criterion[u] = criterion[source[u]];
            }
        }

        @Override
        public double[] at(double[] dose, double[] xUm, double[] yUm) {
            expose(dose);
            double[] energy = ofFine.field(fineDose).at(xUm, yUm, workers);
            double[] more = ofBulk.field(bulkDose).at(xUm, yUm, workers);
            Arrays.setAll(energy, p -> energy[p] + more[p]);
            return energy;
        }

        @Override
        public List<TermChoice> choices() {
            return ofFine.choices();
        }
    }
}
