package evendose.report;

import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.DatabaseUnit;
import evendose.layout.Layer;
import evendose.layout.gdsii.GdsiiWriter;
import evendose.parallel.Workers;
import evendose.verification.PointEnergy;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * The developed outline in a window: closed rings where the energy passes the threshold, with the developed side on the left (so
 * outer rings run counter-clockwise, holes clockwise). At the window's border rings are closed along it.
 *
 * <p>Found by marching squares on a raster; every vertex lies on a line between two pixel centres and is moved there onto the
 * contour by the secant rule on the energy itself, to within 0.01 nm where the energy is smooth between the two.
 */
public final class Contours {
    private static final int SECANT_STEPS = 6;
    private static final double ACCURACY_UM = 1e-6;

    private final List<double[]> rings;

    private Contours(List<double[]> rings) {
        this.rings = rings;
    }

    /** The rings, each as x0, y0, x1, y1, ... in um, without a repeated closing point; not to be changed. */
    List<double[]> rings() {
        return List.copyOf(rings);
    }

    /**
     * Traces the contour.
     *
     * @param raster the energies
     * @param energy the same energy at any point
     * @param threshold energy at which the resist develops
     * @param workers who computes; the result does not depend on their number
     * @return the contours
     */
    public static Contours trace(EnergyRaster raster, PointEnergy energy, double threshold, Workers workers) {
        return new Contours(new Tracer(raster, energy, threshold).trace(workers));
    }

    /** {@return area inside the rings, um^2} */
    public double areaUm2() {
        double sum = 0;
        for (double[] ring : rings) {
            sum += area(ring);
        }
        return sum;
    }

    static double area(double[] ring) {
        double sum = 0;
        int n = ring.length / 2;
        for (int i = 0; i < n; i++) {
            int j = (i + 1) % n;
            sum += ring[2 * i] * ring[2 * j + 1] - ring[2 * j] * ring[2 * i + 1];
        }
        return sum / 2;
    }

    /**
     * Writes contours as GDSII polygons: outer rings on datatype 0, holes on datatype 1 of a layer each.
     *
     * @param byLayer contours; those at index {@code k} go to layer {@code k + 1}
     * @param drawn rings of the drawn outline, for the layer behind them
     * @param unit database unit; a tenth of the layout's keeps what was found
     * @param file the GDSII file to write
     * @throws BadInputException if the file cannot be written or a coordinate does not fit it
     */
    public static void write(List<Contours> byLayer, List<double[]> drawn, DatabaseUnit unit, Path file) {
        try (GdsiiWriter writer = new GdsiiWriter(
                Files.newOutputStream(file), OutputFolder.destination(file).toString(), "EVENDOSE", unit)) {
            writer.beginCell("CONTOURS");
            for (int k = 0; k <= byLayer.size(); k++) {
                for (double[] ring : k < byLayer.size() ? byLayer.get(k).rings : drawn) {
                    long[] points = new long[ring.length];
                    Arrays.setAll(points, i -> Math.round(unit.fromUm(ring[i])));
                    writer.layer(new Layer(k + 1, area(ring) > 0 ? 0 : 1));
                    writer.polygon(points, points.length / 2);
                }
            }
            writer.endCell();
        } catch (IOException e) {
            throw BadInputException.unwritable(file, e);
        }
    }

    /**
     * Marching squares over the pixel centres with a rim of undeveloped ones around, so that all rings close.
     *
     * <p>A crossing is named by the grid line it lies on: number {@code 2 * node} on the line from a node to the right,
     * {@code 2 * node + 1} on that upwards. In each square the contour goes from crossing to crossing with the developed side on
     * its left; linking these steps gives the rings.
     */
    private static final class Tracer {
        private static final int CROSSINGS_PER_PART = 64;

        private final EnergyRaster raster;
        private final PointEnergy energy;
        private final double threshold;
        private final int width;
        private final int height;

        Tracer(EnergyRaster raster, PointEnergy energy, double threshold) {
            this.raster = raster;
            this.energy = energy;
            this.threshold = threshold;
            this.width = raster.columns() + 2;
            this.height = raster.rows() + 2;
            if (2L * width * height > Integer.MAX_VALUE) {
                throw new IllegalArgumentException("the raster is too large for contours; use larger pixels");
            }
        }

        private boolean rim(int c, int r) {
            return c == 0 || r == 0 || c == width - 1 || r == height - 1;
        }

        private double value(int c, int r) {
            return rim(c, r) ? -1 : raster.value(c - 1, r - 1) - threshold;
        }

        List<double[]> trace(Workers workers) {
            // next[crossing] - 1 is the crossing that follows; 0 is none.
            int[] next = new int[2 * width * height];
            for (int r = 0; r + 1 < height; r++) {
                boolean a = false;
                boolean d = false;
                for (int c = 0; c + 1 < width; c++) {
                    boolean b = value(c + 1, r) >= 0;
                    boolean e = value(c + 1, r + 1) >= 0;
                    if (a != b || b != e || e != d) {
                        square(c, r, a, b, e, d, next);
                    }
                    a = b;
                    d = e;
                }
            }
            List<int[]> chains = new ArrayList<>();
            for (int k = 0; k < next.length; k++) {
                if (next[k] != 0) {
                    chains.add(chain(k, next));
                }
            }
            int[] crossings = chains.stream().flatMapToInt(Arrays::stream).toArray();
            double[] xy = new double[2 * crossings.length];
            workers.runRanges(crossings.length, CROSSINGS_PER_PART, (from, to, part) -> {
                for (int i = from; i < to; i++) {
                    place(crossings[i], xy, 2 * i);
                }
            });
            List<double[]> rings = new ArrayList<>();
            int at = 0;
            for (int[] chain : chains) {
                double[] ring = withoutRepeats(Arrays.copyOfRange(xy, at, at + 2 * chain.length));
                at += 2 * chain.length;
                if (ring.length >= 6) {
                    rings.add(ring);
                }
            }
            return rings;
        }

        /** Corners counter-clockwise from the lower left: a, b, e, d. */
        private void square(int c, int r, boolean a, boolean b, boolean e, boolean d, int[] next) {
            int node = r * width + c;
            int low = 2 * node;
            int right = 2 * (node + 1) + 1;
            int high = 2 * (node + width);
            int left = 2 * node + 1;
            int pattern = (a ? 1 : 0) | (b ? 2 : 0) | (e ? 4 : 0) | (d ? 8 : 0);
            switch (pattern) {
                case 1 -> link(next, low, left);
                case 2 -> link(next, right, low);
                case 3 -> link(next, right, left);
                case 4 -> link(next, high, right);
                case 6 -> link(next, high, low);
                case 7 -> link(next, high, left);
                case 8 -> link(next, left, high);
                case 9 -> link(next, low, high);
                case 11 -> link(next, right, high);
                case 12 -> link(next, left, right);
                case 13 -> link(next, low, right);
                case 14 -> link(next, left, low);
                default -> {
                    // Opposite corners: the middle decides whether they hang together.
                    double middle = 0.25 * (value(c, r) + value(c + 1, r) + value(c + 1, r + 1) + value(c, r + 1));
                    boolean joined = middle >= 0;
                    if (pattern == 5) {
                        link(next, low, joined ? right : left);
                        link(next, high, joined ? left : right);
                    } else {
                        link(next, right, joined ? high : low);
                        link(next, left, joined ? low : high);
                    }
                }
            }
        }

        private static void link(int[] next, int from, int to) {
            next[from] = to + 1;
        }

        /** The crossings that follow {@code start}, which are taken out of {@code next}. */
        private static int[] chain(int start, int[] next) {
            int[] chain = new int[32];
            int n = 0;
            int k = start;
            do {
                if (n == chain.length) {
                    chain = Arrays.copyOf(chain, 2 * n);
                }
                chain[n++] = k;
                int follows = next[k] - 1;
                next[k] = 0;
                k = follows;
            } while (k >= 0 && k != start);
            return Arrays.copyOf(chain, n);
        }

        private static double[] withoutRepeats(double[] xy) {
            int kept = 0;
            for (int i = 0; i < xy.length; i += 2) {
                if (kept == 0 || Math.abs(xy[i] - xy[kept - 2]) + Math.abs(xy[i + 1] - xy[kept - 1]) > ACCURACY_UM) {
                    xy[kept] = xy[i];
                    xy[kept + 1] = xy[i + 1];
                    kept += 2;
                }
            }
            return Arrays.copyOf(xy, kept);
        }

        private void place(int crossing, double[] xy, int at) {
            int node = crossing / 2;
            int c = node % width;
            int r = node / width;
            boolean up = (crossing & 1) == 1;
            int c1 = up ? c : c + 1;
            int r1 = up ? r + 1 : r;
            double ax = raster.leftUm() + (c - 0.5) * raster.pixelUm();
            double ay = raster.bottomUm() + (r - 0.5) * raster.pixelUm();
            double dx = up ? 0 : raster.pixelUm();
            double dy = up ? raster.pixelUm() : 0;
            double t;
            if (rim(c, r) || rim(c1, r1)) {
                // The window's border lies half a pixel beyond the outermost centres.
                t = 0.5;
            } else {
                t = root(ax, ay, dx, dy, value(c, r), value(c1, r1));
            }
            xy[at] = ax + t * dx;
            xy[at + 1] = ay + t * dy;
        }

        /** The share of the way at which the energy passes the threshold: regula falsi with Illinois weights. */
        private double root(double ax, double ay, double dx, double dy, double fa, double fb) {
            double a = 0;
            double b = 1;
            double va = fa;
            double vb = fb;
            double t = va / (va - vb);
            for (int k = 0; k < SECANT_STEPS; k++) {
                double v = energy.at(ax + t * dx, ay + t * dy) - threshold;
                if ((v >= 0) == (vb >= 0)) {
                    b = t;
                    vb = v;
                    va /= 2;
                } else {
                    a = b;
                    va = vb;
                    b = t;
                    vb = v;
                }
                double next = (va == vb) ? t : (a * vb - b * va) / (vb - va);
                if (Math.abs(next - t) * (dx + dy) < ACCURACY_UM) {
                    return Math.max(0, Math.min(1, next));
                }
                t = Math.max(0, Math.min(1, next));
            }
            return t;
        }
    }
}
