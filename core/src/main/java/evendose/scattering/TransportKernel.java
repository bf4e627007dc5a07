package evendose.scattering;

import org.apache.commons.rng.UniformRandomProvider;

/**
 * Follows electrons from collision to collision. Nothing is checked and, unless paths are recorded, nothing is allocated.
 *
 * <p>Free paths are exponential; a path that meets an interface ends there and a new one is drawn behind it, which is exact as
 * the exponential has no memory. Between collisions energy is lost continuously; where that is more than a tenth of what
 * there is, the loss is taken at the middle of the path. Electrons outside the resist that cannot reach the border of
 * their layer any more are put to rest where they are: this changes no number that is reported.
 *
 * <p>Lengths um, energies keV, z downward from the surface. One instance per thread.
 */
final class TransportKernel {
    private static final double TO_UNIT = 0x1.0p-53;
    private static final double TO_SIGNED = 0x1.0p-31;
    private static final double LARGE_LOSS = 0.1;
    /** Above the largest value of the Moller density times x^2 for x in (0, 1/2] and energies to 400 keV. */
    private static final double MOLLER_BOUND = 1.25;

    private final double[] top;
    private final double[] bottom;
    private final double[][] tables;
    private final int resist;
    private final long base;
    private final double energyKev;
    private final double cutoffKev;
    private final double hardCutoffKev;
    private final double beamUm;
    private final double tiltSine;
    private final double tiltCosine;
    private final double depthScale;
    private final PathRecorder recorder;

    // Electrons waiting: a hard collision hands over at least the hard cut-off, so there are never more than E / W_c.
    private final double[] waiting;
    private final boolean[] waitingReturned;
    private final int[] waitingLayer;
    private static final int WAITING_STRIDE = 7;
    private int waitingCount;

    // The direction after the last deflection.
    private double du;
    private double dv;
    private double dw;

    /** Hears the corners of paths; for pictures. */
    interface PathRecorder {
        /** A path begins. */
        void begin(boolean primary, double xUm, double yUm, double zUm);

        /** It goes on straight to here. */
        void to(double xUm, double yUm, double zUm);
    }

    /**
     * @param top depth of the top of each layer
     * @param bottom depth of the bottom of each layer
     * @param tables table of each layer, from the cut-off
     * @param tiltDeg angle of the beam from the normal, towards +x
     * @param depthUm depth of the resist that is cut into slices
     * @param depths number of slices
     * @param recorder who hears the paths, or null
     */
    TransportKernel(
            double[] top,
            double[] bottom,
            double[][] tables,
            int resist,
            double energyKev,
            double cutoffKev,
            double hardCutoffKev,
            double beamUm,
            double tiltDeg,
            double depthUm,
            int depths,
            PathRecorder recorder) {
        this.top = top;
        this.bottom = bottom;
        this.tables = tables;
        base = TransportTable.base(cutoffKev);
        this.resist = resist;
        this.energyKev = energyKev;
        this.cutoffKev = cutoffKev;
        this.hardCutoffKev = hardCutoffKev;
        this.beamUm = beamUm;
        tiltSine = Math.sin(Math.toRadians(tiltDeg));
        tiltCosine = Math.cos(Math.toRadians(tiltDeg));
        this.depthScale = depths / depthUm;
        this.recorder = recorder;
        int most = 2 + (int) Math.ceil(energyKev / hardCutoffKev);
        waiting = new double[most * WAITING_STRIDE];
        waitingReturned = new boolean[most];
        waitingLayer = new int[most];
    }

    /** Follows {@code count} electrons and all they set free. */
    void run(UniformRandomProvider rng, int count, Tally tally) {
        for (int n = 0; n < count; n++) {
            disc(rng);
            double s2 = discSquare;
            double spread = beamUm == 0 ? 0 : beamUm * Math.sqrt(-FastLog.log(s2) / s2);
            follow(rng, tally, true, discX * spread, discY * spread, 0, tiltSine, 0, tiltCosine, energyKev, 0, false);
            while (waitingCount > 0) {
                int w = --waitingCount;
                int at = w * WAITING_STRIDE;
                follow(
                        rng,
                        tally,
                        false,
                        waiting[at],
                        waiting[at + 1],
                        waiting[at + 2],
                        waiting[at + 3],
                        waiting[at + 4],
                        waiting[at + 5],
                        waiting[at + 6],
                        waitingLayer[w],
                        waitingReturned[w]);
            }
        }
        tally.electrons += count;
    }

    private void follow(
            UniformRandomProvider rng,
            Tally tally,
            boolean primary,
            double startX,
            double startY,
            double startZ,
            double startU,
            double startV,
            double startW,
            double startE,
            int startLayer,
            boolean startReturned) {
        double x = startX;
        double y = startY;
        double z = startZ;
        double u = startU;
        double v = startV;
        double w = startW;
        double e = startE;
        int layer = startLayer;
        boolean returned = startReturned;
        double[] table = tables[layer];
        double layerTop = top[layer];
        double layerBottom = bottom[layer];
        long elastic = 0;
        if (recorder != null) {
            recorder.begin(primary, x, y, z);
        }
        while (true) {
            long bits = Double.doubleToRawLongBits(e);
            int row = (int) ((bits >>> TransportTable.SHIFT) - base) * TransportTable.STRIDE;
            double fraction = (bits & TransportTable.FRACTION_MASK) * TransportTable.FRACTION_SCALE;
            if (layer != resist && recorder == null) {
                double reach = at(table, row + TransportTable.REACH, fraction);
                if (z - layerTop > reach && layerBottom - z > reach) {
                    tally.layerKev[layer] += e;
                    tally.restKev += e;
                    break;
                }
            }
            double step = -FastLog.log(((rng.nextLong() >>> 11) + 0.5) * TO_UNIT)
                    / at(table, row + TransportTable.COLLISIONS, fraction);
            int cross = 0;
            double zNext = z + w * step;
            if (zNext < layerTop) {
                step = (layerTop - z) / w;
                zNext = layerTop;
                cross = -1;
            } else if (zNext > layerBottom) {
                step = (layerBottom - z) / w;
                zNext = layerBottom;
                cross = 1;
            }
            double rate = at(table, row + TransportTable.LOSS, fraction);
            double loss = rate * step;
            if (loss > LARGE_LOSS * e) {
                rate = TransportTable.value(table, base, Math.max(cutoffKev, e - 0.5 * loss), TransportTable.LOSS);
                loss = rate * step;
            }
            boolean stopped = loss >= e - cutoffKev;
            if (stopped) {
                loss = e - cutoffKev;
                step = loss / rate;
                zNext = z + w * step;
                cross = 0;
            }
            double xNext = x + u * step;
            double yNext = y + v * step;
            if (layer == resist) {
                tallyPath(rng, tally, returned, x, y, z, xNext, yNext, zNext, step, loss);
            }
            tally.layerKev[layer] += loss;
            x = xNext;
            y = yNext;
            z = zNext;
            if (recorder != null) {
                recorder.to(x, y, z);
            }
            if (stopped) {
                if (layer == resist) {
                    tallyPoint(tally, returned, x, y, z, cutoffKev);
                }
                tally.layerKev[layer] += cutoffKev;
                tally.restKev += cutoffKev;
                break;
            }
            e -= loss;
            if (cross != 0) {
                layer += cross;
                if (layer < 0) {
                    tally.escapeUp(primary, e, e / energyKev, -w);
                    break;
                }
                if (layer == top.length) {
                    tally.transmittedKev += e;
                    if (primary) {
                        tally.transmitted++;
                        tally.transmittedPrimaryKev += e;
                    } else {
                        tally.transmittedSecondaries++;
                    }
                    break;
                }
                returned |= layer > resist;
                table = tables[layer];
                layerTop = top[layer];
                layerBottom = bottom[layer];
                continue;
            }
            // The kind of the collision, its angle and more come from one number, cut down as it is used.
            double kind = (rng.nextLong() >>> 11) * TO_UNIT;
            double hard = at(table, row + TransportTable.HARD_SHARE, fraction);
            if (kind < hard) {
                tally.hardCollisions++;
                double x2 = mollerShare(rng, e);
                double secondary = x2 * e;
                if (x2 > 0) {
                    disc(rng);
                    double cos = (discX * discX - discY * discY) / discSquare;
                    double sin = 2 * discX * discY / discSquare;
                    double s2 = MollerScattering.secondarySineSquared(e, x2);
                    deflect(u, v, w, Math.sqrt(1 - s2), Math.sqrt(s2), -cos, -sin);
                    push(x, y, z, secondary, layer, returned);
                    double p2 = MollerScattering.primarySineSquared(e, x2);
                    deflect(u, v, w, Math.sqrt(1 - p2), Math.sqrt(p2), cos, sin);
                    u = du;
                    v = dv;
                    w = dw;
                    e -= secondary;
                }
                continue;
            }
            elastic++;
            double share = (kind - hard) / (1 - hard);
            double isotropic = at(table, row + TransportTable.ISOTROPIC_SHARE, fraction);
            double oneMinusCos;
            if (share < isotropic) {
                oneMinusCos = 2 * share / isotropic;
            } else {
                double r = (share - isotropic) / (1 - isotropic);
                double a = ElasticScattering.screening(e);
                oneMinusCos = 2 * a * r / (1 + a - r);
            }
            double sine = Math.sqrt(oneMinusCos * (2 - oneMinusCos));
            disc(rng);
            double cos = (discX * discX - discY * discY) / discSquare;
            double sin = 2 * discX * discY / discSquare;
            deflect(u, v, w, 1 - oneMinusCos, sine, cos, sin);
            u = du;
            v = dv;
            w = dw;
        }
        tally.elasticCollisions += elastic;
    }

    private static double at(double[] table, int index, double fraction) {
        double low = table[index];
        return low + fraction * (table[index + TransportTable.STRIDE] - low);
    }

    private void push(double x, double y, double z, double e, int layer, boolean returned) {
        int at = waitingCount * WAITING_STRIDE;
        waiting[at] = x;
        waiting[at + 1] = y;
        waiting[at + 2] = z;
        waiting[at + 3] = du;
        waiting[at + 4] = dv;
        waiting[at + 5] = dw;
        waiting[at + 6] = e;
        waitingLayer[waitingCount] = layer;
        waitingReturned[waitingCount] = returned;
        waitingCount++;
    }

    /** Share handed over in a hard collision, by rejection from 1/x^2; 0 if the energy has fallen too low for one. */
    double mollerShare(UniformRandomProvider rng, double e) {
        double xc = hardCutoffKev / e;
        if (xc >= 0.5) {
            return 0;
        }
        double spin = MollerScattering.spin(e);
        double exchange = MollerScattering.exchange(e);
        while (true) {
            double x = xc / (1 - (rng.nextLong() >>> 11) * TO_UNIT * (1 - 2 * xc));
            double t = x / (1 - x);
            double density = 1 + t * t + spin * x * x - exchange * t;
            if ((rng.nextLong() >>> 11) * TO_UNIT * MOLLER_BOUND < density) {
                return x;
            }
        }
    }

    private double discX;
    private double discY;
    private double discSquare;

    /** A point even in the unit disc; twice its angle is an even azimuth without sines. */
    private void disc(UniformRandomProvider rng) {
        double a;
        double b;
        double s;
        do {
            long bits = rng.nextLong();
            a = (int) bits * TO_SIGNED;
            b = (int) (bits >>> 32) * TO_SIGNED;
            s = a * a + b * b;
        } while (s >= 1 || s == 0);
        discX = a;
        discY = b;
        discSquare = s;
    }

    /** Turns (u, v, w) by the angle of the given cosine and sine at the given azimuth; a frame without poles. */
    private void deflect(
            double u, double v, double w, double cosine, double sine, double cosAzimuth, double sinAzimuth) {
        double sign = Math.copySign(1.0, w);
        double a = -1 / (sign + w);
        double b = u * v * a;
        double p = sine * cosAzimuth;
        double q = sine * sinAzimuth;
        double nu = cosine * u + p * (1 + sign * u * u * a) + q * b;
        double nv = cosine * v + p * sign * b + q * (sign + v * v * a);
        double nw = cosine * w - p * sign * u - q * v;
        // One Newton step towards unit length keeps rounding from piling up over thousands of turns.
        double scale = 1.5 - 0.5 * (nu * nu + nv * nv + nw * nw);
        du = nu * scale;
        dv = nv * scale;
        dw = nw * scale;
    }

    /** Leaves a path's loss at points spread over it, one at random in each of its even parts: true to the mean in any bin. */
    private void tallyPath(
            UniformRandomProvider rng,
            Tally tally,
            boolean returned,
            double x0,
            double y0,
            double z0,
            double x1,
            double y1,
            double z1,
            double step,
            double loss) {
        // Parts of about a tenth of the radius, no shorter than 1 nm and no more than 16.
        double r2 = x0 * x0 + y0 * y0;
        int parts = 1;
        if (step > 0.001 && step * step > 0.01 * r2) {
            parts = (int) Math.min(16, 1 + step / Math.max(0.001, 0.1 * Math.sqrt(r2)));
        }
        double share = 1.0 / parts;
        for (int i = 0; i < parts; i++) {
            double t = (i + (rng.nextLong() >>> 11) * TO_UNIT) * share;
            tallyPoint(tally, returned, x0 + t * (x1 - x0), y0 + t * (y1 - y0), z0 + t * (z1 - z0), loss * share);
        }
    }

    private void tallyPoint(Tally tally, boolean returned, double x, double y, double z, double kev) {
        int depth = Math.min(tally.depths - 1, (int) ((z - top[resist]) * depthScale));
        int part = returned ? Tally.RETURNING : Tally.FORWARD;
        tally.resist[(part * tally.depths + depth) * tally.radii + tally.radialIndex(x * x + y * y)] += kev;
    }
}
