package evendose.verification;

import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** A layout that is hard on doses: square pads of many sizes, each with another as large or smaller before the middle of its right side. */
final class GapPads {
    static final Layer LAYER = new Layer(1, 0);

    /** Gaps and sizes of {@code testdata/demo/gap-pads.csv}, um. */
    static final double[] GAPS = {0.03, 0.05, 0.1, 0.2, 0.5};

    static final double[] SIZES = {1, 3, 10, 30, 100};
    static final double[] SMALL_SIZES = {1, 10, 100};

    private static final double APART = 5;

    private GapPads() {}

    /** Left, bottom, right, top of each pad, um. */
    static List<double[]> boxes(double[] gaps, double[] sizes, double[] smallSizes) {
        List<double[]> boxes = new ArrayList<>();
        double y = 0;
        for (double gap : gaps) {
            double x = 0;
            for (double a : sizes) {
                for (double b : smallSizes) {
                    if (b <= a) {
                        boxes.add(new double[] {x, y, x + a, y + a});
                        boxes.add(new double[] {x + a + gap, y + (a - b) / 2, x + a + gap + b, y + (a + b) / 2});
                        x += a + gap + b + APART;
                    }
                }
            }
            y += sizes[sizes.length - 1] + APART;
        }
        return boxes;
    }

    /** The rows of a table of shapes. */
    static String csv(List<double[]> boxes) {
        StringBuilder text = new StringBuilder("x_min_um,y_min_um,x_max_um,y_max_um,layer,datatype\n");
        for (double[] b : boxes) {
            text.append(String.format(Locale.ROOT, "%.3f,%.3f,%.3f,%.3f,1,0\n", b[0], b[1], b[2], b[3]));
        }
        return text.toString();
    }

    static Layout layout(List<double[]> boxes) {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        boxes.forEach(b -> builder.rectangles(LAYER, b));
        return builder.build();
    }
}
