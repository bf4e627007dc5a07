package evendose.scattering;

import evendose.files.ColumnTable;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;

/**
 * Several simulations side by side: stacks, thicknesses of the resist and energies of the beam.
 *
 * @param runs the simulations, in the order in which they are to be shown
 */
public record ScatteringStudy(List<Run> runs) {
    /**
     * One simulation.
     *
     * @param name name of its stack
     * @param fits what it found
     */
    public record Run(String name, ScatteringFits fits) {
        /** {@return thickness of the resist, nm; infinite if it is the half-space itself} */
        public double resistNm() {
            LayerStack stack = fits.result().stack();
            return stack.layers().get(stack.resistIndex()).thicknessNm();
        }

        /** {@return beam energy, keV} */
        public double energyKev() {
            return fits.result().settings().energyKev();
        }

        /** The lowest material of the stack, whose ranges are given for comparison. */
        Material substrate() {
            List<LayerStack.Layer> layers = fits.result().stack().layers();
            return layers.get(layers.size() - 1).material();
        }
    }

    /** A number of a run that is plotted. */
    public enum Quantity {
        /** Backscatter range of the double Gaussian, um. */
        BETA("backscatter range beta (um)", true, f -> f.doubleGaussian().estimate("beta_um")),
        /** Far over nearer energy of the double Gaussian. */
        ETA("eta", false, f -> f.doubleGaussian().estimate("eta")),
        /** Energy beyond the far radius over the forward one. */
        FAR_RATIO(
                "energy beyond the far radius / forward", false, f -> f.result().farRatio()),
        /** Electrons of the beam that leave through the surface. */
        BACKSCATTERED("backscattered fraction", false, f -> f.result().backscatteredFraction());

        private final String label;
        private final boolean logarithmic;
        private final Function<ScatteringFits, Estimate> value;

        Quantity(String label, boolean logarithmic, Function<ScatteringFits, Estimate> value) {
            this.label = label;
            this.logarithmic = logarithmic;
            this.value = value;
        }

        /** {@return name for an axis} */
        public String label() {
            return label;
        }

        /** {@return whether it spans orders of magnitude} */
        public boolean logarithmic() {
            return logarithmic;
        }

        /**
         * {@return the number that a simulation found; NaN if its form has no meaning there}
         *
         * @param fits forms fitted to the simulation
         */
        public Estimate of(ScatteringFits fits) {
            return value.apply(fits);
        }
    }

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public ScatteringStudy {
        runs = List.copyOf(runs);
        if (runs.isEmpty()) {
            throw new IllegalArgumentException("a study needs at least one run");
        }
    }

    /**
     * {@return exponent p of beta = c E^p by least squares of ln beta on ln E over the runs of one stack and thickness, with the
     * error that follows from those of the ranges (the deviation from a power law is not in it); empty unless at least two of them have a
     * range}
     *
     * @param runs simulations at several energies
     */
    public static Optional<Estimate> exponent(List<Run> runs) {
        List<Run> sound = runs.stream()
                .filter(r -> Double.isFinite(Quantity.BETA.of(r.fits()).value()))
                .toList();
        double mean = sound.stream()
                .mapToDouble(r -> Math.log(r.energyKev()))
                .average()
                .orElse(0);
        double squares = 0;
        double slope = 0;
        double variance = 0;
        for (Run run : sound) {
            double d = Math.log(run.energyKev()) - mean;
            Estimate beta = Quantity.BETA.of(run.fits());
            squares += d * d;
            slope += d * Math.log(beta.value());
            double relative = beta.standardError() / beta.value();
            variance += d * d * relative * relative;
        }
        return squares > 0
                ? Optional.of(new Estimate(slope / squares, Math.sqrt(variance) / squares))
                : Optional.empty();
    }

    /** {@return the runs that differ in nothing but their energies, by what they share} */
    public Map<String, List<Run>> byEnergy() {
        return grouped(r -> r.fits().result().stack().describe());
    }

    /** {@return the runs that differ in nothing but the thickness of the resist, by what they share} */
    public Map<String, List<Run>> byThickness() {
        return grouped(r -> r.name() + ", " + number(r.energyKev()) + " keV");
    }

    /** {@return the runs that differ in nothing but the stack, by what they share} */
    public Map<String, List<Run>> byStack() {
        return grouped(r -> number(r.energyKev()) + " keV, " + number(r.resistNm()) + " nm of resist");
    }

    private Map<String, List<Run>> grouped(Function<Run, String> key) {
        Map<String, List<Run>> groups = new LinkedHashMap<>();
        for (Run run : runs) {
            groups.computeIfAbsent(key.apply(run), k -> new ArrayList<>()).add(run);
        }
        return groups;
    }

    private static String number(double value) {
        return value == Math.rint(value) ? String.format(Locale.ROOT, "%.0f", value) : Double.toString(value);
    }

    /**
     * {@return the study as a table: a row a run} Numbers of a form without meaning are left empty, and {@code notes} says why.
     */
    public ColumnTable table() {
        ColumnTable table = new ColumnTable();
        for (Run run : runs) {
            ScatteringFits fits = run.fits();
            ScatteringResult result = fits.result();
            ScatteringSettings settings = result.settings();
            table.row()
                    .put("name", run.name())
                    .put("stack", result.stack().describe())
                    .put("resist_nm", run.resistNm())
                    .put("energy_kev", run.energyKev())
                    .put("electrons", result.electrons())
                    .put("seed", settings.seed())
                    .put("beam_fwhm_nm", settings.beamFwhmNm())
                    .put("beam_tilt_deg", settings.tiltDeg())
                    .put("fast_secondaries", settings.fastSecondaries());
            put(table, "alpha_um", fits.doubleGaussian().estimate("alpha_um"));
            put(table, "beta_um", fits.doubleGaussian().estimate("beta_um"));
            put(table, "eta", fits.doubleGaussian().estimate("eta"));
            put(table, "beta_rings_um", fits.rings("beta_rings_um"));
            put(table, "eta_rings", fits.rings("eta_rings"));
            put(table, "eta_energy_ratio", result.energyRatio());
            table.put("far_radius_um", settings.farRadiusUm());
            put(table, "energy_beyond_far_radius_over_forward", result.farRatio());
            put(table, "energy_share_beyond_far_radius", result.farShare());
            put(table, "backscattered_fraction", result.backscatteredFraction());
            put(table, "transmitted_fraction", result.transmittedFraction());
            put(table, "mean_backscattered_kev", result.meanBackscatteredKev());
            table.put("range_material", run.substrate().name())
                    .put(
                            "kanaya_okayama_range_um",
                            StoppingPower.kanayaOkayamaRangeUm(run.substrate(), run.energyKev()))
                    .put("csda_range_um", StoppingPower.rangeUm(run.substrate(), run.energyKev()))
                    .put("notes", String.join("; ", fits.notes()));
        }
        return table;
    }

    private static void put(ColumnTable table, String name, Estimate estimate) {
        table.put(name, estimate.value()).put(name + "_standard_error", estimate.standardError());
    }
}
