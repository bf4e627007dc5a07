package evendose.correction;

import evendose.Supported;
import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.files.NumberText;
import evendose.units.Range;
import java.io.Serializable;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Locale;
import java.util.stream.DoubleStream;

/**
 * Loading of the development: where much resist is exposed around a place, the developer is used up faster, and the energy that is wanted
 * there is another one. The wanted energy is that of the criterion times a function of the density,
 *
 * <pre>T(x) = T f(rho(x)),     rho(x) = integral over the exposed area of exp(-|x - x'|^2 / L^2) / (pi L^2) dx'</pre>
 *
 * <p>Doses do not count for the density, only what is exposed and what is not. {@code f} is piecewise linear between given densities and constant
 * beyond them.
 *
 * @serial exclude
 */
@Supported
public final class DevelopmentLoading implements Serializable {
    private static final long serialVersionUID = 1L;

    private static final double PERCENT = 100;

    private final double rangeUm;
    private final double[] density;
    private final double[] factor;

    private DevelopmentLoading(double rangeUm, double[] density, double[] factor) {
        Range.positive("range of the loading (um)", rangeUm);
        this.rangeUm = rangeUm;
        this.density = density;
        this.factor = factor;
    }

    /**
     * {@return the linear law {@code f = 1 + P/100 (rho - rho_ref)}: in the midst of a wholly exposed area P percent more energy is wanted, of the
     * usual one, than where nothing else is exposed; a place of the reference density, where the base dose is right, wants the usual energy}
     *
     * @param percent P, of either sign, so that no density wants an energy of 0 or less
     * @param rangeUm L (1/e radius), um, positive
     * @param referenceDensity rho_ref, 0 to 1: that of {@link CorrectionOptions#referenceDensity}
     * @throws IllegalArgumentException if a value is out of range
     */
    public static DevelopmentLoading linear(double percent, double rangeUm, double referenceDensity) {
        Range.require(
                referenceDensity >= 0 && referenceDensity <= 1,
                "reference density must lie in 0 to 1",
                referenceDensity);
        return of(
                rangeUm,
                new double[] {0, 1},
                1 - percent / PERCENT * referenceDensity,
                1 + percent / PERCENT * (1 - referenceDensity));
    }

    /**
     * {@return a measured law}
     *
     * @param rangeUm L (1/e radius), um, positive
     * @param density rising densities, 0 to 1, at least one
     * @param factor energy wanted at each over the usual one, positive and finite
     * @throws IllegalArgumentException if a value is out of range
     */
    public static DevelopmentLoading of(double rangeUm, double[] density, double... factor) {
        if (density.length == 0 || density.length != factor.length) {
            throw new IllegalArgumentException("loading needs as many targets as densities, at least one, got "
                    + factor.length + " for " + density.length);
        }
        for (int i = 0; i < density.length; i++) {
            Range.require(density[i] >= 0 && density[i] <= 1, "density must lie in 0 to 1", density[i]);
            Range.require(i == 0 || density[i] > density[i - 1], "densities must rise", density[i]);
            Range.require(
                    factor[i] > 0 && Double.isFinite(factor[i]),
                    "the energy wanted at density " + density[i] + " over the usual one must be positive",
                    factor[i]);
        }
        return new DevelopmentLoading(rangeUm, density.clone(), factor.clone());
    }

    /**
     * Reads a table with the columns {@code density}, 0 to 1, rising, and {@code target_percent}, of the usual energy.
     *
     * @param file the CSV file
     * @param rangeUm L (1/e radius), um, positive
     * @return the law
     * @throws BadInputException naming file and line if a row is not sound
     */
    public static DevelopmentLoading read(Path file, double rangeUm) {
        DoubleStream.Builder densities = DoubleStream.builder();
        DoubleStream.Builder factors = DoubleStream.builder();
        double last = -1;
        try (CsvTable table = CsvTable.open(file, "density", "target_percent")) {
            while (table.next()) {
                double density = table.number("density");
                if (!(density >= 0 && density <= 1)) {
                    throw table.error("density must lie in 0 to 1, got " + density
                            + (density > 1 && density <= PERCENT ? "; percent are to be divided by 100" : ""));
                }
                if (!(density > last)) {
                    throw table.error("densities must rise, got " + density + " after " + last);
                }
                last = density;
                densities.add(density);
                factors.add(table.positive("target_percent") / PERCENT);
            }
        }
        double[] density = densities.build().toArray();
        if (density.length < 2) {
            throw new BadInputException(file.toString(), "", "needs at least two densities");
        }
        return of(rangeUm, density, factors.build().toArray());
    }

    /** {@return range L over which the density is averaged, um} */
    public double rangeUm() {
        return rangeUm;
    }

    /** {@return densities between which the law is linear, rising, a new array} */
    public double[] densities() {
        return density.clone();
    }

    /** {@return energy wanted at each of these densities over the usual one, a new array} */
    public double[] factors() {
        return factor.clone();
    }

    /**
     * {@return energy wanted over the usual one}
     *
     * @param rho density about the place, 0 to 1
     */
    public double factor(double rho) {
        int last = density.length - 1;
        if (!(rho > density[0])) {
            return factor[0];
        }
        if (rho >= density[last]) {
            return factor[last];
        }
        int above = 1;
        while (density[above] <= rho) {
            above++;
        }
        double t = (rho - density[above - 1]) / (density[above] - density[above - 1]);
        return factor[above - 1] + t * (factor[above] - factor[above - 1]);
    }

    /** {@return the largest change of that energy with the density, either way} */
    public double steepest() {
        double steepest = 0;
        for (int k = 1; k < density.length; k++) {
            steepest = Math.max(steepest, Math.abs((factor[k] - factor[k - 1]) / (density[k] - density[k - 1])));
        }
        return steepest;
    }

    /** {@return what it is, for people} */
    public String words() {
        int last = density.length - 1;
        return String.format(
                Locale.ROOT,
                "energy wanted %s %% of the usual at density %s to %s %% at %s%s, density over a range of %s um",
                NumberText.plain(PERCENT * factor[0], 5),
                NumberText.plain(density[0], 5),
                NumberText.plain(PERCENT * factor[last], 5),
                NumberText.plain(density[last], 5),
                last > 1 ? " (" + density.length + " rows)" : "",
                NumberText.plain(rangeUm, 5));
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof DevelopmentLoading o
                && o.rangeUm == rangeUm
                && Arrays.equals(o.density, density)
                && Arrays.equals(o.factor, factor);
    }

    @Override
    public int hashCode() {
        return Double.hashCode(rangeUm) + 31 * Arrays.hashCode(density) + 961 * Arrays.hashCode(factor);
    }

    @Override
    public String toString() {
        return "DevelopmentLoading[" + rangeUm + " um, " + Arrays.toString(density) + " " + Arrays.toString(factor)
                + "]";
    }
}
