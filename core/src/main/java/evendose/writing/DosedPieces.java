package evendose.writing;

import evendose.correction.DoseLevels;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableReader;
import evendose.correction.StoredDoses;
import evendose.files.BadInputException;
import evendose.pieces.Pieces;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.OptionalDouble;

/**
 * What a writer needs of a dose table: trapezoids with a dose factor each, as parallel arrays. Piece {@code i} has horizontal sides
 * at {@code yBottomUm(i) < yTopUm(i)} and a dose factor, a level and the number of the merged shape it belongs to.
 */
public final class DosedPieces {
    private final double[][] coordinates;
    private final double[] factor;
    private final int[] level;
    private final int[] shape;

    private DosedPieces(Pieces pieces, double[] factorOfUnit, int[] levelOfUnit) {
        coordinates = new double[][] {
            pieces.yBottomUm(),
            pieces.yTopUm(),
            pieces.xLeftBottomUm(),
            pieces.xRightBottomUm(),
            pieces.xLeftTopUm(),
            pieces.xRightTopUm()
        };
        factor = new double[pieces.size()];
        level = new int[pieces.size()];
        shape = new int[pieces.size()];
        for (int s = 0; s < pieces.shapes(); s++) {
            for (int u = pieces.shapeFirst(s); u < pieces.shapeFirst(s + 1); u++) {
                int begin = pieces.unitFirst(u);
                int end = pieces.unitFirst(u + 1);
                Arrays.fill(factor, begin, end, factorOfUnit[u]);
                Arrays.fill(level, begin, end, levelOfUnit[u]);
                Arrays.fill(shape, begin, end, s);
            }
        }
    }

    /** The pieces of a table that was just computed. */
    public static DosedPieces of(DoseTable table) {
        int[] level = new int[table.pieces().units()];
        Arrays.setAll(level, table::level);
        return new DosedPieces(table.pieces(), table.factors(), level);
    }

    /**
     * Doses read back from a file. Up to {@value DoseLevels#USUAL} different factors are levels by themselves, in rising order as a
     * correction with limited doses numbers them; more are grouped as it groups free ones, in geometric steps.
     */
    public static DosedPieces of(StoredDoses doses) {
        double[] distinct = Arrays.stream(doses.factors()).sorted().distinct().toArray();
        if (distinct.length == 0) {
            return new DosedPieces(doses.pieces(), new double[0], new int[0]);
        }
        DoseLevels levels = distinct.length <= DoseLevels.USUAL
                ? DoseLevels.of(distinct)
                : DoseLevels.geometric(distinct[0], distinct[distinct.length - 1], DoseLevels.USUAL);
        int[] level = Arrays.stream(doses.factors()).mapToInt(levels::nearest).toArray();
        return new DosedPieces(doses.pieces(), doses.factors(), level);
    }

    /**
     * Reads doses from what a correction writes, also after a person edited it: its folder, its piece table, or its layout of
     * pieces with the level table beside it.
     *
     * @throws evendose.files.BadInputException naming file and place if it is not sound or holds no piece
     */
    public static DosedPieces read(Path file) {
        DosedPieces pieces = of(DoseTableReader.read(file));
        if (pieces.size() == 0) {
            throw new BadInputException(file.toString(), "", "holds no piece");
        }
        return pieces;
    }

    /** Number of pieces. */
    public int size() {
        return factor.length;
    }

    public double yBottomUm(int i) {
        return coordinates[0][i];
    }

    public double yTopUm(int i) {
        return coordinates[1][i];
    }

    public double xLeftBottomUm(int i) {
        return coordinates[2][i];
    }

    public double xRightBottomUm(int i) {
        return coordinates[3][i];
    }

    public double xLeftTopUm(int i) {
        return coordinates[4][i];
    }

    public double xRightTopUm(int i) {
        return coordinates[5][i];
    }

    /** Dose of piece {@code i} over the base dose. */
    public double factor(int i) {
        return factor[i];
    }

    /** Dose level of piece {@code i}. */
    public int level(int i) {
        return level[i];
    }

    /** Merged shape of piece {@code i}. */
    public int shape(int i) {
        return shape[i];
    }

    /** Area of piece {@code i}, um^2. */
    public double areaUm2(int i) {
        double[][] c = coordinates;
        return 0.5 * (c[3][i] - c[2][i] + c[5][i] - c[4][i]) * (c[1][i] - c[0][i]);
    }

    /** Area of all pieces, um^2. */
    public double areaUm2() {
        double sum = 0;
        for (int i = 0; i < size(); i++) {
            sum += areaUm2(i);
        }
        return sum;
    }

    /** Area times factor of all pieces, um^2. */
    public double dosedAreaUm2() {
        double sum = 0;
        for (int i = 0; i < size(); i++) {
            sum += factor[i] * areaUm2(i);
        }
        return sum;
    }

    /** Smallest dose factor; empty if there is no piece. */
    public OptionalDouble smallestFactor() {
        return Arrays.stream(factor).min();
    }

    /** Smallest x, smallest y, largest x, largest y of all pieces, um. */
    public double[] boundsUm() {
        double[] b = {Double.MAX_VALUE, Double.MAX_VALUE, -Double.MAX_VALUE, -Double.MAX_VALUE};
        for (int i = 0; i < size(); i++) {
            b[0] = Math.min(b[0], Math.min(xLeftBottomUm(i), xLeftTopUm(i)));
            b[1] = Math.min(b[1], yBottomUm(i));
            b[2] = Math.max(b[2], Math.max(xRightBottomUm(i), xRightTopUm(i)));
            b[3] = Math.max(b[3], yTopUm(i));
        }
        return b;
    }
}
