package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.TestPatterns;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import java.io.ByteArrayInputStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.OptionalDouble;
import java.util.TreeSet;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.Test;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;

/** The element names are those of KLayout's layer properties files, from memory; KLayout 0.28 loads the file and finds all layers. */
class LevelColoursTest {
    private static DoseTable table(OptionalDouble baseDose) {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 30_000, 30_000);
        polygons.addRectangle(1, 40_000, 0, 40_200, 30_000);
        var options = CorrectionOptions.builder(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
        if (baseDose.isPresent()) {
            options.baseDoseUcPerCm2(baseDose.getAsDouble());
        }
        return TestPatterns.correct(
                polygons,
                0.001,
                List.of(LayerRole.corrected(new Layer(7, 3)), LayerRole.corrected(new Layer(9, 0))),
                options.build(),
                Workers.of(1),
                Progress.NONE);
    }

    private static String text(Element entry, String name) {
        NodeList found = entry.getElementsByTagName(name);
        assertEquals(1, found.getLength(), name);
        return found.item(0).getTextContent();
    }

    @Test
    void everyLayerAndLevelThatIsUsedHasItsColour() throws Exception {
        DoseTable table = table(OptionalDouble.of(300));
        String xml = LevelColours.xml(table);
        assertTrue(xml.startsWith("<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<layer-properties>\n <properties>\n"));
        Document document = DocumentBuilderFactory.newInstance()
                .newDocumentBuilder()
                .parse(new ByteArrayInputStream(xml.getBytes(StandardCharsets.UTF_8)));
        assertEquals("layer-properties", document.getDocumentElement().getTagName());
        NodeList entries = document.getElementsByTagName("properties");
        TreeSet<String> expected = new TreeSet<>();
        for (int u = 0; u < table.pieces().units(); u++) {
            int number = u < table.pieces().shapeFirst(1) ? 7 : 9;
            expected.add(number + "/" + table.level(u) + "@1");
        }
        TreeSet<String> sources = new TreeSet<>();
        int lastLight = Integer.MAX_VALUE;
        for (int k = 0; k < entries.getLength(); k++) {
            Element entry = (Element) entries.item(k);
            String source = text(entry, "source");
            sources.add(source);
            int level = Integer.parseInt(source.substring(2, source.indexOf('@')));
            String colour = text(entry, "fill-color");
            assertTrue(colour.matches("#[0-9a-f]{6}"), colour);
            assertEquals(colour, text(entry, "frame-color"));
            // Within a layer doses rise, and colours darken.
            int light = Integer.parseInt(colour.substring(3, 5), 16);
            assertTrue(light <= lastLight || source.startsWith("9"), source);
            lastLight = light;
            assertEquals(
                    String.format(
                            java.util.Locale.ROOT,
                            "%s: dose factor %.4f, %.1f uC/cm^2",
                            source.substring(0, source.indexOf('@')),
                            table.levels().factor(level),
                            300 * table.levels().factor(level)),
                    text(entry, "name"));
        }
        assertEquals(expected, sources);
        assertEquals(expected.size(), entries.getLength(), "one entry each");
        assertTrue(expected.size() > 5);
        // The lone line takes the highest dose, which is the darkest colour; the pad's middle the lightest.
        int highest = table.levels().size() - 1;
        assertTrue(xml.contains(String.format("<fill-color>#%06x</fill-color>", ColourScale.rgb(0))));
        assertTrue(sources.contains("9/" + highest + "@1"));
        assertTrue(xml.contains(String.format("<fill-color>#%06x</fill-color>", ColourScale.rgb(1))));
    }

    @Test
    void withoutABaseDoseNamesGiveFactorsAlone() {
        assertTrue(!LevelColours.xml(table(OptionalDouble.empty())).contains("uC/cm^2"));
    }
}
