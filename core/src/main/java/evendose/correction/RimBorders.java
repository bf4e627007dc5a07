package evendose.correction;

import evendose.energy.PieceIndex;
import evendose.pieces.CellRule;
import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Divides the steps of a seam where units of the rim beside them meet, so that a step's dose changes where that of its rim does. Nothing is judged in steps.
 */
final class RimBorders implements CellRule {
    /** Places this near to each other are one, um. */
    private static final double ROUNDING = 1e-6;

    private final Pieces rims;
    private final PieceIndex index;
    private final int[] unitOfPiece;
    private final double reachUm;
    private final double leastUm;

    /**
     * Looks at rims.
     *
     * @param rims pieces of the rims
     * @param reachUm how far a rim may lie from its steps, um
     * @param leastUm extent of a part, at least, um
     */
    RimBorders(Pieces rims, double reachUm, double leastUm) {
        this.rims = rims;
        this.index = new PieceIndex(rims);
        this.unitOfPiece = rims.unitOfPiece();
        this.reachUm = reachUm;
        this.leastUm = leastUm;
    }

    @Override
    public boolean concerns(int shape) {
        return true;
    }

    @Override
    public boolean needsOutline() {
        return false;
    }

    @Override
    public List<Border> borders(int shape, double leftUm, double bottomUm, double rightUm, double topUm) {
        PieceIndex.Hits hits = new PieceIndex.Hits();
        index.find(leftUm - reachUm, bottomUm - reachUm, rightUm + reachUm, topUm + reachUm, hits);
        List<double[]> boxes = new ArrayList<>();
        int before = -1;
        for (int k = 0; k < hits.size(); k++) {
            int unit = unitOfPiece[hits.piece(k)];
            if (unit != before) {
                boxes.add(rims.unitBoundsUm(unit));
                before = unit;
            }
        }
        List<Border> borders = new ArrayList<>();
        collect(borders, boxes, false, leftUm, rightUm);
        collect(borders, boxes, true, bottomUm, topUm);
        double middleX = 0.5 * (leftUm + rightUm);
        double middleY = 0.5 * (bottomUm + topUm);
        borders.sort(Comparator.comparingDouble((Border b) -> Math.abs(b.atUm() - (b.alongY() ? middleY : middleX)))
                .thenComparing(Border::alongY)
                .thenComparingDouble(Border::atUm));
        return borders;
    }

    /** Adds where one unit ends and another begins. */
    private void collect(List<Border> borders, List<double[]> boxes, boolean alongY, double fromUm, double toUm) {
        int low = alongY ? 1 : 0;
        for (double[] box : boxes) {
            double at = box[low + 2];
            if (at >= fromUm + leastUm
                    && at <= toUm - leastUm
                    && boxes.stream().anyMatch(next -> Math.abs(next[low] - at) < ROUNDING)
                    && borders.stream().noneMatch(b -> b.alongY() == alongY && Math.abs(b.atUm() - at) < leastUm)) {
                borders.add(new Border(alongY, at));
            }
        }
    }
}
