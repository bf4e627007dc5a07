package evendose.verification;

import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseStatus;
import evendose.correction.DoseTable;
import evendose.correction.DrawnPattern;
import evendose.files.BadInputException;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * What a bias does to the dose window: the pattern corrected under one bias after the other, and for each how far all doses together may be
 * off so that 95 % of drawn edges, at random places off corners, stay within the allowed distance ({@link EdgeQuality#doseWindow}).
 *
 * <p>A bias counts if no gap closes and nothing vanishes under it, and if no dose is held at a bound of the options. Of those that count the
 * one with the largest window is best; of equal ones that nearest to 0. Biases are tried in coarse steps first, then about the best in
 * steps half as wide, down to one of the grid.
 *
 * @param allowedNm how far an edge may be off, nm
 * @param places number of places off corners
 * @param trials what was tried, by rising bias
 * @param best the best that counts; empty if none does
 */
public record BiasStudy(double allowedNm, int places, List<Trial> trials, Optional<Trial> best) {
    /** About how many coarse steps there are. */
    private static final int COARSE = 8;

    /** How far edges may be off unless the user says, in direct ranges. */
    private static final double ALLOWED_RANGES = 0.5;

    private static final int PLACES = 1000;

    /**
     * One bias.
     *
     * @param biasNm how far outside the drawn outline shapes are exposed, nm
     * @param doseWindow how far all doses may be off either way, as a share; NaN if the bias cannot be exposed
     * @param slopePerUm mean fall of the energy across drawn edges over the energy there, 1/um; NaN likewise
     * @param placementNm distance from drawn to developed edge, nm
     * @param minFactor smallest dose factor
     * @param maxFactor largest dose factor
     * @param dosedAreaUm2 area times dose factor, um^2
     * @param why why the bias does not count; empty if it does
     */
    public record Trial(
            double biasNm,
            double doseWindow,
            double slopePerUm,
            Spread placementNm,
            double minFactor,
            double maxFactor,
            double dosedAreaUm2,
            String why) {
        /** {@return whether the bias counts} */
        public boolean counts() {
            return why.isEmpty();
        }
    }

    /**
     * {@return how far edges may be off unless the user says, um: half of the direct range}
     *
     * @param options has the point spread function
     */
    public static double usualAllowedUm(CorrectionOptions options) {
        return ALLOWED_RANGES * options.psf().direct().rangeUm();
    }

    /**
     * Tries biases.
     *
     * @param drawn the pattern
     * @param options how to correct; their bias does not matter
     * @param outline where to look
     * @param lowUm smallest bias, um
     * @param highUm largest bias, um, at least {@code lowUm}
     * @param allowedUm how far an edge may be off, um, positive
     * @param workers threads to compute on
     * @param progress hears how far the work is
     * @return what was found
     * @throws IllegalArgumentException if no step of the grid lies between the bounds
     */
    public static BiasStudy of(
            DrawnPattern drawn,
            CorrectionOptions options,
            OutlineSample outline,
            double lowUm,
            double highUm,
            double allowedUm,
            Workers workers,
            Progress progress) {
        double gridUm = options.rules().gridUm() == 0
                ? drawn.unit().um()
                : options.rules().gridUm();
        int low = (int) Math.ceil(lowUm / gridUm - 1e-6);
        int high = (int) Math.floor(highUm / gridUm + 1e-6);
        if (low > high) {
            throw new IllegalArgumentException(String.format(
                    Locale.ROOT,
                    "no multiple of the grid, %.4g nm, lies between biases of %.4g and %.4g nm",
                    1e3 * gridUm,
                    1e3 * lowUm,
                    1e3 * highUm));
        }
        Finder finder = new Finder(drawn, options, outline, gridUm, allowedUm, workers, progress);
        int step = Math.max(1, (high - low) / COARSE);
        // Coarse steps meet 0, so that what a bias brings is seen.
        for (int k = low + Math.floorMod(-low, step); k <= high; k += step) {
            finder.look(k);
        }
        while (step > 1) {
            step = (step + 1) / 2;
            Optional<Integer> best = finder.best();
            for (int side = -1; side <= 1; side += 2) {
                int k = best.orElse(0) + side * step;
                if (k >= low && k <= high) {
                    finder.look(k);
                }
            }
        }
        List<Trial> trials = new ArrayList<>(finder.trials.values());
        return new BiasStudy(
                1e3 * allowedUm, finder.places, trials, finder.best().map(finder.trials::get));
    }

    /** Tries biases, numbered by steps of the grid. */
    private static final class Finder {
        private final DrawnPattern drawn;
        private final CorrectionOptions options;
        private final OutlineSample outline;
        private final double gridUm;
        private final double allowedUm;
        private final Workers workers;
        private final Progress progress;
        private final SortedMap<Integer, Trial> trials = new TreeMap<>();
        private int places;

        Finder(
                DrawnPattern drawn,
                CorrectionOptions options,
                OutlineSample outline,
                double gridUm,
                double allowedUm,
                Workers workers,
                Progress progress) {
            this.drawn = drawn;
            this.options = options;
            this.outline = outline;
            this.gridUm = gridUm;
            this.allowedUm = allowedUm;
            this.workers = workers;
            this.progress = progress;
        }

        /** The best that counts, so far. */
        Optional<Integer> best() {
            return trials.keySet().stream()
                    .filter(k -> trials.get(k).counts())
                    .max(Comparator.comparingDouble((Integer k) -> trials.get(k).doseWindow())
                            .thenComparing(k -> -Math.abs(k)));
        }

        void look(int step) {
            if (!trials.containsKey(step)) {
                trials.put(step, trial(Math.rint(1e9 * step * gridUm) / 1e6));
            }
        }

        private Trial trial(double biasNm) {
            DoseTable table;
            try {
                table = Corrector.correct(
                        drawn,
                        options.toBuilder()
                                .biasUm(1e-3 * biasNm)
                                .levelStudy(false)
                                .build());
            } catch (BadInputException e) {
                return new Trial(
                        biasNm,
                        Double.NaN,
                        Double.NaN,
                        Spread.of(new double[0]),
                        Double.NaN,
                        Double.NaN,
                        Double.NaN,
                        e.getMessage());
            }
            Exposure whole = Exposure.of(table);
            Exposure exposure = outline.windowsUm().isEmpty()
                    ? whole
                    : whole.near(outline.windowsUm(), Prediction.reachUm(whole.psf()));
            PointEnergy energy = exposure.fields(workers, Progress.NONE).of(true);
            progress.begin("comparing biases", 0);
            OutlineEdges edges = outline.edges();
            EdgeGauges gauges = EdgeGauges.awayFromCorners(
                    edges, exposure, PLACES + (int) Math.sqrt(edges.size()), outline.region(), 3);
            places = gauges.size() - gauges.nearCorners();
            EdgeQuality quality = EdgeQuality.of(gauges, edges, exposure, energy, allowedUm, workers);
            return new Trial(
                    biasNm,
                    quality.doseWindow(),
                    quality.slopePerUm(),
                    quality.placementNm(),
                    table.minFactor(),
                    table.maxFactor(),
                    table.dosedAreaUm2(),
                    held(table));
        }

        private static String held(DoseTable table) {
            long held = table.pieces(DoseStatus.AT_MAXIMUM) + table.pieces(DoseStatus.AT_MINIMUM);
            return held == 0 ? "" : String.format(Locale.ROOT, "%,d pieces are held at a bound of the doses", held);
        }
    }
}
