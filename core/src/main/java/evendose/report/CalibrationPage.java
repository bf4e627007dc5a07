package evendose.report;

import evendose.calibration.Calibration;
import evendose.calibration.CalibrationFiles;
import evendose.calibration.DoseTestEffort;
import evendose.calibration.DoseTestPattern;
import evendose.calibration.FitResidual;
import evendose.calibration.FittedParameter;
import evendose.calibration.Measurement;
import evendose.calibration.TestFigure;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** The pages of a calibration: how to write and measure the test, and what the fit found. */
public final class CalibrationPage {
    private CalibrationPage() {}

    /**
     * {@return the text of {@code instructions.html}}
     *
     * @param pattern the dose test
     * @param effort what writing it takes
     * @param version version of the program, to be noted
     */
    public static String instructions(DoseTestPattern pattern, DoseTestEffort effort, String version) {
        DoseTestPattern.Guess guess = pattern.guess();
        double[] size = pattern.sizeUm();
        HtmlPage page = new HtmlPage(
                "evendose dose test",
                "Dose test",
                text(
                        "Made for a guess of alpha %s um, beta %s um, eta %s and a clearing dose of %s uC/cm^2",
                        PlanPage.number(guess.alphaUm()),
                        PlanPage.number(guess.betaUm()),
                        PlanPage.number(guess.eta()),
                        PlanPage.number(guess.clearingDoseUcPerCm2())));
        page.verdict(
                "",
                text(
                        "%d rows, %.2f x %.2f mm, %d doses in steps of %s %% from %.4g to %.4g uC/cm^2.",
                        pattern.rows().size(),
                        size[0] / 1e3,
                        size[1] / 1e3,
                        pattern.doses(),
                        PlanPage.number(guess.stepPercent()),
                        lowest(pattern),
                        highest(pattern)));
        if (!pattern.targetReached()) {
            page.caution(text(
                    "%s uC do not allow the wanted %s %% of beta and eta: this is the best test for them.",
                    PlanPage.number(pattern.budgetUc()), PlanPage.number(pattern.targetPercent())));
        }
        page.heading("What it takes");
        page.text(text(
                "%.3g uC: the beam is on for %s, settling and moves not counted.", pattern.chargeUc(), effort.times()));
        page.text("At the microscope: " + effort.microscope() + ".");
        page.text("Expect " + effort.expectation() + ".");
        page.heading("What to do");
        page.steps(List.of(
                "Write dose-test.gds with the resist, developer, energy and beam of the job. The datatype of a figure is the number of"
                        + " its dose; levels.csv lists them. Switch any proximity correction of the writing software off.",
                "Keep the test some backscatter ranges away from other exposures and from the edge of the sample.",
                "Develop as you will develop the job.",
                "Rings and discs (rows " + rows(pattern, true)
                        + "): find in the microscope the last dose at which the centre of"
                        + " the figure is not clear down to the substrate and the first at which it is (for a negative resist: at which the"
                        + " centre stays). Write both into measured.csv; if even the first dose clears, or the last does not, that one alone.",
                "Lines (rows " + rows(pattern, false)
                        + "): measure the width of the middle line halfway along it, and write it"
                        + " into measured.csv in nm. Leave rows empty that did not open or closed up.",
                "Fit: evendose calibrate fit measured.csv --out fit"));
        page.text(
                "In the layout, as many small squares as the row's number stand at its left, in groups of five. Doses rise to the right.");
        page.drawing(
                drawing(pattern),
                "The pattern to scale, but for small discs and lone lines, which are drawn larger. Shade shows the dose: darker is more.");
        page.heading("Rows");
        List<List<String>> rows = new ArrayList<>();
        for (DoseTestPattern.Row row : pattern.rows()) {
            rows.add(List.of(
                    Integer.toString(row.number()),
                    DoseTestPattern.label(row),
                    Integer.toString(row.doses().size()),
                    text("%.1f", pattern.doseUcPerCm2(row.doses().get(0))),
                    text(
                            "%.1f",
                            pattern.doseUcPerCm2(row.doses().get(row.doses().size() - 1))),
                    row.figure() instanceof TestFigure.Ring ? "clearing dose" : "width of the middle line"));
        }
        page.table(List.of("row", "<figure", "doses", "from, uC/cm^2", "to, uC/cm^2", "<measure"), rows, -1);
        page.text(
                "Rows clear in the middle of their doses if the guess is right. If several clear at their first dose or not at all,"
                        + " make a new test with a better guess.");
        page.text(
                "Highest doses are several times the clearing dose. Doses for your own tool and resist follow from this test,"
                        + " not from the guess.");
        return page.finish("evendose " + version + ". figures.csv lists every figure with its place and dose.");
    }

    private static double lowest(DoseTestPattern pattern) {
        return pattern.rows().stream()
                .flatMap(r -> r.doses().stream())
                .mapToDouble(pattern::doseUcPerCm2)
                .min()
                .orElseThrow();
    }

    private static double highest(DoseTestPattern pattern) {
        return pattern.rows().stream()
                .flatMap(r -> r.doses().stream())
                .mapToDouble(pattern::doseUcPerCm2)
                .max()
                .orElseThrow();
    }

    private static String rows(DoseTestPattern pattern, boolean rings) {
        List<Integer> numbers = pattern.rows().stream()
                .filter(r -> r.figure() instanceof TestFigure.Ring == rings)
                .map(DoseTestPattern.Row::number)
                .toList();
        return numbers.get(0) + " to " + numbers.get(numbers.size() - 1);
    }

    private static String drawing(DoseTestPattern pattern) {
        double[] size = pattern.sizeUm();
        double left = 1.2 * pattern.guess().betaUm();
        double margin = 0.3 * pattern.guess().betaUm();
        StringBuilder svg = new StringBuilder(text(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"dose test pattern\" viewBox=\"%.1f %.1f %.1f"
                        + " %.1f\">",
                -left - margin, -margin, size[0] + left + 2 * margin, size[1] + 2 * margin));
        double lowest = Math.log(lowest(pattern));
        double span = Math.log(highest(pattern)) - lowest;
        // Smaller ones could not be seen.
        double least = 0.12 * pattern.guess().betaUm();
        for (DoseTestPattern.Row row : pattern.rows()) {
            double letter = 1.4 * pattern.guess().betaUm();
            svg.append(text(
                    "<text x=\"%.2f\" y=\"%.2f\" font-size=\"%.2f\" text-anchor=\"end\" fill=\"#20262c\">%d</text>",
                    0.5 * pattern.guess().betaUm(), -row.yUm() + 0.35 * letter, letter, row.number()));
            for (int k = 0; k < row.doses().size(); k++) {
                double x = row.firstXUm() + k * row.pitchUm();
                double share = (Math.log(pattern.doseUcPerCm2(row.doses().get(k))) - lowest) / span;
                String ink = text(
                        "#%02x%02x%02x",
                        Math.round(190 - 159 * share), Math.round(208 - 150 * share), Math.round(226 - 120 * share));
                if (row.figure() instanceof TestFigure.Ring ring) {
                    double middle = 0.5 * (ring.innerRadiusUm() + ring.outerRadiusUm());
                    double thick = ring.outerRadiusUm() - ring.innerRadiusUm();
                    svg.append(
                            ring.innerRadiusUm() == 0
                                    ? text(
                                            "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"%.2f\" fill=\"%s\"/>",
                                            x, -row.yUm(), Math.max(ring.outerRadiusUm(), least), ink)
                                    : text(
                                            "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"%.2f\" fill=\"none\" stroke=\"%s\" stroke-width=\"%.2f\"/>",
                                            x, -row.yUm(), middle, ink, thick));
                } else {
                    TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                    // A lone line would be too thin to see at this scale.
                    double width =
                            lines.lines() == 1 ? 0.04 * pattern.guess().betaUm() : lines.lines() * lines.pitchUm();
                    svg.append(text(
                            "<rect x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"%.2f\" fill=\"%s\"/>",
                            x - width / 2, -row.yUm() - lines.lengthUm() / 2, width, lines.lengthUm(), ink));
                }
            }
        }
        return svg.append("</svg>").toString();
    }

    /**
     * {@return the text of {@code calibration.html}}
     *
     * @param calibration what was fitted
     * @param pictures the pictures to show
     * @param provenance where the measurements come from
     */
    public static String fit(Calibration calibration, List<Picture> pictures, CalibrationFiles.Provenance provenance) {
        HtmlPage page = new HtmlPage(
                "evendose calibration",
                "Calibration",
                text(
                        "Fit of %d measurements in %s%s",
                        calibration.residuals().size(),
                        provenance.file(),
                        provenance.stack().isEmpty() ? "" : ", " + provenance.stack()));
        FittedParameter base = calibration.baseDose();
        page.verdict(
                "",
                text(
                        "Base dose %.1f \u00b1 %.1f uC/cm^2: at factor 1 a grating of lines and equal spaces comes out as drawn.",
                        base.value(), base.standardError()));
        calibration.cautions().forEach(c -> page.caution(Character.toUpperCase(c.charAt(0)) + c.substring(1) + "."));
        page.heading("Parameters");
        List<List<String>> rows = new ArrayList<>();
        for (FittedParameter p : calibration.parameters()) {
            rows.add(row(p));
        }
        rows.add(row(base));
        page.table(List.of("<parameter", "value", "standard error", "95 % interval", "<unit"), rows, -1);
        page.text(text(
                "Sum of squared residuals %.2f with %d degrees of freedom. %s",
                calibration.chiSquare(), calibration.freedom(), scatter(calibration)));
        page.picture(pictures, "calibration-residuals");
        page.picture(pictures, "calibration-rings");
        page.picture(pictures, "calibration-discs");
        page.picture(pictures, "calibration-widths");
        page.heading("Correlations");
        List<String> names = calibration.parameters().stream()
                .filter(FittedParameter::fitted)
                .map(FittedParameter::name)
                .toList();
        List<String> headings = new ArrayList<>(List.of("<"));
        headings.addAll(names);
        double[][] correlation = calibration.covariance().correlation();
        List<List<String>> matrix = new ArrayList<>();
        for (int a = 0; a < names.size(); a++) {
            List<String> line = new ArrayList<>(List.of(names.get(a)));
            for (int b = 0; b < names.size(); b++) {
                line.add(text("%.2f", correlation[a][b]));
            }
            matrix.add(line);
        }
        page.table(headings, matrix, -1);
        page.heading("Measurements");
        List<List<String>> all = new ArrayList<>();
        for (FitResidual r : calibration.residuals()) {
            boolean width = r.measurement().kind() == Measurement.Kind.WIDTH;
            double scale = width ? 1e3 : 1;
            all.add(List.of(
                    Long.toString(r.measurement().line()),
                    r.measurement().label(),
                    width ? text("%.1f", r.measurement().doseUcPerCm2()) : "",
                    measured(r.measurement()),
                    text("%.1f", scale * r.predicted()),
                    width ? "nm" : "uC/cm^2",
                    text("%.2f", r.standardised()),
                    r.outlier() ? "outlier" : ""));
        }
        page.table(
                List.of("line", "<figure", "dose, uC/cm^2", "measured", "fitted", "<unit", "residual, s.e.", "<"),
                all,
                -1);
        page.heading("Origin");
        page.text("SHA-256 of the data:");
        page.code(provenance.sha256());
        return page.finish("evendose " + provenance.version()
                + ". A fit is as good as its test; check it with a job of known widths.");
    }

    private static String measured(Measurement m) {
        if (m.kind() == Measurement.Kind.WIDTH) {
            return text("%.1f", 1e3 * m.value());
        }
        return m.exact()
                ? text("%.1f", m.value())
                : m.low() == 0
                        ? text("below %.1f", m.high())
                        : Double.isInfinite(m.high())
                                ? text("above %.1f", m.low())
                                : text("%.1f to %.1f", m.low(), m.high());
    }

    private static String scatter(Calibration calibration) {
        if (calibration.scatter().isEmpty()) {
            return "Standard errors follow from the given ones of the measurements.";
        }
        StringBuilder text =
                new StringBuilder("Where no standard error was given it follows from the scatter about the fit: ");
        for (Calibration.Scatter s : calibration.scatter()) {
            boolean width = s.kind() == Measurement.Kind.WIDTH;
            text.append(text.charAt(text.length() - 2) == ':' ? "" : ", ");
            text.append(text(width ? "%.2g nm of widths" : "%.2g %% of clearing doses", s.size()));
        }
        return text.append('.').toString();
    }

    private static List<String> row(FittedParameter p) {
        return List.of(
                p.name(),
                text("%.4g", p.value()),
                p.fitted() ? text("%.2g", p.standardError()) : "given",
                p.fitted() ? text("%.4g to %.4g", p.low(), p.high()) : "",
                p.unit());
    }

    private static String text(String format, Object... values) {
        return String.format(Locale.ROOT, format, values);
    }
}
