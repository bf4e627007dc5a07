package evendose.psf;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;

class PsfPresetsTest {
    @Test
    void areFoundByName() {
        PsfPreset set = PsfPresets.find("si-100kv").orElseThrow();
        assertEquals(100, set.energyKev());
        assertEquals(31, set.psf().main().rangeUm(), 1e-12);
        assertEquals(0.6, set.psf().eta(), 1e-12);
        assertTrue(PsfPresets.find("SI-100KV").isEmpty());
    }

    @Test
    void haveDistinctNames() {
        assertEquals(
                PsfPresets.all().size(),
                PsfPresets.all().stream()
                        .map(PsfPreset::name)
                        .collect(Collectors.toSet())
                        .size());
        for (PsfPreset set : PsfPresets.all()) {
            assertTrue(set.name().matches("[a-z0-9-]+"), set.name());
        }
    }

    /** Each value lies within what is published, which stands beside it. */
    @Test
    void valuesAreThePublishedOnes() {
        for (PsfPreset set : PsfPresets.all()) {
            for (PsfPreset.Value v : List.of(set.beta(), set.eta())) {
                String[] ends = v.published().split("-");
                double low = Double.parseDouble(ends[0]);
                double high = Double.parseDouble(ends[ends.length - 1]);
                assertTrue(low <= v.value() && v.value() <= high, set.name() + " " + v);
            }
        }
    }

    /** A publication is named in what a run records; that none was found is not repeated there. */
    @Test
    void filesNameTheirSource() {
        assertEquals(
                "built-in set si-100kv-26um, a starting point: calibrate; Yale nanofabrication pages on the proximity effect",
                PsfPresets.find("si-100kv-26um").orElseThrow().file(10).source());
        assertEquals(
                "built-in set si-100kv, a starting point: calibrate",
                PsfPresets.find("si-100kv").orElseThrow().file(10).source());
    }

    /** M. A. McCord, M. J. Rooks (1997), from memory: 300 nm at 50 kV broaden by 0.9 (300/50)^1.5 = 13.227 nm. */
    @Test
    void directRangeJoinsForwardScatteringAndBeam() {
        PsfPreset set = PsfPresets.find("si-50kv").orElseThrow();
        assertEquals(13.227e-3 * 0.600561, set.psf(0).direct().rangeUm(), 1e-6);
        assertEquals(
                Math.sqrt(13.227 * 13.227 + 20 * 20) * 1e-3 * 0.600561,
                set.psf(20).direct().rangeUm(),
                1e-6);
    }

    @Test
    void beamWidensEveryTermInSquares() {
        PointSpreadFunction wide =
                GaussianBeam.widen(PointSpreadFunction.doubleGaussian(0.03, 0.04, 1), 50 / 0.600561204);
        assertEquals(Math.hypot(0.03, 0.05), wide.terms().get(0).rangeUm(), 1e-9);
        assertEquals(Math.hypot(0.04, 0.05), wide.terms().get(1).rangeUm(), 1e-9);
        assertEquals(1, wide.eta(), 1e-12);
    }
}
