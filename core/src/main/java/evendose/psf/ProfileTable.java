package evendose.psf;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * A point spread function whose short part is a sum of Gaussians, for closed forms, and whose long part is the profile itself, as a table.
 *
 * <p>The short part are the terms of a fitted sum below an eighth of its main range. The table is what they leave of the profile; only close
 * to the centre, where they make up most of it, the other terms of the fit stand for the difference. Densities of the table are such
 * that each ring holds the energy it has in the profile.
 */
public final class ProfileTable {
    /** Ranges below this part of the main one are short. */
    private static final double SHORT = 1.0 / 8;

    /** The profile takes over where the short part is at most this share of it. */
    private static final double SMALL = 0.3;

    /** The table begins at this part of the shortest long range: further in it is flat. */
    private static final double FLAT = 1.0 / 30;

    /** Energy beyond the end of the table: the last few electrons. */
    private static final double LEFT_OUT = 1e-6;

    private static final int ROUNDS = 8;

    private ProfileTable() {}

    /**
     * Divides a profile.
     *
     * @param profile the profile
     * @param fit a sum of Gaussians that follows it
     * @return the fit where it is near, and a table beyond
     * @throws IllegalArgumentException if the fit has no short or no long part, or too few rings have energy
     */
    public static PointSpreadFunction of(RadialProfile profile, PointSpreadFunction fit) {
        double limit = SHORT * fit.main().rangeUm();
        List<GaussianTerm> shortTerms =
                fit.terms().stream().filter(t -> t.rangeUm() < limit).toList();
        List<GaussianTerm> longTerms =
                fit.terms().stream().filter(t -> t.rangeUm() >= limit).toList();
        if (shortTerms.isEmpty() || longTerms.isEmpty()) {
            throw new IllegalArgumentException("the profile's Gaussians are all short or all long");
        }
        double total = profile.total();
        int end = 0;
        while (end < profile.size()
                && (profile.energy(end) > 0 || profile.edgeUm(end) < limit)
                && profile.edgeUm(end) < profile.radiusHoldingUm(1 - LEFT_OUT)) {
            end++;
        }
        double[] rest = new double[end];
        int own = end;
        for (int i = end - 1; i >= 0; i--) {
            double share = profile.energy(i) / total;
            double taken = share(shortTerms, profile.edgeUm(i), profile.edgeUm(i + 1));
            rest[i] = share - taken;
            own = taken <= SMALL * share && own == i + 1 ? i : own;
        }
        int first = 0;
        while (first < own && profile.radiusUm(first) < FLAT * longTerms.get(0).rangeUm()) {
            first++;
        }
        for (int i = first; i < own; i++) {
            rest[i] = share(longTerms, profile.edgeUm(i), profile.edgeUm(i + 1));
        }
        double weight = share(longTerms, 0, profile.edgeUm(first));
        for (int i = first; i < end; i++) {
            weight += rest[i];
        }
        RadialTable table = table(profile, first, end, rest, weight);
        // The energy that the fit misplaces near the centre is the short part's.
        double scale = (1 - weight)
                / shortTerms.stream().mapToDouble(GaussianTerm::weight).sum();
        List<GaussianTerm> scaled = shortTerms.stream()
                .map(t -> new GaussianTerm(scale * t.weight(), t.rangeUm()))
                .toList();
        return PointSpreadFunction.from(scaled, Optional.of(new TableTerm(weight, table)));
    }

    private static double share(List<GaussianTerm> terms, double innerUm, double outerUm) {
        double sum = 0;
        for (GaussianTerm term : terms) {
            double inner = innerUm / term.rangeUm();
            double outer = outerUm / term.rangeUm();
            sum += term.weight() * (Math.exp(-inner * inner) - Math.exp(-outer * outer));
        }
        return sum;
    }

    /** Densities at the middles of rings, and at the end of the last, corrected until each ring holds its share. */
    private static RadialTable table(RadialProfile profile, int first, int end, double[] share, double weight) {
        List<Double> radii = new ArrayList<>();
        for (int i = first; i < end; i++) {
            radii.add(profile.radiusUm(i));
        }
        radii.add(profile.edgeUm(end));
        double[] r = radii.stream().mapToDouble(Double::doubleValue).toArray();
        double[] density = new double[r.length];
        for (int i = first; i < end; i++) {
            density[i - first] = share[i] / weight / profile.areaUm2(i);
        }
        RadialTable table = null;
        for (int round = 0; round < ROUNDS; round++) {
            if (table != null) {
                for (int i = first; i < end; i++) {
                    double holds = table.shareWithin(profile.edgeUm(i + 1)) - table.shareWithin(profile.edgeUm(i));
                    density[i - first] *= share[i] / weight / holds;
                }
            }
            // Beyond the middle of the last ring it goes on falling as before it.
            int last = r.length - 1;
            double steepness = Math.log(density[last - 1] / density[last - 2]) / Math.log(r[last - 1] / r[last - 2]);
            density[last] = density[last - 1] * Math.pow(r[last] / r[last - 1], Math.min(0, steepness));
            table = RadialTable.of(r, Arrays.copyOf(density, density.length));
        }
        return table;
    }
}
