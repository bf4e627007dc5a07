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

/** What a writer needs of a dose table: pieces, and for each a dose factor, a level and the number of its merged shape. */
public final class DosedPieces {
    private final Pieces pieces;
    private final double[] factor;
    private final int[] level;
    private final int[] shape;

    private DosedPieces(Pieces pieces, double[] factorOfUnit, int[] levelOfUnit) {
        this.pieces = pieces;
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

    /**
     * {@return the pieces of a table that was just computed}
     *
     * @param table the doses
     */
    public static DosedPieces of(DoseTable table) {
        int[] level = new int[table.pieces().units()];
        Arrays.setAll(level, table::level);
        return new DosedPieces(table.pieces(), table.factors(), level);
    }

    /**
     * {@return doses read back from a file} Up to {@value DoseLevels#USUAL} different factors are levels by themselves, in rising
     * order as a correction with limited doses numbers them; more are grouped as it groups free ones, in geometric steps.
     *
     * @param doses doses as read
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
     * @param file folder or file
     * @return the pieces with their doses
     * @throws evendose.files.BadInputException naming file and place if it is not sound or holds no piece
     */
    public static DosedPieces read(Path file) {
        DosedPieces pieces = of(DoseTableReader.read(file));
        if (pieces.size() == 0) {
            throw new BadInputException(file.toString(), "", "holds no piece");
        }
        return pieces;
    }

    /** {@return number of pieces} */
    public int size() {
        return factor.length;
    }

    /** {@return the pieces} */
    public Pieces pieces() {
        return pieces;
    }

    /** Dose of piece {@code i} over the base dose. */
    double factor(int i) {
        return factor[i];
    }

    /** Dose level of piece {@code i}. */
    int level(int i) {
        return level[i];
    }

    /** Merged shape of piece {@code i}. */
    int shape(int i) {
        return shape[i];
    }

    /** Area of all pieces, um^2. */
    double areaUm2() {
        double sum = 0;
        for (int i = 0; i < size(); i++) {
            sum += pieces.areaUm2(i);
        }
        return sum;
    }

    /** Area times factor of all pieces, um^2. */
    double dosedAreaUm2() {
        double sum = 0;
        for (int i = 0; i < size(); i++) {
            sum += factor[i] * pieces.areaUm2(i);
        }
        return sum;
    }

    /** Smallest dose factor; empty if there is no piece. */
    OptionalDouble smallestFactor() {
        return Arrays.stream(factor).min();
    }
}
