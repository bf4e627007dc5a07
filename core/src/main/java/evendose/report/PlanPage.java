package evendose.report;

import evendose.files.NumberText;
import evendose.writing.FieldCut;
import evendose.writing.PlanChoice;
import evendose.writing.PlannedLevel;
import evendose.writing.SmallestFeature;
import evendose.writing.StepFilling;
import evendose.writing.TwoBeamPlan;
import evendose.writing.WritePlan;
import evendose.writing.WriterSettings;
import evendose.writing.WritingFields;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/** A plan as a page to read before booking. */
public final class PlanPage {
    private static final int MOST_LEVELS = 64;
    private static final int MOST_CUTS = 20;
    private static final int MOST_PIECES = 10;

    /** Smaller errors than this show as none. */
    private static final double LEAST_ERROR = 5e-4;

    private PlanPage() {}

    /**
     * {@return the text of {@code plan.html}}
     *
     * @param plan the plan
     * @param pictures those of {@link PlanPictures}
     * @param doses name of the dose table
     * @param version version of the program, to be noted
     */
    public static String html(WritePlan plan, List<Picture> pictures, String doses, String version) {
        return html(plan, Optional.empty(), pictures, doses, version);
    }

    /**
     * {@return the text of {@code plan.html} for two beams}
     *
     * @param pair both plans
     * @param pictures those of {@link PlanPictures} for the fine exposure
     * @param doses name of the dose table
     * @param version version of the program, to be noted
     */
    public static String html(TwoBeamPlan pair, List<Picture> pictures, String doses, String version) {
        return html(pair.fine(), Optional.of(pair), pictures, doses, version);
    }

    private static String html(
            WritePlan plan, Optional<TwoBeamPlan> pair, List<Picture> pictures, String doses, String version) {
        HtmlPage page = new HtmlPage(
                "evendose write plan",
                "Write plan",
                text(
                        "%s, base dose %s uC/cm^2, %,d shapes in %,d pieces",
                        doses, number(plan.settings().baseDoseUcPerCm2()), plan.shapes(), plan.pieces()));
        if (pair.isPresent()) {
            TwoBeamSections.plan(page, pair.get());
            page.text("What follows is of the fine exposure; bulk-plan-*.csv hold the same of the bulk.");
        } else {
            verdict(page, plan);
        }
        times(page, plan, pictures);
        currents(page, plan, pictures);
        filling(page, plan);
        fields(page, plan, pictures);
        page.heading("Shot noise");
        page.text(noise(plan));
        levels(page, plan);
        return page.finish(
                "evendose " + version
                        + ". A plan counts what it was told; compare one job of your own tool with it before you rely on the times.");
    }

    private static void verdict(HtmlPage page, WritePlan plan) {
        PlanChoice choice = plan.choice();
        WriterSettings s = plan.settings();
        String summary = text(
                "%s nA with a step of %s nm: %s in all%s.",
                number(choice.currentNa()),
                number(choice.stepNm()),
                duration(choice.totalS()),
                s.copies() > 1 ? text(" for %d copies", s.copies()) : "");
        page.verdict(
                choice.feasible() ? "" : "care",
                choice.feasible()
                        ? summary + slot(plan)
                        : "Nothing of what was offered can be written as it is. Least in the way: " + summary
                                + slot(plan) + " In the way: " + String.join("; ", choice.obstacles()) + ".");
        choice.cautions().forEach(c -> page.caution(sentence(c)));
    }

    private static void times(HtmlPage page, WritePlan plan, List<Picture> pictures) {
        page.heading("Time");
        page.table(List.of("<part", "time", "share"), times(plan), -1);
        List<String> unknown = unknown(plan.settings());
        if (!unknown.isEmpty()) {
            page.text("Not given and so not counted: " + String.join(", ", unknown) + ".");
        }
        page.picture(pictures, "plan-time");
    }

    private static void currents(HtmlPage page, WritePlan plan, List<Picture> pictures) {
        page.heading("Currents and steps");
        page.table(
                List.of(
                        "current, nA",
                        "step, nm",
                        "beam, nm",
                        "highest rate, MHz",
                        "levels above clock",
                        "beam on",
                        "total",
                        "<remarks"),
                choices(plan),
                plan.chosen());
        page.picture(pictures, "plan-rates");
        page.picture(pictures, "plan-beam");
    }

    private static void filling(HtmlPage page, WritePlan plan) {
        page.heading("Filling with whole steps");
        page.text(
                "A piece is filled with rows of points along its parallel sides: as many rows as steps go into its height, and as many"
                        + " points in a row as steps go into its length there, both rounded, at least one. Each point dwells as the dose of the piece"
                        + " asks for, so a piece that is no whole number of steps gets too much or too little. This is a model: your writer may fill"
                        + " in another way.");
        List<List<String>> rows = new ArrayList<>();
        for (StepFilling f : plan.fillings()) {
            rows.add(List.of(
                    number(f.stepNm()),
                    text("%,d", f.points()),
                    text("%+.3f", 100 * f.chargeError()),
                    text("%.3f", 100 * f.rmsError()),
                    text("%.2f", 100 * f.areaOver1Percent()),
                    text("%.2f", 100 * f.areaOver5Percent()),
                    text("%,d", f.thinPieces())));
        }
        page.table(
                List.of(
                        "step, nm",
                        "points a copy",
                        "charge off, %",
                        "dose off, rms %",
                        "% of area off by over 1 %",
                        "% of area off by over 5 %",
                        "pieces thinner than a step"),
                rows,
                plan.fillings().indexOf(plan.filling()));
        List<List<String>> worst = new ArrayList<>();
        for (StepFilling.FilledPiece p : plan.filling().worst()) {
            if (worst.size() < MOST_PIECES && Math.abs(p.error()) > LEAST_ERROR) {
                worst.add(List.of(
                        Integer.toString(p.shape()),
                        text("%.3f", p.xUm()),
                        text("%.3f", p.yUm()),
                        text("%.1f x %.1f", 1e3 * p.widthUm(), 1e3 * p.heightUm()),
                        text("%,d", p.rows()),
                        text("%,d", p.points()),
                        text("%+.1f", 100 * p.error())));
            }
        }
        if (!worst.isEmpty()) {
            page.text(text(
                    "The pieces that a step of %s nm puts off most; plan-pieces.csv lists more, for every step.",
                    number(plan.choice().stepNm())));
            page.table(List.of("shape", "x, um", "y, um", "size, nm", "rows", "points", "dose off, %"), worst, -1);
        }
    }

    private static void fields(HtmlPage page, WritePlan plan, List<Picture> pictures) {
        page.heading("Writing fields");
        if (plan.fields().isEmpty()) {
            page.text("No field size was given, so the layout counts as one field.");
            return;
        }
        WritingFields fields = plan.fields().orElseThrow();
        page.text(text(
                "%,d fields of %s um (grid of %d x %d, centred on the layout). Borders cut %,d shapes at %,d places; where one is cut,"
                        + " its halves meet only as well as the stage and the deflection calibration allow.",
                fields.count(),
                number(fields.fieldUm()),
                fields.columns(),
                fields.rows(),
                fields.cutShapes(),
                fields.cuts().size()));
        page.picture(pictures, "plan-fields");
        if (fields.cuts().isEmpty()) {
            return;
        }
        List<List<String>> rows = new ArrayList<>();
        fields.cuts().stream()
                .sorted(Comparator.comparingDouble(FieldCut::lengthUm))
                .limit(MOST_CUTS)
                .forEach(cut -> rows.add(List.of(
                        Integer.toString(cut.shape()),
                        cut.vertical() ? "vertical" : "horizontal",
                        text("%.3f", cut.xUm()),
                        text("%.3f", cut.yUm()),
                        text("%.3f", cut.lengthUm()))));
        page.text("The narrowest cuts, where a step would hurt most; all are in plan-cuts.csv.");
        page.table(List.of("shape", "<border", "x, um", "y, um", "length, um"), rows, -1);
    }

    private static void levels(HtmlPage page, WritePlan plan) {
        PlanChoice choice = plan.choice();
        page.heading("Dose levels");
        page.text(text(
                "At %s nA and %s nm. %s",
                number(choice.currentNa()),
                number(choice.stepNm()),
                Double.isNaN(choice.highestCurrentNa())
                        ? "Without a clock limit no current is too high."
                        : text(
                                "The highest current that keeps every level within the clock is %s nA.",
                                number(choice.highestCurrentNa()))));
        page.table(
                List.of(
                        "level",
                        "dose factor",
                        "dose, uC/cm^2",
                        "area, um^2",
                        "pieces",
                        "dwell, ns",
                        "rate, MHz",
                        "electrons a point",
                        "<clock"),
                levels(plan),
                -1);
        if (plan.levels().size() > MOST_LEVELS) {
            page.text(
                    text("%d more levels are in plan-levels.csv.", plan.levels().size() - MOST_LEVELS));
        }
    }

    private static String slot(WritePlan plan) {
        if (plan.slotLeftS().isEmpty()) {
            return "";
        }
        double left = plan.slotLeftS().getAsDouble();
        long copies = plan.copiesInSlot().orElse(0);
        return text(
                " The slot of %s %s; %s would fit.",
                duration(plan.settings().slotS().orElseThrow()),
                left >= 0 ? "leaves " + duration(left) : "is exceeded by " + duration(-left),
                copies == 1 ? "one copy" : copies + " copies");
    }

    private static List<List<String>> times(WritePlan plan) {
        double total = plan.choice().totalS();
        WriterSettings s = plan.settings();
        List<List<String>> rows = new ArrayList<>();
        time(rows, "load and pump", s.loadingS(), total);
        time(rows, "beam on", plan.choice().beamOnS(), total);
        time(rows, text("settling at %,d pieces", plan.partsWritten()), plan.pieceSettlingS(), total);
        time(rows, text("settling in %,d fields", plan.fieldsWritten()), plan.fieldSettlingS(), total);
        time(rows, "stage moves", plan.stageMovesS(), total);
        time(rows, "total", total, total);
        return rows;
    }

    private static void time(List<List<String>> rows, String what, double seconds, double total) {
        rows.add(List.of(what, duration(seconds), text("%.1f %%", 100 * seconds / total)));
    }

    private static List<String> unknown(WriterSettings s) {
        List<String> unknown = new ArrayList<>();
        if (s.settlePerPieceUs() == 0) {
            unknown.add("settling per piece");
        }
        if (s.settlePerFieldS() == 0) {
            unknown.add("settling per field");
        }
        if (s.stageMoveS() == 0) {
            unknown.add("stage moves");
        }
        return unknown;
    }

    private static List<List<String>> choices(WritePlan plan) {
        List<List<String>> rows = new ArrayList<>();
        for (PlanChoice c : plan.choices()) {
            List<String> remarks = new ArrayList<>(c.obstacles());
            remarks.addAll(c.cautions());
            rows.add(List.of(
                    number(c.currentNa()),
                    number(c.stepNm()),
                    c.beamNm().isPresent() ? text("%.1f", c.beamNm().getAsDouble()) : "",
                    text("%.4g", c.highestFrequencyMhz()),
                    Integer.toString(c.brokenLevels()),
                    duration(c.beamOnS()),
                    duration(c.totalS()),
                    String.join("; ", remarks)));
        }
        return rows;
    }

    private static List<List<String>> levels(WritePlan plan) {
        List<List<String>> rows = new ArrayList<>();
        for (PlannedLevel l :
                plan.levels().subList(0, Math.min(MOST_LEVELS, plan.levels().size()))) {
            rows.add(List.of(
                    Integer.toString(l.level()),
                    text("%.4f", l.meanFactor()),
                    text("%.1f", l.doseUcPerCm2()),
                    text("%,.2f", l.areaUm2()),
                    text("%,d", l.pieces()),
                    text("%.1f", l.dwellNs()),
                    text("%.3f", l.highestFrequencyMhz()),
                    text("%,.0f", l.electronsPerPoint()),
                    l.breaksClock() ? "too fast" : ""));
        }
        return rows;
    }

    private static String noise(WritePlan plan) {
        SmallestFeature f = plan.feature();
        String where = f.shape() < 0
                ? "The smallest feature"
                : text("The smallest feature (shape %d at %.3f, %.3f um)", f.shape(), f.xUm(), f.yUm());
        return text(
                "%s measures %s nm: %.1f dwell points a side, and %,.0f electrons fall on its square at %.1f uC/cm^2."
                        + " Chance alone spreads its dose by %.2f %% (1 sigma), %.2f %% (3 sigma).",
                where,
                number(1e3 * f.sideUm()),
                f.pointsPerSide(),
                f.electrons(),
                plan.settings().baseDoseUcPerCm2() * f.factor(),
                100 * f.relativeSpread(),
                300 * f.relativeSpread());
    }

    private static String sentence(String text) {
        return Character.toUpperCase(text.charAt(0)) + text.substring(1) + ".";
    }

    /**
     * {@return a time as a person says it}
     *
     * @param seconds time, s
     */
    public static String duration(double seconds) {
        if (seconds < 60) {
            return text(seconds < 0.01 && seconds > 0 ? "%.2g s" : "%.2f s", seconds);
        }
        if (seconds < 3600) {
            return text("%.1f min", seconds / 60);
        }
        return text("%.2f h", seconds / 3600);
    }

    /** Four digits at most, no zeros at the end. */
    static String number(double value) {
        return NumberText.plain(value, 4);
    }

    private static String text(String format, Object... values) {
        return String.format(Locale.ROOT, format, values);
    }
}
