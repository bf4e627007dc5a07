package evendose.cli;

import static evendose.cli.CommandLineTool.row;
import static evendose.files.NumberText.percent;

import evendose.correction.Convergence;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.LayerDepth;
import evendose.correction.OutlineError;
import evendose.psf.GaussianTerm;
import evendose.psf.PsfFile;
import evendose.report.TwoBeamRun;
import evendose.verification.EdgeMovement;
import evendose.verification.Verdict;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

/** What 'correct' prints: the result in a form that a person takes in at one look. */
final class CorrectionText {
    private static final int MOST_TERMS_SHOWN = 4;

    private CorrectionText() {}

    /** How deep a layer of a grey-tone exposure becomes. */
    static String depth(LayerDepth d) {
        return String.format(
                Locale.ROOT,
                "%.1f nm wanted; %.1f to %.1f nm before, %.1f to %.1f nm after (rms error %.1f and %.1f nm)",
                d.wantedNm(),
                d.before().min(),
                d.before().max(),
                d.after().min(),
                d.after().max(),
                d.before().rmsError(),
                d.after().rmsError());
    }

    static void print(
            PrintWriter out,
            Verdict verdict,
            DoseTable table,
            List<LayerDepth> depths,
            Path layout,
            PsfFile psf,
            long lost,
            Map<String, Double> secondsByStage,
            Optional<EdgeMovement> movement,
            Optional<TwoBeamRun> twoBeams,
            Written written) {
        Convergence c = table.convergence();
        verdict.sentences().forEach(out::println);
        out.println();
        row(out, "layout", "%s, layers %s", layout, layers(table));
        row(out, "point spread", "%s", terms(psf));
        LongRangeText.rows(out, table);
        row(
                out,
                "exposed",
                "%,d shapes, %s um^2, %,d dose units",
                table.pieces().shapes(),
                area(table.areaUm2()),
                table.counts().units());
        double bias = 1e3 * table.options().biasUm();
        if (bias != 0) {
            row(
                    out,
                    "bias",
                    "exposed %.5g nm %s than drawn on each side; judged on the drawn outline",
                    Math.abs(bias),
                    bias < 0 ? "smaller" : "larger");
        }
        movement.ifPresent(m -> MoveChoice.print(out, m));
        int thin = table.pieces().thinner(table.options().rules().smallestUm());
        row(
                out,
                "pieces",
                "%,d cut, %,d written after joining neighbours of equal dose%s",
                table.counts().pieces(),
                table.pieces().size(),
                thin == 0
                        ? ""
                        : String.format(
                                Locale.ROOT,
                                "; %,d thinner than %.4g nm",
                                thin,
                                1e3 * table.options().rules().smallestUm()));
        row(
                out,
                "criterion",
                "%s, largest error %s before, %s with the doses written (rms %s; %d iteration%s)",
                table.options().criterion().name().toLowerCase(Locale.ROOT),
                percent(c.uncorrectedMaxResidual()),
                percent(c.maxResidual()),
                percent(c.rmsResidual()),
                c.iterations(),
                c.iterations() == 1 ? "" : "s");
        OutlineError outline = table.outlineError();
        if (outline.points() > 0) {
            row(out, "along edges", "%s", alongEdges(outline));
        }
        if (table.options().baseDoseUcPerCm2().isPresent()) {
            double base = table.options().baseDoseUcPerCm2().getAsDouble();
            row(
                    out,
                    "dose factors",
                    "%.4f to %.4f (%.1f to %.1f uC/cm^2)",
                    table.minFactor(),
                    table.maxFactor(),
                    base * table.minFactor(),
                    base * table.maxFactor());
        } else {
            row(out, "dose factors", "%.4f to %.4f", table.minFactor(), table.maxFactor());
        }
        table.levelCost()
                .ifPresent(cost -> row(
                        out,
                        "dose levels",
                        "%d; added error %s (rms %s), width %.2f nm (rms %.2f nm)",
                        cost.levels(),
                        percent(cost.max()),
                        percent(cost.rms()),
                        cost.maxWidthNm(),
                        cost.rmsWidthNm()));
        for (LayerDepth d : depths) {
            row(out, "depth " + d.layer(), "%s", depth(d));
        }
        row(out, "status", "%s", statuses(table));
        if (lost > 0) {
            row(
                    out,
                    "rounding",
                    "%,d slivers below a database unit are in doses.csv but not in the corrected layout",
                    lost);
        }
        twoBeams.ifPresent(run -> BulkText.print(out, run));
        double total = secondsByStage.values().stream()
                .mapToDouble(Double::doubleValue)
                .sum();
        row(out, "time", "%.1f s", total);
        written.print(out);
        // The verdict of two beams is in the summary; verify judges one.
        String next = twoBeams.isPresent()
                ? "evendose plan " + written.folder()
                        + " --current-na I --step-nm P --bulk-current-na I --bulk-step-nm P"
                : "evendose verify " + written.folder() + " " + layout;
        if (written.names().contains("report.html")) {
            Written.next(out, "look at %s, then: %s", written.folder().resolve("report.html"), next);
        } else {
            Written.next(out, "%s", next);
        }
        out.println();
        if (!c.converged()) {
            if (table.pieces(DoseStatus.UNCONVERGED) > 0) {
                out.println(
                        "Not converged: some pieces miss the tolerance; their status in doses.csv is 'unconverged'.");
                out.println("Allow more with --max-iterations, or accept a larger --tolerance.");
            } else {
                out.println(
                        "Some pieces miss the tolerance because their dose is held at a bound (see status in doses.csv).");
                out.println("Allow more with --min-factor or --max-factor, or change what is drawn there.");
            }
        }
        out.println("Computed doses never replace a dose test on your own tool and process.");
        out.flush();
    }

    private static String layers(DoseTable table) {
        StringBuilder text = new StringBuilder();
        table.roles().forEach(role -> {
            text.append(text.isEmpty() ? "" : ", ").append(role.layer());
            role.fixedDose().ifPresent(f -> text.append(String.format(Locale.ROOT, " (fixed at %s)", f)));
            if (role.target() != 1) {
                text.append(String.format(Locale.ROOT, " (target %.4g)", role.target()));
            }
        });
        return text.toString();
    }

    private static String terms(PsfFile psf) {
        List<GaussianTerm> terms = psf.psf().terms();
        StringBuilder text = new StringBuilder();
        if (terms.size() <= MOST_TERMS_SHOWN) {
            for (GaussianTerm term : terms) {
                text.append(text.isEmpty() ? "" : " + ")
                        .append(String.format(Locale.ROOT, "%.4f x %.4g um", term.weight(), term.rangeUm()));
            }
            psf.psf()
                    .table()
                    .ifPresent(t -> text.append(String.format(
                            Locale.ROOT,
                            " + %.4f x table to %.4g um",
                            t.weight(),
                            t.table().reachUm())));
        } else {
            GaussianTerm direct = psf.psf().direct();
            GaussianTerm main = psf.psf().main();
            text.append(String.format(
                    Locale.ROOT,
                    "%d terms; direct ones %.4f around %.4g um, strongest far one %.4f x %.4g um",
                    terms.size(),
                    direct.weight(),
                    direct.rangeUm(),
                    main.weight(),
                    main.rangeUm()));
        }
        return psf.source().isEmpty() ? text.toString() : text + " (" + psf.source() + ")";
    }

    /** How far energies along edges are off, of which there are some points. */
    static String alongEdges(OutlineError outline) {
        OutlineError.Place place = outline.places().get(0);
        return String.format(
                Locale.ROOT,
                "off by %s (rms), %s (95 %%), %s (largest, at %.3f, %.3f um) at %,d points off corners",
                percent(outline.rms()),
                percent(outline.p95()),
                percent(outline.max()),
                place.xUm(),
                place.yUm(),
                outline.points());
    }

    private static String statuses(DoseTable table) {
        StringBuilder text = new StringBuilder();
        for (DoseStatus status : DoseStatus.values()) {
            long count = table.pieces(status);
            if (count > 0) {
                text.append(text.isEmpty() ? "" : ", ")
                        .append(String.format(Locale.ROOT, "%,d %s", count, status.word()))
                        .append(reason(status));
            }
        }
        return text.toString();
    }

    private static String reason(DoseStatus status) {
        return switch (status) {
            case CORNERS -> " (met, but judged near corners alone, which round)";
            case COARSE_LEVEL -> " (no dose level is near enough)";
            case AT_MINIMUM -> " (--min-factor holds them)";
            case BACKGROUND -> " (neighbours alone give them too much)";
            case AT_MAXIMUM -> " (--max-factor holds them)";
            case BELOW_BEAM -> " (too small for the beam)";
            default -> "";
        };
    }

    private static String area(double um2) {
        return um2 < 1e5 ? String.format(Locale.ROOT, "%.3f", um2) : String.format(Locale.ROOT, "%,.0f", um2);
    }
}
