package evendose.units;

import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * Quantities as they come in input files, with limits so wide that a value beyond is a slip: most often a number in another unit.
 * The limits are common practice and physics (no solid is denser than osmium), not precision.
 */
public enum Plausible {
    /** Density of a solid, g/cm^3. */
    DENSITY("g/cm^3", 0.03, 25, new Unit("kg/m^3", 1e-3), new Unit("kg/cm^3", 1e3)),
    /** Thickness of a layer under, over or in a resist, nm: from an atom to a decimetre. */
    THICKNESS("nm", 0.1, 1e8, new Unit("m", 1e9), new Unit("um", 1e3), new Unit("mm", 1e6)),
    /** Thickness or depth of a resist, nm: from a molecule to a millimetre. */
    RESIST_THICKNESS("nm", 1, 1e6, new Unit("m", 1e9), new Unit("um", 1e3), new Unit("pm", 1e-3)),
    /** Beam energy, keV. */
    ENERGY("keV", 0.1, 1000, new Unit("eV", 1e-3), new Unit("MeV", 1e3)),
    /** Range of beam and forward scattering, the shortest of a point spread function, um. */
    DIRECT_RANGE("um", 1e-4, 5, new Unit("nm", 1e-3), new Unit("m", 1e6)),
    /** Any range of a point spread function, um: from 0.1 nm to a decimetre, which fogging may reach. */
    RANGE("um", 1e-4, 1e5, new Unit("nm", 1e-3), new Unit("m", 1e6)),
    /** Largest radius of a profile, um. */
    PROFILE_RADIUS("um", 0.05, 1e4, new Unit("nm", 1e-3), new Unit("m", 1e6), new Unit("mm", 1e3)),
    /** Beam current of a writer with a Gaussian beam, nA. */
    CURRENT("nA", 1e-4, 1000, new Unit("A", 1e9), new Unit("pA", 1e-3)),
    /** Diameter of such a beam, nm. */
    BEAM("nm", 0.1, 1e4, new Unit("m", 1e9), new Unit("um", 1e3), new Unit("pm", 1e-3)),
    /** Dose of a resist, uC/cm^2. */
    DOSE("uC/cm^2", 0.1, 1e6, new Unit("C/cm^2", 1e6), new Unit("C/m^2", 1e2), new Unit("pC/cm^2", 1e-6));

    /** Another unit, and how many of the wanted one it is. */
    private record Unit(String name, double wanted) {}

    private final String unit;
    private final double least;
    private final double most;
    private final List<Unit> slips;

    Plausible(String unit, double least, double most, Unit... slips) {
        this.unit = unit;
        this.least = least;
        this.most = most;
        this.slips = List.of(slips);
    }

    /**
     * {@return what to tell about a value in the wanted unit that cannot be meant, with the unit it is probably in; empty if it can}
     *
     * @param value a value as it was given
     */
    public Optional<String> objection(double value) {
        if (value >= least && value <= most) {
            return Optional.empty();
        }
        String told = String.format(
                Locale.ROOT, "%s %s cannot be meant (%s to %s)", plain(value), unit, plain(least), plain(most));
        return Optional.of(slips.stream()
                .filter(u -> value * u.wanted() >= least && value * u.wanted() <= most)
                .findFirst()
                .map(u -> String.format(
                        Locale.ROOT, "%s; if it is in %s, write %s", told, u.name(), plain(value * u.wanted())))
                .orElse(told));
    }

    private static String plain(double value) {
        return String.format(Locale.ROOT, "%.6g", value)
                .replaceAll("(\\.\\d*?)0+(e|$)", "$1$2")
                .replaceAll("\\.(e|$)", "$1");
    }
}
