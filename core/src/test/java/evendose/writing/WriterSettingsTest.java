package evendose.writing;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;

class WriterSettingsTest {
    private static void refused(String naming, UnaryOperator<WriterSettings.Builder> change) {
        WriterSettings.Builder builder = change.apply(WriterSettings.builder(100));
        String message =
                assertThrows(IllegalArgumentException.class, builder::build).getMessage();
        assertTrue(message.contains(naming), message);
    }

    @Test
    void eachBadValueIsNamed() {
        BeamTable beam = BeamTable.of(new double[] {1, 2}, new double[] {3, 4});
        for (double bad : new double[] {0, -1, Double.NaN, Double.POSITIVE_INFINITY}) {
            WriterSettings.Builder dose = WriterSettings.builder(bad);
            assertThrows(IllegalArgumentException.class, dose::build);
            refused("clock", b -> b.clockMhz(bad));
            refused("field size", b -> b.fieldUm(bad));
            refused("slot", b -> b.slotS(bad));
            refused("smallest feature", b -> b.featureUm(bad));
            refused("largest beam (nm)", b -> b.beam(beam).largestBeamNm(bad));
        }
        for (double bad : new double[] {-1, Double.NaN, Double.POSITIVE_INFINITY}) {
            refused("settling time per piece", b -> b.settlePerPieceUs(bad));
            refused("settling time per field", b -> b.settlePerFieldS(bad));
            refused("stage move", b -> b.stageMoveS(bad));
            refused("loading", b -> b.loadingS(bad));
        }
        refused("copies", b -> b.copies(0));
        refused("table of beam diameters", b -> b.largestBeamNm(5));
    }

    @Test
    void whatIsNotGivenCostsNothingButLoading() {
        WriterSettings usual = WriterSettings.builder(100).build();
        assertEquals(900, usual.loadingS());
        assertEquals(1, usual.copies());
        assertEquals(0, usual.settlePerPieceUs() + usual.settlePerFieldS() + usual.stageMoveS());
        assertEquals(0, WriterSettings.builder(100).loadingS(0).build().loadingS());
    }
}
