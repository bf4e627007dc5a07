package evendose.pieces;

import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * Cuts merged shapes into pieces, gathers pieces into dose units, and places the samples at which each unit is judged.
 *
 * <p><b>Units.</b> The bounding box of each shape is divided evenly into cells no larger than {@code maxPieceUm}; the part of
 * the shape inside a cell is a unit. The division starts from the shape, so a moved layout gets the same units. A part that
 * reaches across a border by less than a seventh of a cell (or 5 direct ranges, if that is more, up to 0.3 cells) is not cut off.
 *
 * <p><b>Pieces.</b> Inside a unit, shapes are cut across their run: along x where the outline rises, along y where it lies,
 * divided between the two where a guide bends. Sides follow the outline within {@link PieceRules#outlineToleranceUm} (where a drawn
 * curve leaves no such way on the grid, within half the grid's diagonal), corners lie on the grid and neighbours share them; sharp
 * corners and straight sides stay, and what sides add to the area evens out. Pieces thinner than {@link PieceRules#smallestUm} are
 * avoided where the shape allows.
 *
 * <p><b>Samples</b> for {@link FractureOptions.Judging#EDGES}: Gauss-Legendre points along each run of exposed outline
 * between corners, weighted by length. A corner is a place where the outline, looked at over one direct range to both
 * sides, turns by more than 50 degrees (by more than 30: in part). Corners round whatever the dose, so outline near them fades
 * out, {@link CornerFade}: it counts half at 1.75 direct ranges. For {@link FractureOptions.Judging#AREA}: Gauss-Legendre points in each
 * piece, denser along its border.
 *
 * <p>Held by {@code FracturePropertyTest} and {@code PieceRulesPropertyTest}.
 */
public final class Fracture {
    /** About so many shapes, at least, are measured. */
    private static final int MEASURED_SHAPES = 10_000;

    /** Trapezoids per part of parallel work. */
    private static final int PART = 1 << 14;

    /** Pieces with the samples that judge them. */
    public static final class Result {
        private final Pieces pieces;
        private final Samples samples;
        private final float[] judged;
        private final boolean[] nearCorners;
        private final OutlinePoints measured;
        private final int[] cell;
        private final int[] parent;
        private final boolean[] outside;
        private final boolean[] tied;

        Result(
                Pieces pieces,
                Samples samples,
                float[] judged,
                boolean[] nearCorners,
                OutlinePoints measured,
                int[] cell,
                int[] parent,
                boolean[] outside,
                boolean[] tied) {
            this.pieces = pieces;
            this.samples = samples;
            this.judged = judged;
            this.nearCorners = nearCorners;
            this.measured = measured;
            this.cell = cell;
            this.parent = parent;
            this.outside = outside;
            this.tied = tied;
        }

        /**
         * {@return these and, after them, those of another cut} The other is not measured, and cells that its units lay in before are
         * those they lie in now.
         *
         * @param other the other cut
         */
        public Result and(Result other) {
            int u = pieces.units();
            int v = other.pieces.units();
            float[] bothJudged = Arrays.copyOf(judged, u + v);
            boolean[] bothNear = Arrays.copyOf(nearCorners, u + v);
            int[] cells = Arrays.copyOf(cell, u + v);
            int[] parents = Arrays.copyOf(parent, u + v);
            boolean[] bothOutside = Arrays.copyOf(outside, u + v);
            boolean[] bothTied = Arrays.copyOf(tied, u + v);
            System.arraycopy(other.judged, 0, bothJudged, u, v);
            System.arraycopy(other.nearCorners, 0, bothNear, u, v);
            System.arraycopy(other.cell, 0, cells, u, v);
            System.arraycopy(other.cell, 0, parents, u, v);
            System.arraycopy(other.outside, 0, bothOutside, u, v);
            System.arraycopy(other.tied, 0, bothTied, u, v);
            return new Result(
                    pieces.and(other.pieces),
                    samples.and(other.samples),
                    bothJudged,
                    bothNear,
                    measured,
                    cells,
                    parents,
                    bothOutside,
                    bothTied);
        }

        /** {@return pieces, units and shapes; layers are the groups of the merged trapezoids} */
        public Pieces pieces() {
            return pieces;
        }

        /** {@return samples of each unit} */
        public Samples samples() {
            return samples;
        }

        /**
         * {@return what the samples of each unit stand for: length of exposed outline, um (0 for an interior unit), or area, um^2; live,
         * not to be changed}
         */
        public float[] judged() {
            return judged;
        }

        /** {@return for each unit whether all its exposed outline lies near corners; live, not to be changed} */
        public boolean[] nearCorners() {
            return nearCorners;
        }

        /** {@return where the outcome is to be measured} */
        public OutlinePoints measured() {
            return measured;
        }

        /** {@return for each unit the number of its cell within the shape; live, not to be changed} */
        public int[] cell() {
            return cell;
        }

        /**
         * {@return for each unit the number of the cell that it lay in before the last rule, as {@link #cell} was then; live, not to be
         * changed}
         */
        public int[] parent() {
            return parent;
        }

        /** {@return for each unit whether it belongs to the surroundings of the tile that was cut; live, not to be changed} */
        public boolean[] outside() {
            return outside;
        }

        /**
         * {@return for each unit whether it has the dose of the unit before it: both are parts of what would be one unit, on two sides of a
         * tile's border; live, not to be changed}
         */
        public boolean[] tied() {
            return tied;
        }
    }

    private Fracture() {}

    /**
     * Cuts all shapes.
     *
     * @param merged merged shapes, dbu
     * @param dbuUm size of a database unit, um, positive
     * @param options see there
     * @param workers threads to use; the result does not depend on their number
     * @param progress hears one step a shape
     * @return the pieces and where their units are judged
     */
    public static Result of(
            Trapezoids merged, double dbuUm, FractureOptions options, Workers workers, Progress progress) {
        return of(merged, dbuUm, options, Optional.empty(), List.of(), Optional.empty(), workers, progress);
    }

    /**
     * Cuts all shapes, and finds places where the outcome can be measured.
     *
     * @param merged merged shapes, dbu
     * @param dbuUm size of a database unit, um, positive
     * @param options see there
     * @param measuring where the outcome is to be measured; empty for nowhere
     * @param rules cells are divided by the first, their parts by the second, and so on
     * @param former the result of all rules but the last, if there is one: shapes that the last does not concern are taken from it
     * @param workers threads to use; the result does not depend on their number
     * @param progress hears one step a shape
     * @return the pieces and where their units are judged
     */
    public static Result of(
            Trapezoids merged,
            double dbuUm,
            FractureOptions options,
            Optional<Measuring> measuring,
            List<CellRule> rules,
            Optional<Result> former,
            Workers workers,
            Progress progress) {
        return of(merged, dbuUm, options, measuring, rules, former, null, workers, progress);
    }

    /**
     * Cuts what a tile owns and what lies around it.
     *
     * @param merged merged shapes, dbu, all that come near the tile: farther parts of large ones may be left out if their boxes are known
     * @param dbuUm size of a database unit, um, positive
     * @param options see there
     * @param measuring where the outcome is to be measured; empty for nowhere
     * @param tile what is wanted of these shapes; its borders lie on the grid of the pieces
     * @param workers threads to use; the result does not depend on their number
     * @param progress hears one step a shape
     * @return the pieces and where their units are judged; which of them are surroundings is told in {@link Result#outside}
     */
    public static Result ofTile(
            Trapezoids merged,
            double dbuUm,
            FractureOptions options,
            Optional<Measuring> measuring,
            TileView tile,
            Workers workers,
            Progress progress) {
        return of(merged, dbuUm, options, measuring, List.of(), Optional.empty(), tile, workers, progress);
    }

    private static Result of(
            Trapezoids merged,
            double dbuUm,
            FractureOptions options,
            Optional<Measuring> measuring,
            List<CellRule> rules,
            Optional<Result> former,
            TileView tile,
            Workers workers,
            Progress progress) {
        if (!(dbuUm > 0)) {
            throw new IllegalArgumentException("database unit must be positive, got " + dbuUm + " um");
        }
        progress.begin("cutting shapes into pieces", merged.shapes());
        int[] partStart = merged.shapeRanges(PART);
        int parts = partStart.length - 1;
        boolean oneGroup = ShapeRings.isOneGroup(merged);
        int measuredEvery = 1 + merged.shapes() / MEASURED_SHAPES;
        FracturePart[] done = new FracturePart[parts];
        workers.run(parts, p -> {
            FracturePart part = new FracturePart(
                    merged, oneGroup, dbuUm, options, measuring.orElse(null), measuredEvery, rules, tile);
            for (int s = partStart[p]; s < partStart[p + 1]; s++) {
                if (former.isPresent() && !rules.get(rules.size() - 1).concerns(s)) {
                    part.copy(former.get(), s);
                } else {
                    part.shape(s);
                }
            }
            done[p] = part;
            progress.advance(partStart[p + 1] - (long) partStart[p]);
        });
        return join(done);
    }

    private static Result join(FracturePart[] parts) {
        int pieces = 0;
        int units = 0;
        int shapes = 0;
        long samples = 0;
        int measured = 0;
        for (FracturePart part : parts) {
            pieces = Math.addExact(pieces, part.pieces);
            units = Math.addExact(units, part.units);
            shapes += part.shapes;
            samples += part.samples;
            measured = Math.addExact(measured, part.measured.size);
        }
        if (samples > Integer.MAX_VALUE - 8) {
            throw new IllegalArgumentException("too many samples (" + samples + "); use larger pieces or fewer layers");
        }
        double[][] coordinates = new double[6][pieces];
        boolean[] standing = new boolean[pieces];
        int[] unitFirst = new int[units + 1];
        int[] shapeFirst = new int[shapes + 1];
        int[] layerOfShape = new int[shapes];
        double[] x = new double[(int) samples];
        double[] y = new double[(int) samples];
        float[] weight = new float[(int) samples];
        int[] sampleFirst = new int[units + 1];
        boolean[] interior = new boolean[units];
        float[] judged = new float[units];
        boolean[] nearCorners = new boolean[units];
        boolean[] outside = new boolean[units];
        boolean[] tied = new boolean[units];
        int[] cell = new int[units];
        int[] parent = new int[units];
        OutlinePoints points = OutlinePoints.ofSize(measured);
        int p = 0;
        int u = 0;
        int s = 0;
        int j = 0;
        int m = 0;
        for (int k = 0; k < parts.length; k++) {
            FracturePart part = parts[k];
            for (int c = 0; c < 6; c++) {
                System.arraycopy(part.coordinates[c], 0, coordinates[c], p, part.pieces);
            }
            System.arraycopy(part.standing, 0, standing, p, part.pieces);
            for (int i = 0; i < part.shapes; i++) {
                shapeFirst[s] = part.shapeFirst[i] + u;
                layerOfShape[s++] = part.layerOfShape[i];
            }
            System.arraycopy(part.x, 0, x, j, part.samples);
            System.arraycopy(part.y, 0, y, j, part.samples);
            System.arraycopy(part.weight, 0, weight, j, part.samples);
            System.arraycopy(part.nearCorners, 0, nearCorners, u, part.units);
            System.arraycopy(part.outside, 0, outside, u, part.units);
            System.arraycopy(part.tied, 0, tied, u, part.units);
            System.arraycopy(part.number, 0, cell, u, part.units);
            System.arraycopy(part.parent, 0, parent, u, part.units);
            for (int i = 0; i < part.measured.size; i++) {
                points.xUm()[m] = part.measured.x[i];
                points.yUm()[m] = part.measured.y[i];
                points.lengthUm()[m] = (float) part.measured.weight[i];
                points.nearCorner()[m] = part.measured.nearCorner[i];
                points.inCellXUm()[m] = part.measured.inCellX[i];
                points.inCellYUm()[m] = part.measured.inCellY[i];
                points.unit()[m++] = part.measured.unit[i] + u;
            }
            for (int i = 0; i < part.units; i++) {
                unitFirst[u] = part.unitFirst[i] + p;
                sampleFirst[u] = part.sampleFirst[i] + j;
                judged[u] = part.judged[i];
                interior[u++] = part.interior[i];
            }
            p += part.pieces;
            j += part.samples;
            // Let go of each part as soon as it is copied: together they are as large as the result.
            parts[k] = null;
        }
        unitFirst[units] = pieces;
        shapeFirst[shapes] = units;
        sampleFirst[units] = j;
        return new Result(
                new Pieces(coordinates, standing, unitFirst, shapeFirst, layerOfShape),
                new Samples(x, y, weight, sampleFirst, interior),
                judged,
                nearCorners,
                points,
                cell,
                parent,
                outside,
                tied);
    }
}
