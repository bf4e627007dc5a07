package evendose.report;

import static evendose.files.NumberText.percent;
import static evendose.report.ReportText.area;
import static evendose.report.ReportText.format;

import evendose.correction.Convergence;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseFacts;
import evendose.correction.DoseStatus;
import evendose.correction.LayerRole;
import evendose.correction.LevelTrial;
import evendose.correction.RunFacts;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.verification.BiasStudy;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/** The report's sections on what was done: the job, the doses, and how to repeat the run. */
final class RunSections {
    static final int DOSE_MAP_PIXELS = 900;

    private final RunFacts run;
    private final DoseFacts doses;
    private final PointSpreadFunction psf;

    RunSections(RunFacts run, DoseFacts doses) {
        this.run = run;
        this.doses = doses;
        this.psf = doses.options().psf();
    }

    /** Tells what was asked for; {@code wanted} are the smallest and largest energy wanted over the usual one, if they differ. */
    void job(HtmlPage page, Optional<double[]> wanted) {
        CorrectionOptions options = doses.options();
        page.heading("job", "Job").facts();
        page.row("layout", run.layout());
        page.row("cells", String.join(", ", run.cells()));
        for (LayerRole role : doses.roles()) {
            String what = role.fixedDose().isPresent()
                    ? "keeps dose factor " + role.fixedDose().getAsDouble()
                    : role.target() == 1
                            ? "corrected"
                            : format("corrected towards %.4g times the usual energy", role.target());
            page.row("layer " + role.layer(), what);
        }
        for (GaussianTerm term : psf.terms()) {
            page.row("point spread, term", format("range %.5g um, weight %.5f", term.rangeUm(), term.weight()));
        }
        psf.table()
                .ifPresent(t -> page.row(
                        "point spread, table",
                        format("to %.5g um, weight %.5f", t.table().reachUm(), t.weight())));
        options.longRange().fogging().ifPresent(f -> page.row("fogging", f.words()));
        options.longRange().loading().ifPresent(l -> page.row("loading of the development", l.words()));
        wanted.ifPresent(w ->
                page.row("energy wanted", format("%.2f to %.2f %% of the usual", 100 * w[0], 100 * w[1])));
        page.row("ratio eta", format("%.4g", psf.eta()));
        if (!run.psfSource().isEmpty()) {
            page.row("point spread from", run.psfSource());
        }
        page.row(
                "criterion",
                options.criterion().name().toLowerCase(Locale.ROOT)
                        + format(", factor 1 for a grating of density %.3g", options.referenceDensity()));
        page.row(
                "base dose",
                options.baseDoseUcPerCm2().isPresent()
                        ? format("%.6g uC/cm^2", options.baseDoseUcPerCm2().getAsDouble())
                        : "not given: doses are factors");
        page.endRows();
        page.picture(Charts.pointSpread(psf));
    }

    /** How the iteration went, where the doses lie and how a curved part is cut. */
    void convergence(HtmlPage page, DoseHistogram histogram, Optional<Picture> cut) {
        Convergence c = doses.convergence();
        page.heading("convergence", "Convergence")
                .text(format(
                        "%,d dose update%s, tolerance %.3g. Where levels were imposed or doses made equal, the error of what is"
                                + " written is larger than the last point: it stands in the verdict.",
                        c.iterations(),
                        c.iterations() == 1 ? "" : "s",
                        doses.options().tolerance()))
                .picture(Charts.convergence(c.history(), doses.options().tolerance()))
                .picture(Charts.histogram(histogram));
        cut.ifPresent(page::picture);
    }

    /** How far what is exposed lies beside what is drawn, and what other biases would do; nothing without a bias. */
    void bias(HtmlPage page, Optional<BiasStudy> study) {
        double nm = 1e3 * doses.options().biasUm();
        if (nm == 0 && study.isEmpty()) {
            return;
        }
        page.heading("bias", "Bias")
                .text(format(
                        "Shapes are exposed %.5g nm %s than drawn on each side. Doses, edges, widths and the verdict are those of the"
                                + " drawn outline; \"before\" is the same exposed shapes with factor 1.",
                        Math.abs(nm), nm < 0 ? "smaller" : "larger"));
        study.ifPresent(found -> {
            page.picture(BiasFiles.picture(found))
                    .numbers("bias", "dose window", "edge slope", "edges rms", "factors", "area times factor");
            for (BiasStudy.Trial t : found.trials()) {
                boolean known = !Double.isNaN(t.doseWindow());
                page.row(
                        format("%.5g nm", t.biasNm()),
                        known ? format("+- %.2f %%", 100 * t.doseWindow()) : "not exposed",
                        known ? format("%.2f %%/nm", 0.1 * t.slopePerUm()) : "",
                        known ? format("%.2f nm", t.placementNm().rms()) : "",
                        known ? format("%.3f - %.3f", t.minFactor(), t.maxFactor()) : "",
                        known ? area(t.dosedAreaUm2()) : "");
            }
            page.endRows();
        });
    }

    /** What the levels cost, and what other numbers would; nothing if doses are free and no study was asked for. */
    static void levels(HtmlPage page, Optional<LevelTrial> cost, List<LevelTrial> study) {
        if (cost.isEmpty() && study.isEmpty()) {
            return;
        }
        page.heading("levels", "Dose levels");
        cost.ifPresent(c -> {
            addedError(page, c.levels(), c.rms(), c.max());
            page.row("added width error, nm", format("%.2f", c.rmsWidthNm()), format("%.2f", c.maxWidthNm()));
            page.endRows();
        });
        study(page, study);
    }

    /** The same where of levels that were imposed only the error is known: the largest, and its root mean square. */
    static void levels(HtmlPage page, long levels, Optional<double[]> error, List<LevelTrial> study) {
        if (error.isEmpty() && study.isEmpty()) {
            return;
        }
        page.heading("levels", "Dose levels");
        error.ifPresent(e -> {
            addedError(page, levels, e[1], e[0]);
            page.endRows();
        });
        study(page, study);
    }

    private static void study(HtmlPage page, List<LevelTrial> study) {
        if (!study.isEmpty()) {
            page.picture(LevelPictures.study(study));
        }
    }

    private static void addedError(HtmlPage page, long levels, double rms, double max) {
        page.text(format(
                        "%d levels, placed for the least rms error unless the options say otherwise. What they add to the error of"
                                + " the criterion, and of widths where these were looked at:",
                        levels))
                .numbers("", "rms", "largest");
        page.row("added error", percent(rms), percent(max));
    }

    /** A map of the doses first, with the HTML of a tool to ask it if there is one, then what was exposed. */
    void doses(HtmlPage page, String tool, Picture map) {
        page.heading("doses", "Doses").own(tool).picture(map).facts();
        page.row(
                "exposed",
                (doses.shapes().isPresent()
                                ? format("%,d shapes, ", doses.shapes().getAsLong())
                                : "")
                        + format("%s, %,d dose units", area(doses.areaUm2()), doses.units()));
        page.row(
                "pieces",
                format("%,d cut, %,d written after joining neighbours of equal dose", doses.cut(), doses.pieces()));
        double mean = doses.dosedAreaUm2() / doses.areaUm2();
        page.row("factors", format("%.4f to %.4f, mean by area %.4f", doses.minFactor(), doses.maxFactor(), mean));
        for (DoseStatus status : DoseStatus.values()) {
            if (doses.pieces(status) > 0) {
                page.row("pieces " + status.word(), format("%,d", doses.pieces(status)));
            }
        }
        page.endRows();
    }

    /** Says how to repeat the run; {@code arguments} is its command line without the program's name. */
    void repeat(HtmlPage page, List<String> arguments) {
        StringBuilder command = new StringBuilder("evendose");
        for (String argument : arguments) {
            command.append(' ').append(quoted(argument));
        }
        page.heading("repeat", "To repeat this run").code(command.toString()).facts();
        page.row("version", run.version());
        CorrectionOptions options = doses.options();
        page.row(
                "options",
                format(
                        "max piece %.5g um, tolerance %.3g, at most %d updates, factors %.4g to %.4g%s%s",
                        options.maxPieceUm(),
                        options.tolerance(),
                        options.maxIterations(),
                        options.minFactor(),
                        options.maxFactor(),
                        options.levels().isPresent() ? ", " + doses.levels() + " dose levels" : "",
                        options.oneDosePerShape() ? ", one dose per shape" : ""));
        double total = 0;
        for (double seconds : run.secondsByStage().values()) {
            total += seconds;
        }
        page.row("time", format("%.1f s before this page", total));
        page.endRows();
    }

    private static String quoted(String argument) {
        return argument.matches("[A-Za-z0-9_./:,=+-]+") ? argument : "'" + argument.replace("'", "'\\''") + "'";
    }
}
