package evendose.report.scattering;

import java.awt.image.BufferedImage;
import org.knowm.xchart.BitmapEncoder;
import org.knowm.xchart.XYChart;

/** A chart painted; a class of its own because the public one must be linked without the library (see DrawingLibraries). */
final class ChartImage {
    private ChartImage() {}

    static BufferedImage of(XYChart chart) {
        return BitmapEncoder.getBufferedImage(chart);
    }
}
