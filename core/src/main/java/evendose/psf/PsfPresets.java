package evendose.psf;

import evendose.Supported;
import evendose.psf.PsfPreset.Value;
import java.util.List;
import java.util.Optional;

/**
 * The built-in parameter sets, by substrate and beam energy. Beside each value stands what is published and where; most spreads
 * are recalled from the literature without a publication that could be named.
 */
@Supported
public final class PsfPresets {
    private static final String NONE = "";
    private static final String PARIKH = "M. Parikh, D. F. Kyser, J. Appl. Phys. 50, 1104 (1979), from memory";
    private static final String YALE = "Yale nanofabrication pages on the proximity effect";

    private static final List<PsfPreset> ALL = List.of(
            new PsfPreset("si-20kv", "Si", 20, new Value(2.0, "2.0", NONE), new Value(0.75, "0.7-0.8", NONE)),
            new PsfPreset("si-25kv", "Si", 25, new Value(2.8, "2.6-3.0", PARIKH), new Value(0.70, "0.6-0.8", PARIKH)),
            new PsfPreset("si-50kv", "Si", 50, new Value(9.5, "9-10", NONE), new Value(0.62, "0.5-0.75", NONE)),
            new PsfPreset("si-100kv", "Si", 100, new Value(31, "30-33", NONE), new Value(0.60, "0.5-0.7", NONE)),
            new PsfPreset("si-100kv-26um", "Si", 100, new Value(26, "26", YALE), new Value(0.60, "0.5-0.7", NONE)),
            new PsfPreset("gaas-50kv", "GaAs", 50, new Value(4.5, "4-5", NONE), new Value(1.2, "1.0-1.4", NONE)),
            new PsfPreset("gaas-100kv", "GaAs", 100, new Value(14.5, "13-16", NONE), new Value(1.0, "0.7-1.3", NONE)),
            new PsfPreset(
                    "quartz-cr-50kv",
                    "Cr on quartz",
                    50,
                    new Value(9.5, "9-10", NONE),
                    new Value(0.65, "0.5-0.8", NONE)));

    private PsfPresets() {}

    /** {@return all sets, by substrate and energy} */
    public static List<PsfPreset> all() {
        return ALL;
    }

    /**
     * {@return the set of that name, if there is one}
     *
     * @param name name of the set
     */
    public static Optional<PsfPreset> find(String name) {
        return ALL.stream().filter(p -> p.name().equals(name)).findFirst();
    }
}
