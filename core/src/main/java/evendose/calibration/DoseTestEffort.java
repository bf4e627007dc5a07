package evendose.calibration;

import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.units.Range;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;

/**
 * What a dose test costs and what it should tell: charge, time at some currents, time at the microscope, expected errors.
 *
 * @param pattern the test
 * @param currentsNa beam currents, nA; not to be changed
 * @param minutesPerReading time at the microscope for a clearing dose or a width, min; an assumption
 */
public record DoseTestEffort(DoseTestPattern pattern, double[] currentsNa, double minutesPerReading) {
    private static final double MINUTES_PER_UC_PER_NA = 1e3 / 60;
    private static final double PERCENT = 100;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public DoseTestEffort {
        currentsNa = currentsNa.clone();
        for (double current : currentsNa) {
            Range.positive("the current", current);
        }
        Range.positive("the time for a reading", minutesPerReading);
    }

    /** Time that the beam is on at a current, min. */
    double beamOnMin(double currentNa) {
        return pattern.chargeUc() / currentNa * MINUTES_PER_UC_PER_NA;
    }

    /** Time at the microscope, h. */
    double microscopeH() {
        return pattern.readings() * minutesPerReading / 60;
    }

    /** {@return the times that the beam is on, in words} */
    public String times() {
        List<String> times = new ArrayList<>();
        for (double current : currentsNa) {
            times.add(text("%.3g min at %s nA", beamOnMin(current), Measurement.brief(current)));
        }
        return String.join(", ", times);
    }

    /** {@return the time at the microscope, in words} */
    public String microscope() {
        return text(
                "%d readings, %.2g h at %s min each",
                pattern.readings(), microscopeH(), Measurement.brief(minutesPerReading));
    }

    /** {@return the errors to expect, in words} */
    public String expectation() {
        List<String> errors = new ArrayList<>();
        pattern.expectedErrors().forEach((name, error) -> errors.add(text("%s %.2g %%", name, PERCENT * error)));
        return "standard errors: " + String.join(", ", errors)
                + text(
                        " (if clearing doses scatter by %.2g %% and widths by %.2g nm)",
                        PERCENT * DoseTestDesign.CLEARING_SCATTER, 1e3 * DoseTestDesign.WIDTH_SCATTER_UM);
    }

    /**
     * {@return the text of {@code pattern.json}}
     *
     * @param version version of the program, to be noted
     */
    public String json(String version) {
        ObjectNode root = JsonMapper.builder().build().createObjectNode();
        DoseTestPattern.Guess guess = pattern.guess();
        root.put("program", "evendose").put("version", version);
        root.putObject("guess")
                .put("alpha_um", guess.alphaUm())
                .put("beta_um", guess.betaUm())
                .put("eta", guess.eta())
                .put("clearing_dose_uc_per_cm2", guess.clearingDoseUcPerCm2());
        root.put("dose_step_percent", guess.stepPercent()).put("doses_per_ring", guess.dosesPerRing());
        root.put("base_dose_uc_per_cm2", pattern.baseDoseUcPerCm2());
        root.put("budget_uc", pattern.budgetUc()).put("charge_uc", pattern.chargeUc());
        root.put("target_percent", pattern.targetPercent()).put("target_reached", pattern.targetReached());
        ArrayNode times = root.putArray("beam_on");
        for (double current : currentsNa) {
            times.addObject().put("current_na", current).put("minutes", beamOnMin(current));
        }
        root.put("readings", pattern.readings()).put("microscope_h", microscopeH());
        ObjectNode errors = root.putObject("expected_standard_errors_percent");
        for (Map.Entry<String, Double> e : pattern.expectedErrors().entrySet()) {
            errors.put(e.getKey().replace(' ', '_'), PERCENT * e.getValue());
        }
        ArrayNode rows = root.putArray("rows");
        for (DoseTestPattern.Row row : pattern.rows()) {
            ArrayNode doses = rows.addObject()
                    .put("row", row.number())
                    .put("figure", DoseTestPattern.label(row))
                    .putArray("doses_uc_per_cm2");
            row.doses().forEach(step -> doses.add(pattern.doseUcPerCm2(step)));
        }
        return root.toPrettyString() + "\n";
    }

    private static String text(String format, Object... values) {
        return String.format(Locale.ROOT, format, values);
    }

    /** What counts for equality, arrays by what they hold. */
    private Object[] values() {
        return new Object[] {pattern, currentsNa, minutesPerReading};
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof DoseTestEffort o && Arrays.deepEquals(values(), o.values());
    }

    @Override
    public int hashCode() {
        return Arrays.deepHashCode(values());
    }
}
