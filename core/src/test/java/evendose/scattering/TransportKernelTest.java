package evendose.scattering;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.apache.commons.rng.simple.RandomSource;
import org.junit.jupiter.api.Test;

/** The parts of the transport against closed forms. */
class TransportKernelTest {
    @Test
    void fastLogarithm() {
        var rng = RandomSource.XO_SHI_RO_256_PP.create(3);
        for (int i = 0; i < 100_000; i++) {
            double x = Math.exp(-40 + 60 * rng.nextDouble());
            assertEquals(Math.log(x), FastLog.log(x), 1e-10 + 1e-9 * Math.abs(Math.log(x)));
        }
        assertEquals(0, FastLog.log(1));
        assertEquals(Math.log(0x1.0p-54), FastLog.log(0x1.0p-54), 1e-8);
    }

    @Test
    void tablesFollowTheFormulas() {
        for (Material m : Materials.all()) {
            double[] table = TransportTable.of(m, 0.1, 200, 0.2);
            long base = TransportTable.base(0.1);
            for (double e = 0.101; e < 200; e *= 1.037) {
                double hard = MollerScattering.electronsPerCm3(m) * 1e-4;
                double hardRate = hard * MollerScattering.totalCm2(e, 0.2);
                double collisions = ElasticScattering.perUm(m, e) + hardRate;
                assertEquals(1, TransportTable.value(table, base, e, TransportTable.COLLISIONS) / collisions, 5e-4);
                assertEquals(
                        ElasticScattering.isotropicShare(m, e),
                        TransportTable.value(table, base, e, TransportTable.ISOTROPIC_SHARE),
                        5e-4);
                if (e > 2) {
                    double loss = StoppingPower.kevPerUm(m, e) - hard * MollerScattering.lossKevCm2(e, 0.2);
                    assertEquals(1, TransportTable.value(table, base, e, TransportTable.LOSS) / loss, 5e-4, m.name());
                }
            }
        }
    }

    /**
     * Electrons of constant energy after a path s: {@code <cos> = exp(-s/l_tr)}, {@code <z> = l_tr (1 - exp(-s/l_tr))}, with
     * l_tr from the closed transport cross-section; and r^2 agrees between x and y. 4 standard errors, false failure below
     * 1e-3 in all (fixed seed).
     */
    @Test
    void anglesAndDepthsAtConstantEnergy() {
        double cutoff = 29.999;
        double energy = 30;
        for (double isotropic : new double[] {0, 0.01, 0.3}) {
            double collisions = 50;
            double a = ElasticScattering.screening(energy);
            double transport = collisions * (isotropic + (1 - isotropic) * ElasticScattering.meanOneMinusCosine(a));
            double path = 1 / transport;
            double[] table = new double[4 * TransportTable.STRIDE];
            for (int row = 0; row < 4; row++) {
                table[row * TransportTable.STRIDE + TransportTable.COLLISIONS] = collisions;
                table[row * TransportTable.STRIDE + TransportTable.ISOTROPIC_SHARE] = isotropic;
                table[row * TransportTable.STRIDE + TransportTable.LOSS] = (energy - cutoff) / path;
            }
            Ends ends = new Ends();
            TransportKernel kernel = new TransportKernel(
                    new double[] {-1e9},
                    new double[] {1e9},
                    new double[][] {table},
                    0,
                    energy,
                    cutoff,
                    Double.POSITIVE_INFINITY,
                    0,
                    0,
                    1,
                    1,
                    ends);
            kernel.run(RandomSource.XO_SHI_RO_256_PP.create(11), 20_000, new Tally(1, 1, 10, 1e-4, 20));
            ends.finish();
            Mean cos = new Mean(ends.cosines);
            Mean z = new Mean(ends.depths);
            assertEquals(Math.exp(-1), cos.value, 4 * cos.error, "cos, isotropic " + isotropic);
            assertEquals(path * (1 - Math.exp(-1)), z.value, 4 * z.error, "z, isotropic " + isotropic);
            Mean x2 = new Mean(ends.squaredX);
            Mean y2 = new Mean(ends.squaredY);
            assertEquals(x2.value, y2.value, 4 * Math.hypot(x2.error, y2.error));
            assertTrue(x2.value > 0);
        }
    }

    private record Mean(double value, double error) {
        Mean(java.util.List<Double> values) {
            this(
                    values.stream().mapToDouble(v -> v).average().orElseThrow(),
                    Math.sqrt(values.stream().mapToDouble(v -> v * v).average().orElseThrow()
                                    - Math.pow(
                                            values.stream()
                                                    .mapToDouble(v -> v)
                                                    .average()
                                                    .orElseThrow(),
                                            2))
                            / Math.sqrt(values.size()));
        }
    }

    /** Where each path ends and which way it went last. */
    private static final class Ends implements TransportKernel.PathRecorder {
        final java.util.List<Double> cosines = new java.util.ArrayList<>();
        final java.util.List<Double> depths = new java.util.ArrayList<>();
        final java.util.List<Double> squaredX = new java.util.ArrayList<>();
        final java.util.List<Double> squaredY = new java.util.ArrayList<>();
        private final double[] last = new double[3];
        private final double[] now = new double[3];
        private boolean any;

        @Override
        public void begin(boolean primary, double xUm, double yUm, double zUm) {
            finish();
            any = true;
            set(now, xUm, yUm, zUm);
        }

        @Override
        public void to(double xUm, double yUm, double zUm) {
            set(last, now[0], now[1], now[2]);
            set(now, xUm, yUm, zUm);
        }

        private static void set(double[] point, double x, double y, double z) {
            point[0] = x;
            point[1] = y;
            point[2] = z;
        }

        void finish() {
            if (any) {
                double length = Math.sqrt(
                        Math.pow(now[0] - last[0], 2) + Math.pow(now[1] - last[1], 2) + Math.pow(now[2] - last[2], 2));
                cosines.add((now[2] - last[2]) / length);
                depths.add(now[2]);
                squaredX.add(now[0] * now[0]);
                squaredY.add(now[1] * now[1]);
            }
        }
    }
}
