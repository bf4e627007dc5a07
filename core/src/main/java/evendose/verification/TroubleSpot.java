package evendose.verification;

import java.io.Serializable;
import java.util.Locale;

/**
 * A place that cannot be right, or is worse than it should be.
 *
 * @param kind what is wrong
 * @param xUm x, um
 * @param yUm y, um
 * @param size how bad, in the unit that the kind names; larger is worse
 * @param what a sentence for a person
 * @serial exclude
 */
public record TroubleSpot(Kind kind, double xUm, double yUm, double size, String what) implements Serializable {
    /** Kinds of trouble, the gravest first. */
    public enum Kind {
        /** A shape of the layout has no piece at all; size is its area, um^2. */
        MISSING_SHAPE("missing-shape"),
        /** Part of the layout has no piece; size is the area, um^2. */
        MISSING_AREA("missing-area"),
        /** A piece lies where the layout has nothing; size is the area, um^2. */
        EXCESS_AREA("excess-area"),
        /** Two pieces overlap; size is the area, um^2. */
        OVERLAP("overlap"),
        /** A dose is not the one its layout needs; size is the relative error. */
        WRONG_DOSE("wrong-dose"),
        /** A line stays below the threshold and does not develop; size is the energy it lacks over the threshold. */
        LOST_LINE("lost-line"),
        /** A gap develops, closed by background; size is the energy it has too much over the threshold. */
        CLOSED_GAP("closed-gap"),
        /** The developed edge is far from the drawn one; size is the distance, nm. */
        EDGE_PLACEMENT("edge-placement");

        private final String word;

        Kind(String word) {
            this.word = word;
        }

        /** {@return the word used in tables} */
        public String word() {
            return word;
        }
    }

    /** An edge that lies {@code offNm} outside the drawn one, or inside if that is negative. */
    static TroubleSpot edge(double xUm, double yUm, double offNm) {
        return new TroubleSpot(
                Kind.EDGE_PLACEMENT,
                xUm,
                yUm,
                Math.abs(offNm),
                String.format(
                        Locale.ROOT,
                        "the developed edge lies %.1f nm %s the drawn one",
                        Math.abs(offNm),
                        offNm > 0 ? "outside" : "inside"));
    }

    /** The same so far to the right and above, um. */
    TroubleSpot moved(double dxUm, double dyUm) {
        return new TroubleSpot(kind, xUm + dxUm, yUm + dyUm, size, what);
    }

    /** The graver first; of one kind, the larger first. */
    static int compare(TroubleSpot a, TroubleSpot b) {
        int byKind = a.kind.compareTo(b.kind);
        return byKind != 0 ? byKind : Double.compare(b.size, a.size);
    }
}
