package evendose.verification;

import evendose.files.BadInputException;
import evendose.files.JsonInput;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;

/**
 * What a calibration knows of a process: alpha, beta, eta, gamma and nu of a third term, and the base dose (the dose that puts the threshold
 * on the edge of a grating of density 1/2), with the covariance of the logarithms of those that were fitted. Clearing dose and a
 * threshold of its own come in through the base dose, their product. A constant offset of measured widths belongs to
 * the microscope and is left out.
 */
public final class CalibratedProcess {
    /** Name of the parameter that is always fitted. */
    static final String BASE_DOSE = "base dose";

    private static final List<String> SHAPE = List.of("alpha", "beta", "eta", "gamma", "nu");

    /** Fitted parameters whose logarithms add up to that of the base dose. */
    private static final List<String> DOSE = List.of("clearing dose", "tau");

    private static final String OWN_THRESHOLD = "tau";

    private static final double ROUNDING = 1e-6;

    private final Map<String, Double> values = new LinkedHashMap<>();
    private final List<String> names = new ArrayList<>();
    private final List<String> fitted = new ArrayList<>();
    private final double[][] fittedCovariance;
    private final double[][] covariance;
    private final OptionalDouble clearingScatter;
    private final OptionalDouble widthScatterUm;
    private final List<Part> parts = new ArrayList<>();

    /** Part of the covariance that is known with few degrees of freedom only. */
    record Part(double freedom, double[][] covariance) {}

    private CalibratedProcess(JsonInput root) {
        if (!root.has("covariance") || !root.has("parameters") || !root.has("base_dose")) {
            throw root.error(
                    "holds no covariance of a calibration; give the fit.json that 'evendose calibrate fit' writes");
        }
        for (JsonInput p : root.get("parameters").elements()) {
            String name = p.get("name").text();
            if (SHAPE.contains(name) || name.equals(OWN_THRESHOLD)) {
                values.put(name, p.get("value").positive());
            }
        }
        for (String needed : SHAPE.subList(0, values.containsKey("gamma") ? SHAPE.size() : 3)) {
            if (!values.containsKey(needed)) {
                throw root.get("parameters").error("has no " + needed);
            }
        }
        values.put(BASE_DOSE, root.get("base_dose").get("value").positive());
        JsonInput told = root.get("covariance");
        for (JsonInput name : told.get("parameters").elements()) {
            fitted.add(name.text());
        }
        if (!fitted.contains(DOSE.get(0))) {
            throw told.get("parameters").error("must hold \"" + DOSE.get(0) + "\"");
        }
        values.keySet().stream()
                .filter(n -> SHAPE.contains(n) && fitted.contains(n) || n.equals(BASE_DOSE))
                .forEach(names::add);
        fittedCovariance = symmetric(told.get("matrix"), fitted);
        covariance = ofProcess(fittedCovariance);
        for (int a = 0; a < names.size(); a++) {
            if (!(covariance[a][a] > 0)) {
                throw told.get("matrix").error("gives " + names.get(a) + " no variance above 0");
            }
        }
        clearingScatter = scatter(root, "scatter_of_clearing_doses_percent", 1e-2);
        widthScatterUm = scatter(root, "scatter_of_widths_nm", 1e-3);
        // An empty list says that all errors were given.
        if (told.has("from_scatter") && !told.get("from_scatter").isEmptyList()) {
            for (JsonInput part : told.get("from_scatter").elements()) {
                parts.add(new Part(
                        part.get("degrees_of_freedom").positive(), ofProcess(symmetric(part.get("matrix"), fitted))));
            }
        }
    }

    /**
     * {@return what a fit found}
     *
     * @param file the {@code fit.json} of a calibration
     * @throws BadInputException if it cannot be read, or holds no covariance
     */
    public static CalibratedProcess read(Path file) {
        return new CalibratedProcess(JsonInput.read(file));
    }

    /** The same from a text. */
    static CalibratedProcess parse(String name, String text) {
        return new CalibratedProcess(JsonInput.parse(name, text));
    }

    /** The covariance of fitted parameters as that of {@link #names}. */
    private double[][] ofProcess(double[][] told) {
        double[][] sum = new double[names.size()][names.size()];
        for (int i = 0; i < fitted.size(); i++) {
            int a = index(fitted.get(i));
            for (int j = 0; j < fitted.size(); j++) {
                int b = index(fitted.get(j));
                if (a >= 0 && b >= 0) {
                    sum[a][b] += told[i][j];
                }
            }
        }
        return sum;
    }

    private static OptionalDouble scatter(JsonInput root, String name, double unit) {
        return root.has(name) ? OptionalDouble.of(unit * root.get(name).positive()) : OptionalDouble.empty();
    }

    private int index(String fitted) {
        return names.indexOf(DOSE.contains(fitted) ? BASE_DOSE : fitted);
    }

    private static double[][] symmetric(JsonInput matrix, List<String> fitted) {
        int n = fitted.size();
        List<JsonInput> rows = matrix.elements();
        double[][] values = new double[n][n];
        for (int i = 0; i < rows.size(); i++) {
            List<JsonInput> row = rows.get(i).elements();
            if (rows.size() != n || row.size() != n) {
                throw matrix.error("must have a row and a column for each of " + String.join(", ", fitted));
            }
            for (int j = 0; j < n; j++) {
                values[i][j] = row.get(j).number();
            }
        }
        for (int i = 0; i < n; i++) {
            for (int j = 0; j < i; j++) {
                double both = Math.sqrt(values[i][i] * values[j][j]);
                boolean sound = Math.abs(values[i][j] - values[j][i]) <= ROUNDING * both
                        && Math.abs(values[i][j]) <= (1 + ROUNDING) * both;
                if (!sound) {
                    throw matrix.error("is no covariance: look at " + fitted.get(i) + " and " + fitted.get(j));
                }
            }
        }
        return values;
    }

    /** {@return the parameters that are known with an error; the base dose is the last} */
    public List<String> names() {
        return List.copyOf(names);
    }

    /** Covariance of the logarithms of {@link #names}; not to be changed. */
    double[][] covariance() {
        return covariance;
    }

    List<Part> parts() {
        return parts;
    }

    /** {@return the parameters that were fitted, of the process and of the microscope} */
    public List<String> fitted() {
        return List.copyOf(fitted);
    }

    /** {@return covariance of the logarithms of {@link #fitted}, and of the width offset itself, nm; a row a parameter} */
    public List<List<Double>> fittedCovariance() {
        return Arrays.stream(fittedCovariance)
                .map(row -> Arrays.stream(row).boxed().toList())
                .toList();
    }

    /**
     * {@return derivatives with the logarithms of {@link #fitted}, a new array: no predicted length depends on the width offset}
     *
     * @param slopes derivatives with the logarithms of {@link #names}
     */
    public double[] withFitted(List<Double> slopes) {
        return fitted.stream()
                .mapToDouble(name -> index(name) < 0 ? 0 : slopes.get(index(name)))
                .toArray();
    }

    /** {@return alpha and beta (um), eta, gamma (um), nu, tau (if there are such) and the clearing dose (uC/cm^2), by name} */
    public Map<String, Double> values() {
        Map<String, Double> all = new LinkedHashMap<>(values);
        double base = all.remove(BASE_DOSE);
        all.put(DOSE.get(0), base / 2 / all.getOrDefault(OWN_THRESHOLD, 1.0));
        return all;
    }

    /** {@return how clearing doses scattered about the fit, relative, if that is known} */
    public OptionalDouble clearingScatter() {
        return clearingScatter;
    }

    /** {@return how widths scattered about the fit, um, if that is known} */
    public OptionalDouble widthScatterUm() {
        return widthScatterUm;
    }

    /** {@return the base dose, uC/cm^2} */
    public double baseDoseUcPerCm2() {
        return values.get(BASE_DOSE);
    }

    /**
     * {@return the standard error of a parameter, relative}
     *
     * @param name one of {@link #names}
     */
    public double relativeError(String name) {
        int j = names.indexOf(name);
        return Math.sqrt(covariance[j][j]);
    }

    /** Share of the energy that the direct term has. */
    double directWeight() {
        return 1 / (1 + values.get("eta") + values.getOrDefault("nu", 0.0));
    }

    /** Range of the direct term, um. */
    double directRangeUm() {
        return values.get("alpha");
    }

    /** The point spread function if a parameter were multiplied by a factor; that of the base dose changes nothing. */
    PointSpreadFunction psf(String name, double factor) {
        Map<String, Double> v = new LinkedHashMap<>(values);
        v.computeIfPresent(name, (n, value) -> value * factor);
        List<GaussianTerm> terms = new ArrayList<>();
        terms.add(new GaussianTerm(1, v.get("alpha")));
        terms.add(new GaussianTerm(v.get("eta"), v.get("beta")));
        if (v.containsKey("gamma")) {
            terms.add(new GaussianTerm(v.get("nu"), v.get("gamma")));
        }
        return PointSpreadFunction.from(terms);
    }
}
