package evendose.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import evendose.correction.EdgeMove;
import evendose.verification.EdgeMovement;
import evendose.verification.EdgeMovement.Left;
import evendose.verification.EdgeMovement.Moved;
import evendose.verification.EdgeMovement.Outcome;
import java.util.Locale;

/** Which parts of the outline are exposed elsewhere, as a table and for scripts. */
public final class MovedEdgesFiles {
    private static final JsonMapper MAPPER = new JsonMapper();

    /** Places in {@code summary.json}, at most; their number is told as well. */
    private static final int MOST_LEFT = 200;

    private MovedEdgesFiles() {}

    /**
     * {@return the text of {@code moved-edges.csv}: a row a part; the shape lies left of the way from its first to its second end}
     *
     * @param movement what moves
     */
    public static String csv(EdgeMovement movement) {
        StringBuilder text =
                new StringBuilder("layer,datatype,x0_um,y0_um,x1_um,y1_um,out_nm,off_with_doses_nm,off_nm\n");
        for (Moved moved : movement.moved()) {
            EdgeMove m = moved.move();
            text.append(String.format(
                    Locale.ROOT,
                    "%d,%d,%s,%s,%s,%s,%s,%s,%s\n",
                    m.layer().number(),
                    m.layer().datatype(),
                    exact(m.x0Um()),
                    exact(m.y0Um()),
                    exact(m.x1Um()),
                    exact(m.y1Um()),
                    exact(Math.rint(1e7 * m.outUm()) / 1e4),
                    rounded(moved.offWithDosesNm()),
                    rounded(moved.offNm())));
        }
        return text.toString();
    }

    private static String exact(double value) {
        return Double.toString(value + 0.0);
    }

    /** Empty where there is no edge. */
    private static String rounded(double nm) {
        return Double.isFinite(nm) ? String.format(Locale.ROOT, "%.4f", nm) : "";
    }

    /**
     * {@return the text of {@code summary.json} with {@code moved_edges} at its end}
     *
     * @param movement what moves
     * @param summary the text without it
     */
    public static String addedTo(EdgeMovement movement, String summary) {
        try {
            ObjectNode root = (ObjectNode) MAPPER.readTree(summary);
            ObjectNode node = root.putObject("moved_edges");
            node.put("most_move_nm", movement.mostNm()).put("rounds", movement.rounds());
            node.put("parts", movement.moved().size());
            node.put("places", movement.doses().places());
            outcome(node.putObject("without_correction"), movement.before());
            outcome(node.putObject("with_doses"), movement.doses());
            outcome(node.putObject("with_both"), movement.both());
            node.put("left", movement.left().size());
            ArrayNode places = node.putArray("places_left");
            movement.left().stream().limit(MOST_LEFT).forEach(l -> place(places.addObject(), l));
            return MAPPER.writerWithDefaultPrettyPrinter().writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("what was written here can be read", e);
        }
    }

    private static void outcome(ObjectNode node, Outcome outcome) {
        node.put("not_as_drawn", outcome.troubled()).put("without_edge", outcome.gone());
        node.put("rms_nm", outcome.placementNm().rms())
                .put("p95_nm", outcome.placementNm().p95())
                .put("worst_nm", outcome.placementNm().max());
    }

    private static void place(ObjectNode node, Left left) {
        node.put("kind", left.spot().kind().word())
                .put("x_um", left.spot().xUm())
                .put("y_um", left.spot().yUm())
                .put("what", left.spot().what())
                .put("why", left.why());
    }
}
