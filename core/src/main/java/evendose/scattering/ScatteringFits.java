package evendose.scattering;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.ColumnTable;
import evendose.psf.GaussianBeam;
import evendose.psf.PointSpreadFunction;
import evendose.psf.ProfileFit;
import evendose.psf.ProfileFits;
import evendose.psf.ProfileTable;
import evendose.psf.PsfFile;
import evendose.psf.RadialProfile;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * A simulation with the point spread functions fitted to it, and its texts.
 *
 * @param result the simulation
 * @param doubleGaussian the usual three numbers
 * @param tripleGaussian with a third term between
 * @param plusExponential with an exponential instead
 * @param ladder the sum of Gaussians that follows the whole profile; what a correction should use
 * @param ringRange range and ratio as rings of a dose test would show them, if the far part has them
 */
public record ScatteringFits(
        ScatteringResult result,
        FormFit doubleGaussian,
        FormFit tripleGaussian,
        FormFit plusExponential,
        FormFit ladder,
        List<ProfileFit.Parameter> ringRange) {
    private static final JsonMapper MAPPER = new JsonMapper();

    /** Above this relative error of the returning energy the errors that are stated are rough themselves. */
    private static final double FEW = 0.04;

    /** Relative error to aim for. */
    private static final double ENOUGH = 0.02;

    /**
     * Fits all forms; one that cannot be fitted is left out and says why.
     *
     * @param result what the simulation found
     * @return the fits
     */
    public static ScatteringFits of(ScatteringResult result) {
        double beamUm = GaussianBeam.rangeUm(result.settings().beamFwhmNm());
        FormFit two = FormFit.of("double Gaussian", result, r -> ProfileFits.doubleGaussian(r.profile()));
        return new ScatteringFits(
                result,
                two,
                FormFit.of("triple Gaussian", result, r -> ProfileFits.tripleGaussian(r.profile())),
                FormFit.of(
                        "double Gaussian + exponential",
                        result,
                        r -> ProfileFits.doubleGaussianPlusExponential(r.profile())),
                FormFit.of(
                        "Gaussian ladder",
                        result,
                        r -> beamUm > 0 ? ProfileFits.ladder(r.profile(), beamUm) : ProfileFits.ladder(r.profile())),
                two.sound().isPresent() ? rings(result) : List.of());
    }

    private static List<ProfileFit.Parameter> rings(ScatteringResult result) {
        try {
            return ProfileFits.rings(result.profile());
        } catch (IllegalArgumentException e) {
            // Too few electrons in the tail: a number that is not there says so itself.
            return List.of();
        }
    }

    /** {@return all forms by rising number of parameters} */
    public List<FormFit> forms() {
        return List.of(doubleGaussian, tripleGaussian, plusExponential, ladder);
    }

    /**
     * {@return range or ratio as rings would show it: {@code beta_rings_um}, {@code eta_rings}}
     *
     * @param name which of them
     */
    public Estimate rings(String name) {
        return ringRange.stream()
                .filter(p -> p.name().equals(name))
                .map(p -> new Estimate(p.value(), p.standardError()))
                .findFirst()
                .orElse(Estimate.NONE);
    }

    /** {@return what a reader of the numbers must know: missing or doubtful forms, too few electrons, a tilted beam} */
    public List<String> notes() {
        List<String> notes = new ArrayList<>();
        Map<String, List<String>> doubts = new LinkedHashMap<>();
        for (FormFit form : forms()) {
            if (!form.doubt().isEmpty()) {
                doubts.computeIfAbsent(form.doubt(), d -> new ArrayList<>()).add(form.form());
            }
        }
        doubts.forEach((doubt, names) -> notes.add(String.join(", ", names) + ": " + doubt));
        Estimate returning = result.energyRatio();
        double error = returning.standardError() / returning.value();
        double wanted = result.settings().relativeError();
        if (wanted > 0 && error > wanted) {
            notes.add(String.format(
                    Locale.ROOT,
                    "the returning energy is known to %.2g of itself, not to the %s asked for; about %,d electrons would do",
                    error,
                    number(wanted),
                    electronsFor(error, wanted)));
        } else if (error > FEW) {
            notes.add(String.format(
                    Locale.ROOT,
                    "few electrons: the returning energy is known to %.0f %% only, and the errors stated are rough; about %,d"
                            + " electrons would give %.0f %%",
                    100 * error,
                    electronsFor(error, ENOUGH),
                    100 * ENOUGH));
        }
        if (result.settings().tiltDeg() > 0) {
            notes.add(
                    "tilted beam: radii are taken around the point of entry and averaged over all directions, and a point"
                            + " spread function of radius alone leaves out which way the beam leans");
        }
        return notes;
    }

    private long electronsFor(double error, double wanted) {
        double exact = result.electrons() * Math.pow(error / wanted, 2);
        double unit = Math.pow(10, Math.floor(Math.log10(exact)));
        return (long) (Math.ceil(exact / unit) * unit);
    }

    /**
     * {@return a form as the content of a PSF file, if it is a sum of Gaussians and without doubt}
     *
     * @param form one of these forms
     */
    public Optional<PsfFile> file(FormFit form) {
        return form.sound().flatMap(fit -> fit.psf().map(psf -> file(fit, psf)));
    }

    /**
     * {@return the profile itself: its long part as a table, its short part as the ladder's Gaussians} Empty if the ladder has no
     * meaning, or no long or no short part.
     */
    public Optional<PsfFile> tableFile() {
        return ladder.sound()
                .flatMap(fit -> fit.psf().flatMap(psf -> {
                    try {
                        return Optional.of(file(fit, ProfileTable.of(result.profile(), psf)));
                    } catch (IllegalArgumentException e) {
                        return Optional.empty();
                    }
                }));
    }

    private PsfFile file(ProfileFit fit, PointSpreadFunction psf) {
        ScatteringSettings settings = result.settings();
        return PsfFile.of(
                psf,
                OptionalDouble.of(settings.energyKev()),
                result.stack().describe(),
                String.format(
                        Locale.ROOT,
                        "simulated: %s fitted to %d electrons, beam %s nm, tilt %s degrees, fast secondaries %s, seed %d;"
                                + " calibrate on your own tool",
                        psf.table().isPresent() ? "table of the profile, its short part a " + fit.form() : fit.form(),
                        result.electrons(),
                        number(settings.beamFwhmNm()),
                        number(settings.tiltDeg()),
                        settings.fastSecondaries() ? "followed" : "not followed",
                        settings.seed()));
    }

    private static String number(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }

    /**
     * {@return the profile: a row a ring, densities per um^2 normalised to the energy in the resist} {@code radius_um} and
     * {@code density_per_um2} make it a measured profile to {@link evendose.psf.MeasuredProfile#read}.
     */
    public ColumnTable profileTable() {
        RadialProfile all = result.profile();
        double total = all.total();
        ColumnTable table = new ColumnTable();
        for (int i = 0; i < all.size(); i++) {
            double scale = 1 / (total * all.areaUm2(i));
            table.row()
                    .put("radius_um", all.radiusUm(i))
                    .put("density_per_um2", all.energy(i) * scale)
                    .put("standard_error_per_um2", all.standardError(i) * scale)
                    .put("forward_per_um2", result.forward().energy(i) * scale)
                    .put("returning_per_um2", result.returning().energy(i) * scale)
                    .put("inner_radius_um", all.edgeUm(i))
                    .put("outer_radius_um", all.edgeUm(i + 1))
                    .put("energy_share", all.energy(i) / total);
            for (FormFit form : forms()) {
                if (form.fit().isPresent()) {
                    ProfileFit fit = form.fit().get();
                    double share =
                            fit.model().shareBeyond(all.edgeUm(i)) - fit.model().shareBeyond(all.edgeUm(i + 1));
                    table.put(column(fit) + "_per_um2", share / all.areaUm2(i));
                }
            }
        }
        return table;
    }

    /**
     * {@return profiles of the slices of the resist: a row a slice and ring, densities per um^2 normalised to the energy in that slice}
     */
    public ColumnTable depthTable() {
        ColumnTable table = new ColumnTable();
        int slices = result.sliceProfiles().size();
        for (int d = 0; d < slices; d++) {
            RadialProfile slice = result.sliceProfiles().get(d);
            double total = slice.total();
            for (int i = 0; i < slice.size(); i++) {
                double scale = 1 / (total * slice.areaUm2(i));
                table.row()
                        .put("slice", d + 1)
                        .put("from_depth_um", result.depthUm() * d / slices)
                        .put("to_depth_um", result.depthUm() * (d + 1) / slices)
                        .put("radius_um", slice.radiusUm(i))
                        .put("density_per_um2", slice.energy(i) * scale)
                        .put("standard_error_per_um2", slice.standardError(i) * scale)
                        .put("inner_radius_um", slice.edgeUm(i))
                        .put("outer_radius_um", slice.edgeUm(i + 1))
                        .put("energy_share", slice.energy(i) / total);
            }
        }
        return table;
    }

    /** {@return electrons that leave through the surface, per electron of the beam: a row a bin of the energy or of the angle} */
    public ColumnTable leavingTable() {
        LeavingElectrons leaving = result.leaving();
        ColumnTable table = new ColumnTable();
        for (int i = 0; i < leaving.primariesByEnergy().size(); i++) {
            bin(
                    table,
                    "energy_kev",
                    leaving.energyKev(i),
                    leaving.energyKev(i + 1),
                    leaving.primariesByEnergy().get(i),
                    leaving.secondariesByEnergy().get(i));
        }
        for (int i = 0; i < leaving.primariesByAngle().size(); i++) {
            bin(
                    table,
                    "angle_deg",
                    leaving.angleDeg(i),
                    leaving.angleDeg(i + 1),
                    leaving.primariesByAngle().get(i),
                    leaving.secondariesByAngle().get(i));
        }
        return table;
    }

    private static void bin(
            ColumnTable table, String quantity, double from, double to, Estimate primaries, Estimate secondaries) {
        table.row()
                .put("quantity", quantity)
                .put("from", from)
                .put("to", to)
                .put("beam_electrons", primaries.value())
                .put("beam_electrons_standard_error", primaries.standardError())
                .put("fast_secondaries", secondaries.value())
                .put("fast_secondaries_standard_error", secondaries.standardError());
    }

    private static String column(ProfileFit fit) {
        return fit.form().toLowerCase(Locale.ROOT).replaceAll("[^a-z]+", "_");
    }

    /**
     * {@return the text of {@code summary.json}}
     *
     * @param version version of the program
     */
    public String summaryJson(String version) {
        ScatteringSettings settings = result.settings();
        ObjectNode root = MAPPER.createObjectNode();
        root.put("program", "evendose").put("version", version);
        putRun(root);
        put(root, "backscattered_fraction", result.backscatteredFraction());
        put(root, "transmitted_fraction", result.transmittedFraction());
        put(root, "fast_secondary_fraction", result.fastSecondaryFraction());
        put(root, "mean_backscattered_kev", result.meanBackscatteredKev());
        put(root, "mean_transmitted_kev", result.meanTransmittedKev());
        for (String name : List.of("alpha_um", "beta_um", "eta")) {
            put(root, name, doubleGaussian.estimate(name));
        }
        put(root, "beta_rings_um", rings("beta_rings_um"));
        put(root, "eta_rings", rings("eta_rings"));
        put(root, "eta_energy_ratio", result.energyRatio());
        root.put("far_radius_um", settings.farRadiusUm());
        put(root, "energy_beyond_far_radius_over_forward", result.farRatio());
        put(root, "energy_share_beyond_far_radius", result.farShare());
        root.put("energy_in_resist_kev", result.profile().total() + result.beyondKev());
        putBalance(root.putObject("energy_balance_kev"));
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
        for (FormFit form : forms()) {
            ObjectNode node = fits.addObject();
            node.put("form", form.form());
            if (!form.doubt().isEmpty()) {
                node.put("doubt", form.doubt());
            }
            form.fit().ifPresent(fit -> putFit(node, fit));
        }
        root.put("elastic_collisions", result.elasticCollisions());
        root.put("hard_collisions", result.hardCollisions());
        ArrayNode notes = root.putArray("notes");
        notes().forEach(notes::add);
        notes.add("Simulated values never replace a dose test on your own tool and process.");
        return text(root);
    }

    /** What it takes to repeat the run. */
    private void putRun(ObjectNode root) {
        ScatteringSettings settings = result.settings();
        root.put("stack", result.stack().describe());
        ArrayNode layers = root.putArray("layers");
        for (LayerStack.Layer layer : result.stack().layers()) {
            ObjectNode node = layers.addObject();
            Material material = layer.material();
            node.putObject("material")
                    .put("name", material.name())
                    .put("formula", material.formula())
                    .put("density_g_per_cm3", material.densityGPerCm3())
                    .put("mean_excitation_ev", material.meanExcitationEv());
            if (Double.isFinite(layer.thicknessNm())) {
                node.put("thickness_nm", layer.thicknessNm());
            }
            if (layer.resist()) {
                node.put("resist", true);
            }
        }
        root.put("energy_kev", settings.energyKev());
        root.put("electrons", result.electrons());
        root.put("beam_fwhm_nm", settings.beamFwhmNm());
        root.put("beam_tilt_deg", settings.tiltDeg());
        root.put("seed", settings.seed());
        root.put("fast_secondaries", settings.fastSecondaries());
        root.put("fast_secondary_least_kev", settings.hardCutoffKev());
        root.put("cutoff_kev", settings.cutoffKev());
        root.put("relative_error_asked_for", settings.relativeError());
        root.put("depth_slices", settings.depthSlices());
    }

    /** Where the energy of an electron went: the entries sum to that of the beam. */
    private void putBalance(ObjectNode balance) {
        ArrayNode layers = balance.putArray("layers");
        for (int i = 0; i < result.layerKev().size(); i++) {
            ObjectNode layer = layers.addObject();
            layer.put("material", result.stack().layers().get(i).material().name());
            put(layer, "left_kev", result.layerKev().get(i));
        }
        put(balance, "out_through_surface_beam_electrons", result.upPrimaryKev());
        put(balance, "out_through_surface_fast_secondaries", result.upSecondaryKev());
        put(balance, "out_below_beam_electrons", result.downPrimaryKev());
        put(balance, "out_below_fast_secondaries", result.downSecondaryKev());
        balance.put("sum", result.foundKev());
        balance.put("beam", result.settings().energyKev());
        balance.put("sum_over_beam_less_1", result.energyImbalance());
    }

    private static void putFit(ObjectNode node, ProfileFit fit) {
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

    /** Leaves a number out that there is not, for instance the mean energy of no electrons. */
    private static void put(ObjectNode node, String name, Estimate estimate) {
        if (Double.isFinite(estimate.value())) {
            node.put(name, estimate.value());
            if (Double.isFinite(estimate.standardError())) {
                node.put(name + "_standard_error", estimate.standardError());
            }
        } else {
            node.putNull(name);
        }
    }

    private static String text(ObjectNode root) {
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }
}
