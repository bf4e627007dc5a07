package evendose.cli;

import static evendose.cli.CommandLineTool.plain;
import static evendose.cli.CommandLineTool.row;
import static evendose.files.NumberText.percent;

import evendose.correction.BeamSeam;
import evendose.correction.DoseTable;
import evendose.files.NumberText;
import evendose.report.PlanPage;
import evendose.report.TwoBeamRun;
import evendose.verification.SeamCheck;
import evendose.writing.PlanChoice;
import evendose.writing.TwoBeamPlan;
import java.io.PrintWriter;

/** What is printed of a coarse beam beside a fine one. */
final class BulkText {
    private BulkText() {}

    /** Of a correction: the lines above it tell of the fine exposure. */
    static void print(PrintWriter out, TwoBeamRun run) {
        DoseTable bulk = run.both().bulk();
        BeamSeam plan = run.both().seam();
        SeamCheck seam = run.seam();
        row(
                out,
                "bulk",
                "%s um^2 of the coarse beam in %,d pieces, %s of the charge, dose factors %.4f to %.4f",
                plain(bulk.areaUm2()),
                bulk.pieces().size(),
                percent(bulk.dosedAreaUm2()
                        / (bulk.dosedAreaUm2() + run.both().fine().dosedAreaUm2())),
                bulk.minFactor(),
                bulk.maxFactor());
        row(
                out,
                "seam",
                plan.steps() == 0
                        ? "both exposures abut"
                        : "the fine dose goes down in %d steps from %s nm before the bulk to %s nm in it",
                plan.steps(),
                NumberText.plain(-1e3 * plan.edgesUm()[0], 4),
                NumberText.plain(1e3 * plan.overlapUm(), 4));
        row(
                out,
                "",
                "off an even pad by %s (largest of %,d places off corners); lowest energy %.3f times the clearing one",
                percent(seam.offBy()),
                seam.places(),
                seam.lowest());
        row(
                out,
                "overlay",
                "%.3g nm between both exposures change the energy at the seam by up to %s of the clearing one",
                1e3 * seam.shiftUm(),
                percent(seam.shifted()));
    }

    /** Of a plan. */
    static void print(PrintWriter out, TwoBeamPlan pair) {
        PlanChoice bulk = pair.bulk().choice();
        row(
                out,
                "bulk",
                "%s nA with a step of %s nm: %s uC, beam on %s, settling at %,d pieces %s, fields and moves %s",
                plain(bulk.currentNa()),
                plain(bulk.stepNm()),
                plain(pair.bulk().chargeUc()),
                PlanPage.duration(bulk.beamOnS()),
                pair.bulk().partsWritten(),
                PlanPage.duration(pair.bulk().pieceSettlingS()),
                PlanPage.duration(pair.bulk().fieldSettlingS() + pair.bulk().stageMovesS()));
        bulk.obstacles().forEach(o -> row(out, "in the way", "bulk: %s", o));
        bulk.cautions().forEach(c -> row(out, "caution", "bulk: %s", c));
        row(
                out,
                "both",
                "%s in all; %s nA alone would take %s, so the coarse beam %s %s",
                PlanPage.duration(pair.totalS()),
                plain(pair.fine().choice().currentNa()),
                PlanPage.duration(pair.aloneS()),
                pair.savedS() >= 0 ? "saves" : "costs",
                PlanPage.duration(Math.abs(pair.savedS())));
        pair.slotLeftS()
                .ifPresent(left -> row(
                        out,
                        "slot for both",
                        "%s",
                        left >= 0 ? PlanPage.duration(left) + " left" : PlanPage.duration(-left) + " too short"));
    }
}
