package evendose.writing;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.files.NumberText;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;

/** A plan as texts for scripts: JSON for all of it, CSV tables for its lists. Areas, charges and times are of all copies. */
public final class WritePlanFiles {
    private static final JsonMapper MAPPER = new JsonMapper();

    private WritePlanFiles() {}

    /**
     * {@return the text of {@code plan.json}} The keys at the top describe the chosen current and step; what is not known is null.
     *
     * @param plan the plan
     * @param doses name of the dose table as the user gave it
     * @param version version of the program
     */
    public static String json(WritePlan plan, String doses, String version) {
        return json(plan, Optional.empty(), doses, version);
    }

    /**
     * {@return the text of {@code plan.json} for two beams} The keys at the top describe the fine exposure; {@code two_beams} has the coarse one,
     * the time of both, and that of the fine current alone.
     *
     * @param pair both plans
     * @param doses name of the dose table as the user gave it
     * @param version version of the program
     */
    public static String json(TwoBeamPlan pair, String doses, String version) {
        return json(pair.fine(), Optional.of(pair), doses, version);
    }

    private static String json(WritePlan plan, Optional<TwoBeamPlan> pair, String doses, String version) {
        ObjectNode root = MAPPER.createObjectNode();
        root.put("program", "evendose").put("version", version).put("doses", doses);
        pair.ifPresent(both -> twoBeams(root.putObject("two_beams"), both));
        totals(root, plan);
        texts(root.putArray("obstacles"), plan.choice().obstacles());
        texts(root.putArray("cautions"), plan.choice().cautions());
        smallestFeature(root.putObject("smallest_feature"), plan);
        fields(root, plan);
        ArrayNode fillings = root.putArray("filling");
        plan.fillings().forEach(filling -> filling(fillings.addObject(), filling));
        ArrayNode levels = root.putArray("levels");
        plan.levels().forEach(level -> level(levels.addObject(), level));
        ArrayNode choices = root.putArray("choices");
        plan.choices().forEach(choice -> choice(choices.addObject(), choice));
        options(root.putObject("options"), plan.settings());
        root.put("caution", "Times do not count what was not given; compare with a job of your own tool first.");
        try {
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }

    private static void twoBeams(ObjectNode node, TwoBeamPlan pair) {
        node.put("feasible", pair.feasible());
        node.put("total_s", pair.totalS());
        node.put("change_s", pair.changeS());
        node.put("fine_current_alone_total_s", pair.aloneS());
        node.put("fine_current_alone_bulk_beam_on_s", pair.aloneBulkBeamOnS());
        node.put("saved_s", pair.savedS());
        put(node, "slot_left_s", pair.slotLeftS());
        ObjectNode bulk = node.putObject("bulk");
        totals(bulk, pair.bulk());
        texts(bulk.putArray("obstacles"), pair.bulk().choice().obstacles());
        texts(bulk.putArray("cautions"), pair.bulk().choice().cautions());
    }

    private static void totals(ObjectNode root, WritePlan plan) {
        WriterSettings settings = plan.settings();
        PlanChoice choice = plan.choice();
        root.put("feasible", choice.feasible());
        root.put("current_na", choice.currentNa());
        root.put("step_nm", choice.stepNm());
        root.put("copies", settings.copies());
        root.put("pieces", plan.pieces());
        root.put("pieces_written", plan.partsWritten());
        root.put("shapes", plan.shapes());
        root.put("exposed_area_um2", plan.exposedAreaUm2());
        root.put("charge_uc", plan.chargeUc());
        root.put("beam_on_s", choice.beamOnS());
        root.put("piece_settling_s", plan.pieceSettlingS());
        root.put("field_settling_s", plan.fieldSettlingS());
        root.put("stage_moves_s", plan.stageMovesS());
        root.put("loading_s", settings.loadingS());
        root.put("total_s", choice.totalS());
        root.put("highest_frequency_mhz", choice.highestFrequencyMhz());
        put(root, "highest_current_na", choice.highestCurrentNa());
        put(root, "beam_nm", choice.beamNm());
        put(root, "slot_s", settings.slotS());
        put(root, "slot_left_s", plan.slotLeftS());
        if (plan.copiesInSlot().isPresent()) {
            root.put("copies_in_slot", plan.copiesInSlot().getAsLong());
        }
    }

    private static void smallestFeature(ObjectNode node, WritePlan plan) {
        SmallestFeature feature = plan.feature();
        node.put("side_um", feature.sideUm());
        if (feature.shape() >= 0) {
            node.put("shape", feature.shape()).put("x_um", feature.xUm()).put("y_um", feature.yUm());
        }
        node.put("dose_uc_per_cm2", plan.settings().baseDoseUcPerCm2() * feature.factor());
        node.put("electrons", feature.electrons());
        node.put("dose_spread_1_sigma_percent", 100 * feature.relativeSpread());
        node.put("points_per_side", feature.pointsPerSide());
    }

    private static void fields(ObjectNode root, WritePlan plan) {
        if (plan.fields().isEmpty()) {
            root.putNull("fields");
            return;
        }
        WritingFields fields = plan.fields().orElseThrow();
        ObjectNode node = root.putObject("fields");
        node.put("side_um", fields.fieldUm());
        node.put("per_copy", fields.count());
        node.put("columns", fields.columns()).put("rows", fields.rows());
        node.put("left_um", fields.leftUm()).put("bottom_um", fields.bottomUm());
        node.put("shapes_cut", fields.cutShapes()).put("cuts", fields.cuts().size());
        node.put("pieces_by_field", fields.parts());
    }

    private static void filling(ObjectNode node, StepFilling f) {
        node.put("step_nm", f.stepNm()).put("points", f.points());
        node.put("charge_error_percent", 100 * f.chargeError());
        node.put("rms_dose_error_percent", 100 * f.rmsError());
        node.put("area_share_off_by_over_1_percent", f.areaOver1Percent());
        node.put("area_share_off_by_over_5_percent", f.areaOver5Percent());
        node.put("pieces_thinner_than_a_step", f.thinPieces());
    }

    private static void level(ObjectNode node, PlannedLevel level) {
        node.put("level", level.level());
        node.put("pieces", level.pieces());
        node.put("area_um2", level.areaUm2());
        node.put("dose_factor", level.meanFactor());
        node.put("dose_factor_min", level.minFactor());
        node.put("dose_factor_max", level.maxFactor());
        node.put("dose_uc_per_cm2", level.doseUcPerCm2());
        node.put("dwell_ns", level.dwellNs());
        node.put("highest_frequency_mhz", level.highestFrequencyMhz());
        node.put("breaks_clock", level.breaksClock());
        node.put("electrons_per_point", level.electronsPerPoint());
        put(node, "highest_current_na", level.highestCurrentNa());
    }

    private static void choice(ObjectNode node, PlanChoice c) {
        node.put("current_na", c.currentNa()).put("step_nm", c.stepNm());
        put(node, "beam_nm", c.beamNm());
        node.put("highest_frequency_mhz", c.highestFrequencyMhz());
        node.put("levels_above_clock", c.brokenLevels());
        put(node, "highest_current_na", c.highestCurrentNa());
        node.put("beam_on_s", c.beamOnS()).put("total_s", c.totalS());
        node.put("feasible", c.feasible());
        texts(node.putArray("obstacles"), c.obstacles());
        texts(node.putArray("cautions"), c.cautions());
    }

    private static void options(ObjectNode node, WriterSettings s) {
        node.put("base_dose_uc_per_cm2", s.baseDoseUcPerCm2());
        put(node, "clock_mhz", s.clockMhz());
        put(node, "field_um", s.fieldUm());
        node.put("settle_per_piece_us", s.settlePerPieceUs());
        node.put("settle_per_field_s", s.settlePerFieldS());
        node.put("stage_move_s", s.stageMoveS());
        node.put("loading_s", s.loadingS());
        put(node, "slot_s", s.slotS());
        put(node, "feature_um", s.featureUm());
        put(node, "largest_beam_nm", s.largestBeamNm());
        if (s.beam() != null) {
            ArrayNode rows = node.putArray("beam");
            double[] current = s.beam().currentsNa();
            double[] diameter = s.beam().diametersNm();
            for (int k = 0; k < current.length; k++) {
                rows.addObject().put("current_na", current[k]).put("beam_nm", diameter[k]);
            }
        }
    }

    private static void texts(ArrayNode node, List<String> texts) {
        texts.forEach(node::add);
    }

    private static void put(ObjectNode node, String key, OptionalDouble value) {
        put(node, key, value.orElse(Double.NaN));
    }

    private static void put(ObjectNode node, String key, double value) {
        if (Double.isNaN(value)) {
            node.putNull(key);
        } else {
            node.put(key, value);
        }
    }

    /**
     * {@return the text of {@code plan-levels.csv}}
     *
     * @param plan the plan
     */
    public static String levelsCsv(WritePlan plan) {
        StringBuilder text = new StringBuilder("level,pieces,area_um2,dose_factor,dose_uc_per_cm2,dwell_ns,"
                + "highest_frequency_mhz,breaks_clock,electrons_per_point,highest_current_na\n");
        for (PlannedLevel l : plan.levels()) {
            text.append(row(
                    "%d,%d,%.9g,%.9f,%.9g,%.9g,%.9g,%s,%.6g,%s%n",
                    l.level(),
                    l.pieces(),
                    l.areaUm2(),
                    l.meanFactor(),
                    l.doseUcPerCm2(),
                    l.dwellNs(),
                    l.highestFrequencyMhz(),
                    l.breaksClock() ? "yes" : "no",
                    l.electronsPerPoint(),
                    known(l.highestCurrentNa())));
        }
        return text.toString();
    }

    /**
     * {@return the text of {@code plan-choices.csv}}
     *
     * @param plan the plan
     */
    public static String choicesCsv(WritePlan plan) {
        StringBuilder text = new StringBuilder("current_na,step_nm,beam_nm,highest_frequency_mhz,levels_above_clock,"
                + "highest_current_na,beam_on_s,total_s,feasible,chosen,remarks\n");
        for (int k = 0; k < plan.choices().size(); k++) {
            PlanChoice c = plan.choices().get(k);
            String remarks = String.join("; ", c.obstacles())
                    + (c.obstacles().isEmpty() || c.cautions().isEmpty() ? "" : "; ")
                    + String.join("; ", c.cautions());
            text.append(row(
                    "%.9g,%.9g,%s,%.9g,%d,%s,%.9g,%.9g,%s,%s,\"%s\"%n",
                    c.currentNa(),
                    c.stepNm(),
                    known(c.beamNm().orElse(Double.NaN)),
                    c.highestFrequencyMhz(),
                    c.brokenLevels(),
                    known(c.highestCurrentNa()),
                    c.beamOnS(),
                    c.totalS(),
                    c.feasible() ? "yes" : "no",
                    k == plan.chosen() ? "yes" : "no",
                    remarks));
        }
        return text.toString();
    }

    /**
     * {@return the text of {@code plan-cuts.csv}: where field borders run through shapes}
     *
     * @param plan the plan
     */
    public static String cutsCsv(WritePlan plan) {
        StringBuilder text = new StringBuilder("shape,border,border_um,from_um,to_um,x_um,y_um,length_um\n");
        plan.fields().ifPresent(fields -> {
            for (FieldCut cut : fields.cuts()) {
                text.append(row(
                        "%d,%s,%.6f,%.6f,%.6f,%.6f,%.6f,%.6f%n",
                        cut.shape(),
                        cut.vertical() ? "x" : "y",
                        cut.borderUm(),
                        cut.fromUm(),
                        cut.toUm(),
                        cut.xUm(),
                        cut.yUm(),
                        cut.lengthUm()));
            }
        });
        return text.toString();
    }

    /**
     * {@return the text of {@code plan-filling.csv}: what filling with whole steps does, a row a step}
     *
     * @param plan the plan
     */
    public static String fillingCsv(WritePlan plan) {
        StringBuilder text = new StringBuilder("step_nm,points,charge_error_percent,rms_dose_error_percent,"
                + "area_share_off_by_over_1_percent,area_share_off_by_over_5_percent,pieces_thinner_than_a_step\n");
        for (StepFilling f : plan.fillings()) {
            text.append(row(
                    "%s,%d,%s,%s,%s,%s,%d%n",
                    number(f.stepNm()),
                    f.points(),
                    number(100 * f.chargeError()),
                    number(100 * f.rmsError()),
                    number(f.areaOver1Percent()),
                    number(f.areaOver5Percent()),
                    f.thinPieces()));
        }
        return text.toString();
    }

    /**
     * {@return the text of {@code plan-pieces.csv}: for each step the pieces whose dose filling puts off most, worst first}
     *
     * @param plan the plan
     */
    public static String piecesCsv(WritePlan plan) {
        StringBuilder text =
                new StringBuilder("step_nm,shape,x_um,y_um,width_nm,height_nm,rows,points,dose_error_percent\n");
        for (StepFilling f : plan.fillings()) {
            for (StepFilling.FilledPiece p : f.worst()) {
                text.append(row(
                        "%s,%d,%.6f,%.6f,%s,%s,%d,%d,%s%n",
                        number(f.stepNm()),
                        p.shape(),
                        p.xUm(),
                        p.yUm(),
                        number(1e3 * p.widthUm()),
                        number(1e3 * p.heightUm()),
                        p.rows(),
                        p.points(),
                        number(100 * p.error())));
            }
        }
        return text.toString();
    }

    /** Six digits at most, no zeros at the end. */
    private static String number(double value) {
        return NumberText.plain(value, 6);
    }

    private static String row(String format, Object... values) {
        return String.format(Locale.ROOT, format, values).replace(System.lineSeparator(), "\n");
    }

    private static String known(double value) {
        return Double.isNaN(value) ? "" : String.format(Locale.ROOT, "%.9g", value);
    }
}
