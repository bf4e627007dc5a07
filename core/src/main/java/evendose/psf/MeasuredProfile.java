package evendose.psf;

import evendose.files.BadInputException;
import evendose.files.CsvTable;
import evendose.units.Plausible;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * Energy per area at points, by distance from a point exposure, as measured: any scale, negative where more background was
 * taken off than there was.
 */
public final class MeasuredProfile {
    private static final int LEAST_POINTS = 5;

    private final double[] radiusUm;
    private final double[] density;
    private final double[] standardError;

    private MeasuredProfile(double[] radiusUm, double[] density, double[] standardError) {
        this.radiusUm = radiusUm;
        this.density = density;
        this.standardError = standardError;
    }

    /**
     * {@return a profile of points; arrays are copied}
     *
     * @param radiusUm rising radii, um, positive, at least 5
     * @param density energy per area there, any unit; some of it positive
     * @param standardError its standard error, positive; an empty array if it is not known
     * @throws IllegalArgumentException if lengths do not fit or a value is out of range
     */
    static MeasuredProfile of(double[] radiusUm, double[] density, double[] standardError) {
        int n = radiusUm.length;
        if (n < LEAST_POINTS || density.length != n || standardError.length != n && standardError.length != 0) {
            throw new IllegalArgumentException("a measured profile needs at least 5 radii with a density each");
        }
        boolean positive = false;
        for (int i = 0; i < n; i++) {
            if (!(radiusUm[i] > (i == 0 ? 0 : radiusUm[i - 1])) || !Double.isFinite(radiusUm[i])) {
                throw new IllegalArgumentException("radii must be above 0 and rise, got " + radiusUm[i]);
            }
            if (!Double.isFinite(density[i]) || standardError.length > 0 && !(standardError[i] > 0)) {
                throw new IllegalArgumentException("densities must be finite and their errors above 0");
            }
            positive |= density[i] > 0;
        }
        if (!positive) {
            throw new IllegalArgumentException("a measured profile needs a density above 0");
        }
        return new MeasuredProfile(radiusUm.clone(), density.clone(), standardError.clone());
    }

    /**
     * Reads a CSV file with a header and the columns {@code radius_um} and {@code density_per_um2} (any scale, may be negative),
     * optionally {@code standard_error_per_um2}; other columns are left alone, {@code #} starts a comment.
     *
     * @param file the CSV file
     * @return the profile
     * @throws BadInputException naming file and line of what is wrong
     */
    public static MeasuredProfile read(Path file) {
        List<double[]> rows = new ArrayList<>();
        boolean errors;
        try (CsvTable table = CsvTable.open(file, "radius_um", "density_per_um2")) {
            errors = table.has("standard_error_per_um2");
            while (table.next()) {
                double r = table.number("radius_um");
                if (!(r > 0) || (!rows.isEmpty() && !(r > rows.get(rows.size() - 1)[0]))) {
                    throw table.error("radii must be above 0 and rise, got " + r);
                }
                double error = errors ? table.number("standard_error_per_um2") : 0;
                if (errors && error == 0 && table.number("density_per_um2") == 0) {
                    // Where nothing was counted nothing is known.
                    continue;
                }
                if (errors && !(error > 0)) {
                    throw table.error("the standard error must be above 0; leave the column out if it is not known");
                }
                rows.add(new double[] {r, table.number("density_per_um2"), error});
            }
        }
        if (rows.size() < LEAST_POINTS || rows.stream().noneMatch(row -> row[1] > 0)) {
            throw new BadInputException(file.toString(), "", "needs at least 5 rows, and a density above 0");
        }
        Plausible.PROFILE_RADIUS.objection(rows.get(rows.size() - 1)[0]).ifPresent(problem -> {
            throw new BadInputException(file.toString(), "", "the largest radius: " + problem);
        });
        return of(column(rows, 0), column(rows, 1), errors ? column(rows, 2) : new double[0]);
    }

    private static double[] column(List<double[]> rows, int c) {
        return rows.stream().mapToDouble(row -> row[c]).toArray();
    }

    /** {@return number of points} */
    public int size() {
        return radiusUm.length;
    }

    /**
     * {@return radius of point {@code i}, um}
     *
     * @param i number of the point, from 0
     */
    public double radiusUm(int i) {
        return radiusUm[i];
    }

    /**
     * {@return density of point {@code i}}
     *
     * @param i number of the point, from 0
     */
    public double density(int i) {
        return density[i];
    }

    /** {@return whether the points have standard errors} */
    public boolean hasErrors() {
        return standardError.length > 0;
    }

    /**
     * {@return standard error of point {@code i}; 0 if there is none}
     *
     * @param i number of the point, from 0
     */
    public double standardError(int i) {
        return hasErrors() ? standardError[i] : 0;
    }
}
