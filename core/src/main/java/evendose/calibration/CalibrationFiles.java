package evendose.calibration;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.BadInputException;
import evendose.psf.GaussianTerm;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.Locale;
import java.util.OptionalDouble;

/** A calibration as texts for scripts and for the next step. */
public final class CalibrationFiles {
    private static final JsonMapper MAPPER = new JsonMapper();

    private CalibrationFiles() {}

    /**
     * Where the fitted data come from.
     *
     * @param file name of the table as the user gave it
     * @param sha256 digest of its bytes, so that it can be told from a later version
     * @param version version of the program
     * @param energyKev beam energy, keV, if the user said
     * @param stack resist and substrate, as the user said; may be empty
     */
    public record Provenance(String file, String sha256, String version, OptionalDouble energyKev, String stack) {
        /**
         * Takes the digest of {@code file}.
         *
         * @param file the table of measurements
         * @param version version of the program, to be noted
         * @param energyKev beam energy, keV, if known
         * @param stack what was written on, in words; may be empty
         * @return what the files tell of it
         * @throws BadInputException if it cannot be read
         */
        public static Provenance of(Path file, String version, OptionalDouble energyKev, String stack) {
            try {
                byte[] digest = MessageDigest.getInstance("SHA-256").digest(Files.readAllBytes(file));
                return new Provenance(file.toString(), HexFormat.of().formatHex(digest), version, energyKev, stack);
            } catch (IOException e) {
                throw BadInputException.unreadable(file, e);
            } catch (NoSuchAlgorithmException e) {
                throw new IllegalStateException("every Java has SHA-256", e);
            }
        }
    }

    /**
     * {@return the text of {@code psf.json}: a point spread function that other commands take, with its origin}
     *
     * @param calibration what was fitted
     * @param provenance where the measurements come from
     */
    public static String psfJson(Calibration calibration, Provenance provenance) {
        ObjectNode root = MAPPER.createObjectNode();
        ArrayNode terms = root.putArray("terms");
        for (GaussianTerm term : calibration.psf().terms()) {
            terms.addObject().put("weight", term.weight()).put("range_um", term.rangeUm());
        }
        provenance.energyKev().ifPresent(e -> root.put("energy_kev", e));
        if (!provenance.stack().isEmpty()) {
            root.put("stack", provenance.stack());
        }
        StringBuilder source =
                new StringBuilder("fit of " + calibration.residuals().size() + " measurements in "
                        + Path.of(provenance.file()).getFileName());
        for (FittedParameter p : calibration.parameters()) {
            source.append(String.format(Locale.ROOT, "; %s %.4g", p.name(), p.value()));
            source.append(p.fitted() ? String.format(Locale.ROOT, " +- %.2g", p.standardError()) : " (given)");
            source.append(p.unit().isEmpty() ? "" : " " + p.unit());
        }
        root.put("source", source.toString());
        describe(root.putObject("calibration"), calibration, provenance);
        return text(root);
    }

    /**
     * {@return the text of {@code fit.json}: parameters, correlations, covariance, residuals}
     *
     * @param calibration what was fitted
     * @param provenance where the measurements come from
     */
    public static String fitJson(Calibration calibration, Provenance provenance) {
        ObjectNode root = MAPPER.createObjectNode();
        describe(root, calibration, provenance);
        ArrayNode names = root.putArray("correlated");
        calibration.parameters().stream().filter(FittedParameter::fitted).forEach(p -> names.add(p.name()));
        matrix(root.putArray("correlation"), calibration.covariance().correlation());
        covariance(root.putObject("covariance"), calibration.covariance());
        ArrayNode cautions = root.putArray("cautions");
        calibration.cautions().forEach(cautions::add);
        ArrayNode residuals = root.putArray("residuals");
        for (FitResidual r : calibration.residuals()) {
            Measurement m = r.measurement();
            ObjectNode node = residuals.addObject();
            node.put("line", m.line()).put("figure", m.label()).put("measured", m.value());
            if (!m.exact()) {
                node.put("last_uncleared", m.low());
                if (Double.isFinite(m.high())) {
                    node.put("first_cleared", m.high());
                }
            }
            node.put("predicted", r.predicted())
                    .put("standardised", r.standardised())
                    .put("outlier", r.outlier());
        }
        return text(root);
    }

    private static void covariance(ObjectNode node, ParameterCovariance covariance) {
        node.put("of", "natural logarithms of the parameters; the width offset itself, nm");
        ArrayNode names = node.putArray("parameters");
        covariance.names().forEach(names::add);
        matrix(node.putArray("matrix"), covariance.matrix());
        ArrayNode parts = node.putArray("from_scatter");
        for (ParameterCovariance.Part part : covariance.parts()) {
            ObjectNode of = parts.addObject();
            of.put("of", part.kind() == Measurement.Kind.WIDTH ? "widths" : "clearing doses");
            of.put("degrees_of_freedom", part.freedom());
            matrix(of.putArray("matrix"), part.matrix());
        }
    }

    private static void matrix(ArrayNode node, double[][] rows) {
        for (double[] row : rows) {
            ArrayNode values = node.addArray();
            for (double v : row) {
                values.add(v);
            }
        }
    }

    private static void describe(ObjectNode node, Calibration calibration, Provenance provenance) {
        node.put("program", "evendose").put("version", provenance.version());
        node.put("data", provenance.file()).put("data_sha256", provenance.sha256());
        node.put("measurements", calibration.residuals().size());
        node.put("chi_square", calibration.chiSquare()).put("degrees_of_freedom", calibration.freedom());
        node.put("standard_errors", calibration.errorsGiven() ? "given" : "from the scatter");
        for (Calibration.Scatter scatter : calibration.scatter()) {
            boolean width = scatter.kind() == Measurement.Kind.WIDTH;
            node.put(width ? "scatter_of_widths_nm" : "scatter_of_clearing_doses_percent", scatter.size());
        }
        ArrayNode parameters = node.putArray("parameters");
        for (FittedParameter p : calibration.parameters()) {
            parameter(parameters.addObject(), p);
        }
        parameter(node.putObject("base_dose"), calibration.baseDose());
    }

    private static void parameter(ObjectNode node, FittedParameter p) {
        node.put("name", p.name()).put("unit", p.unit()).put("value", p.value());
        node.put("fitted", p.fitted());
        if (p.fitted()) {
            node.put("standard_error", p.standardError()).put("low_95", p.low()).put("high_95", p.high());
        }
    }

    private static String text(ObjectNode root) {
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    /**
     * {@return the text of {@code residuals.csv}}
     *
     * @param calibration what was fitted
     */
    public static String residualsCsv(Calibration calibration) {
        StringBuilder text = new StringBuilder(
                "line,figure,dose_uc_per_cm2,last_uncleared,first_cleared,measured,predicted,unit,standard_deviation,"
                        + "standardised,studentised,outlier\n");
        for (FitResidual r : calibration.residuals()) {
            Measurement m = r.measurement();
            boolean width = m.kind() == Measurement.Kind.WIDTH;
            double scale = width ? 1e3 : 1;
            text.append(String.format(
                    Locale.ROOT,
                    "%d,%s,%s,%s,%s,%.6g,%.6g,%s,%s,%.4f,%s,%s\n",
                    m.line(),
                    m.label(),
                    width ? number("%.6g", m.doseUcPerCm2()) : "",
                    m.exact() || m.low() == 0 ? "" : number("%.6g", m.low()),
                    m.exact() ? "" : number("%.6g", m.high()),
                    scale * m.value(),
                    scale * r.predicted(),
                    width ? "nm" : "uC/cm2",
                    number("%.4g", r.error() * (width ? scale : r.predicted())),
                    r.standardised(),
                    number("%.4f", r.studentised()),
                    r.outlier() ? "yes" : "no"));
        }
        return text.toString();
    }

    /** Empty where there is no number to tell. */
    private static String number(String format, double value) {
        return Double.isFinite(value) ? String.format(Locale.ROOT, format, value) : "";
    }
}
