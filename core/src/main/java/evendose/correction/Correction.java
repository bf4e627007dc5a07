package evendose.correction;

import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.CellRule;
import evendose.pieces.Fracture;
import evendose.pieces.Measuring;
import evendose.pieces.OutlinePoints;
import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * Doses of units, and units as fine as it takes: solved on coarse units first, measured along the outline, divided where the energy still
 * varies ({@link UnitDivision}), and solved again from the doses found.
 */
final class Correction {
    /** Units are divided at most so many times. */
    private static final int MOST_DIVISIONS = 2;

    /** Layouts of more units keep even cells: cutting and judging them again takes as long as the whole correction, and twice the memory. */
    private static final int MOST_UNITS = 300_000;

    /** How much shorter outline may have doses of its own where the goal is missed otherwise. */
    private static final double FINER = 0.5;

    /** Residual, at most, to which doses are solved before units are divided, and updates spent on it. */
    private static final double ROUGH = 0.01;

    private static final int ROUGH_UPDATES = 1;

    /** Shapes are measured at about so many places before they are divided, and the outcome is told from about so many. */
    private static final int PLACES = 100_000;

    static final int PLACES_OF_OUTCOME = 20_000;

    /** Points per part of parallel work. */
    private static final int PART = 1 << 14;

    private final List<LayerRole> roles;
    private final CorrectionOptions options;
    private final Workers workers;

    final Fracture.Result cut;
    final UnitEnergy model;
    final double[] target;

    /** What is wanted of each unit before the loading of the development. */
    private final double[] usual;

    private final LocalTarget local;
    final double[] fixed;

    /** How units share doses, or null if each has its own. */
    final DosePerShape shared;

    final Solver solver;

    /** Corrects what is exposed. */
    static Correction of(
            ExposedShapes exposed,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        return of(new OneBeam(exposed, dbuUm, options, workers, progress), roles, options, workers, progress);
    }

    /** Corrects what some beams expose; a piece's layer is the number of its role. */
    static Correction of(
            Beams beams, List<LayerRole> roles, CorrectionOptions options, Workers workers, Progress progress) {
        List<CellRule> rules = new ArrayList<>();
        Fracture.Result cut = beams.cut(rules, Optional.empty());
        LocalTarget local = LocalTarget.of(
                options.longRange().loading(), cut.pieces(), cut.samples().size(), workers, progress);
        double[] start = new double[cut.pieces().units()];
        // So that a target that scales all doses changes nothing else.
        Arrays.fill(start, options.target() / options.criterion().target());
        Correction now = new Correction(beams, cut, local, start, new double[0], roles, options, workers, progress);
        while (rules.size() < MOST_DIVISIONS && now.isDividedAsNeeded()) {
            int updates = ROUGH_UPDATES * (1 + rules.size());
            now.solve(Math.max(ROUGH, options.tolerance()), Math.min(updates, options.maxIterations()), progress);
            Optional<UnitDivision> division = now.division(now.off(now.cut.measured(), now.solver.dose, progress));
            if (division.isEmpty()) {
                break;
            }
            rules.add(division.get());
            Fracture.Result finer = beams.cut(rules, Optional.of(now.cut));
            if (finer.pieces().units() == now.cut.pieces().units()) {
                break;
            }
            double[] dose = now.dosesFor(finer);
            double[] history = now.solver.history();
            // The model of the coarser units must go before the next is built.
            now = null;
            now = new Correction(beams, finer, local, dose, history, roles, options, workers, progress);
        }
        now.solve(options.tolerance(), options.maxIterations(), progress);
        return now;
    }

    /** Where shapes are to be measured before they are divided; nowhere for a criterion that does not look at edges. */
    static Optional<Measuring> measuring(Trapezoids merged, double dbuUm, CorrectionOptions options) {
        return options.criterion() == Criterion.EDGE
                ? Optional.of(options.measuring(outlineUm(merged, dbuUm) / PLACES))
                : Optional.empty();
    }

    private static double outlineUm(Trapezoids merged, double dbuUm) {
        double length = 0;
        for (int i = 0; i < merged.size(); i++) {
            double height = merged.yTop(i) - merged.yBottom(i);
            length += merged.leftExposed(i) ? Math.hypot(height, merged.xLeftTop(i) - merged.xLeftBottom(i)) : 0;
            length += merged.rightExposed(i) ? Math.hypot(height, merged.xRightTop(i) - merged.xRightBottom(i)) : 0;
            for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
                length += merged.exposedTo(e) - merged.exposedFrom(e);
            }
        }
        return length * dbuUm;
    }

    private Correction(
            Beams beams,
            Fracture.Result cut,
            LocalTarget local,
            double[] start,
            double[] history,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        this.cut = cut;
        this.local = local;
        this.roles = roles;
        this.options = options;
        this.workers = workers;
        Pieces pieces = cut.pieces();
        this.model = beams.energy(cut);
        int[] shape = pieces.shapeOfUnit();
        int units = pieces.units();
        this.usual = new double[units];
        this.fixed = new double[units];
        for (int u = 0; u < units; u++) {
            LayerRole role = roles.get(pieces.layerOfShape(shape[u]));
            usual[u] = options.target() * role.target();
            fixed[u] = role.fixedDose().orElse(Double.NaN);
        }
        this.shared = options.oneDosePerShape() ? new DosePerShape(pieces, cut.judged()) : null;
        this.target = targets();
        progress.begin("correcting doses", 0);
        this.solver = shared == null
                ? solver(model::apply, target, fixed, start, history)
                : solver(
                        (dose, criterion) -> shared.apply(model, dose, criterion),
                        shared.ofShapes(target),
                        shared.ofShapes(fixed),
                        shared.ofShapes(start),
                        history);
    }

    /** What is wanted of each unit; where shapes have one dose, the mean over the shape. */
    private double[] targets() {
        if (local.isUniform()) {
            return usual;
        }
        double[] wanted = local.ofUnits(cut.samples());
        for (int u = 0; u < wanted.length; u++) {
            wanted[u] *= usual[u];
        }
        return shared == null ? wanted : shared.toUnits(shared.means(wanted));
    }

    private Solver solver(
            Solver.CriterionValues values, double[] targets, double[] given, double[] start, double[] history) {
        return new Solver(values, targets, given, start, history, options.minFactor(), options.maxFactor(), workers);
    }

    private void solve(double tolerance, int mostUpdates, Progress progress) {
        progress.begin("correcting doses", 0);
        solver.solve(tolerance, mostUpdates, progress);
    }

    /** Whether units are as fine as the goal asks for: edges are judged, any unit is large enough to be divided, and the layout is not too large. */
    private boolean isDividedAsNeeded() {
        if (options.criterion() != Criterion.EDGE
                || options.oneDosePerShape()
                || cut.pieces().units() > MOST_UNITS) {
            return false;
        }
        OutlinePoints points = cut.measured();
        double extent = options.measuring(0).divisibleUm();
        int last = -1;
        for (int unit : points.unit()) {
            if (unit != last) {
                last = unit;
                double[] box = cut.pieces().unitBoundsUm(unit);
                if (Math.max(box[2] - box[0], box[3] - box[1]) > extent) {
                    return true;
                }
            }
        }
        return false;
    }

    /** How units are to be divided; empty if none is. */
    private Optional<UnitDivision> division(double[] off) {
        boolean[] isFree = new boolean[fixed.length];
        for (int u = 0; u < isFree.length; u++) {
            isFree[u] = Double.isNaN(fixed[u]);
        }
        double direct = options.psf().direct().rangeUm();
        double[] lasting = UnitDivision.lasting(cut.measured(), off, direct);
        BorderWorth worth = worth(lasting, isFree, BestBorder.SHORTEST * direct);
        // Steps of moved outline would be taken for what shorter parts could mend: these did not converge.
        if (!worth.suffices() && options.moves().isEmpty()) {
            worth = worth(lasting, isFree, FINER * BestBorder.SHORTEST * direct);
        }
        return worth.division(options.maxPieceUm() / 4);
    }

    private BorderWorth worth(double[] lasting, boolean[] isFree, double shortestUm) {
        return new BorderWorth(
                cut.pieces(),
                cut.measured(),
                lasting,
                isFree,
                options.measuring(0).divisibleUm(),
                shortestUm,
                options.allowedEdgeError());
    }

    /** Doses of the units of a finer cut: those of the units that they were part of. */
    private double[] dosesFor(Fracture.Result finer) {
        Pieces before = cut.pieces();
        Pieces after = finer.pieces();
        double[] dose = new double[after.units()];
        Map<Integer, Integer> unitOfCell = new HashMap<>();
        for (int s = 0; s < after.shapes(); s++) {
            int from = before.shapeFirst(s);
            unitOfCell.clear();
            for (int u = from; u < before.shapeFirst(s + 1); u++) {
                unitOfCell.put(cut.cell()[u], u);
            }
            for (int u = after.shapeFirst(s); u < after.shapeFirst(s + 1); u++) {
                // A cell that held nothing before gets the dose of the shape's first unit to begin with.
                dose[u] = solver.dose[unitOfCell.getOrDefault(finer.parent()[u], from)];
            }
        }
        return dose;
    }

    /** What the solver holds, one a unit; not a copy where each unit has a dose of its own. */
    double[] toUnits(double[] solved) {
        return shared == null ? solved : shared.toUnits(solved);
    }

    /** How far the outline is off with the given doses, one a unit. */
    OutlineError outlineError(double[] dose, Progress progress) {
        OutlinePoints some = placesOfOutcome();
        return OutlineError.of(some, off(some, dose, progress));
    }

    private OutlinePoints placesOfOutcome() {
        return cut.measured().offCorners().atMost(PLACES_OF_OUTCOME);
    }

    /** Which units can have one dose without missing the goal along the outline; none where units are not as fine as the goal asks for. */
    Optional<JoinedUnits> joined(double[] dose, Progress progress) {
        // Where outlines are moved, doses that jump from one update to the next would keep moves from settling.
        if (!isDividedAsNeeded() || !options.moves().isEmpty()) {
            return Optional.empty();
        }
        boolean[] isFree = new boolean[dose.length];
        double[] perDose = new double[dose.length];
        double own = options.criterion().ownShare(options.psf());
        for (int u = 0; u < dose.length; u++) {
            isFree[u] = EqualDoses.isFree(dose[u], fixed[u], options.minFactor(), options.maxFactor());
            perDose[u] = own / target[u];
        }
        OutlinePoints some = placesOfOutcome();
        UnitJoining joining = new UnitJoining(cut.pieces(), dose, isFree, cut.judged());
        return Optional.of(joining.within(some, off(some, dose, progress), perDose, options.allowedEdgeError()));
    }

    private double[] off(OutlinePoints points, double[] dose, Progress progress) {
        if (points.size() == 0) {
            return new double[0];
        }
        progress.begin("measuring along the outline", 0);
        double[] off = model.at(dose, points.xUm(), points.yUm());
        double[] wanted = local.at(points.xUm(), points.yUm());
        workers.runRanges(off.length, PART, (from, to, part) -> {
            for (int p = from; p < to; p++) {
                int unit = points.unit()[p];
                off[p] = Double.isNaN(fixed[unit]) ? off[p] / (usual[unit] * wanted[p]) - 1 : Double.NaN;
            }
        });
        return off;
    }
}
