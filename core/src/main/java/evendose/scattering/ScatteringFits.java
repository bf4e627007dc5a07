package evendose.scattering;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.psf.GaussianBeam;
import evendose.psf.PointSpreadFunction;
import evendose.psf.ProfileFit;
import evendose.psf.ProfileFits;
import evendose.psf.PsfFile;
import evendose.psf.RadialProfile;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;

/**
 * A simulation with the point spread functions fitted to it, and its texts.
 *
 * @param result the simulation
 * @param doubleGaussian the usual three numbers
 * @param tripleGaussian with a third term between
 * @param plusExponential with an exponential instead
 * @param ladder the sum of Gaussians that follows the whole profile; what a correction should use
 */
public record ScatteringFits(
        ScatteringResult result,
        ProfileFit doubleGaussian,
        ProfileFit tripleGaussian,
        ProfileFit plusExponential,
        ProfileFit ladder) {
    private static final JsonMapper MAPPER = new JsonMapper();

    /**
     * Fits all forms.
     *
     * @throws IllegalArgumentException if too few electrons were followed to fit their profile
     */
    public static ScatteringFits of(ScatteringResult result) {
        RadialProfile profile = result.profile();
        double beamUm = GaussianBeam.rangeUm(result.settings().beamFwhmNm());
        return new ScatteringFits(
                result,
                ProfileFits.doubleGaussian(profile),
                ProfileFits.tripleGaussian(profile),
                ProfileFits.doubleGaussianPlusExponential(profile),
                beamUm > 0 ? ProfileFits.ladder(profile, beamUm) : ProfileFits.ladder(profile));
    }

    /** The fits by rising number of parameters. */
    public List<ProfileFit> all() {
        return List.of(doubleGaussian, tripleGaussian, plusExponential, ladder);
    }

    /** The ladder as the content of a PSF file. */
    public PsfFile ladderFile() {
        return file(ladder);
    }

    /** The double Gaussian as the content of a PSF file. */
    public PsfFile doubleGaussianFile() {
        return file(doubleGaussian);
    }

    private PsfFile file(ProfileFit fit) {
        PointSpreadFunction psf =
                fit.psf().orElseThrow(() -> new IllegalStateException(fit.form() + " is no sum of Gaussians"));
        ScatteringSettings settings = result.settings();
        return PsfFile.of(
                psf,
                OptionalDouble.of(settings.energyKev()),
                result.stack().describe(),
                String.format(
                        Locale.ROOT,
                        "simulated: %s fitted to %d electrons, beam %s nm, seed %d; calibrate on your own tool",
                        fit.form(),
                        result.electrons(),
                        number(settings.beamFwhmNm()),
                        settings.seed()));
    }

    private static String number(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }

    /**
     * The text of {@code profile.csv}: a row a ring, densities per um^2 normalised to the energy in the resist.
     * {@code radius_um} and {@code density_per_um2} make it a measured profile to {@link RadialProfile#read}.
     */
    public String profileCsv() {
        RadialProfile all = result.profile();
        double total = all.total();
        StringBuilder text = new StringBuilder("radius_um,density_per_um2,standard_error_per_um2,forward_per_um2,"
                + "returning_per_um2,inner_radius_um,outer_radius_um,energy_share");
        for (ProfileFit fit : all()) {
            text.append(',').append(column(fit)).append("_per_um2");
        }
        text.append('\n');
        for (int i = 0; i < all.size(); i++) {
            double scale = 1 / (total * all.areaUm2(i));
            append(text, all.radiusUm(i));
            append(text, all.energy(i) * scale);
            append(text, all.standardError(i) * scale);
            append(text, result.forward().energy(i) * scale);
            append(text, result.returning().energy(i) * scale);
            append(text, all.edgeUm(i));
            append(text, all.edgeUm(i + 1));
            append(text, all.energy(i) / total);
            for (ProfileFit fit : all()) {
                double share =
                        fit.model().shareBeyond(all.edgeUm(i)) - fit.model().shareBeyond(all.edgeUm(i + 1));
                append(text, share / all.areaUm2(i));
            }
            text.setCharAt(text.length() - 1, '\n');
        }
        return text.toString();
    }

    private static void append(StringBuilder text, double value) {
        text.append(String.format(Locale.ROOT, "%.7g", value)).append(',');
    }

    private static String column(ProfileFit fit) {
        return fit.form().toLowerCase(Locale.ROOT).replaceAll("[^a-z]+", "_");
    }

    /**
     * The text of {@code summary.json}.
     *
     * @param version version of the program
     */
    public String summaryJson(String version) {
        ScatteringSettings settings = result.settings();
        ObjectNode root = MAPPER.createObjectNode();
        root.put("program", "evendose").put("version", version);
        root.put("stack", result.stack().describe());
        root.put("energy_kev", settings.energyKev());
        root.put("electrons", result.electrons());
        root.put("beam_fwhm_nm", settings.beamFwhmNm());
        root.put("seed", settings.seed());
        root.put("fast_secondaries", settings.fastSecondaries());
        root.put("fast_secondary_least_kev", settings.hardCutoffKev());
        root.put("cutoff_kev", settings.cutoffKev());
        put(root, "backscattered_fraction", result.backscatteredFraction());
        put(root, "transmitted_fraction", result.transmittedFraction());
        put(root, "fast_secondary_fraction", result.fastSecondaryFraction());
        put(root, "mean_backscattered_kev", result.meanBackscatteredKev());
        put(root, "mean_transmitted_kev", result.meanTransmittedKev());
        for (String name : List.of("alpha_um", "beta_um", "eta")) {
            ProfileFit.Parameter p = doubleGaussian.parameter(name);
            put(root, name, new Estimate(p.value(), p.standardError()));
        }
        put(root, "eta_energy_ratio", result.energyRatio());
        root.put("energy_in_resist_kev", result.profile().total() + result.beyondKev());
        ObjectNode balance = root.putObject("energy_balance_kev");
        ArrayNode layers = balance.putArray("layers");
        for (int i = 0; i < result.layerKev().size(); i++) {
            ObjectNode layer = layers.addObject();
            layer.put("material", result.stack().layers().get(i).material().name());
            put(layer, "energy_kev", result.layerKev().get(i));
        }
        put(balance, "escaped_up", result.escapedUpKev());
        put(balance, "escaped_down", result.escapedDownKev());
        put(balance, "left_at_rest", result.restKev());
        balance.put("imbalance", result.energyImbalance());
        ArrayNode slices = root.putArray("energy_by_depth");
        for (int i = 0; i < result.slices().size(); i++) {
            ObjectNode slice = slices.addObject();
            slice.put(
                    "to_depth_um", result.depthUm() * (i + 1) / result.slices().size());
            put(slice, "energy_kev", result.slices().get(i));
            slice.put(
                    "radius_holding_half_um",
                    result.sliceProfiles().get(i).total() > 0
                            ? result.sliceProfiles().get(i).radiusHoldingUm(0.5)
                            : null);
        }
        ArrayNode fits = root.putArray("fits");
        for (ProfileFit fit : all()) {
            ObjectNode node = fits.addObject();
            node.put("form", fit.form());
            for (ProfileFit.Parameter p : fit.parameters()) {
                put(node, p.name(), new Estimate(p.value(), p.standardError()));
            }
            ArrayNode misfits = node.putArray("misfit_by_range");
            for (ProfileFit.Misfit m : fit.misfits()) {
                misfits.addObject()
                        .put("from_um", m.fromUm())
                        .put("to_um", m.toUm())
                        .put("energy_share", m.energyShare())
                        .put("fitted_share", m.modelShare())
                        .put("rms_log10", m.rmsLog10());
            }
        }
        root.put("elastic_collisions", result.elasticCollisions());
        root.put("hard_collisions", result.hardCollisions());
        root.put("note", "Simulated values never replace a dose test on your own tool and process.");
        return text(root);
    }

    /** Leaves a number out that there is not, for instance the mean energy of no electrons. */
    static void put(ObjectNode node, String name, Estimate estimate) {
        if (Double.isFinite(estimate.value())) {
            node.put(name, estimate.value());
            if (Double.isFinite(estimate.standardError())) {
                node.put(name + "_standard_error", estimate.standardError());
            }
        } else {
            node.putNull(name);
        }
    }

    static String text(ObjectNode root) {
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    static ObjectNode object() {
        return MAPPER.createObjectNode();
    }
}
