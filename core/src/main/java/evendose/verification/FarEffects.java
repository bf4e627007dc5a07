package evendose.verification;

import evendose.correction.CorrectionOptions;
import evendose.correction.DevelopmentLoading;
import evendose.energy.EnergyField;
import evendose.energy.PixelGrid;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import java.util.Arrays;
import java.util.Optional;

/** Fogging and the loading of the development for checks: both from {@link BinnedExposure}, nothing from the engine. */
final class FarEffects {
    /** On lines shorter than this many ranges, a parabola is as good. */
    private static final double SHORT = 0.02;

    private final Optional<DevelopmentLoading> loading;
    private final PointEnergy density;
    private final PointEnergy[] fogging;

    private FarEffects(Optional<DevelopmentLoading> loading, PointEnergy density, PointEnergy[] fogging) {
        this.loading = loading;
        this.density = density;
        this.fogging = fogging;
    }

    static FarEffects of(Pieces pieces, double[] corrected, double[] uncorrected, CorrectionOptions options) {
        double[] exposed = new double[pieces.units()];
        Arrays.fill(exposed, 1);
        Optional<DevelopmentLoading> loading = options.longRange().loading();
        return new FarEffects(
                loading,
                loading.map(l -> new Mean(1, BinnedExposure.of(pieces, exposed, l.rangeUm())))
                        .orElse(null),
                options.longRange()
                        .fogging()
                        .map(f -> {
                            // Percent of the direct energy, which is this share of what a plane absorbs without
                            // fogging.
                            double direct = 0;
                            for (int k = 0; k < options.psf().directTerms(); k++) {
                                direct += options.psf().terms().get(k).weight();
                            }
                            double weight = f.percent() / 100 * direct;
                            return new PointEnergy[] {
                                new Mean(weight, BinnedExposure.of(pieces, uncorrected, f.rangeUm())),
                                new Mean(weight, BinnedExposure.of(pieces, corrected, f.rangeUm()))
                            };
                        })
                        .orElse(null));
    }

    /** Where energies have fogging in them. */
    static FarEffects of(Optional<DevelopmentLoading> loading, Optional<EnergyField> density) {
        return new FarEffects(loading, density.map(FieldEnergy::new).orElse(null), null);
    }

    /** The energy with what fogging adds. */
    PointEnergy with(boolean withDoses, PointEnergy energy) {
        return fogging == null ? energy : new Superposed(1, energy, fogging[withDoses ? 1 : 0]);
    }

    /** Energy wanted at a place over the usual one. */
    double wanted(double xUm, double yUm) {
        return density == null ? 1 : loading.orElseThrow().factor(density.at(xUm, yUm));
    }

    /** Density at a place, 0 to 1; 0 if there is no loading. */
    double density(double xUm, double yUm) {
        return density == null ? 0 : density.at(xUm, yUm);
    }

    /** An energy, divided by what is wanted over the usual at each place. */
    PointEnergy overWanted(PointEnergy energy) {
        return density == null ? energy : new OverWanted(energy, this);
    }

    /** A weighted mean of what is exposed: what fogging adds, or a density. */
    private record Mean(double weight, BinnedExposure exposure) implements PointEnergy {
        @Override
        public double at(double xUm, double yUm) {
            return weight * exposure.at(xUm, yUm);
        }

        @Override
        public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
            double half = 0.5 * (toUm - fromUm);
            if (!(half > 0) || 2 * half > SHORT * exposure.rangeUm()) {
                return this;
            }
            double middle = 0.5 * (fromUm + toUm);
            double before = at(xUm + fromUm * ux, yUm + fromUm * uy);
            double here = at(xUm + middle * ux, yUm + middle * uy);
            double after = at(xUm + toUm * ux, yUm + toUm * uy);
            return (x, y) -> {
                double t = ((x - xUm) * ux + (y - yUm) * uy - middle) / half;
                return here + t * (0.5 * (after - before) + t * (0.5 * (after + before) - here));
            };
        }

        @Override
        public float[] at(PixelGrid pixels, Workers workers) {
            double[] average = exposure.at(pixels, workers);
            float[] energy = new float[average.length];
            for (int k = 0; k < energy.length; k++) {
                energy[k] = (float) (weight * average[k]);
            }
            return energy;
        }
    }

    /** An energy over what is wanted, where the usual one is 1: what develops can be compared with one threshold. */
    private record OverWanted(PointEnergy energy, FarEffects effects) implements PointEnergy {
        @Override
        public double at(double xUm, double yUm) {
            return energy.at(xUm, yUm) / effects.wanted(xUm, yUm);
        }

        @Override
        public PointEnergy onLine(double xUm, double yUm, double ux, double uy, double fromUm, double toUm) {
            return new OverWanted(energy.onLine(xUm, yUm, ux, uy, fromUm, toUm), effects);
        }

        @Override
        public PointEnergy about(double[] xUm, double[] yUm, int each, Workers workers) {
            return new OverWanted(energy.about(xUm, yUm, each, workers), effects);
        }

        @Override
        public float[] at(PixelGrid pixels, Workers workers) {
            float[] over = energy.at(pixels, workers);
            float[] rho = effects.density.at(pixels, workers);
            for (int k = 0; k < over.length; k++) {
                over[k] = (float) (over[k] / effects.loading.orElseThrow().factor(rho[k]));
            }
            return over;
        }
    }
}
