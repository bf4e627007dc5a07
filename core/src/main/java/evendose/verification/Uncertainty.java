package evendose.verification;

import evendose.correction.DoseLevels;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.units.PhysicalConstants;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.stream.IntStream;

/**
 * How well a calibration lets widths and edges be known: 95 % intervals about what it predicts for the doses as written.
 *
 * <p>Predictions take the calibration's own point spread function, and its base dose beside the one written with: the resist develops where
 * {@code D E = B / 2}, with D the dose at factor 1, E the energy and B the calibration's base dose. Where D is not known, it is
 * taken to be right. Derivatives are differences over a standard error of each parameter either way, by closed forms; intervals are first-order
 * ones ({@link ErrorBar}). Added are
 *
 * <ul>
 *   <li>shot noise: electrons arrive by chance, so the energy at a straight edge of a dose of n electrons/um^2 varies by {@code n times
 *       the integral of f^2 over the half plane}, which for the direct term, of weight w and range alpha, is {@code n w^2 / (4 pi alpha^2)}:
 *       as the number of electrons on {@code pi alpha^2} does. It moves the edge at one place; the two edges of a line move independently.
 *       What one electron deposits, and the resist, scatter as well and are not in it;
 *   <li>rounding: free doses become the levels of a corrected layout, evenly within half a step either way; all doses around are taken
 *       to be off alike. Doses that are levels already are written as they are.
 * </ul>
 *
 * <p>Accuracy: {@code UncertaintyTest} finds widths of 500 processes drawn from a covariance in 93 to 97 % of the intervals.
 *
 * @param process the calibration
 * @param writtenUcPerCm2 dose at factor 1, uC/cm^2
 * @param levelStepPercent step of the levels that doses are still to be rounded to, %; 0 if they are levels
 * @param widths an interval for each gauge
 * @param edges an interval for the placement at each place away from corners that has one
 * @param meanPlacement that of their mean, from the parameters alone; what else there is averages out
 */
public record Uncertainty(
        CalibratedProcess process,
        double writtenUcPerCm2,
        double levelStepPercent,
        List<ErrorBar> widths,
        List<Edge> edges,
        ErrorBar meanPlacement) {
    private static final double UC = 1e-6;
    private static final double CM2_PER_UM2 = 1e-8;

    /** Variance of what is spread evenly over a length of 1. */
    private static final double EVEN = 1.0 / 12;

    /**
     * A place on a drawn edge.
     *
     * @param xUm x of the place, um
     * @param yUm y of it, um
     * @param placement distance from drawn to developed edge, outward
     */
    public record Edge(double xUm, double yUm, ErrorBar placement) {}

    /**
     * Finds the intervals.
     *
     * @param exposure the doses and what they expose
     * @param areLevels whether the doses are written as they are
     * @param process the calibration
     * @param gauges where to measure widths
     * @param outline the drawn outline
     * @param places where to measure edges, on {@code outline}
     * @param slackUm how far pieces may lie from the drawn outline, um
     * @param workers threads to compute on
     * @param progress hears how far the work is
     */
    static Uncertainty of(
            Exposure exposure,
            boolean areLevels,
            CalibratedProcess process,
            List<WidthGauge> gauges,
            OutlineEdges outline,
            EdgeGauges places,
            double slackUm,
            Workers workers,
            Progress progress) {
        return new Finder(exposure, areLevels, process, gauges, outline, places, slackUm, workers).run(progress);
    }

    /** {@return the number of the width with the widest interval; empty if none has one} */
    public Optional<Integer> worstWidth() {
        return IntStream.range(0, widths.size())
                .filter(i -> widths.get(i).isKnown())
                .boxed()
                .max(Comparator.comparingDouble(i -> widths.get(i).halfWidthNm()));
    }

    /** {@return the widest interval of an edge; empty if there is none} */
    public Optional<Edge> worstEdge() {
        return edges.stream().max(Comparator.comparingDouble(e -> e.placement().halfWidthNm()));
    }

    /** {@return how half the widths of the intervals of edges spread, nm} */
    public Spread edgeHalfWidths() {
        return Spread.of(
                edges.stream().mapToDouble(e -> e.placement().halfWidthNm()).toArray());
    }

    /** {@return how placements spread, nm} */
    public Spread placements() {
        return Spread.of(
                edges.stream().mapToDouble(e -> e.placement().valueNm()).toArray());
    }

    /** Electrons a square micrometre of a dose. */
    static double electronsPerUm2(double doseUcPerCm2) {
        return doseUcPerCm2 * UC * CM2_PER_UM2 / PhysicalConstants.ELEMENTARY_CHARGE_C;
    }

    /**
     * Standard deviation of the energy at a straight edge, relative to a plane at factor 1.
     *
     * @param factor dose factor beside the edge
     * @param electronsPerUm2 electrons at factor 1
     */
    static double shotNoise(double factor, double electronsPerUm2, double directWeight, double directRangeUm) {
        return directWeight / directRangeUm * Math.sqrt(factor / (4 * Math.PI * electronsPerUm2));
    }

    /** The work, with what it needs everywhere. */
    private static final class Finder {
        private final Exposure exposure;
        private final CalibratedProcess process;
        private final List<WidthGauge> gauges;
        private final OutlineEdges outline;
        private final EdgeGauges places;
        private final double slackUm;
        private final Workers workers;
        private final WidthMeasurement measurement;
        private final ContourSearch search;
        private final PieceLookup lookup;
        private final int[] unitOfPiece;
        private final double writtenUcPerCm2;
        private final double levelStep;

        Finder(
                Exposure exposure,
                boolean areLevels,
                CalibratedProcess process,
                List<WidthGauge> gauges,
                OutlineEdges outline,
                EdgeGauges places,
                double slackUm,
                Workers workers) {
            this.exposure = exposure;
            this.process = process;
            this.gauges = gauges;
            this.outline = outline;
            this.places = places;
            this.slackUm = slackUm;
            this.workers = workers;
            this.measurement = new WidthMeasurement(exposure);
            this.search = ContourSearch.of(exposure.psf());
            this.lookup = new PieceLookup(exposure.pieces());
            this.unitOfPiece = exposure.pieces().unitOfPiece();
            // Without a dose to write with, take the one at which the threshold is where the correction wants it.
            this.writtenUcPerCm2 =
                    exposure.baseDoseUcPerCm2().orElse(process.baseDoseUcPerCm2() / 2 / exposure.threshold());
            this.levelStep = areLevels ? 0 : usualStep(exposure.corrected());
        }

        /** Logarithm of the ratio of neighbours among the levels that free doses are rounded to. */
        private static double usualStep(double[] factors) {
            double smallest = Arrays.stream(factors).min().orElse(1);
            double largest = Arrays.stream(factors).max().orElse(1);
            DoseLevels levels = DoseLevels.geometric(smallest, largest, DoseLevels.USUAL);
            return levels.size() < 2 ? 0 : Math.log(levels.factor(1) / levels.factor(0));
        }

        /** Energy over {@link Exposure#threshold()} decides; a larger base dose means that less of it develops. */
        private PointEnergy energy(String parameter, double factor) {
            double base = process.baseDoseUcPerCm2() * (parameter.equals(CalibratedProcess.BASE_DOSE) ? factor : 1);
            return Superposed.scaled(
                    exposure.threshold() * 2 * writtenUcPerCm2 / base,
                    exposure.exact(true, psf -> process.psf(parameter, factor)));
        }

        /** Widths, then placements, nm. */
        private double[] lengthsNm(PointEnergy energy) {
            double[] widths = measurement.widthsUm(energy, gauges, workers);
            double[] placed = places.placementsNm(energy, search, workers);
            double[] all = Arrays.copyOf(widths, widths.length + placed.length);
            for (int i = 0; i < widths.length; i++) {
                all[i] = 1e3 * widths[i];
            }
            System.arraycopy(placed, 0, all, widths.length, placed.length);
            return all;
        }

        Uncertainty run(Progress progress) {
            List<String> names = process.names();
            progress.begin("uncertainty", 2L * names.size() + 1);
            double[] value = lengthsNm(energy(CalibratedProcess.BASE_DOSE, 1));
            progress.advance(1);
            double[][] slope = new double[value.length][names.size()];
            for (int j = 0; j < names.size(); j++) {
                double step = process.relativeError(names.get(j));
                double[] up = lengthsNm(energy(names.get(j), Math.exp(step)));
                double[] down = lengthsNm(energy(names.get(j), Math.exp(-step)));
                for (int q = 0; q < value.length; q++) {
                    slope[q][j] = (up[q] - down[q]) / (2 * step);
                }
                progress.advance(2);
            }
            List<ErrorBar> widths = new ArrayList<>();
            for (int i = 0; i < gauges.size(); i++) {
                WidthGauge g = gauges.get(i);
                double x = g.xUm() + g.drawnUm() * g.ux();
                double y = g.yUm() + g.drawnUm() * g.uy();
                double near = relativeNoise(g.xUm(), g.yUm(), -g.ux(), -g.uy(), g.layer());
                double far = relativeNoise(x, y, g.ux(), g.uy(), g.layer());
                // Each edge makes half of the width's change with the dose.
                widths.add(bar(value[i], slope[i], 0.5 * Math.hypot(near, far)));
            }
            List<Edge> edges = new ArrayList<>();
            double[] mean = new double[names.size()];
            double sum = 0;
            for (int p = 0; p < places.size(); p++) {
                int q = gauges.size() + p;
                int e = places.edge[p];
                ErrorBar bar = bar(
                        value[q],
                        slope[q],
                        relativeNoise(
                                places.xUm[p], places.yUm[p], outline.outX(e), outline.outY(e), outline.layer(e)));
                if (!bar.isKnown()) {
                    continue;
                }
                edges.add(new Edge(places.xUm[p], places.yUm[p], bar));
                sum += value[q];
                for (int j = 0; j < mean.length; j++) {
                    mean[j] += slope[q][j];
                }
            }
            int n = edges.size();
            Arrays.setAll(mean, j -> mean[j] / n);
            return new Uncertainty(
                    process,
                    writtenUcPerCm2,
                    100 * Math.expm1(levelStep),
                    List.copyOf(widths),
                    List.copyOf(edges),
                    ErrorBar.of(sum / n, mean, process, 0, 0));
        }

        /** The last slope, with the base dose, tells what a relative change of the energy does. */
        private ErrorBar bar(double valueNm, double[] slopeNm, double relativeNoise) {
            double perEnergy = Math.abs(slopeNm[slopeNm.length - 1]);
            return ErrorBar.of(
                    valueNm, slopeNm, process, perEnergy * relativeNoise, perEnergy * levelStep * Math.sqrt(EVEN));
        }

        /** Standard deviation of the energy at a drawn edge over the one that develops; NaN if no piece is there. */
        private double relativeNoise(double x, double y, double outX, double outY, int layer) {
            double inside = slackUm + Math.max(0, -exposure.options().biasUm()) + 1e-6;
            int piece = lookup.at(x - inside * outX, y - inside * outY, slackUm);
            if (piece < 0) {
                return Double.NaN;
            }
            double noise = shotNoise(
                    exposure.factor(unitOfPiece[piece]),
                    electronsPerUm2(writtenUcPerCm2),
                    process.directWeight(),
                    process.directRangeUm());
            double develops = exposure.threshold(layer, x, y)
                    / exposure.threshold()
                    * process.baseDoseUcPerCm2()
                    / 2
                    / writtenUcPerCm2;
            return noise / develops;
        }
    }
}
