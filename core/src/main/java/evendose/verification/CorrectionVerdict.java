package evendose.verification;

import static evendose.files.NumberText.percent;

import evendose.correction.Convergence;
import evendose.correction.DoseFacts;
import evendose.correction.DoseStatus;
import evendose.correction.LayerDepth;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** Adds to what edges do what the doses themselves, as written, leave to be desired, and the depths of a grey-tone exposure. */
public final class CorrectionVerdict {
    private CorrectionVerdict() {}

    /**
     * {@return the verdict on a correction}
     *
     * @param edges what edges do
     * @param doses what is told of the doses as they are written
     * @param depths predicted depths; empty unless the exposure is a grey-tone one
     */
    public static Verdict of(Verdict edges, DoseFacts doses, List<LayerDepth> depths) {
        List<String> wrong = new ArrayList<>();
        List<String> notes = new ArrayList<>();
        if (!depths.isEmpty()) {
            notes.add(depths(depths));
        }
        Convergence c = doses.convergence();
        long unconverged = doses.pieces(DoseStatus.UNCONVERGED);
        if (unconverged > 0) {
            wrong.add(text(
                    "Not converged: %,d pieces miss the tolerance, the largest error is %s.",
                    unconverged, percent(c.maxResidual())));
        }
        for (DoseStatus status : DoseStatus.values()) {
            if (status.isHeld() && doses.pieces(status) > 0) {
                wrong.add(text("%,d pieces %s.", doses.pieces(status), reason(status, doses)));
            }
        }
        if (doses.heldPieces() > 0) {
            wrong.add(text("The largest error of pieces held at a bound is %s.", percent(c.heldMaxResidual())));
        }
        long coarse = doses.pieces(DoseStatus.COARSE_LEVEL);
        if (coarse > 0) {
            notes.add(text(
                    "%s %,d of %,d pieces beyond the tolerance; the largest error is %s (rms %s).",
                    doses.levels() == 1 ? "1 dose level leaves" : doses.levels() + " dose levels leave",
                    coarse,
                    doses.pieces(),
                    percent(c.maxResidual()),
                    percent(c.rmsResidual())));
        } else if (doses.heldPieces() < doses.pieces() && unconverged == 0) {
            notes.add(text(
                    "The largest error of the criterion is %s with the doses written, %s without correction.",
                    percent(c.maxResidual()), percent(c.uncorrectedMaxResidual())));
        }
        return edges.with(wrong, notes);
    }

    /** Why pieces of a status stand at a bound, as the end of a sentence. */
    private static String reason(DoseStatus status, DoseFacts doses) {
        return switch (status) {
            case AT_MINIMUM ->
                text(
                        "are held at the smallest factor allowed, %.4g",
                        doses.options().minFactor());
            case AT_MAXIMUM ->
                text(
                        "are held at the largest factor allowed, %.4g",
                        doses.options().maxFactor());
            case BACKGROUND -> "get too much energy from their neighbours alone, which no dose of theirs can mend";
            case BELOW_BEAM -> "are too small for the beam";
            default -> throw new IllegalArgumentException(status + " is not held");
        };
    }

    private static String depths(List<LayerDepth> depths) {
        double before = 0;
        double after = 0;
        double rms = 0;
        for (LayerDepth d : depths) {
            before = Math.max(before, largestError(d, d.before()));
            after = Math.max(after, largestError(d, d.after()));
            rms = Math.max(rms, d.after().rmsError());
        }
        return text(
                "Depths come out within %.1f nm of those wanted (rms of the worst layer %.1f nm); without correction within %.0f nm.",
                after, rms, before);
    }

    private static double largestError(LayerDepth d, LayerDepth.Range range) {
        return Math.max(Math.abs(range.min() - d.wantedNm()), Math.abs(range.max() - d.wantedNm()));
    }

    private static String text(String pattern, Object... values) {
        return String.format(Locale.ROOT, pattern, values);
    }
}
