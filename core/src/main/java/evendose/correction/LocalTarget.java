package evendose.correction;

import evendose.energy.EnergyField;
import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.pieces.Samples;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * The energy wanted over the usual one, place by place, under a loading of the development. The density comes from the engine: it is the energy
 * of a plane's pieces at factor 1 with the Gaussian of the loading alone. Without loading it is 1 everywhere.
 */
final class LocalTarget {
    private final Optional<DevelopmentLoading> loading;
    private final EnergyField density;
    private final Workers workers;

    private LocalTarget(Optional<DevelopmentLoading> loading, EnergyField density, Workers workers) {
        this.loading = loading;
        this.density = density;
        this.workers = workers;
    }

    /**
     * About exposed pieces.
     *
     * @param places about how many places will be asked for
     */
    static LocalTarget of(
            Optional<DevelopmentLoading> loading, Pieces pieces, int places, Workers workers, Progress progress) {
        return new LocalTarget(
                loading,
                loading.map(law -> density(law, pieces, places, workers, progress))
                        .orElse(null),
                workers);
    }

    /** The density of exposed pieces, at any point. */
    static EnergyField density(
            DevelopmentLoading loading, Pieces pieces, int places, Workers workers, Progress progress) {
        PointSpreadFunction average = PointSpreadFunction.from(List.of(new GaussianTerm(1, loading.rangeUm())));
        double[] exposed = new double[pieces.units()];
        Arrays.fill(exposed, 1);
        EnginePlan plan = EnginePlan.forPoints(pieces, average, places, 1, 0);
        return EnergyModel.build(plan, workers, progress).field(exposed);
    }

    /** By a density that is known. */
    static LocalTarget of(DevelopmentLoading loading, EnergyField density, Workers workers) {
        return new LocalTarget(Optional.of(loading), density, workers);
    }

    boolean isUniform() {
        return loading.isEmpty();
    }

    /** At places, um; a new array. */
    double[] at(double[] xUm, double[] yUm) {
        double[] factor = new double[xUm.length];
        if (isUniform()) {
            Arrays.fill(factor, 1);
            return factor;
        }
        double[] rho = densityAt(xUm, yUm);
        Arrays.setAll(factor, k -> loading.orElseThrow().factor(rho[k]));
        return factor;
    }

    /** The density about places, um, under a loading; a new array. */
    double[] densityAt(double[] xUm, double[] yUm) {
        return density.at(xUm, yUm, workers);
    }

    /** Means over the samples of each unit; a new array. */
    double[] ofUnits(Samples samples) {
        double[] mean = new double[samples.units()];
        if (isUniform()) {
            Arrays.fill(mean, 1);
            return mean;
        }
        double[] factor = at(samples.xUm(), samples.yUm());
        for (int u = 0; u < mean.length; u++) {
            for (int j = samples.first(u); j < samples.first(u + 1); j++) {
                mean[u] += samples.weight(j) * factor[j];
            }
        }
        return mean;
    }
}
