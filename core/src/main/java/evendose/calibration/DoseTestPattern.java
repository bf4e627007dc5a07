package evendose.calibration;

import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.files.OutputFolder;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.TreeMap;

/**
 * A dose test to write: rows of rings and discs whose centres clear at a dose that tells beta, eta and the clearing dose, and rows of
 * lone lines and gratings whose widths tell alpha and check the rest. Which ones, and on how fine a ladder of doses, is chosen so that they
 * tell most for the charge ({@code DoseTestDesign}); sizes follow a guess of the point spread function. All doses are of one ladder
 * with constant ratio. Figures keep three backscatter ranges apart.
 */
public final class DoseTestPattern {
    /** Layer of the figures; the datatype is the number of the dose. */
    public static final int LAYER = 1;

    private static final String CELL = "DOSE_TEST";

    private static final double GAP = 3;
    private static final double MARK = 0.06;
    private static final int CORNERS = 256;
    private static final int FEWEST_ROWS = 4;
    private static final double CM2_PER_UM2 = 1e-8;
    private static final int MOST_DOSES = 250;

    private static final double PERCENT = 100;

    private final Guess guess;
    private final double budgetUc;
    private final double targetPercent;
    private final boolean targetReached;
    private final Map<String, Double> expectedErrors;
    private final List<Row> rows = new ArrayList<>();
    private int lowestStep = Integer.MAX_VALUE;
    private int highestStep = Integer.MIN_VALUE;

    /**
     * What is guessed before the test.
     *
     * @param alphaUm range of the direct term, um
     * @param betaUm backscatter range, um, at least 20 alpha
     * @param eta backscattered over direct energy
     * @param clearingDoseUcPerCm2 dose at which a wide area just clears, uC/cm^2
     * @param stepPercent distance of neighbouring doses, percent, 0.5 to 30
     * @param dosesPerRing number of doses for each ring and disc, odd, at least 3
     */
    public record Guess(
            double alphaUm,
            double betaUm,
            double eta,
            double clearingDoseUcPerCm2,
            double stepPercent,
            int dosesPerRing) {
        /** Checks that values lie in their ranges. {@inheritDoc} */
        public Guess {
            Range.require(alphaUm > 0 && betaUm < 1e4, "alpha must be positive, beta below 10 mm", alphaUm);
            Range.require(betaUm >= 20 * alphaUm, "beta must be at least 20 alpha for rings to tell it", betaUm);
            Range.require(eta > 0 && eta < 10, "eta must lie in 0 to 10", eta);
            Range.positive("the clearing dose", clearingDoseUcPerCm2);
            Range.require(
                    stepPercent >= 0.5 && stepPercent <= 30,
                    "the dose step must lie in 0.5 to 30 percent",
                    stepPercent);
            Range.require(
                    dosesPerRing >= 3 && dosesPerRing % 2 == 1,
                    "doses per ring must be odd and at least 3",
                    dosesPerRing);
        }

        /** Dose of a ladder number, uC/cm^2. */
        double doseUcPerCm2(int step) {
            return clearingDoseUcPerCm2 * Math.pow(1 + stepPercent / PERCENT, step);
        }
    }

    /**
     * A row of equal figures at rising doses.
     *
     * @param number number that the marks at its left show, from 1
     * @param figure the figure
     * @param firstXUm x of the first figure's centre, um
     * @param pitchUm distance of the centres, um
     * @param yUm y of the centres, um
     * @param radiusUm half the extent of a figure, um
     * @param doses ladder numbers of the doses, rising
     */
    public record Row(
            int number,
            TestFigure figure,
            double firstXUm,
            double pitchUm,
            double yUm,
            double radiusUm,
            List<Integer> doses) {}

    private DoseTestPattern(Guess guess, double budgetUc, double targetPercent) {
        this.guess = guess;
        this.budgetUc = budgetUc;
        this.targetPercent = targetPercent;
        DoseTestDesign design = new DoseTestDesign(guess, new DoseTestDesign.Limits(budgetUc, targetPercent));
        Map<TestFigure, List<Integer>> figures = new LinkedHashMap<>();
        for (DoseTestDesign.Candidate c : design.choose()) {
            figures.computeIfAbsent(c.figure(), k -> new ArrayList<>()).addAll(c.doses());
        }
        double top = 0;
        for (Map.Entry<TestFigure, List<Integer>> figure : figures.entrySet()) {
            top = row(figure.getKey(), figure.getValue(), top);
        }
        this.targetReached = design.targetReached();
        this.expectedErrors = design.expectedErrors();
    }

    /**
     * Designs a test: few readings that tell beta and eta as well as wanted, within a charge.
     *
     * @param guess what is taken to be known beforehand
     * @param budgetUc largest charge, uC
     * @param targetPercent standard errors of beta and eta to reach, 0.2 to 30 percent
     * @return the best test found
     * @throws IllegalArgumentException if a value is out of range, if not even a few figures fit the budget, or if it would need more doses
     *     than a layout has datatypes for
     */
    public static DoseTestPattern design(Guess guess, double budgetUc, double targetPercent) {
        DoseTestPattern pattern = new DoseTestPattern(guess, budgetUc, targetPercent);
        if (pattern.rows.size() < FEWEST_ROWS) {
            throw new IllegalArgumentException(String.format(
                    Locale.ROOT, "%.3g uC are too little for a dose test of these ranges; give more", budgetUc));
        }
        if (pattern.doses() > MOST_DOSES) {
            throw new IllegalArgumentException("this test needs " + pattern.doses() + " doses, more than " + MOST_DOSES
                    + "; use a larger dose step");
        }
        return pattern;
    }

    /** Adds a row below {@code top} and returns where the next may begin. */
    private double row(TestFigure figure, List<Integer> doses, double top) {
        double gap = GAP * guess.betaUm();
        double radius = radiusUm(figure);
        List<Integer> rising = doses.stream().sorted().toList();
        lowestStep = Math.min(lowestStep, rising.get(0));
        highestStep = Math.max(highestStep, rising.get(rising.size() - 1));
        rows.add(new Row(
                rows.size() + 1, figure, nm(gap + radius), nm(2 * radius + gap), nm(top - radius), radius, rising));
        return top - 2 * radius - gap;
    }

    private static double radiusUm(TestFigure figure) {
        if (figure instanceof TestFigure.Ring ring) {
            return ring.outerRadiusUm();
        }
        TestFigure.Lines lines = (TestFigure.Lines) figure;
        return lines.lines() == 1
                ? lines.lengthUm() / 2
                : Math.max(lines.lengthUm(), lines.lines() * lines.pitchUm()) / 2;
    }

    /** Area of a figure, um^2. */
    static double areaUm2(TestFigure figure) {
        if (figure instanceof TestFigure.Ring ring) {
            return Math.PI
                    * (ring.outerRadiusUm() * ring.outerRadiusUm() - ring.innerRadiusUm() * ring.innerRadiusUm());
        }
        TestFigure.Lines lines = (TestFigure.Lines) figure;
        return lines.lines() * lines.widthUm() * lines.lengthUm();
    }

    /** Charge of a figure at a dose, uC. */
    static double chargeUc(double doseUcPerCm2, TestFigure figure) {
        return doseUcPerCm2 * areaUm2(figure) * CM2_PER_UM2;
    }

    private PointSpreadFunction psf() {
        return PointSpreadFunction.doubleGaussian(guess.alphaUm(), guess.betaUm(), guess.eta());
    }

    private double[] weights() {
        return psf().terms().stream().mapToDouble(GaussianTerm::weight).toArray();
    }

    private double[] ranges() {
        return psf().terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
    }

    private static double nm(double um) {
        return Math.rint(um * 1e3) / 1e3;
    }

    /** {@return the guess it was made from} */
    public Guess guess() {
        return guess;
    }

    /** {@return the rows from top to bottom} */
    public List<Row> rows() {
        return List.copyOf(rows);
    }

    /** {@return number of doses} */
    public int doses() {
        return highestStep - lowestStep + 1;
    }

    /**
     * {@return dose of a ladder number, uC/cm^2}
     *
     * @param step number on the ladder of doses
     */
    public double doseUcPerCm2(int step) {
        return guess.doseUcPerCm2(step);
    }

    /** Datatype of a ladder number, from 0. */
    int datatype(int step) {
        return step - lowestStep;
    }

    /** {@return the figures' largest extent: width and height, um, a new array} */
    public double[] sizeUm() {
        double width = 0;
        double bottom = 0;
        for (Row row : rows) {
            width = Math.max(
                    width, row.firstXUm() + row.pitchUm() * (row.doses().size() - 1) + row.radiusUm());
            bottom = Math.min(bottom, row.yUm() - row.radiusUm());
        }
        return new double[] {width, -bottom};
    }

    /**
     * Writes the layout: figures on layer {@value #LAYER}, the number of the dose as datatype, and at the left of each row as
     * many squares as its number, in groups of five.
     *
     * @param file the GDSII file to write
     * @throws BadInputException if the file cannot be written
     */
    public void writeLayout(Path file) {
        try (GdsiiWriter out = new GdsiiWriter(
                Files.newOutputStream(file),
                OutputFolder.destination(file).toString(),
                "EVENDOSE",
                DatabaseUnit.NANOMETRE)) {
            out.beginCell(CELL);
            for (Row row : rows) {
                marks(out, row);
                for (int k = 0; k < row.doses().size(); k++) {
                    out.layer(new Layer(LAYER, datatype(row.doses().get(k))));
                    long x = dbu(row.firstXUm() + k * row.pitchUm());
                    long y = dbu(row.yUm());
                    if (row.figure() instanceof TestFigure.Ring ring) {
                        ring(out, ring, x, y);
                    } else {
                        lines(out, (TestFigure.Lines) row.figure(), x, y);
                    }
                }
            }
            out.endCell();
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    private void marks(GdsiiWriter out, Row row) throws IOException {
        double side = MARK * guess.betaUm();
        out.layer(new Layer(LAYER, datatype(markDose(row))));
        for (int k = 0; k < row.number(); k++) {
            long x = dbu(-2 * side * (k % 5) - side);
            long y = dbu(row.yUm() - 2 * side * (k / 5));
            out.rectangle(x, y, x + dbu(side), y + dbu(side));
        }
    }

    /** Corners lie so far out that the polygon has the circle's area. */
    private static void ring(GdsiiWriter out, TestFigure.Ring ring, long x, long y) throws IOException {
        double turn = 2 * Math.PI / CORNERS;
        double out1 = ring.outerRadiusUm() * Math.sqrt(turn / Math.sin(turn));
        double in1 = ring.innerRadiusUm() * Math.sqrt(turn / Math.sin(turn));
        if (ring.innerRadiusUm() == 0) {
            long[] xy = new long[2 * CORNERS];
            for (int i = 0; i < CORNERS; i++) {
                xy[2 * i] = x + dbu(out1 * Math.cos(turn * i));
                xy[2 * i + 1] = y + dbu(out1 * Math.sin(turn * i));
            }
            out.polygon(xy, CORNERS);
            return;
        }
        int side = CORNERS / 2 + 1;
        for (int halfTurn = 0; halfTurn < 2; halfTurn++) {
            long[] xy = new long[4 * side];
            for (int i = 0; i < side; i++) {
                double a = turn * i + Math.PI * halfTurn;
                int j = 2 * side - 1 - i;
                xy[2 * i] = x + dbu(out1 * Math.cos(a));
                xy[2 * i + 1] = y + dbu(out1 * Math.sin(a));
                xy[2 * j] = x + dbu(in1 * Math.cos(a));
                xy[2 * j + 1] = y + dbu(in1 * Math.sin(a));
            }
            out.polygon(xy, 2 * side);
        }
    }

    private static void lines(GdsiiWriter out, TestFigure.Lines lines, long x, long y) throws IOException {
        long half = dbu(lines.widthUm() / 2);
        long end = dbu(lines.lengthUm() / 2);
        int side = lines.lines() / 2;
        for (int j = -side; j <= side; j++) {
            long centre = j == 0 ? x : x + dbu(j * lines.pitchUm());
            out.rectangle(centre - half, y - end, centre + half, y + end);
        }
    }

    private static long dbu(double um) {
        return Math.round(um * 1e3);
    }

    /** Ladder number of the dose that the marks of a row are written with. */
    private static int markDose(Row row) {
        return row.doses().get(row.doses().size() / 2);
    }

    /** {@return largest charge allowed, uC} */
    public double budgetUc() {
        return budgetUc;
    }

    /** {@return standard errors of beta and eta that were wanted, percent} */
    public double targetPercent() {
        return targetPercent;
    }

    /** {@return whether beta and eta get them, if the guess is right, readings scatter as assumed and the model holds} */
    public boolean targetReached() {
        return targetReached;
    }

    /** Relative standard errors to expect of alpha, beta, eta and the base dose. */
    Map<String, Double> expectedErrors() {
        return expectedErrors;
    }

    /** {@return charge of all figures and marks, uC} */
    public double chargeUc() {
        return areaUm2ByDose().entrySet().stream()
                .mapToDouble(e -> doseUcPerCm2(e.getKey()) * e.getValue() * CM2_PER_UM2)
                .sum();
    }

    /** Number of values to read off: one of each ring and disc, one of each line. */
    int readings() {
        return rows.stream()
                .mapToInt(r ->
                        r.figure() instanceof TestFigure.Ring ? 1 : r.doses().size())
                .sum();
    }

    private TreeMap<Integer, Double> areaUm2ByDose() {
        TreeMap<Integer, Double> area = new TreeMap<>();
        double mark = dbu(MARK * guess.betaUm()) / 1e3;
        for (Row row : rows) {
            row.doses().forEach(step -> area.merge(step, areaUm2(row.figure()), Double::sum));
            area.merge(markDose(row), row.number() * mark * mark, Double::sum);
        }
        return area;
    }

    /**
     * {@return the text of {@code levels.csv}: what the datatypes mean, in the columns of a corrected layout's table, so that the
     * writing of the test can be planned too} Factors refer to twice the guess of the clearing dose.
     */
    public String levelsCsv() {
        StringBuilder text = new StringBuilder("level,dose_factor,dose_uc_per_cm2,area_um2,charge_uc\n");
        areaUm2ByDose()
                .forEach((step, area) -> text.append(String.format(
                        Locale.ROOT,
                        "%d,%.9g,%.6g,%.6g,%.6g\n",
                        datatype(step),
                        doseUcPerCm2(step) / baseDoseUcPerCm2(),
                        doseUcPerCm2(step),
                        area,
                        doseUcPerCm2(step) * area * CM2_PER_UM2)));
        return text.toString();
    }

    /** {@return dose at factor 1 of {@link #levelsCsv}: twice the guess of the clearing dose, uC/cm^2} */
    public double baseDoseUcPerCm2() {
        return 2 * guess.clearingDoseUcPerCm2();
    }

    /** {@return the text of {@code figures.csv}: where every figure is, its dose, and what the guess expects} */
    public String figuresCsv() {
        StringBuilder text = new StringBuilder("row,column,figure,x_um,y_um,datatype,dose_uc_per_cm2,expected\n");
        for (Row row : rows) {
            for (int k = 0; k < row.doses().size(); k++) {
                double dose = doseUcPerCm2(row.doses().get(k));
                text.append(String.format(
                        Locale.ROOT,
                        "%d,%d,%s,%.3f,%.3f,%d,%.6g,%s\n",
                        row.number(),
                        k + 1,
                        label(row),
                        row.firstXUm() + k * row.pitchUm(),
                        row.yUm(),
                        datatype(row.doses().get(k)),
                        dose,
                        expected(row, dose)));
            }
        }
        return text.toString();
    }

    /**
     * {@return what the figure of a row is, in a few words}
     *
     * @param row a row of the table to fill in
     */
    public static String label(Row row) {
        return row.figure() instanceof TestFigure.Ring ring
                ? Measurement.clearing(ring, 1, OptionalDouble.empty(), 0).label()
                : Measurement.width((TestFigure.Lines) row.figure(), 1, 1, OptionalDouble.empty(), 0)
                        .label();
    }

    private String expected(Row row, double dose) {
        if (row.figure() instanceof TestFigure.Ring ring) {
            return dose * FigureEnergy.ring(ring, weights(), ranges()) >= guess.clearingDoseUcPerCm2()
                    ? "centre clears"
                    : "centre stays";
        }
        TestFigure.Lines lines = (TestFigure.Lines) row.figure();
        double width = FigureEnergy.width(
                lines, guess.clearingDoseUcPerCm2() / dose, lines.widthUm() / 2, weights(), ranges());
        return width <= 0
                ? "does not open"
                : width >= lines.pitchUm() ? "gap closes" : String.format(Locale.ROOT, "%.1f nm", width * 1e3);
    }

    /** {@return the text of {@code measured.csv}, to be filled in: a row a clearing dose, a row a line and dose} */
    public String measuredCsv() {
        StringBuilder text = new StringBuilder();
        text.append(
                "# clearing: fill in the last dose at which the centre of the ring or disc did not clear and the first at which it did.\n");
        text.append("# width: fill in 'measured', of the middle line, halfway along it.\n");
        text.append(
                "# If you know how far values scatter, fill in 'standard_error' (same unit). Rows left empty do not count.\n");
        text.append(MeasurementFile.HEADER).append('\n');
        for (Row row : rows) {
            if (row.figure() instanceof TestFigure.Ring ring) {
                text.append("# row ").append(row.number()).append('\n');
                text.append(String.format(
                        Locale.ROOT,
                        "clearing,%s,%s,,,,,,%.6g,%.6g,%s,,,,uC/cm2,\n",
                        number(ring.innerRadiusUm()),
                        number(ring.outerRadiusUm()),
                        doseUcPerCm2(row.doses().get(0)),
                        doseUcPerCm2(row.doses().get(row.doses().size() - 1)),
                        NumberText.plain(
                                PERCENT
                                        * (doseUcPerCm2(row.doses().get(1))
                                                        / doseUcPerCm2(
                                                                row.doses().get(0))
                                                - 1),
                                6)));
            } else {
                TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                text.append("# row ").append(row.number()).append('\n');
                for (int step : row.doses()) {
                    text.append(String.format(
                            Locale.ROOT,
                            "width,,,%s,%s,%d,%s,%.6g,,,,,,,nm,\n",
                            number(lines.widthUm()),
                            lines.lines() == 1 ? "" : number(lines.pitchUm()),
                            lines.lines(),
                            number(lines.lengthUm()),
                            doseUcPerCm2(step)));
                }
            }
        }
        return text.toString();
    }

    private static String number(double um) {
        return new java.math.BigDecimal(String.format(Locale.ROOT, "%.3f", um))
                .stripTrailingZeros()
                .toPlainString();
    }
}
