package evendose.verification;

import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.List;
import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.solvers.BrentSolver;

/** Measures developed widths at gauges: the distance between the two places where the contour crosses the gauge's line. */
public final class WidthMeasurement {
    /** Share of the drawn width that the dose window allows. */
    private static final double WINDOW = 0.1;

    /** Doses are searched up to this factor both ways. */
    private static final double MOST_DOSE = 3;

    /** Largest fall of all doses that is searched for a dose window, %. */
    public static final double MOST_DOWN_PERCENT = 100 * (1 - 1 / MOST_DOSE);

    /** Largest rise of all doses that is searched for a dose window, %. */
    public static final double MOST_UP_PERCENT = 100 * (MOST_DOSE - 1);

    private final Exposure exposure;
    private final ContourSearch search;

    /** Measures in {@code exposure}. */
    WidthMeasurement(Exposure exposure) {
        this.exposure = exposure;
        this.search = ContourSearch.of(exposure.psf());
    }

    /**
     * Developed width, um.
     *
     * @param energy the energy
     * @param g where to measure
     * @param doseScale factor on all doses, positive
     * @return the width, or NaN where the line does not develop with two edges
     */
    double widthUm(PointEnergy energy, WidthGauge g, double doseScale) {
        double threshold = exposure.threshold(g.layer(), g.middleXUm(), g.middleYUm()) / doseScale;
        double near = search.displacementUm(energy, threshold, g.xUm(), g.yUm(), -g.ux(), -g.uy(), g.drawnUm());
        double far = search.displacementUm(
                energy,
                threshold,
                g.xUm() + g.drawnUm() * g.ux(),
                g.yUm() + g.drawnUm() * g.uy(),
                g.ux(),
                g.uy(),
                g.drawnUm());
        double width = g.drawnUm() + near + far;
        return Double.isFinite(width) && width > 0 ? width : Double.NaN;
    }

    /** Developed widths of all gauges, um, a new array. */
    double[] widthsUm(PointEnergy energy, List<WidthGauge> gauges, Workers workers) {
        double[] width = new double[gauges.size()];
        workers.run(width.length, i -> width[i] = widthUm(onLine(energy, gauges.get(i)), gauges.get(i), 1));
        return width;
    }

    /** The energy prepared for the gauge's line. */
    PointEnergy onLine(PointEnergy energy, WidthGauge g) {
        double reach = search.reachUm();
        return energy.onLine(g.xUm(), g.yUm(), g.ux(), g.uy(), -reach, g.drawnUm() + reach);
    }

    /**
     * {@return everything about each gauge}
     *
     * @param before energy with factor 1 everywhere
     * @param after energy with the doses
     * @param gauges where to measure
     * @param workers threads to compute on
     */
    List<LineWidth> measure(PointEnergy before, PointEnergy after, List<WidthGauge> gauges, Workers workers) {
        LineWidth[] widths = new LineWidth[gauges.size()];
        workers.run(widths.length, i -> {
            WidthGauge g = gauges.get(i);
            widths[i] = measure(onLine(before, g), onLine(after, g), g);
        });
        return Arrays.asList(widths);
    }

    private LineWidth measure(PointEnergy before, PointEnergy after, WidthGauge g) {
        double up = widthUm(after, g, 1.01);
        double down = widthUm(after, g, 1 / 1.01);
        double inside = after.at(g.middleXUm(), g.middleYUm());
        double beside = Math.min(0.5 * g.gapUm(), 10 * exposure.psf().direct().rangeUm());
        double outside = after.at(g.xUm() - beside * g.ux(), g.yUm() - beside * g.uy());
        return new LineWidth(
                g,
                widthUm(before, g, 1),
                widthUm(after, g, 1),
                (inside - outside) / (inside + outside),
                1e3 * (up - down) / 2,
                100 * (1 - doseFor(after, g, 1 - WINDOW)),
                100 * (doseFor(after, g, 1 + WINDOW) - 1));
    }

    /** Factor on all doses at which the width is {@code share} of the drawn one; NaN if there is none on that side of 1. */
    private double doseFor(PointEnergy energy, WidthGauge g, double share) {
        // A line that is gone counts as width 0, one that has met its neighbour as twice its width.
        UnivariateFunction off = scale -> {
            double width = widthUm(energy, g, scale);
            double middle = energy.at(g.middleXUm(), g.middleYUm()) * scale;
            boolean gone = middle < exposure.threshold(g.layer(), g.middleXUm(), g.middleYUm());
            return (Double.isNaN(width) ? (gone ? 0 : 2 * g.drawnUm()) : width) / g.drawnUm() - share;
        };
        double sign = Math.signum(share - 1);
        double lower = sign < 0 ? 1 / MOST_DOSE : 1;
        double upper = sign < 0 ? 1 : MOST_DOSE;
        if (off.value(lower) > 0) {
            return sign < 0 ? lower : Double.NaN;
        }
        if (off.value(upper) < 0) {
            return sign < 0 ? Double.NaN : upper;
        }
        return new BrentSolver(1e-9, 1e-6).solve(100, off, lower, upper);
    }
}
