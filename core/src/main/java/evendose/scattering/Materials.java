package evendose.scattering;

import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.stream.IntStream;
import java.util.stream.Stream;

/**
 * The built-in materials.
 *
 * <p>Sources of densities, named per material: <em>NIST</em> the composition tables of the NIST stopping-power programs
 * (M. J. Berger et al., NISTIR 4999), <em>CRC</em> the CRC Handbook of Chemistry and Physics, both from memory;
 * <em>practice</em> a value in common use for films of that kind, to be replaced by a measured one where it matters. Mean
 * excitation energies are those of {@link Element}, by Bragg's rule in compounds, unless the source names another.
 */
public final class Materials {
    private static final String NIST = "density: NIST (from memory)";
    private static final String CRC = "density: CRC Handbook (from memory)";
    private static final String PRACTICE = "density: common practice";

    private static final List<Material> ALL = List.of(
            // Resists.
            Material.of("PMMA", "C5H8O2", 1.19, NIST + "; I: NIST").withMeanExcitationEv(74.0),
            Material.of("HSQ", "HSiO1.5", 1.4, PRACTICE),
            Material.of("novolak", "C8H8O", 1.2, PRACTICE),
            Material.of("chloroacrylate-methylstyrene", "C13H15ClO2", 1.2, PRACTICE),
            Material.of("polystyrene", "C8H8", 1.06, NIST + "; I: ICRU 37 (from memory)")
                    .withMeanExcitationEv(68.7),
            Material.of("polyimide", "C22H10N2O5", 1.42, NIST + "; I: ICRU 37 (from memory)")
                    .withMeanExcitationEv(79.6),
            // Dielectrics.
            Material.of("SiO2", "SiO2", 2.20, CRC + ", fused; I: ICRU 37 (from memory)")
                    .withMeanExcitationEv(139.2),
            Material.of("quartz", "SiO2", 2.65, CRC + "; I: ICRU 37 (from memory)")
                    .withMeanExcitationEv(139.2),
            Material.of("Si3N4", "Si3N4", 3.17, CRC),
            Material.of("Al2O3", "Al2O3", 3.97, CRC + ", sapphire; I: ICRU 37 (from memory)")
                    .withMeanExcitationEv(145.2),
            Material.of("LiNbO3", "LiNbO3", 4.64, CRC),
            Material.of("diamond", "C", 3.51, CRC),
            Material.of("HfO2", "HfO2", 9.68, CRC),
            Material.of("TiO2", "TiO2", 4.23, CRC + ", rutile"),
            Material.of("MgO", "MgO", 3.58, CRC),
            Material.of("SrTiO3", "SrTiO3", 5.12, CRC),
            // Semiconductors.
            Material.of("Si", "Si", 2.33, NIST),
            Material.of("Ge", "Ge", 5.323, NIST),
            Material.of("SiC", "SiC", 3.21, CRC),
            Material.of("GaAs", "GaAs", 5.316, CRC),
            Material.of("GaN", "GaN", 6.15, CRC),
            Material.of("GaSb", "GaSb", 5.61, CRC),
            Material.of("AlN", "AlN", 3.26, CRC),
            Material.of("InP", "InP", 4.81, CRC),
            Material.of("InAs", "InAs", 5.68, CRC),
            Material.of("InSb", "InSb", 5.78, CRC),
            Material.of("ZnO", "ZnO", 5.61, CRC),
            // Conductors.
            Material.of("graphite", "C", 2.2, CRC + "; I: NIST").withMeanExcitationEv(78.0),
            Material.of("carbon", "C", 2.0, PRACTICE + ", amorphous"),
            Material.of("ITO", "In1.8Sn0.2O3", 7.1, PRACTICE),
            Material.of("TiN", "TiN", 5.4, CRC),
            Material.of("NbN", "NbN", 8.4, CRC),
            Material.of("MoSi2", "MoSi2", 6.26, CRC),
            Material.of("Al", "Al", 2.699, NIST),
            Material.of("Ti", "Ti", 4.54, NIST),
            Material.of("Cr", "Cr", 7.18, NIST),
            Material.of("Fe", "Fe", 7.874, NIST),
            Material.of("Co", "Co", 8.9, NIST),
            Material.of("Ni", "Ni", 8.902, NIST),
            Material.of("Cu", "Cu", 8.96, NIST),
            Material.of("Nb", "Nb", 8.57, NIST),
            Material.of("Mo", "Mo", 10.22, NIST),
            Material.of("Ru", "Ru", 12.41, NIST),
            Material.of("Pd", "Pd", 12.02, NIST),
            Material.of("Ag", "Ag", 10.5, NIST),
            Material.of("Ta", "Ta", 16.654, NIST),
            Material.of("W", "W", 19.3, NIST),
            Material.of("Pt", "Pt", 21.45, NIST),
            Material.of("Au", "Au", 19.32, NIST));

    private Materials() {}

    /** {@return all of them: resists, dielectrics, semiconductors, conductors} */
    public static List<Material> all() {
        return ALL;
    }

    /**
     * {@return the material of that name, else of that formula if only one built-in material has it, else the element of that symbol}
     *
     * @param name name, formula or symbol
     */
    static Optional<Material> find(String name) {
        Optional<Material> named =
                ALL.stream().filter(m -> m.name().equals(name)).findFirst();
        if (named.isPresent()) {
            return named;
        }
        Optional<Element> element = Element.find(name);
        if (element.isPresent()) {
            return element.map(Materials::of);
        }
        List<Material> same = ALL.stream().filter(m -> m.formula().equals(name)).toList();
        return same.size() == 1 ? Optional.of(same.get(0)) : Optional.empty();
    }

    private static Material of(Element element) {
        return Material.of(element.symbol(), element.symbol(), element.densityGPerCm3(), NIST);
    }

    /**
     * The mean excitation energy (eV) that the built-in materials of the same elements in the same parts agree on; empty if there
     * is none or they differ, as those of graphite and diamond do.
     */
    static OptionalDouble meanExcitationEv(Material like) {
        double[] known = ALL.stream()
                .filter(m -> Set.copyOf(m.components()).equals(Set.copyOf(like.components())))
                .mapToDouble(Material::meanExcitationEv)
                .distinct()
                .toArray();
        return known.length == 1 ? OptionalDouble.of(known[0]) : OptionalDouble.empty();
    }

    /** Names that someone who wrote {@code name} may have meant, the nearest first, at most three. */
    static List<String> nearest(String name) {
        record Near(String name, int edits) {}
        String wanted = name.toLowerCase(Locale.ROOT);
        return Stream.concat(
                        ALL.stream().map(Material::name), Element.all().stream().map(Element::symbol))
                .distinct()
                .map(n -> new Near(n, edits(wanted, n.toLowerCase(Locale.ROOT))))
                .filter(n -> n.edits()
                                <= Math.max(
                                        1, Math.min(wanted.length(), n.name().length()) / 3)
                        || ALL.stream()
                                .anyMatch(m ->
                                        m.name().equals(n.name()) && m.formula().equals(name)))
                .sorted(Comparator.comparingInt(Near::edits))
                .limit(3)
                .map(Near::name)
                .toList();
    }

    /** Letters to insert, leave out or change to make one word of the other. */
    private static int edits(String a, String b) {
        int[] before = IntStream.rangeClosed(0, b.length()).toArray();
        for (int i = 1; i <= a.length(); i++) {
            int[] now = new int[b.length() + 1];
            now[0] = i;
            for (int j = 1; j <= b.length(); j++) {
                int change = before[j - 1] + (a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1);
                now[j] = Math.min(change, 1 + Math.min(before[j], now[j - 1]));
            }
            before = now;
        }
        return before[b.length()];
    }

    /**
     * {@return the material of that name}
     *
     * @param name name, formula or symbol
     * @throws IllegalArgumentException if there is none
     */
    public static Material of(String name) {
        return find(name)
                .orElseThrow(() -> new IllegalArgumentException("no built-in material is called \"" + name + "\""));
    }
}
