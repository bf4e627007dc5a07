package evendose.report;

import static evendose.report.ReportText.format;

import evendose.files.NumberText;
import evendose.verification.EdgeMovement;
import evendose.verification.EdgeMovement.Left;
import evendose.verification.EdgeMovement.Moved;
import evendose.verification.EdgeMovement.Outcome;
import java.util.Comparator;
import java.util.List;

/** The report's section on parts of the outline that are exposed elsewhere. */
final class MoveSection {
    private static final int ROWS = 15;

    private MoveSection() {}

    static void of(HtmlPage page, EdgeMovement movement) {
        page.heading("moved-edges", "Moved edges").text(what(movement));
        page.numbers("edges, nm", "not as drawn", "no edge", "rms", "95 %", "worst");
        outcome(page, "factor 1 everywhere", movement.before());
        outcome(page, "doses", movement.doses());
        outcome(page, "doses and moved edges", movement.both());
        page.endRows();
        page.note(format(
                "At %,d places along all of the outline, ends of lines among them, other corners left out; without an edge"
                        + " nothing counts in means. \"Not as drawn\": farther off than the verdict allows, and than half a step of the grid.",
                movement.doses().places()));
        moves(page, movement.moved());
        left(page, movement.left());
    }

    private static String what(EdgeMovement movement) {
        if (movement.moved().isEmpty()) {
            return movement.doses().troubled() == 0
                    ? "Doses alone put all edges where they are drawn: none moves."
                    : "No edge moves: no move was found that wins anything.";
        }
        return format(
                "%,d parts of the outline are exposed up to %s nm beside where they are drawn (up to %s nm allowed), because no"
                        + " dose puts their edge there. Doses, edges, widths and the verdict are those of the drawn outline.",
                movement.moved().size(),
                NumberText.plain(
                        movement.moved().stream()
                                .mapToDouble(m -> 1e3 * Math.abs(m.move().outUm()))
                                .max()
                                .orElse(0),
                        4),
                NumberText.plain(movement.mostNm(), 4));
    }

    private static void outcome(HtmlPage page, String name, Outcome o) {
        page.row(
                name,
                format("%,d", o.troubled()),
                format("%,d", o.gone()),
                format("%.2f", o.placementNm().rms()),
                format("%.2f", o.placementNm().p95()),
                format("%.2f", o.placementNm().max()));
    }

    private static void moves(HtmlPage page, List<Moved> moved) {
        if (moved.isEmpty()) {
            return;
        }
        page.numbers("part, from - to, um", "moved out, nm", "off with doses, nm", "off in the end, nm");
        moved.stream()
                .sorted(Comparator.comparingDouble(
                        (Moved m) -> -Math.abs(m.move().outUm())))
                .limit(ROWS)
                .forEach(m -> page.row(
                        format(
                                "%.3f, %.3f - %.3f, %.3f",
                                m.move().x0Um(),
                                m.move().y0Um(),
                                m.move().x1Um(),
                                m.move().y1Um()),
                        (m.move().outUm() > 0 ? "+" : "")
                                + NumberText.plain(1e3 * m.move().outUm(), 4),
                        off(m.offWithDosesNm()),
                        off(m.offNm())));
        page.endRows();
        if (moved.size() > ROWS) {
            page.note(format("The %d that move farthest; moved-edges.csv has all.", ROWS));
        }
    }

    private static String off(double nm) {
        return Double.isFinite(nm) ? format("%+.2f", nm) : "no edge";
    }

    private static void left(HtmlPage page, List<Left> left) {
        if (left.isEmpty()) {
            return;
        }
        page.text(format("%,d place%s cannot be mended this way:", left.size(), left.size() == 1 ? "" : "s"));
        page.words("at x, y um", "what");
        left.stream()
                .limit(ROWS)
                .forEach(
                        l -> page.place(l.spot().xUm(), l.spot().yUm(), l.spot().what() + ": " + l.why()));
        page.endRows();
        if (left.size() > ROWS) {
            page.note(format("The worst %d; summary.json lists up to 200.", ROWS));
        }
    }
}
