package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import org.junit.jupiter.api.Test;

/** Two pads, worked out by hand. */
class TwoBeamPlanTest {
    /** 1e4 um^2 at 100 uC/cm^2 are 0.01 uC, 10 s at 1 nA; 1e6 um^2 at 120 uC/cm^2 are 1.2 uC, 60 s at 20 nA and 1,200 s at 1 nA. */
    private static TwoBeamPlan pair(double slotS) {
        DosedPieces fine = new TestDoses().rectangle(0, 0, 0, 100, 100, 1, 0).build();
        DosedPieces bulk =
                new TestDoses().rectangle(0, 200, 0, 1200, 1000, 1.2, 0).build();
        WriterSettings settings = WriterSettings.builder(100)
                .settlePerPieceUs(1e6)
                .stageMoveS(0.5)
                .slotS(slotS)
                .build();
        return new TwoBeamPlan(
                WritePlanner.plan(fine, settings, new double[] {1}, new double[] {10}),
                WritePlanner.plan(bulk, settings, new double[] {20}, new double[] {20}),
                120);
    }

    @Test
    void timesAddUp() {
        TwoBeamPlan pair = pair(1500);
        // Loading once, each exposure with its piece and its field, and the change between them.
        assertEquals(900 + (10 + 1 + 0.5) + 120 + (60 + 1 + 0.5), pair.totalS(), 1e-9);
        assertEquals(1200, pair.aloneBulkBeamOnS(), 1e-9);
        // Alone, the field is driven to once.
        assertEquals(900 + 10 + 1200 + 2 * 1 + 0.5, pair.aloneS(), 1e-9);
        assertEquals(2112.5 - 1093, pair.savedS(), 1e-9);
        assertEquals(1500 - 1093, pair.slotLeftS().orElseThrow(), 1e-9);
        assertTrue(pair.feasible());
    }

    @Test
    void aSlotMustHoldBoth() {
        // Each alone fits: 911.5 and 961.5 s.
        TwoBeamPlan pair = pair(1000);
        assertTrue(pair.fine().choice().feasible() && pair.bulk().choice().feasible());
        assertFalse(pair.feasible());
        assertThrows(IllegalArgumentException.class, () -> new TwoBeamPlan(pair.fine(), pair.bulk(), -1));
    }

    @Test
    void theJsonHasBoth() throws IOException {
        JsonNode root = new JsonMapper().readTree(WritePlanFiles.json(pair(1500), "doses.csv", "0"));
        assertEquals(1093, root.at("/two_beams/total_s").asDouble(), 1e-9);
        assertEquals(2112.5, root.at("/two_beams/fine_current_alone_total_s").asDouble(), 1e-9);
        assertEquals(20, root.at("/two_beams/bulk/current_na").asDouble(), 1e-12);
        assertEquals(60, root.at("/two_beams/bulk/beam_on_s").asDouble(), 1e-9);
        assertEquals(10, root.at("/beam_on_s").asDouble(), 1e-9);
        assertEquals(120, root.at("/two_beams/change_s").asDouble(), 1e-9);
        assertEquals(1019.5, root.at("/two_beams/saved_s").asDouble(), 1e-9);
        assertEquals(407, root.at("/two_beams/slot_left_s").asDouble(), 1e-9);
        assertEquals(
                1200, root.at("/two_beams/fine_current_alone_bulk_beam_on_s").asDouble(), 1e-9);
        assertTrue(root.at("/two_beams/feasible").asBoolean());
        assertTrue(root.at("/two_beams/bulk/obstacles").isEmpty());
        JsonNode late = new JsonMapper().readTree(WritePlanFiles.json(pair(950), "doses.csv", "0"));
        assertEquals(1, late.at("/two_beams/bulk/obstacles").size());
        assertTrue(late.at("/two_beams/bulk/cautions").isEmpty());
        assertFalse(late.at("/two_beams/feasible").asBoolean());
    }
}
