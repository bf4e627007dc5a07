package evendose.energy;

import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.TableTerm;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * Absorbed energy at any point, from closed forms alone:
 *
 * <pre>E(x, y) = sum_i d_i sum_k w_k G_k,i(x, y)</pre>
 *
 * <p>with {@code d_i} the dose factor of piece {@code i} and {@code G_k,i} the integral over the piece of term {@code k}'s unit
 * Gaussian about {@code (x, y)}. A plane exposed at factor 1 has {@code E = 1}, the edge of a half plane {@code E = 1/2}.
 *
 * <p>Rectangles are products of error function differences; other trapezoids are integrals of such along their slanted sides.
 * Pieces further than 6 {@code s_k} away along x or y are left out, which loses less than 1.1e-17 of the term per side. Absolute
 * error below 1e-12 for factors near 1 (held to 1e-12 against mpmath values by {@code ExactEnergyReferenceTest}).
 * Time grows with the number of pieces within 6 {@code s_k}: this is the truth the fast {@link EnergyModel} is held against.
 *
 * <p>Safe for use by many threads at once.
 */
public final class ExactEnergy {
    private static final int POINTS_PER_PART = 256;

    private final Pieces pieces;
    private final double[] doseOfPiece;
    private final List<GaussianTerm> terms;
    private final Optional<TableTerm> table;
    private final PieceIndex index;
    private final GaussianKernel kernel;

    private ExactEnergy(
            Pieces pieces,
            double[] doseOfPiece,
            List<GaussianTerm> terms,
            Optional<TableTerm> table,
            PieceIndex index,
            GaussianKernel kernel) {
        this.pieces = pieces;
        this.doseOfPiece = doseOfPiece;
        this.terms = terms;
        this.table = table;
        this.index = index;
        this.kernel = kernel;
    }

    /** The energy of the engine's near terms, to the engine's accuracy, with an index that is there already. */
    static ExactEnergy ofNearTerms(Pieces pieces, double[] doseOfPiece, List<GaussianTerm> terms, PieceIndex index) {
        return new ExactEnergy(pieces, doseOfPiece, terms, Optional.empty(), index, GaussianKernel.ENGINE);
    }

    private static ExactEnergy of(Pieces pieces, double[] doseOfPiece, PointSpreadFunction psf) {
        return new ExactEnergy(
                pieces, doseOfPiece, psf.terms(), psf.table(), new PieceIndex(pieces), GaussianKernel.EXACT);
    }

    /**
     * {@return the energy of pieces whose units are exposed with the given dose factors}
     *
     * @param pieces what is exposed
     * @param doseOfUnit dose factor of each unit, finite; copied
     * @param psf the point spread function
     * @throws IllegalArgumentException if there is not one finite factor for each unit
     */
    public static ExactEnergy ofUnits(Pieces pieces, double[] doseOfUnit, PointSpreadFunction psf) {
        checkDoses(doseOfUnit, pieces.units(), "units");
        double[] dose = new double[pieces.size()];
        for (int u = 0; u < pieces.units(); u++) {
            Arrays.fill(dose, pieces.unitFirst(u), pieces.unitFirst(u + 1), doseOfUnit[u]);
        }
        return of(pieces, dose, psf);
    }

    /**
     * {@return the energy of pieces each exposed with a dose factor of its own}
     *
     * @param pieces what is exposed
     * @param doseOfPiece dose factor of each piece, finite; copied
     * @param psf the point spread function
     * @throws IllegalArgumentException if there is not one finite factor for each piece
     */
    public static ExactEnergy ofPieces(Pieces pieces, double[] doseOfPiece, PointSpreadFunction psf) {
        checkDoses(doseOfPiece, pieces.size(), "pieces");
        return of(pieces, doseOfPiece.clone(), psf);
    }

    List<GaussianTerm> terms() {
        return terms;
    }

    /** For the same pieces and doses at many pixels, at the engine's accuracy. */
    RasterKernel raster(PixelGrid pixels) {
        return new RasterKernel(pieces, doseOfPiece, index, pixels);
    }

    static void checkDoses(double[] dose, int expected, String what) {
        if (dose.length != expected) {
            throw new IllegalArgumentException(dose.length + " dose factors for " + expected + " " + what);
        }
        for (int i = 0; i < dose.length; i++) {
            if (!Double.isFinite(dose[i])) {
                throw new IllegalArgumentException("dose factor " + i + " is " + dose[i]);
            }
        }
    }

    /**
     * {@return energy at a point (um)}
     *
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    public double at(double xUm, double yUm) {
        return at(xUm, yUm, new PieceIndex.Hits());
    }

    private double at(double xUm, double yUm, PieceIndex.Hits hits) {
        double sum = gaussiansAt(0, terms.size(), xUm, yUm, hits);
        return table.isPresent() ? sum + tableAt(xUm, yUm, hits) : sum;
    }

    /**
     * Energies at many points.
     *
     * @param xUm x of each point, um
     * @param yUm y of each point, um
     * @param workers who computes; the result does not depend on their number
     * @return energy at each point, a new array
     * @throws IllegalArgumentException if the arrays differ in length
     */
    public double[] at(double[] xUm, double[] yUm, Workers workers) {
        if (xUm.length != yUm.length) {
            throw new IllegalArgumentException(xUm.length + " x for " + yUm.length + " y");
        }
        double[] energy = new double[xUm.length];
        workers.runRanges(xUm.length, POINTS_PER_PART, (from, to, part) -> {
            PieceIndex.Hits hits = new PieceIndex.Hits();
            for (int j = from; j < to; j++) {
                energy[j] = at(xUm[j], yUm[j], hits);
            }
        });
        return energy;
    }

    /**
     * {@return what some terms contribute to the energy at a point: {@code sum_k w_k sum_i d_i G_k,i(x, y)}}
     *
     * @param first index of the first in {@link PointSpreadFunction#terms()}; their number is that of the table
     * @param end index after the last
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     */
    public double termsAt(int first, int end, double xUm, double yUm) {
        PieceIndex.Hits hits = new PieceIndex.Hits();
        double sum = gaussiansAt(Math.min(first, terms.size()), Math.min(end, terms.size()), xUm, yUm, hits);
        return first < end && end > terms.size() ? sum + tableAt(xUm, yUm, hits) : sum;
    }

    private double tableAt(double xUm, double yUm, PieceIndex.Hits hits) {
        TableKernel kernel = new TableKernel(table.orElseThrow().table());
        return alongSides(xUm, yUm, hits, kernel::side);
    }

    /** What is summed along a side of a piece, whose ends are seen from the point. */
    private interface Side {
        double of(double fromX, double fromY, double toX, double toY);
    }

    /** The table's weight times the sum over the sides of all pieces that it reaches, with their doses. */
    private double alongSides(double xUm, double yUm, PieceIndex.Hits hits, Side side) {
        TableTerm term = table.orElseThrow();
        double reach = term.table().reachUm();
        index.find(xUm - reach, yUm - reach, xUm + reach, yUm + reach, hits);
        double sum = 0;
        for (int h = 0; h < hits.size; h++) {
            int i = hits.piece[h];
            double share = 0;
            for (int k = 0; k < 4; k++) {
                share += side.of(
                        pieces.cornerXUm(i, k) - xUm,
                        pieces.cornerYUm(i, k) - yUm,
                        pieces.cornerXUm(i, k + 1 & 3) - xUm,
                        pieces.cornerYUm(i, k + 1 & 3) - yUm);
            }
            sum += doseOfPiece[i] * share;
        }
        return term.weight() * sum;
    }

    /** The terms {@code first} to {@code end - 1} in one walk over the pieces that the widest reaches. */
    private double gaussiansAt(int first, int end, double xUm, double yUm, PieceIndex.Hits hits) {
        if (first == end) {
            return 0;
        }
        double widest = reach(end - 1);
        index.find(xUm - widest, yUm - widest, xUm + widest, yUm + widest, hits);
        double[] sums = new double[end - first];
        for (int h = 0; h < hits.size; h++) {
            int i = hits.piece[h];
            boolean standing = pieces.standing(i);
            double along = standing ? yUm : xUm;
            double across = standing ? xUm : yUm;
            double low = pieces.lowUm()[i] - across;
            double high = pieces.highUm()[i] - across;
            double fromLow = pieces.fromLowUm()[i] - along;
            double toLow = pieces.toLowUm()[i] - along;
            double fromHigh = pieces.fromHighUm()[i] - along;
            double toHigh = pieces.toHighUm()[i] - along;
            boolean rectangle = pieces.isRectangle(i);
            double away =
                    Math.max(Math.max(low, -high), Math.max(Math.min(fromLow, fromHigh), -Math.max(toLow, toHigh)));
            for (int k = end - 1; k >= first && away < reach(k); k--) {
                double s = 1 / terms.get(k).rangeUm();
                sums[k - first] += doseOfPiece[i]
                        * (rectangle
                                ? kernel.rectangle(fromLow * s, toLow * s, low * s, high * s)
                                : kernel.trapezoid(
                                        low * s, high * s, fromLow * s, toLow * s, fromHigh * s, toHigh * s));
            }
        }
        double sum = 0;
        for (int k = first; k < end; k++) {
            sum += terms.get(k).weight() * sums[k - first];
        }
        return sum;
    }

    private double reach(int term) {
        return kernel.reach() * terms.get(term).rangeUm();
    }

    /**
     * {@return rate of change of the energy along a direction, 1/um, in closed form: a piece's share is
     * {@code -d_i w_k} times the flux of the term's Gaussian, taken as a vector along the direction, out of the piece's outline}
     *
     * @param xUm x of the point, um
     * @param yUm y of the point, um
     * @param directionX x part of the direction; the direction is used as it is, so normally of length 1
     * @param directionY y part of the direction
     */
    public double slopeAt(double xUm, double yUm, double directionX, double directionY) {
        PieceIndex.Hits hits = new PieceIndex.Hits();
        double slope = 0;
        for (GaussianTerm term : terms) {
            double s = term.rangeUm();
            double reach = kernel.reach() * s;
            index.find(xUm - reach, yUm - reach, xUm + reach, yUm + reach, hits);
            double sum = 0;
            for (int h = 0; h < hits.size; h++) {
                int i = hits.piece[h];
                boolean standing = pieces.standing(i);
                double along = standing ? yUm : xUm;
                double across = standing ? xUm : yUm;
                double ux = standing ? directionY : directionX;
                double uy = standing ? directionX : directionY;
                double y0 = (pieces.lowUm()[i] - across) / s;
                double y1 = (pieces.highUm()[i] - across) / s;
                double xl0 = (pieces.fromLowUm()[i] - along) / s;
                double xr0 = (pieces.toLowUm()[i] - along) / s;
                double xl1 = (pieces.fromHighUm()[i] - along) / s;
                double xr1 = (pieces.toHighUm()[i] - along) / s;
                sum -= doseOfPiece[i]
                        * (GaussianKernel.flux(xl0, y0, xr0, y0, ux, uy)
                                + GaussianKernel.flux(xr0, y0, xr1, y1, ux, uy)
                                + GaussianKernel.flux(xr1, y1, xl1, y1, ux, uy)
                                + GaussianKernel.flux(xl1, y1, xl0, y0, ux, uy));
            }
            slope += term.weight() / s * sum;
        }
        return table.isPresent() ? slope + tableSlope(xUm, yUm, directionX, directionY, hits) : slope;
    }

    private double tableSlope(double xUm, double yUm, double ux, double uy, PieceIndex.Hits hits) {
        TableKernel kernel = new TableKernel(table.orElseThrow().table());
        return -alongSides(xUm, yUm, hits, (x0, y0, x1, y1) -> kernel.flux(x0, y0, x1, y1, ux, uy));
    }
}
