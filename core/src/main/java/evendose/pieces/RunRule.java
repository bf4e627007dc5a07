package evendose.pieces;

/**
 * Where a unit's part of one run of outline is judged, and with what weight. A run lies between two corners or is closed; near its corners
 * it fades out ({@link CornerFade}), turns that are half a corner half so. Means along it are right to 1e-4 of the energy for one or
 * several right-angled sides of any length (held by {@code JudgingTest}).
 */
final class RunRule {
    /** Points for one run inside a unit, at most, corners not counted. */
    private static final int MOST = 16;

    /** Panels of four points for a part that fades out. */
    private static final int FADING_PANELS = 2;

    /** Rules of 1 to 4 points. */
    private static final GaussRule[] RULES = GaussRule.ofOrders(1, 2, 3, 4);

    /** Keeps numbers of points the same for lengths that differ by rounding. */
    private static final double ROUNDING = 1e-6;

    /** What is left of the weight at a corner, so that shapes much smaller than the direct range are judged at all. */
    private static final double LEAST = 1e-12;

    private final double directUm;
    private final double spacingUm;

    // The run: its ends and how much of a corner each is, 0 to 1.
    private double from;
    private double to;
    private double cornerFrom;
    private double cornerTo;

    // The points, at positions along the run, um.
    double[] at = new double[48];
    double[] weight = new double[48];
    int size;

    /** Largest share of the full weight that any part has. */
    double clear;

    RunRule(double directUm, double spacingUm) {
        this.directUm = directUm;
        this.spacingUm = spacingUm;
    }

    /** Begins a run; positions in um, ends how much of a corner each is, 0 to 1. */
    void begin(double fromUm, double toUm, double startsAtCorner, double endsAtCorner) {
        from = fromUm;
        to = toUm;
        cornerFrom = startsAtCorner;
        cornerTo = endsAtCorner;
    }

    /** Finds the points of the part from {@code u} to {@code v} of the run, um. */
    void place(double u, double v) {
        size = 0;
        clear = 0;
        double zone = Math.min(CornerFade.REACH * directUm, 0.5 * (to - from));
        double a = cornerFrom > 0 ? from + zone : from;
        double b = cornerTo > 0 ? to - zone : to;
        boolean isLong = to - from >= 2 * CornerFade.REACH * directUm * (1 - ROUNDING);
        if (cornerFrom > 0 && u < a) {
            if (isLong && cornerFrom == 1 && u <= from && v >= a) {
                add(from + CornerFade.END_PLACE * directUm, CornerFade.END_WEIGHT * directUm);
            } else {
                fading(u, Math.min(v, a), from, 1);
            }
        }
        middle(Math.max(u, a), Math.min(v, b));
        if (cornerTo > 0 && v > b) {
            if (isLong && cornerTo == 1 && v >= to && u <= b) {
                add(to - CornerFade.END_PLACE * directUm, CornerFade.END_WEIGHT * directUm);
            } else {
                fading(Math.max(u, b), v, to, -1);
            }
        }
    }

    /** A part near a corner at {@code corner}, which lies at its beginning (way 1) or its end (-1). */
    private void fading(double u, double v, double corner, int way) {
        double nothing = Math.min(CornerFade.NOTHING * directUm, (to - from) / 8);
        double begin = u;
        double end = v;
        if ((way > 0 ? cornerFrom : cornerTo) == 1) {
            if (way > 0 && v > corner + nothing) {
                begin = Math.max(u, corner + nothing);
            } else if (way < 0 && u < corner - nothing) {
                end = Math.min(v, corner - nothing);
            }
        }
        double panel = (end - begin) / FADING_PANELS;
        GaussRule rule = RULES[3];
        for (int i = 0; i < FADING_PANELS; i++) {
            for (int g = 0; g < 4; g++) {
                double position = begin + panel * (i + rule.nodes()[g]);
                double fade = fade(cornerFrom, position - from) * fade(cornerTo, to - position);
                clear = Math.max(clear, fade);
                add(position, (fade + LEAST) * panel * rule.weights()[g]);
            }
        }
    }

    private double fade(double strength, double distance) {
        return 1 - strength * (1 - CornerFade.of(distance / directUm));
    }

    private void middle(double u, double v) {
        double length = v - u;
        if (!(length > ROUNDING * directUm)) {
            return;
        }
        clear = 1;
        int fewest = length < 3 * directUm ? 1 : length < 12 * directUm ? 2 : 3;
        int count = (int) Math.min(MOST, Math.max(fewest, Math.ceil(length / spacingUm - ROUNDING)));
        int panels = (count + 3) / 4;
        int nodes = (count + panels - 1) / panels;
        GaussRule rule = RULES[nodes - 1];
        for (int i = 0; i < panels; i++) {
            for (int g = 0; g < nodes; g++) {
                add(u + length * (i + rule.nodes()[g]) / panels, length * rule.weights()[g] / panels);
            }
        }
    }

    private void add(double position, double w) {
        at[size] = position;
        weight[size++] = w;
    }
}
