package evendose.calibration;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.SplittableRandom;

/**
 * Fills in the dose test of the demo: what a careful person might have measured for the Tidepool chip, made up from a known point
 * spread function with noise. Nothing in it was measured.
 *
 * <p>Run with the path of the file to write; {@code TidepoolMeasurementsTest} holds that the bundled file is what this writes.
 */
final class TidepoolMeasurements {
    static final DoseTestPattern.Guess GUESS = new DoseTestPattern.Guess(0.01, 31, 0.6, 375, 5, 13);

    /** The truth behind the made-up values. */
    static final double ALPHA_UM = 0.0095;

    static final double BETA_UM = 29;
    static final double ETA = 0.64;
    static final double CLEARING_DOSE = 362;

    /** A slot of an hour at 2 nA, a quarter of it for loading. */
    static final double BUDGET_UC = 5.4;

    static final double TARGET_PERCENT = 3;

    private static final double RELATIVE_ERROR = 0.015;
    private static final double WIDTH_ERROR_NM = 1.5;
    private static final double WIDTH_OFFSET_NM = 2;
    private static final double NARROWEST_SEEN_NM = 10;

    private TidepoolMeasurements() {}

    public static void main(String[] args) throws IOException {
        Files.writeString(Path.of(args[0]), text());
    }

    static String text() {
        PointSpreadFunction psf = PointSpreadFunction.doubleGaussian(ALPHA_UM, BETA_UM, ETA);
        double[] weight = psf.terms().stream().mapToDouble(GaussianTerm::weight).toArray();
        double[] range = psf.terms().stream().mapToDouble(GaussianTerm::rangeUm).toArray();
        SplittableRandom random = new SplittableRandom(20_3);
        StringBuilder text =
                new StringBuilder("# Made-up measurements of the demo's dose test; nothing here was measured.\n");
        for (String line : DoseTestPattern.design(GUESS, BUDGET_UC, TARGET_PERCENT)
                .measuredCsv()
                .split("\n")) {
            String[] f = line.split(",", -1);
            switch (f[0]) {
                case "clearing" -> {
                    TestFigure.Ring ring = new TestFigure.Ring(Double.parseDouble(f[1]), Double.parseDouble(f[2]));
                    double dose = CLEARING_DOSE
                            / FigureEnergy.ring(ring, weight, range)
                            * Math.exp(RELATIVE_ERROR * normal(random));
                    double ratio = 1 + Double.parseDouble(f[10]) / 100;
                    double first = Double.parseDouble(f[8]);
                    int steps = (int) Math.ceil(Math.log(dose / first) / Math.log(ratio));
                    f[11] = String.format(Locale.ROOT, "%.6g", first * Math.pow(ratio, steps - 1));
                    f[12] = String.format(Locale.ROOT, "%.6g", first * Math.pow(ratio, steps));
                }
                case "width" -> {
                    double drawn = Double.parseDouble(f[3]);
                    TestFigure.Lines lines = new TestFigure.Lines(
                            drawn,
                            f[4].isEmpty() ? Double.POSITIVE_INFINITY : Double.parseDouble(f[4]),
                            Integer.parseInt(f[5]),
                            Double.parseDouble(f[6]));
                    double nm = 1e3
                                    * FigureEnergy.width(
                                            lines, CLEARING_DOSE / Double.parseDouble(f[7]), drawn / 2, weight, range)
                            + WIDTH_OFFSET_NM
                            + WIDTH_ERROR_NM * normal(random);
                    if (nm > NARROWEST_SEEN_NM && nm < 1e3 * lines.pitchUm()) {
                        f[13] = String.format(Locale.ROOT, "%.1f", nm);
                    }
                }
                default -> {
                    // Comments and the header stay.
                }
            }
            text.append(String.join(",", f)).append('\n');
        }
        return text.toString();
    }

    /** Box and Muller's normal deviate. */
    private static double normal(SplittableRandom random) {
        return Math.sqrt(-2 * Math.log(1 - random.nextDouble())) * Math.cos(2 * Math.PI * random.nextDouble());
    }
}
