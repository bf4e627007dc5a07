package evendose.verification;

import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnSample;
import evendose.correction.LayerRole;
import evendose.energy.EnergyField;
import evendose.parallel.Workers;
import java.io.Serializable;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;

/**
 * What is expected on the outline of a layout or of a part of it, small enough to travel: {@link Prediction#joined} makes one answer of all parts.
 *
 * @serial exclude
 */
public final class OutlineFindings implements Serializable {
    private static final long serialVersionUID = 1L;

    /** Most places of concern that are told. */
    static final int WORST = 15;

    static final int WIDTHS_OF_A_KIND = 2;
    static final int MOST_WIDTHS = 60;

    private static final long SEED = 3;

    final boolean isGreyTone;

    /** Length of outline that a place stands for, um. */
    final double weight;

    /** Relative errors of the energy at places off corners, and distances from drawn to developed edges, nm. */
    final double[] energyBefore;

    final double[] energyAfter;
    final double[] placedBefore;
    final double[] placedAfter;

    /** Places judged, and what becomes of them: those on the outline, and edges of narrow lines and gaps. */
    final long places;

    final long lost;
    final long closed;
    final long off;
    final long edgesScanned;

    /** The worst places that do not come out as drawn, and the worst of all that are of concern. */
    final List<TroubleSpot> failures;

    final List<TroubleSpot> concerns;

    /** How far apart places of concern are told, um. */
    final double apartUm;

    final List<LineWidth> widths;

    /**
     * How much to look at.
     *
     * @param places places on the outline, about
     * @param edges most edges to scan for lines and gaps that cannot be right
     * @param widths most lines to measure
     */
    record Effort(int places, int edges, int widths) {
        private static final int PLACES = 1000;
        private static final int FEWEST_PLACES = 30;
        private static final int FEWEST_EDGES = 2000;
        private static final int FEWEST_WIDTHS = 6;

        /**
         * For one of so many parts of a layout: together about as much as for a layout that is looked at as a whole, but at least a little of each.
         *
         * @param parts number of parts
         * @param edges number of edges of this one
         * @param full whether widths are wanted
         */
        static Effort ofPart(int parts, int edges, boolean full) {
            double places = (PLACES + (int) Math.sqrt((double) parts * edges)) / (double) parts;
            return new Effort(
                    (int) Math.max(FEWEST_PLACES, Math.ceil(places)),
                    Math.max(FEWEST_EDGES, OutlineScan.MOST_EDGES / parts),
                    full ? Math.max(FEWEST_WIDTHS, MOST_WIDTHS / parts) : 0);
        }
    }

    private OutlineFindings(
            boolean isGreyTone,
            double weight,
            double[] energyBefore,
            double[] energyAfter,
            double[] placedBefore,
            double[] placedAfter,
            EdgeOutcomes outcomes,
            OutlineScan scan,
            List<TroubleSpot> failures,
            List<TroubleSpot> concerns,
            double apartUm,
            List<LineWidth> widths) {
        this.isGreyTone = isGreyTone;
        this.weight = weight;
        this.energyBefore = energyBefore;
        this.energyAfter = energyAfter;
        this.placedBefore = placedBefore;
        this.placedAfter = placedAfter;
        this.places = outcomes.places() + scan.narrow();
        this.lost = outcomes.lost() + scan.lost();
        this.closed = outcomes.closed() + scan.closed();
        this.off = outcomes.off();
        this.edgesScanned = scan.edges();
        // Lists that travel.
        this.failures = new ArrayList<>(failures);
        this.concerns = new ArrayList<>(concerns);
        this.apartUm = apartUm;
        this.widths = new ArrayList<>(widths);
    }

    /** The same found so far to the right and above, um. */
    private OutlineFindings(OutlineFindings found, double dxUm, double dyUm) {
        this.isGreyTone = found.isGreyTone;
        this.weight = found.weight;
        this.energyBefore = found.energyBefore;
        this.energyAfter = found.energyAfter;
        this.placedBefore = found.placedBefore;
        this.placedAfter = found.placedAfter;
        this.places = found.places;
        this.lost = found.lost;
        this.closed = found.closed;
        this.off = found.off;
        this.edgesScanned = found.edgesScanned;
        this.failures =
                found.failures.stream().map(spot -> spot.moved(dxUm, dyUm)).toList();
        this.apartUm = found.apartUm;
        this.concerns =
                found.concerns.stream().map(spot -> spot.moved(dxUm, dyUm)).toList();
        this.widths = found.widths.stream()
                .map(width -> width.at(width.gauge().moved(dxUm, dyUm)))
                .toList();
    }

    /**
     * {@return the same for an equal part}
     *
     * @param dxUm how far it lies to the right, um
     * @param dyUm how far it lies above, um
     */
    public OutlineFindings moved(double dxUm, double dyUm) {
        return dxUm == 0 && dyUm == 0 ? this : new OutlineFindings(this, dxUm, dyUm);
    }

    /**
     * Energies to find things by.
     *
     * @param before with factor 1 everywhere
     * @param after with the doses
     * @param density share of the surroundings that is covered, 0 to 1
     */
    record Energies(PointEnergy before, PointEnergy after, PointEnergy density) {}

    /** Looks at an outline. */
    static OutlineFindings of(
            Exposure exposure,
            OutlineSample outline,
            Energies energies,
            double outlineUm,
            Effort effort,
            OptionalDouble allowedNm,
            Workers workers) {
        OutlineEdges edges = outline.edges();
        EdgeGauges places = EdgeGauges.awayFromCorners(edges, exposure, effort.places, outline.region(), SEED);
        ContourSearch search = ContourSearch.of(exposure.psf());
        double[] placedAfter = places.placementsNm(energies.after, search, workers);
        double widest = Verifier.widestUm(exposure);
        List<WidthGauge> gauges = effort.widths > 0
                ? new WidthGauges(edges, exposure, energies.density)
                        .automatic(places, outline.known(), widest, WIDTHS_OF_A_KIND, effort.widths)
                : List.of();
        OutlineScan scan = OutlineScan.of(exposure, edges, energies.after, outline.region(), effort.edges, workers);
        EdgeOutcomes outcomes = EdgeOutcomes.of(places, edges, placedAfter, widest, allowedNm);
        List<TroubleSpot> worst = new ArrayList<>(scan.spots());
        worst.addAll(outcomes.failures());
        List<TroubleSpot> failures = Verdict.worst(worst);
        worst.addAll(Verifier.farOff(places, placedAfter));
        double apart = 12 * exposure.psf().direct().rangeUm();
        double[] goodAfter = places.awayFromCorners(placedAfter);
        return new OutlineFindings(
                exposure.isGreyTone(),
                outlineUm / Math.max(1, goodAfter.length),
                places.awayFromCorners(places.energyErrors(energies.before, workers)),
                places.awayFromCorners(places.energyErrors(energies.after, workers)),
                places.awayFromCorners(places.placementsNm(energies.before, search, workers)),
                goodAfter,
                outcomes,
                scan,
                failures,
                concerns(worst, apart),
                apart,
                new WidthMeasurement(exposure).measure(energies.before, energies.after, gauges, workers));
    }

    /** The worst of some places, apart from each other. */
    static List<TroubleSpot> concerns(List<TroubleSpot> spots, double apartUm) {
        List<TroubleSpot> sorted = new ArrayList<>(spots);
        sorted.sort(TroubleSpot::compare);
        return OutlineScan.keepApart(sorted, apartUm, WORST);
    }

    /**
     * Looks at the outline of a tile.
     *
     * @param drawn what is drawn there
     * @param roles the layers and what each does
     * @param options how doses were found
     * @param before energy in the tile with factor 1 everywhere
     * @param after energy with the doses
     * @param density the density that the development is loaded by; empty without a loading
     * @param tiles number of tiles: the more there are, the less is looked at in each
     * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
     * @param full whether widths are wanted
     * @param workers threads to compute on
     * @return what was found
     */
    public static OutlineFindings ofTile(
            DrawnSample drawn,
            List<LayerRole> roles,
            CorrectionOptions options,
            EnergyField before,
            EnergyField after,
            Optional<EnergyField> density,
            int tiles,
            OptionalDouble allowedNm,
            boolean full,
            Workers workers) {
        OutlineSample outline = new OutlineSample(drawn, workers);
        // Terms on grids are the long ones.
        double farWeight = options.longRange().with(options.psf()).weight() - before.nearWeight();
        Energies energies = new Energies(
                new FieldEnergy(before),
                new FieldEnergy(after),
                (x, y) -> farWeight > 0 ? before.farAt(x, y) / farWeight : 0);
        return of(
                Exposure.ofEnergies(roles, options, density),
                outline,
                energies,
                drawn.outlineUm(),
                Effort.ofPart(tiles, outline.edges().size(), full),
                allowedNm,
                workers);
    }
}
