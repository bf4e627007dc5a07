package evendose.scattering;

/**
 * What the transport needs of one material, by energy: rows on a grid of {@value #PER_OCTAVE} to the octave that is even in the
 * mantissa, so that row and place within it are bits of the energy itself. Between rows values go linearly: relative error
 * below 5e-4 (TransportKernelTest).
 *
 * <p>Entry {@code row * STRIDE + column}; columns are the constants below.
 */
final class TransportTable {
    /** Collisions of all kinds per path, 1/um. */
    static final int COLLISIONS = 0;

    /** Share of hard inelastic ones. */
    static final int HARD_SHARE = 1;

    /** Share of isotropic ones among the elastic ones. */
    static final int ISOTROPIC_SHARE = 2;

    /** Continuous loss, hard collisions left out, keV/um. */
    static final int LOSS = 3;

    /** Longest path there can be down to the cut-off, um. */
    static final int REACH = 4;

    static final int STRIDE = 5;

    private static final int BITS = 5;
    private static final int PER_OCTAVE = 1 << BITS;
    static final int SHIFT = 52 - BITS;
    static final long FRACTION_MASK = (1L << SHIFT) - 1;
    static final double FRACTION_SCALE = 1.0 / (1L << SHIFT);

    /** Hard collisions must leave at least this share of the loss continuous. */
    private static final double CONTINUOUS_SHARE = 0.1;

    private TransportTable() {}

    /** Number that {@code bits >>> SHIFT} of the lowest energy has. */
    static long base(double lowestKev) {
        return Double.doubleToRawLongBits(lowestKev) >>> SHIFT;
    }

    /**
     * The table from the row at or below the cut-off to the row above the highest energy.
     *
     * @param cutoffKev energy at which an electron is stopped
     * @param hardCutoffKev smallest energy of a fast secondary; infinite for none
     */
    static double[] of(Material material, double cutoffKev, double highestKev, double hardCutoffKev) {
        long base = base(cutoffKev);
        int rows = (int) (base(highestKev) - base) + 2;
        double[] table = new double[rows * STRIDE];
        double electronsPerUm3 = MollerScattering.electronsPerCm3(material);
        double reach = 0;
        double before = 0;
        double lossBefore = 0;
        for (int row = 0; row < rows; row++) {
            double energy = energy(base, row);
            double loss = StoppingPower.kevPerUm(material, energy);
            // cm^2 times 1/cm^3 is 1/cm = 1e-4 / um.
            double hard = 1e-4 * electronsPerUm3 * MollerScattering.totalCm2(energy, hardCutoffKev);
            double hardLoss = 1e-4 * electronsPerUm3 * MollerScattering.lossKevCm2(energy, hardCutoffKev);
            if (hardLoss > (1 - CONTINUOUS_SHARE) * loss) {
                hard *= (1 - CONTINUOUS_SHARE) * loss / hardLoss;
                hardLoss = (1 - CONTINUOUS_SHARE) * loss;
            }
            double elastic = ElasticScattering.perUm(material, energy);
            double soft = loss - hardLoss;
            if (row > 0 && energy > cutoffKev) {
                // The loss falls with energy, so the larger of both ends' 1/loss bounds the path from above.
                reach += (energy - Math.max(before, cutoffKev)) / Math.min(soft, lossBefore);
            }
            int at = row * STRIDE;
            table[at + COLLISIONS] = elastic + hard;
            table[at + HARD_SHARE] = hard / (elastic + hard);
            table[at + ISOTROPIC_SHARE] = ElasticScattering.isotropicShare(material, energy);
            table[at + LOSS] = soft;
            table[at + REACH] = reach;
            before = energy;
            lossBefore = soft;
        }
        return table;
    }

    static double energy(long base, int row) {
        return Double.longBitsToDouble((base + row) << SHIFT);
    }

    /** Value of a column, as the transport reads it. */
    static double value(double[] table, long base, double energyKev, int column) {
        long bits = Double.doubleToRawLongBits(energyKev);
        int at = (int) ((bits >>> SHIFT) - base) * STRIDE + column;
        double fraction = (bits & FRACTION_MASK) * FRACTION_SCALE;
        return table[at] + fraction * (table[at + STRIDE] - table[at]);
    }
}
