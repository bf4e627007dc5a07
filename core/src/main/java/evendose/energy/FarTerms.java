package evendose.energy;

import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.TableTerm;
import java.util.List;
import java.util.Optional;

/**
 * Long-ranged terms of a point spread function that one grid serves.
 *
 * @param gaussians Gaussians by rising range, perhaps none
 * @param table the tabulated part, if it is among them
 * @param slack by how much, relative, ranges of other terms for the same grid may differ from these
 */
record FarTerms(List<GaussianTerm> gaussians, Optional<TableTerm> table, double slack) {
    /** Distance, in ranges, beyond which a Gaussian does not count. */
    static final double REACH = 4.5;

    /**
     * Choices of nodes per range, and the largest error of a term's energy, relative to its mean, on random rectangles (held by {@code EnergyModelTest}).
     */
    private static final double[] NODES_PER_RANGE = {2, 2.5, 3, FarGrid.NODES_PER_RANGE};

    private static final double[] RELATIVE_ERROR = {2e-3, 5e-4, 1.8e-4, 5.5e-5};

    /** Error that is allowed for a term, as energy of a plane, unless four nodes per range leave more. */
    private static final double ERROR = 1.2e-5;

    /** The terms of a group; the tabulated part follows the Gaussians. */
    static FarTerms of(PointSpreadFunction psf, TermGroup group, double slack) {
        int gaussians = psf.terms().size();
        return new FarTerms(
                psf.terms().subList(Math.min(group.first(), gaussians), Math.min(group.end(), gaussians)),
                group.end() > gaussians ? psf.table() : Optional.empty(),
                slack);
    }

    boolean isEmpty() {
        return gaussians.isEmpty() && table.isEmpty();
    }

    /** Whether a grid for these terms can carry others, with twice the error at most: they are no finer and reach no further. */
    boolean cover(FarTerms others) {
        return others.pitchUm(2 * ERROR) >= pitchUm() * (1 - 1e-12) && others.reachUm() <= reachUm() * (1 + 1e-12);
    }

    /** Sum of the weights. */
    double weight() {
        return gaussians.stream().mapToDouble(GaussianTerm::weight).sum()
                + table.map(TableTerm::weight).orElse(0.0);
    }

    /** Whether others are the same but for one factor of all weights, up to rounding. */
    boolean isProportional(FarTerms others) {
        if (gaussians.size() != others.gaussians.size()
                || !table.map(TableTerm::table).equals(others.table.map(TableTerm::table))) {
            return false;
        }
        double factor = others.weight() / weight();
        for (int k = 0; k < gaussians.size(); k++) {
            GaussianTerm a = gaussians.get(k);
            GaussianTerm b = others.gaussians.get(k);
            if (a.rangeUm() != b.rangeUm() || Math.abs(factor * a.weight() - b.weight()) > 1e-12 * others.weight()) {
                return false;
            }
        }
        return true;
    }

    /**
     * Pitch, um, of the grid that the terms need: the finest that any of them asks for, less the slack. A tabulated part counts as the Gaussian
     * that is as smooth.
     */
    double pitchUm() {
        return pitchUm(ERROR);
    }

    private double pitchUm(double allowedError) {
        double finest = table.map(t -> t.table().smoothnessUm() / nodesPerRange(t.weight(), allowedError))
                .orElse(Double.POSITIVE_INFINITY);
        for (GaussianTerm term : gaussians) {
            finest = Math.min(finest, term.rangeUm() / nodesPerRange(term.weight(), allowedError));
        }
        return (1 - slack) * finest;
    }

    /** Nodes per range that keep a term's error small enough: a weak term takes a coarser grid. */
    private static double nodesPerRange(double weight, double allowedError) {
        int k = 0;
        while (k < NODES_PER_RANGE.length - 1 && weight * RELATIVE_ERROR[k] > allowedError) {
            k++;
        }
        return NODES_PER_RANGE[k];
    }

    /** Distance beyond which none counts, um, and the slack. */
    double reachUm() {
        double table = this.table.map(t -> t.table().reachUm()).orElse(0.0);
        double longest =
                gaussians.isEmpty() ? 0 : gaussians.get(gaussians.size() - 1).rangeUm();
        return (1 + slack) * Math.max(table, REACH * longest);
    }

    /** The Fourier transform of the terms' density at all pairs of these wave numbers, 1/um. */
    Waves waves(double[] kx, double[] ky) {
        double[][] alongY = new double[gaussians.size()][ky.length];
        for (int g = 0; g < alongY.length; g++) {
            for (int j = 0; j < ky.length; j++) {
                alongY[g][j] = wave(gaussians.get(g), ky[j]);
            }
        }
        return new Waves(kx, ky, alongY);
    }

    private static double wave(GaussianTerm term, double k) {
        double u = 0.5 * k * term.rangeUm();
        return Math.exp(-u * u);
    }

    /** See {@link #waves}. */
    final class Waves {
        private final double[] kx;
        private final double[] ky;
        private final double[][] alongY;

        private Waves(double[] kx, double[] ky, double[][] alongY) {
            this.kx = kx;
            this.ky = ky;
            this.alongY = alongY;
        }

        /** Adds the transform at ({@code kx[i], ky[j]}) to {@code values[i * ky.length + j]}. */
        void addTo(double[] values, int i) {
            int o = i * ky.length;
            for (int g = 0; g < alongY.length; g++) {
                GaussianTerm term = gaussians.get(g);
                double factor = term.weight() * wave(term, kx[i]);
                for (int j = 0; j < ky.length; j++) {
                    values[o + j] += factor * alongY[g][j];
                }
            }
            if (table.isPresent()) {
                TableTerm term = table.get();
                for (int j = 0; j < ky.length; j++) {
                    values[o + j] += term.weight() * term.table().transform(Math.hypot(kx[i], ky[j]));
                }
            }
        }
    }
}
