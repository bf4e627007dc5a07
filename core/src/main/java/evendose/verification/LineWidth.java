package evendose.verification;

import evendose.Supported;
import java.io.Serializable;

/**
 * What becomes of a line at a gauge. Widths are NaN where there is no developed line with two edges.
 *
 * @param gauge where
 * @param uncorrectedUm developed width with factor 1 everywhere, um
 * @param correctedUm developed width with the doses, um
 * @param contrast (max - min) / (max + min) of the corrected energy between the line's middle and the middle of the gap
 *     beside it
 * @param nmPerPercent change of width when all doses rise by 1 %, nm
 * @param doseDownPercent how much all doses may fall before the width is 10 % below drawn, %; NaN if it already is
 * @param doseUpPercent how much all doses may rise before the width is 10 % above drawn, %; NaN if it already is
 * @serial exclude
 */
@Supported
public record LineWidth(
        WidthGauge gauge,
        double uncorrectedUm,
        double correctedUm,
        double contrast,
        double nmPerPercent,
        double doseDownPercent,
        double doseUpPercent)
        implements Serializable {

    /** The same with another gauge. */
    LineWidth at(WidthGauge other) {
        return new LineWidth(other, uncorrectedUm, correctedUm, contrast, nmPerPercent, doseDownPercent, doseUpPercent);
    }

    /** {@return uncorrected less drawn width, nm} */
    public double uncorrectedErrorNm() {
        return 1e3 * (uncorrectedUm - gauge.drawnUm());
    }

    /** {@return corrected less drawn width, nm} */
    public double correctedErrorNm() {
        return 1e3 * (correctedUm - gauge.drawnUm());
    }
}
