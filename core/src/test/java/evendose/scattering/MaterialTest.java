package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.files.BadInputException;
import java.nio.file.Path;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Materials and stack files. */
class MaterialTest {
    /** Mass fractions of PMMA in the NIST composition tables: H 0.080538, C 0.599848, O 0.319614 (from memory). */
    @Test
    void formulaGivesMassFractions() {
        Material pmma = Materials.of("PMMA");
        assertEquals(0.599848, pmma.components().get(0).massFraction(), 2e-5);
        assertEquals(0.080538, pmma.components().get(1).massFraction(), 2e-5);
        assertEquals(0.319614, pmma.components().get(2).massFraction(), 2e-5);
        assertEquals(0.53937, pmma.meanZOverA(), 2e-5);
    }

    @Test
    void formulasMayBeWrittenInSeveralWays() {
        Material plain = Material.of("a", "C2H6O", 1, "");
        assertEquals(
                plain.components().size(),
                Material.of("a", "CH3CH2OH", 1, "").components().size());
        assertEquals(plain.meanZOverA(), Material.of("a", "CH3(CH2)OH", 1, "").meanZOverA(), 1e-12);
        assertEquals(plain.meanZOverA(), Material.of("a", "((CH3)2)O", 1, "").meanZOverA(), 1e-12);
        assertEquals(
                Material.of("a", "Al3Ga7As10", 5, "").meanZ(),
                Material.of("a", "Al0.3Ga0.7As", 5, "").meanZ(),
                1e-9);
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "h2", "Xx", "C)", "(C", "()", "C1.2.3", "C0", "2C", "C H", "(C)0", "C-1"})
    void slipsInFormulasAreToldWithTheirPlace(String formula) {
        String message = assertThrows(IllegalArgumentException.class, () -> Material.of("a", formula, 1, ""))
                .getMessage();
        assertTrue(message.startsWith("chemical formula \"" + formula + "\" cannot be read at character "), message);
    }

    @Test
    void builtInMaterialsAreThereWithSources() {
        for (String name :
                "PMMA HSQ SiO2 Si Si3N4 GaAs InP Al2O3 LiNbO3 diamond Al Ti Cr Cu Mo Ag Ta W Pt Au".split(" ")) {
            assertTrue(Materials.find(name).isPresent(), name);
        }
        assertEquals(
                Materials.all().size(),
                Materials.all().stream()
                        .map(Material::name)
                        .collect(Collectors.toSet())
                        .size());
        for (Material m : Materials.all()) {
            assertTrue(m.source().startsWith("density: "), m.name());
            assertFalse(m.densityGPerCm3() < 0.9 || m.densityGPerCm3() > 23, m.name());
        }
    }

    /** What is built in comes out the same when its formula and density are given instead; carbon has two forms of one formula. */
    @Test
    void builtInMaterialsByFormulaAndDensity() {
        for (Material m : Materials.all()) {
            Material again = LayerStack.parse(
                            "s.json",
                            "{\"layers\":[{\"material\":{\"formula\":\"" + m.formula() + "\",\"density_g_per_cm3\":"
                                    + m.densityGPerCm3() + "},\"resist\":true}]}")
                    .layers()
                    .get(0)
                    .material();
            assertEquals(m.components(), again.components(), m.name());
            assertEquals(m.densityGPerCm3(), again.densityGPerCm3());
            if (!m.formula().equals("C")) {
                assertEquals(m.meanExcitationEv(), again.meanExcitationEv(), m.name());
            }
        }
        assertEquals("PMMA", Materials.of("C5H8O2").name());
    }

    /**
     * Elements are complete to uranium. Values of ICRU Report 37 for the mean excitation energy (eV) rise with Z but for shell effects:
     * I/Z lies between 8.7 and 13 eV from Ne on (common knowledge: about 10 eV), and densities stand as in the tables of NIST (from
     * memory): osmium is the densest, and the only gases are the eleven of the periodic table.
     */
    @Test
    void elementsAreCompleteToUranium() {
        for (int z = 1; z <= 92; z++) {
            Element e = Element.all().get(z - 1);
            assertEquals(z, e.atomicNumber());
            assertTrue(e.atomicWeight() / z >= 1 && e.atomicWeight() / z < 2.7, e.symbol());
            assertTrue(z < 10 || e.meanExcitationEv() / z > 8.7 && e.meanExcitationEv() / z < 13.8, e.symbol());
            assertTrue(Materials.find(e.symbol()).isPresent(), e.symbol());
            assertTrue(e.densityGPerCm3() <= Element.of("Os").densityGPerCm3(), e.symbol());
        }
        assertEquals("U", Element.all().get(91).symbol());
        assertEquals(
                "H He N O F Ne Cl Ar Br Kr Xe Rn",
                Element.all().stream()
                        .filter(e -> e.densityGPerCm3() < 0.05)
                        .map(Element::symbol)
                        .collect(Collectors.joining(" ")));
        assertEquals(10, Element.all().stream().filter(Element::published).count());
        for (Material m : Materials.all()) {
            if (m.formula().equals(m.name()) && Element.find(m.name()).isPresent()) {
                assertEquals(
                        Element.of(m.name()).densityGPerCm3(),
                        m.densityGPerCm3(),
                        0.001 * m.densityGPerCm3(),
                        m.name());
            }
        }
    }

    @ParameterizedTest
    @CsvSource({"pmma, PMMA", "Sio2, SiO2", "polystyrol, polystyrene", "GaAS, GaAs", "si, Si", "Graphit, graphite"})
    void slipsInNamesAreAnswered(String slip, String meant) {
        BadInputException e = assertThrows(
                BadInputException.class,
                () -> LayerStack.parse("s.json", "{\"layers\":[{\"material\":\"" + slip + "\",\"resist\":true}]}"));
        assertTrue(e.getMessage().contains("\"; did you mean " + meant), e.getMessage());
    }

    @Test
    void resistOfAnotherThickness() {
        LayerStack stack = LayerStack.of(Materials.of("PMMA"), 300, Materials.of("Si"));
        assertEquals("120 nm PMMA (resist) / Si", stack.withResistNm(120).describe());
        assertThrows(IllegalArgumentException.class, () -> stack.withResistNm(0));
    }

    @Test
    void stackFileIsRead() {
        LayerStack stack = LayerStack.parse(
                "s.json",
                "{\"layers\":[{\"material\":\"Al\",\"thickness_nm\":12.5},"
                        + "{\"material\":{\"formula\":\"C9H10\",\"density_g_per_cm3\":1.1,\"name\":\"mine\","
                        + "\"mean_excitation_ev\":70},\"thickness_nm\":300,\"resist\":true},{\"material\":\"Si\"}]}");
        assertEquals("12.5 nm Al / 300 nm mine (resist) / Si", stack.describe());
        assertEquals(1, stack.resistIndex());
        assertEquals(70, stack.layers().get(1).material().meanExcitationEv());
        assertTrue(Double.isInfinite(stack.layers().get(2).thicknessNm()));
    }

    @Test
    void demoStackIsRead() {
        assertEquals(
                "300 nm PMMA (resist) / Si",
                LayerStack.read(Path.of("../testdata/demo/pmma-on-silicon.json"))
                        .describe());
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            quoteCharacter = '`',
            value = {
                "{\"layers\":[{\"material\":\"Si\"}]}| s.json, layers: exactly one layer must be marked as the resist",
                "{\"layers\":[{\"material\":\"PMMA\",\"resist\":true},{\"material\":\"Si\"}]}"
                        + "| s.json, layers[0]: \"thickness_nm\" is missing; only the last layer may be without",
                "{\"layers\":[{\"material\":\"Unobtainium\",\"resist\":true}]}"
                        + "| s.json, layers[0].material: no built-in material is called \"Unobtainium\"; give an object",
                "{\"layers\":[{\"material\":\"Si\",\"resist\":1}]}| s.json, layers[0].resist: must be true or false, is 1",
                "{\"layers\":[{\"material\":\"Si\",\"thickness_nm\":-3,\"resist\":true}]}"
                        + "| s.json, layers[0].thickness_nm: must be above 0, is -3.0",
                "{\"layers\":[{\"material\":\"Si\",\"thicknes_nm\":3,\"resist\":true}]}"
                        + "| s.json, layers[0]: unknown key \"thicknes_nm\"; known are",
                "{\"layers\":[{\"material\":{\"formula\":\"Zz\",\"density_g_per_cm3\":1},\"resist\":true}]}"
                        + "| s.json, layers[0].material.formula: chemical formula \"Zz\" cannot be read at character 1",
                "{\"layers\":[{\"material\":{\"formula\":\"Si\"},\"resist\":true}]}"
                        + "| s.json, layers[0].material: \"density_g_per_cm3\" is missing",
                "{\"layers\":[{\"material\":{\"formula\":\"Si\",\"density_g_per_cm3\":2,\"mean_excitation_ev\":9000},"
                        + "\"resist\":true}]}| s.json, layers[0].material.mean_excitation_ev: mean excitation energy",
                "{\"layers\":{}}| s.json, layers: must be a list [ ... ], is an object",
            })
    void slipsInStackFilesAreToldWithTheirPlace(String text, String message) {
        BadInputException e = assertThrows(BadInputException.class, () -> LayerStack.parse("s.json", text));
        assertTrue(e.getMessage().startsWith(message), e.getMessage());
    }
}
