package evendose.scattering;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.psf.ProfileFit;
import java.util.List;
import java.util.Locale;

/**
 * The same stack at several beam energies.
 *
 * @param runs simulations with their fits, by rising energy
 */
public record EnergySweep(List<ScatteringFits> runs) {
    public EnergySweep {
        runs = List.copyOf(runs);
        if (runs.size() < 2) {
            throw new IllegalArgumentException("a sweep needs at least two energies");
        }
        for (int i = 1; i < runs.size(); i++) {
            if (!(energyKev(runs.get(i)) > energyKev(runs.get(i - 1)))) {
                throw new IllegalArgumentException("energies of a sweep must rise");
            }
        }
    }

    private static double energyKev(ScatteringFits run) {
        return run.result().settings().energyKev();
    }

    /** Beam energy of run {@code i}, keV. */
    public double energyKev(int i) {
        return energyKev(runs.get(i));
    }

    /** Backscatter range of run {@code i}, um, from the double Gaussian. */
    public Estimate betaUm(int i) {
        return estimate(i, "beta_um");
    }

    private Estimate estimate(int i, String name) {
        ProfileFit.Parameter p = runs.get(i).doubleGaussian().parameter(name);
        return new Estimate(p.value(), p.standardError());
    }

    /** The lowest material of the stack, whose ranges are given for comparison. */
    public Material substrate() {
        List<LayerStack.Layer> layers = runs.get(0).result().stack().layers();
        return layers.get(layers.size() - 1).material();
    }

    /**
     * Exponent p of beta = c E^p by least squares of ln beta on ln E, with the error that follows from those of the ranges
     * (the deviation from a power law is not in it).
     */
    public Estimate exponent() {
        double mean = 0;
        for (int i = 0; i < runs.size(); i++) {
            mean += Math.log(energyKev(i)) / runs.size();
        }
        double squares = 0;
        double slope = 0;
        double variance = 0;
        for (int i = 0; i < runs.size(); i++) {
            double d = Math.log(energyKev(i)) - mean;
            Estimate beta = betaUm(i);
            squares += d * d;
            slope += d * Math.log(beta.value());
            double relative = beta.standardError() / beta.value();
            variance += d * d * relative * relative;
        }
        return new Estimate(slope / squares, Math.sqrt(variance) / squares);
    }

    /** The text of {@code sweep.csv}. */
    public String toCsv() {
        StringBuilder text =
                new StringBuilder("energy_kev,alpha_um,alpha_um_standard_error,beta_um,beta_um_standard_error,"
                        + "eta,eta_standard_error,eta_energy_ratio,eta_energy_ratio_standard_error,backscattered_fraction,"
                        + "backscattered_fraction_standard_error,kanaya_okayama_range_um,csda_range_um\n");
        for (int i = 0; i < runs.size(); i++) {
            ScatteringResult result = runs.get(i).result();
            List<Estimate> estimates = List.of(
                    estimate(i, "alpha_um"),
                    betaUm(i),
                    estimate(i, "eta"),
                    result.energyRatio(),
                    result.backscatteredFraction());
            text.append(String.format(Locale.ROOT, "%.7g", energyKev(i)));
            for (Estimate e : estimates) {
                text.append(String.format(Locale.ROOT, ",%.7g,%.3g", e.value(), e.standardError()));
            }
            text.append(String.format(
                    Locale.ROOT,
                    ",%.7g,%.7g%n",
                    StoppingPower.kanayaOkayamaRangeUm(substrate(), energyKev(i)),
                    StoppingPower.rangeUm(substrate(), energyKev(i))));
        }
        return text.toString().replace("\r\n", "\n");
    }

    /** The text of {@code summary.json} of a sweep. */
    public String summaryJson(String version) {
        ObjectNode root = ScatteringFits.object();
        root.put("program", "evendose").put("version", version);
        root.put("stack", runs.get(0).result().stack().describe());
        root.put("range_material", substrate().name());
        ScatteringFits.put(root, "beta_exponent", exponent());
        ArrayNode energies = root.putArray("energies");
        for (int i = 0; i < runs.size(); i++) {
            ScatteringResult result = runs.get(i).result();
            ObjectNode node = energies.addObject();
            node.put("energy_kev", energyKev(i)).put("electrons", result.electrons());
            for (String name : List.of("alpha_um", "beta_um", "eta")) {
                ScatteringFits.put(node, name, estimate(i, name));
            }
            ScatteringFits.put(node, "eta_energy_ratio", result.energyRatio());
            ScatteringFits.put(node, "backscattered_fraction", result.backscatteredFraction());
            node.put("kanaya_okayama_range_um", StoppingPower.kanayaOkayamaRangeUm(substrate(), energyKev(i)));
            node.put("csda_range_um", StoppingPower.rangeUm(substrate(), energyKev(i)));
        }
        root.put("note", "Simulated values never replace a dose test on your own tool and process.");
        return ScatteringFits.text(root);
    }
}
