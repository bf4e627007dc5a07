package evendose.calibration;

import evendose.files.BadInputException;
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
import java.util.List;
import java.util.Locale;

/**
 * A dose test to write: rows of rings and discs whose centres clear at a dose that tells beta, eta and the clearing dose, and rows of
 * lone lines and gratings whose widths tell alpha and check the rest. Sizes follow a guess of the point spread function; each
 * row is written at several doses of one ladder with constant ratio. Figures keep three backscatter ranges apart.
 */
public final class DoseTestPattern {
    /** Layer of the figures; the datatype is the number of the dose. */
    public static final int LAYER = 1;

    private static final String CELL = "DOSE_TEST";

    /** Inner radii of rings and radii of discs over beta; outer radius of rings over beta. */
    private static final double[] RINGS = {0.25, 0.4, 0.55, 0.7, 0.85, 1};

    private static final double[] DISCS = {0.1, 0.25, 0.5, 1, 3};
    private static final double RING_OUTER = 3;

    /** Line widths over alpha, densities of gratings, steps of the dose ladder at which lines are written. */
    private static final double[] WIDTHS = {4, 10, 25};

    private static final double[] DENSITIES = {0.25, 0.5, 0.75};
    private static final int[] LINE_DOSES = {-4, -2, 0, 2, 4};

    private static final double GAP = 3;
    private static final double PATCH = 4;
    private static final double LONE_LENGTH = 2;
    private static final int CORNERS = 256;
    private static final int MOST_DOSES = 250;

    private final Guess guess;
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

    private DoseTestPattern(Guess guess) {
        this.guess = guess;
    }

    /**
     * Designs a test.
     *
     * @throws IllegalArgumentException if it would need more doses than a layout has datatypes for
     */
    public static DoseTestPattern design(Guess guess) {
        DoseTestPattern pattern = new DoseTestPattern(guess);
        pattern.lay();
        if (pattern.doses() > MOST_DOSES) {
            throw new IllegalArgumentException("this test needs " + pattern.doses() + " doses, more than " + MOST_DOSES
                    + "; use a larger dose step");
        }
        return pattern;
    }

    private void lay() {
        double beta = guess.betaUm();
        double top = 0;
        int half = guess.dosesPerRing() / 2;
        int[] around = new int[guess.dosesPerRing()];
        for (int k = 0; k < around.length; k++) {
            around[k] = k - half;
        }
        for (double r : RINGS) {
            top = row(new TestFigure.Ring(nm(r * beta), nm(RING_OUTER * beta)), RING_OUTER * beta, around, top);
        }
        for (double r : DISCS) {
            top = row(new TestFigure.Ring(0, nm(r * beta)), r * beta, around, top);
        }
        for (double w : WIDTHS) {
            double length = nm(LONE_LENGTH * beta);
            top = row(
                    new TestFigure.Lines(even(w * guess.alphaUm()), Double.POSITIVE_INFINITY, 1, length),
                    length / 2,
                    LINE_DOSES,
                    top);
        }
        double width = even(WIDTHS[WIDTHS.length - 1] * guess.alphaUm());
        for (double density : DENSITIES) {
            double pitch = nm(width / density);
            int count = 2 * (int) Math.round(PATCH * beta / pitch / 2) + 1;
            top = row(
                    new TestFigure.Lines(width, pitch, count, nm(PATCH * beta)),
                    Math.max(PATCH * beta, count * pitch) / 2,
                    LINE_DOSES,
                    top);
        }
    }

    /** Adds a row below {@code top} and returns where the next may begin. */
    private double row(TestFigure figure, double radius, int[] around, double top) {
        double gap = GAP * guess.betaUm();
        double energy = figure instanceof TestFigure.Ring ring
                ? FigureEnergy.ring(ring, weights(), ranges())
                : FigureEnergy.lines(
                        (TestFigure.Lines) figure, ((TestFigure.Lines) figure).widthUm() / 2, weights(), ranges());
        int middle = (int) Math.round(Math.log(1 / energy) / Math.log1p(guess.stepPercent() / 100));
        List<Integer> doses = new ArrayList<>();
        for (int k : around) {
            doses.add(middle + k);
            lowestStep = Math.min(lowestStep, middle + k);
            highestStep = Math.max(highestStep, middle + k);
        }
        rows.add(new Row(
                rows.size() + 1, figure, nm(gap + radius), nm(2 * radius + gap), nm(top - radius), radius, doses));
        return top - 2 * radius - gap;
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

    /** Rounded to 2 nm, so that both edges lie on the grid. */
    private static double even(double um) {
        return Math.max(1, Math.rint(um * 500)) / 500;
    }

    /** The guess it was made from. */
    public Guess guess() {
        return guess;
    }

    /** The rows from top to bottom. */
    public List<Row> rows() {
        return List.copyOf(rows);
    }

    /** Number of doses. */
    public int doses() {
        return highestStep - lowestStep + 1;
    }

    /** Dose of a ladder number, uC/cm^2. */
    public double doseUcPerCm2(int step) {
        return guess.clearingDoseUcPerCm2() * Math.pow(1 + guess.stepPercent() / 100, step);
    }

    /** Datatype of a ladder number, from 0. */
    public int datatype(int step) {
        return step - lowestStep;
    }

    /** The figures' largest extent: width and height, um. */
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
        double side = 0.06 * guess.betaUm();
        out.layer(new Layer(LAYER, datatype(row.doses().get(row.doses().size() / 2))));
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

    /** The text of {@code doses.csv}: the dose of each datatype. */
    public String dosesCsv() {
        StringBuilder text = new StringBuilder("layer,datatype,dose_uc_per_cm2\n");
        for (int step = lowestStep; step <= highestStep; step++) {
            text.append(String.format(Locale.ROOT, "%d,%d,%.6g\n", LAYER, datatype(step), doseUcPerCm2(step)));
        }
        return text.toString();
    }

    /** The text of {@code figures.csv}: where every figure is, its dose, and what the guess expects. */
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

    /** What the figure of a row is, in a few words. */
    public static String label(Row row) {
        return row.figure() instanceof TestFigure.Ring ring
                ? Measurement.clearing(ring, 1, java.util.OptionalDouble.empty(), 0)
                        .label()
                : Measurement.width((TestFigure.Lines) row.figure(), 1, 1, java.util.OptionalDouble.empty(), 0)
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

    /** The text of {@code measured.csv}, to be filled in: a row a clearing dose, a row a line and dose. */
    public String measuredCsv() {
        StringBuilder text = new StringBuilder();
        text.append(
                "# Fill in 'measured' and, if you know it, 'standard_error' (in the same unit). Rows left empty do not count.\n");
        text.append(
                "# clearing: the lowest dose at which the centre of the ring or disc is clear; half a dose step is a fair error.\n");
        text.append("# width: of the middle line, measured halfway along it.\n");
        text.append(MeasurementFile.HEADER).append('\n');
        for (Row row : rows) {
            if (row.figure() instanceof TestFigure.Ring ring) {
                text.append("# row ").append(row.number()).append('\n');
                text.append(String.format(
                        Locale.ROOT,
                        "clearing,%s,%s,,,,,,,uC/cm2,\n",
                        number(ring.innerRadiusUm()),
                        number(ring.outerRadiusUm())));
            } else {
                TestFigure.Lines lines = (TestFigure.Lines) row.figure();
                text.append("# row ").append(row.number()).append('\n');
                for (int step : row.doses()) {
                    text.append(String.format(
                            Locale.ROOT,
                            "width,,,%s,%s,%d,%s,%.6g,,nm,\n",
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
