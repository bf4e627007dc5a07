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

    // The electron that is followed: place, direction, energy.
    private double x;
    private double y;
    private double z;
    private double u;
    private double v;
    private double w;
    private double e;
    private int layer;
    private boolean primary;

    /** Whether it has been below the resist. */
    private boolean returned;

    // Where the table of its layer holds what belongs to its energy before the last path.
    private double[] table;
    private int row;
    private double fraction;

    // The direction after the last deflection.
    private double du;
    private double dv;
    private double dw;

    /** What ends a free path. */
    private enum PathEnd {
        COLLISION,
        INTERFACE_ABOVE,
        INTERFACE_BELOW,
        ENERGY_SPENT
    }

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
            enter(rng);
            follow(rng, tally);
            while (waitingCount > 0) {
                takeWaiting();
                follow(rng, tally);
            }
        }
        tally.electrons += count;
    }

    /** An electron of the beam meets the surface. */
    private void enter(UniformRandomProvider rng) {
        disc(rng);
        double s2 = discSquare;
        double spread = beamUm == 0 ? 0 : beamUm * Math.sqrt(-FastLog.log(s2) / s2);
        x = discX * spread;
        y = discY * spread;
        z = 0;
        u = tiltSine;
        v = 0;
        w = tiltCosine;
        e = energyKev;
        layer = 0;
        returned = false;
        primary = true;
    }

    /** Follows the electron until it rests or leaves the stack. */
    private void follow(UniformRandomProvider rng, Tally tally) {
        if (recorder != null) {
            recorder.begin(primary, x, y, z);
        }
        while (true) {
            findRow();
            if (staysInLayer()) {
                rest(tally, e);
                return;
            }
            switch (fly(rng, tally)) {
                case ENERGY_SPENT -> {
                    if (layer == resist) {
                        tallyPoint(tally, x, y, z, cutoffKev);
                    }
                    rest(tally, cutoffKev);
                    return;
                }
                case INTERFACE_ABOVE -> layer--;
                case INTERFACE_BELOW -> layer++;
                case COLLISION -> {
                    collide(rng, tally);
                    continue;
                }
            }
            if (layer < 0 || layer == top.length) {
                leave(tally);
                return;
            }
            returned |= layer > resist;
        }
    }

    private void findRow() {
        table = tables[layer];
        long bits = Double.doubleToRawLongBits(e);
        row = (int) ((bits >>> TransportTable.SHIFT) - base) * TransportTable.STRIDE;
        fraction = (bits & TransportTable.FRACTION_MASK) * TransportTable.FRACTION_SCALE;
    }

    private double value(int column) {
        double low = table[row + column];
        return low + fraction * (table[row + column + TransportTable.STRIDE] - low);
    }

    /** Whether it lies outside the resist and cannot reach the border of its layer any more; pictures show it all the same. */
    private boolean staysInLayer() {
        if (layer == resist || recorder != null) {
            return false;
        }
        double reach = value(TransportTable.REACH);
        return z - top[layer] > reach && bottom[layer] - z > reach;
    }

    private void rest(Tally tally, double kev) {
        tally.layerKev[layer] += kev;
        tally.restKev += kev;
    }

    /** One free path: moves the electron to its end, takes the loss from its energy and leaves it in the layer. */
    private PathEnd fly(UniformRandomProvider rng, Tally tally) {
        PathEnd end = PathEnd.COLLISION;
        double step = -FastLog.log(((rng.nextLong() >>> 11) + 0.5) * TO_UNIT) / value(TransportTable.COLLISIONS);
        double zNext = z + w * step;
        if (zNext < top[layer]) {
            step = (top[layer] - z) / w;
            zNext = top[layer];
            end = PathEnd.INTERFACE_ABOVE;
        } else if (zNext > bottom[layer]) {
            step = (bottom[layer] - z) / w;
            zNext = bottom[layer];
            end = PathEnd.INTERFACE_BELOW;
        }
        double rate = value(TransportTable.LOSS);
        double loss = rate * step;
        if (loss > LARGE_LOSS * e) {
            rate = TransportTable.value(table, base, Math.max(cutoffKev, e - 0.5 * loss), TransportTable.LOSS);
            loss = rate * step;
        }
        if (loss >= e - cutoffKev) {
            loss = e - cutoffKev;
            step = loss / rate;
            zNext = z + w * step;
            end = PathEnd.ENERGY_SPENT;
        }
        double xNext = x + u * step;
        double yNext = y + v * step;
        if (layer == resist) {
            tallyPath(rng, tally, xNext, yNext, zNext, step, loss);
        }
        tally.layerKev[layer] += loss;
        x = xNext;
        y = yNext;
        z = zNext;
        e -= loss;
        if (recorder != null) {
            recorder.to(x, y, z);
        }
        return end;
    }

    /** Counts an electron that has left the stack. */
    private void leave(Tally tally) {
        if (layer < 0) {
            tally.escapeUp(primary, e, e / energyKev, -w);
            return;
        }
        tally.transmittedKev += e;
        if (primary) {
            tally.transmitted++;
            tally.transmittedPrimaryKev += e;
        } else {
            tally.transmittedSecondaries++;
        }
    }

    /** The kind of the collision, its angle and more come from one number, cut down as it is used. */
    private void collide(UniformRandomProvider rng, Tally tally) {
        double kind = (rng.nextLong() >>> 11) * TO_UNIT;
        double hard = value(TransportTable.HARD_SHARE);
        if (kind < hard) {
            tally.hardCollisions++;
            setFree(rng);
        } else {
            tally.elasticCollisions++;
            scatter(rng, (kind - hard) / (1 - hard));
        }
    }

    /** A hard collision: both electrons turn, and the slower one waits. */
    private void setFree(UniformRandomProvider rng) {
        double x2 = mollerShare(rng, e);
        if (x2 == 0) {
            return;
        }
        double secondary = x2 * e;
        azimuth(rng);
        double s2 = MollerScattering.secondarySineSquared(e, x2);
        deflect(Math.sqrt(1 - s2), Math.sqrt(s2), -azimuthCosine, -azimuthSine);
        push(secondary);
        double p2 = MollerScattering.primarySineSquared(e, x2);
        deflect(Math.sqrt(1 - p2), Math.sqrt(p2), azimuthCosine, azimuthSine);
        turn();
        e -= secondary;
    }

    /** An elastic collision, whose angle comes from an even number {@code share}, 0 to 1. */
    private void scatter(UniformRandomProvider rng, double share) {
        double isotropic = value(TransportTable.ISOTROPIC_SHARE);
        double oneMinusCos;
        if (share < isotropic) {
            oneMinusCos = 2 * share / isotropic;
        } else {
            double r = (share - isotropic) / (1 - isotropic);
            double a = ElasticScattering.screening(e);
            oneMinusCos = 2 * a * r / (1 + a - r);
        }
        double sine = Math.sqrt(oneMinusCos * (2 - oneMinusCos));
        azimuth(rng);
        deflect(1 - oneMinusCos, sine, azimuthCosine, azimuthSine);
        turn();
    }

    /** Lets an electron wait here that flies in the direction of the last deflection. */
    private void push(double secondaryKev) {
        int at = waitingCount * WAITING_STRIDE;
        waiting[at] = x;
        waiting[at + 1] = y;
        waiting[at + 2] = z;
        waiting[at + 3] = du;
        waiting[at + 4] = dv;
        waiting[at + 5] = dw;
        waiting[at + 6] = secondaryKev;
        waitingLayer[waitingCount] = layer;
        waitingReturned[waitingCount] = returned;
        waitingCount++;
    }

    private void takeWaiting() {
        int at = --waitingCount * WAITING_STRIDE;
        x = waiting[at];
        y = waiting[at + 1];
        z = waiting[at + 2];
        u = waiting[at + 3];
        v = waiting[at + 4];
        w = waiting[at + 5];
        e = waiting[at + 6];
        layer = waitingLayer[waitingCount];
        returned = waitingReturned[waitingCount];
        primary = false;
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

    /** A point even in the unit disc. */
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

    private double azimuthCosine;
    private double azimuthSine;

    /** An even azimuth without sines: twice the angle of a point in the disc. */
    private void azimuth(UniformRandomProvider rng) {
        disc(rng);
        azimuthCosine = (discX * discX - discY * discY) / discSquare;
        azimuthSine = 2 * discX * discY / discSquare;
    }

    /** Turns (u, v, w) by the angle of the given cosine and sine at the given azimuth, into (du, dv, dw); a frame without poles. */
    private void deflect(double cosine, double sine, double cosAzimuth, double sinAzimuth) {
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

    private void turn() {
        u = du;
        v = dv;
        w = dw;
    }

    /** Leaves the loss of a path from here to (x1, y1, z1) at points spread over it, one at random in each of its even parts: true to the mean in any bin. */
    private void tallyPath(
            UniformRandomProvider rng, Tally tally, double x1, double y1, double z1, double step, double loss) {
        // Parts of about a tenth of the radius, no shorter than 1 nm and no more than 16.
        double r2 = x * x + y * y;
        int parts = 1;
        if (step > 0.001 && step * step > 0.01 * r2) {
            parts = (int) Math.min(16, 1 + step / Math.max(0.001, 0.1 * Math.sqrt(r2)));
        }
        double share = 1.0 / parts;
        for (int i = 0; i < parts; i++) {
            double t = (i + (rng.nextLong() >>> 11) * TO_UNIT) * share;
            tallyPoint(tally, x + t * (x1 - x), y + t * (y1 - y), z + t * (z1 - z), loss * share);
        }
    }

    private void tallyPoint(Tally tally, double xUm, double yUm, double zUm, double kev) {
        int depth = Math.min(tally.depths - 1, (int) ((zUm - top[resist]) * depthScale));
        int part = returned ? Tally.RETURNING : Tally.FORWARD;
        tally.resist[(part * tally.depths + depth) * tally.radii + tally.radialIndex(xUm * xUm + yUm * yUm)] += kev;
    }
}
