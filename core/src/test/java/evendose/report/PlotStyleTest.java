package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.text.DecimalFormat;
import java.text.DecimalFormatSymbols;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.knowm.xchart.XYChart;

class PlotStyleTest {
    /** Numbers along one axis are written alike, whatever decades it spans, and say what they stand for. */
    @ParameterizedTest
    @CsvSource({"1, 1e4, false", "1e-4, 1e5, false", "1, 1e6, true", "1e-6, 1, true"})
    void logarithmicAxesAreLabelledInOneWay(double least, double most, boolean powers) {
        double[] ends = PlotStyle.decades(least, most);
        XYChart chart = PlotStyle.plot("title", "across", "up");
        PlotStyle.logarithmic(chart, ends, ends);
        for (String pattern : List.of(
                chart.getStyler().getXAxisDecimalPattern(), chart.getStyler().getYAxisDecimalPattern())) {
            DecimalFormat format = new DecimalFormat(pattern, DecimalFormatSymbols.getInstance(Locale.ROOT));
            for (double value = least; value < 1.1 * most; value *= 10) {
                String label = format.format(value);
                assertEquals(powers, label.contains("E"), label);
                assertEquals(value, Double.parseDouble(label), 1e-9 * value, label);
            }
        }
        assertTrue(chart.getStyler().isXAxisLogarithmic() && chart.getStyler().isYAxisLogarithmic());
    }
}
