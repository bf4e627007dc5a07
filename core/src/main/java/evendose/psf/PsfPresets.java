package evendose.psf;

import evendose.psf.PsfPreset.Mark;
import java.util.List;
import java.util.Optional;

/** The built-in parameter sets, by substrate and beam energy. */
public final class PsfPresets {
    private static final List<PsfPreset> ALL = List.of(
            preset("si-20kv", "Si", 20, 2.0, Mark.M, 0.75, "literature, from memory: beta 2.0 um, eta 0.7-0.8"),
            preset(
                    "si-25kv",
                    "Si",
                    25,
                    2.8,
                    Mark.M,
                    0.70,
                    "M. Parikh, D. F. Kyser, J. Appl. Phys. 50, 1104 (1979), from memory: beta 2.6-3.0 um, eta 0.6-0.8"),
            preset("si-50kv", "Si", 50, 9.5, Mark.M, 0.62, "literature, from memory: beta 9-10 um, eta 0.5-0.75"),
            preset("si-100kv", "Si", 100, 31, Mark.M, 0.60, "literature, from memory: beta 30-33 um, eta 0.5-0.7"),
            preset(
                    "si-100kv-26um",
                    "Si",
                    100,
                    26,
                    Mark.P,
                    0.60,
                    "beta: Yale nanofabrication pages on the proximity effect; eta: literature, from memory, 0.5-0.7"),
            preset("gaas-50kv", "GaAs", 50, 4.5, Mark.M, 1.2, "literature, from memory: beta 4-5 um, eta 1.0-1.4"),
            preset("gaas-100kv", "GaAs", 100, 14.5, Mark.M, 1.0, "literature, from memory: beta 13-16 um, eta 0.7-1.3"),
            preset(
                    "quartz-cr-50kv",
                    "Cr on quartz",
                    50,
                    9.5,
                    Mark.M,
                    0.65,
                    "literature, from memory: beta 9-10 um, eta 0.5-0.8"));

    private PsfPresets() {}

    private static PsfPreset preset(
            String name, String substrate, double energyKev, double betaUm, Mark betaMark, double eta, String source) {
        // No ratio in the list has a citation that was read again.
        return new PsfPreset(name, substrate, energyKev, betaUm, betaMark, eta, Mark.M, source);
    }

    /** All sets, by substrate and energy. */
    public static List<PsfPreset> all() {
        return ALL;
    }

    /** The set of that name, if there is one. */
    public static Optional<PsfPreset> find(String name) {
        return ALL.stream().filter(p -> p.name().equals(name)).findFirst();
    }
}
