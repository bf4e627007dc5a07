package evendose.scattering;

import java.util.Arrays;

/**
 * What one batch of electrons leaves where. Energies in keV.
 *
 * <p>Energy in the resist: {@code resist[(part * depths + depth) * radii + radius]} with part 0 forward and 1 returning, depth
 * slices from the top, and radial bins as {@link #radialIndex} numbers them; the last radial bin is what lies beyond.
 */
final class Tally {
    static final int FORWARD = 0;
    static final int RETURNING = 1;

    /** Even bins of the energy of electrons that leave through the surface, from 0 to that of the beam. */
    static final int SPECTRUM_BINS = 50;

    /** Even bins of the angle at which they leave, from the normal to 90 degrees. */
    static final int ANGLE_BINS = 18;

    private static final double ANGLE_SCALE = ANGLE_BINS / (Math.PI / 2);

    final int depths;
    final int radii;
    final double[] resist;
    final double[] layerKev;

    /** Electrons of the beam that leave through the surface, then fast secondaries, by energy. */
    final long[] spectrum = new long[2 * SPECTRUM_BINS];

    /** The same by angle. */
    final long[] angles = new long[2 * ANGLE_BINS];

    private final double logScale;
    private final double logOffset;

    long electrons;
    long backscattered;
    long transmitted;
    long backscatteredSecondaries;
    long transmittedSecondaries;
    double backscatteredKev;
    double transmittedKev;
    double backscatteredPrimaryKev;
    double transmittedPrimaryKev;
    /** Energy of electrons put to rest, at the cut-off or because they cannot leave their layer; part of {@link #layerKev}. */
    double restKev;

    long elasticCollisions;
    long hardCollisions;

    /**
     * @param radii number of radial bins, the one for what lies beyond included
     * @param firstEdgeUm outer radius of bin 0
     * @param perDecade bins per decade beyond it
     */
    Tally(int layers, int depths, int radii, double firstEdgeUm, int perDecade) {
        this.depths = depths;
        this.radii = radii;
        resist = new double[2 * depths * radii];
        layerKev = new double[layers];
        logScale = perDecade / (2 * Math.log(10));
        logOffset = 1 - perDecade * Math.log10(firstEdgeUm);
    }

    /** Radial bin of a squared radius (um^2): 0 within the first edge, the last beyond the last edge. */
    int radialIndex(double r2) {
        if (r2 < 1e-30) {
            return 0;
        }
        int i = (int) (FastLog.log(r2) * logScale + logOffset);
        return Math.max(0, Math.min(radii - 1, i));
    }

    /**
     * Counts an electron that leaves through the surface.
     *
     * @param energyShare its energy over that of the beam
     * @param cosine cosine of its angle from the normal
     */
    void escapeUp(boolean primary, double energyKev, double energyShare, double cosine) {
        backscatteredKev += energyKev;
        int kind = 1;
        if (primary) {
            backscattered++;
            backscatteredPrimaryKev += energyKev;
            kind = 0;
        } else {
            backscatteredSecondaries++;
        }
        spectrum[kind * SPECTRUM_BINS + Math.min(SPECTRUM_BINS - 1, (int) (energyShare * SPECTRUM_BINS))]++;
        int bin = (int) (Math.acos(Math.min(1, cosine)) * ANGLE_SCALE);
        angles[kind * ANGLE_BINS + Math.min(ANGLE_BINS - 1, bin)]++;
    }

    void clear() {
        Arrays.fill(resist, 0);
        Arrays.fill(spectrum, 0);
        Arrays.fill(angles, 0);
        Arrays.fill(layerKev, 0);
        electrons = 0;
        backscattered = 0;
        transmitted = 0;
        backscatteredSecondaries = 0;
        transmittedSecondaries = 0;
        backscatteredKev = 0;
        transmittedKev = 0;
        backscatteredPrimaryKev = 0;
        transmittedPrimaryKev = 0;
        restKev = 0;
        elasticCollisions = 0;
        hardCollisions = 0;
    }
}
