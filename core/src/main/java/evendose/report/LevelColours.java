package evendose.report;

import evendose.correction.DoseLevels;
import evendose.correction.DoseTable;
import evendose.layout.Layer;
import evendose.pieces.Pieces;
import java.io.StringWriter;
import java.util.Comparator;
import java.util.Locale;
import java.util.Set;
import java.util.TreeSet;
import javax.xml.stream.XMLOutputFactory;
import javax.xml.stream.XMLStreamException;
import javax.xml.stream.XMLStreamWriter;

/**
 * The layer properties, in the open XML form of the layout viewer KLayout, that colour the levels of a corrected layout by dose: one
 * entry for each layer and level that is used, dark where the dose is high, by rising layer and dose. What each element means is
 * that program's; only colours, a solid fill, the name and the source of each entry are set.
 */
public final class LevelColours {
    private LevelColours() {}

    /**
     * {@return the text of {@code corrected-levels.lyp}}
     *
     * @param table the doses
     */
    public static String xml(DoseTable table) {
        Pieces pieces = table.pieces();
        Set<Layer> used = new TreeSet<>(Comparator.comparingInt(Layer::number).thenComparingInt(Layer::datatype));
        for (int s = 0; s < pieces.shapes(); s++) {
            int number = table.roles().get(pieces.layerOfShape(s)).layer().number();
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                used.add(new Layer(number, table.level(u)));
            }
        }
        DoseLevels levels = table.levels();
        DoseColours colours = DoseColours.over(levels.factor(0), levels.factor(levels.size() - 1));
        StringWriter text = new StringWriter();
        try {
            XMLStreamWriter xml = XMLOutputFactory.newInstance().createXMLStreamWriter(text);
            xml.writeStartDocument("utf-8", "1.0");
            start(xml, 0, "layer-properties");
            for (Layer layer : used) {
                double factor = levels.factor(layer.datatype());
                entry(xml, layer, name(table, layer, factor), String.format("#%06x", colours.rgb(factor)));
            }
            end(xml, 0);
            xml.writeEndDocument();
            return text + "\n";
        } catch (XMLStreamException e) {
            throw new IllegalStateException("memory can always be written to", e);
        }
    }

    private static String name(DoseTable table, Layer layer, double factor) {
        String dose = table.options().baseDoseUcPerCm2().isPresent()
                ? String.format(
                        Locale.ROOT,
                        ", %.1f uC/cm^2",
                        factor * table.options().baseDoseUcPerCm2().getAsDouble())
                : "";
        return String.format(Locale.ROOT, "%d/%d: dose factor %.4f%s", layer.number(), layer.datatype(), factor, dose);
    }

    private static void entry(XMLStreamWriter xml, Layer layer, String name, String colour) throws XMLStreamException {
        start(xml, 1, "properties");
        value(xml, "frame-color", colour);
        value(xml, "fill-color", colour);
        value(xml, "frame-brightness", "0");
        value(xml, "fill-brightness", "0");
        // The viewer's built-in solid fill.
        value(xml, "dither-pattern", "I0");
        value(xml, "valid", "true");
        value(xml, "visible", "true");
        value(xml, "transparent", "false");
        value(xml, "marked", "false");
        value(xml, "animation", "0");
        value(xml, "name", name);
        value(xml, "source", layer.number() + "/" + layer.datatype() + "@1");
        end(xml, 1);
    }

    private static void start(XMLStreamWriter xml, int depth, String element) throws XMLStreamException {
        indent(xml, depth);
        xml.writeStartElement(element);
    }

    private static void value(XMLStreamWriter xml, String element, String value) throws XMLStreamException {
        start(xml, 2, element);
        xml.writeCharacters(value);
        xml.writeEndElement();
    }

    private static void end(XMLStreamWriter xml, int depth) throws XMLStreamException {
        indent(xml, depth);
        xml.writeEndElement();
    }

    private static void indent(XMLStreamWriter xml, int depth) throws XMLStreamException {
        xml.writeCharacters("\n" + " ".repeat(depth));
    }
}
