package evendose.report;

import static evendose.files.NumberText.percent;
import static evendose.report.PlanPage.duration;
import static evendose.report.PlanPage.number;
import static evendose.report.ReportText.area;
import static evendose.report.ReportText.format;

import evendose.correction.BeamSeam;
import evendose.correction.DoseTable;
import evendose.verification.Exposure;
import evendose.verification.SeamCheck;
import evendose.writing.PlanChoice;
import evendose.writing.TwoBeamPlan;
import evendose.writing.WritePlan;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

/** What pages tell of an exposure with a fine and a coarse beam. */
final class TwoBeamSections {
    private static final int DOSE_MAP_PIXELS = 900;

    private TwoBeamSections() {}

    /** Both exposures and their seam, for the report of a correction. */
    static void exposures(HtmlPage page, TwoBeamRun run) {
        DoseTable fine = run.both().fine();
        DoseTable bulk = run.both().bulk();
        BeamSeam plan = run.both().seam();
        SeamCheck seam = run.seam();
        page.heading("beams", "Two beams")
                .text(format(
                        "Rims of %s um and narrow shapes are exposed with the fine beam (corrected layout, doses.csv; the map above), the inside of"
                                + " wide shapes with the coarse one (bulk layout, bulk-doses.csv; the map below). Doses were found together: edges, widths and"
                                + " places on this page have the energy of both.",
                        number(plan.rimUm())))
                .numbers("", "fine", "bulk");
        page.row(
                "pieces",
                format("%,d", fine.pieces().size()),
                format("%,d", bulk.pieces().size()));
        page.row("exposed", area(fine.areaUm2()), area(bulk.areaUm2()));
        page.row(
                "factors",
                format("%.4f to %.4f", fine.minFactor(), fine.maxFactor()),
                format("%.4f to %.4f", bulk.minFactor(), bulk.maxFactor()));
        double charge = fine.dosedAreaUm2() + bulk.dosedAreaUm2();
        page.row("share of the charge", percent(fine.dosedAreaUm2() / charge), percent(bulk.dosedAreaUm2() / charge));
        page.row(
                "direct range, um",
                number(fine.options().psf().direct().rangeUm()),
                number(bulk.options().psf().direct().rangeUm()));
        page.endRows().facts();
        page.row("bulk point spread from", run.bulkSource().isEmpty() ? "not told" : run.bulkSource());
        page.row(
                "seam",
                plan.steps() == 0
                        ? "both exposures abut"
                        : format(
                                "the fine dose goes down in %d steps from %.1f nm before the bulk to %.1f nm in it; by closed form off by %s at most",
                                plan.steps(),
                                -1e3 * plan.edgesUm()[0],
                                1e3 * plan.overlapUm(),
                                percent(plan.deviation())));
        if (seam.places() > 0) {
            page.row(
                    "off an even pad",
                    format(
                            "%s at most at %,d places off corners, at (%.3f, %.3f) um",
                            percent(seam.offBy()), seam.places(), seam.offXUm(), seam.offYUm()));
            page.row(
                    format("overlay error of %.3g nm", 1e3 * seam.shiftUm()),
                    format(
                            "changes the energy by up to %s of the clearing energy, at (%.3f, %.3f) um",
                            percent(seam.shifted()), seam.shiftedXUm(), seam.shiftedYUm()));
        }
        page.row(
                "lowest energy about the seam",
                format(
                        "%.3f times the clearing energy, corners included, at (%.3f, %.3f) um",
                        seam.lowest(), seam.lowestXUm(), seam.lowestYUm()));
        page.endRows();
        page.text(
                "Off an even pad: energy across the seam beside the energies in rim and bulk, where the coarse beam has reached nothing and its"
                        + " plateau, blended as that beam rises; with equal doses on both sides this is the energy of a uniformly exposed pad.");
        page.picture(DoseMap.of(Exposure.of(bulk), DOSE_MAP_PIXELS));
    }

    /** The answer and the times of both exposures, for the page of a plan. */
    static void plan(HtmlPage page, TwoBeamPlan pair) {
        List<String> sentences = new ArrayList<>();
        PlanChoice fine = pair.fine().choice();
        PlanChoice bulk = pair.bulk().choice();
        sentences.add(format(
                "%s nA for rims and narrow shapes, %s nA for the bulk: %s in all; with %s nA alone %s.",
                number(fine.currentNa()),
                number(bulk.currentNa()),
                duration(pair.totalS()),
                number(fine.currentNa()),
                duration(pair.aloneS())));
        pair.slotLeftS()
                .ifPresent(left -> sentences.add(
                        left >= 0
                                ? duration(left) + " of the slot are left."
                                : "The slot is " + duration(-left) + " too short."));
        fine.obstacles().forEach(o -> sentences.add("In the way of the fine exposure: " + o + "."));
        bulk.obstacles().forEach(o -> sentences.add("In the way of the bulk: " + o + "."));
        page.verdict(pair.feasible() ? "" : "care", sentences);
        Stream.concat(
                        fine.cautions().stream().map(c -> "Fine exposure: " + c + "."),
                        bulk.cautions().stream().map(c -> "Bulk: " + c + "."))
                .forEach(page::caution);
        page.heading("Both exposures");
        List<List<String>> rows = new ArrayList<>();
        rows.add(row("fine", pair.fine()));
        rows.add(row("bulk", pair.bulk()));
        page.table(
                List.of(
                        "<exposure",
                        "current, nA",
                        "step, nm",
                        "pieces",
                        "charge, uC",
                        "beam on",
                        "settling at pieces",
                        "fields and moves"),
                rows,
                -1);
        page.facts();
        page.row("loading, once", duration(pair.fine().settings().loadingS()));
        page.row("change of the current", pair.changeS() > 0 ? duration(pair.changeS()) : "not given and not counted");
        page.row("both exposures in all", duration(pair.totalS()));
        page.row(format("%s nA alone", number(fine.currentNa())), duration(pair.aloneS()));
        page.row(pair.savedS() >= 0 ? "saved" : "lost", duration(Math.abs(pair.savedS())));
        page.endRows();
        page.text(
                "The time of the fine current alone counts the charge and the pieces of both tables and goes through its fields once.");
    }

    private static List<String> row(String name, WritePlan plan) {
        return List.of(
                name,
                number(plan.choice().currentNa()),
                number(plan.choice().stepNm()),
                format("%,d", plan.partsWritten()),
                number(plan.chargeUc()),
                duration(plan.choice().beamOnS()),
                duration(plan.pieceSettlingS()),
                duration(plan.fieldSettlingS() + plan.stageMovesS()));
    }
}
