package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.Trapezoids;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Cuts one shape into pieces, gathers them into units and lists the exposed outline of each. Works in grid units on scratch arrays
 * that are used again for the next shape.
 */
final class ShapeCutter {
    /** Error of a shape's area, relative, that is not worth another look. */
    private static final double SAME_AREA = 5e-6;

    /** Areas that differ by less, square grid units, are the same: a moved layout is cut at the same places. */
    private static final double ROUNDING = 1e-4;

    /** Blocks of cells in which breaks are moved for the sake of the area, at most. */
    private static final int MOST_EVENED = 12;

    /** Of the nine regions that the borders of a tile make, row by row, the tile itself. */
    static final int INSIDE = 4;

    /** Pieces in the order of their units: see {@link Cut}. Unit u holds pieces unitFirst[u] to unitFirst[u + 1] - 1. */
    Cut cut = new Cut();

    int[] unitFirst = new int[65];
    int units;

    /** For each unit the number of the cell that it lay in before the last rule, counted within the shape. */
    int[] parent = new int[65];

    /** The same for the cells as they are now. */
    int[] number = new int[65];

    /** For each unit whether it lies beyond the borders of the tile that the shape was cut for. */
    boolean[] outside = new boolean[65];

    /** For each unit whether it is a part of the same cell as the one before it, on the other side of a border. */
    boolean[] tied = new boolean[65];

    private final boolean exact;
    private final double maxPiece;
    private final UprightShapes upright;
    private final ShapeRings shape;
    private final RegionCutter region;
    private final RingSplitter splitter;
    private final CellDivision division;
    private final List<Leaf> leaves = new ArrayList<>();

    /** What of the shape lies in some even cells. Its cut is null if its parts are cut one by one. */
    private record Leaf(Block block, List<Ring> rings, Cut cut) {}

    private static final Comparator<CellDivision.Cell> IN_ORDER =
            Comparator.comparingInt(CellDivision.Cell::row).thenComparingInt(CellDivision.Cell::column);

    ShapeCutter(
            Trapezoids merged,
            boolean oneGroup,
            double dbuUm,
            double gridUm,
            FractureOptions options,
            List<CellRule> rules) {
        PieceRules pieceRules = options.rules();
        this.exact = pieceRules.isExact();
        double gridPerDbu = exact ? 1 : wholeRatio(dbuUm / gridUm);
        this.maxPiece = options.maxPieceUm() / gridUm;
        double smallest = pieceRules.smallestUm() / gridUm;
        this.upright = new UprightShapes(merged, exact, gridPerDbu, maxPiece, smallest);
        double tolerance = pieceRules.outlineToleranceUm() / gridUm;
        this.shape = new ShapeRings(merged, oneGroup, gridPerDbu, exact, tolerance);
        this.splitter = new RingSplitter(exact, shape.drawn);
        this.region = new RegionCutter(exact, tolerance, smallest, splitter, shape.drawn);
        this.division =
                new CellDivision(rules, exact, gridUm, options.directRangeUm() / gridUm, maxPiece, splitter, region);
    }

    private static double wholeRatio(double ratio) {
        double whole = Math.rint(ratio);
        return Math.abs(ratio - whole) < 1e-9 * ratio ? whole : ratio;
    }

    EdgeBuffer edges() {
        return cut.edges;
    }

    void cut(int s) {
        if (isOneUpright(s)) {
            units = 1;
            unitFirst[0] = 0;
            parent[0] = 0;
            number[0] = 0;
            outside[0] = false;
            tied[0] = false;
            upright.take(s, cut);
            unitFirst[1] = cut.pieces;
            return;
        }
        shape.collect(s);
        List<Ring> rings = List.copyOf(shape.rings);
        division.begin(s, shape.addedArea, SAME_AREA * area(rings));
        leaves.clear();
        divideEvenly(rings);
        evenOut();
        for (Leaf leaf : leaves) {
            division.take(leaf.rings, leaf.block, leaf.cut);
        }
        gather();
    }

    /**
     * Cuts what of a large shape lies in a tile and around it into the cells that the whole shape has; cells that lie across the tile's borders are
     * cut there. The borders stay where they are and leave no part with the other side, so that the tile beyond cuts at the same places.
     *
     * @param box the box of the whole shape, of which a part may be left out here
     */
    void cut(int s, TileFrame tile, ShapeBox box) {
        shape.collect(s);
        double m = tile.margin();
        division.begin(s, 0, 0);
        List<Ring> seen = parts(List.copyOf(shape.rings), true, tile.bottom() - m, tile.top() + m)
                .get(1);
        seen = parts(seen, false, tile.left() - m, tile.right() + m).get(1);
        // What rounding has added elsewhere is not to be evened out here.
        division.begin(s, 0, SAME_AREA * area(seen));
        EvenCells even = new EvenCells(
                toGrid(box.left()), toGrid(box.bottom()), toGrid(box.right()), toGrid(box.top()), maxPiece);
        division.setEven(even);
        divideCells(seen, even.all(), even, tile);
        gather();
    }

    /** The parts before, between and after lines, dbu. */
    private List<List<Ring>> parts(List<Ring> rings, boolean alongY, double... lines) {
        List<List<Ring>> parts = new ArrayList<>();
        List<Ring> rest = rings;
        for (double line : lines) {
            splitter.split(rest, alongY, toGrid(line), 0);
            division.addedArea += splitter.addedArea;
            parts.add(List.copyOf(splitter.low));
            rest = List.copyOf(splitter.high);
        }
        parts.add(rest);
        return parts;
    }

    private static double area(List<Ring> rings) {
        double area = 0;
        for (Ring r : rings) {
            area += r.area();
        }
        return area;
    }

    private void divideEvenly(List<Ring> rings) {
        if (rings.isEmpty()) {
            return;
        }
        double left = Double.MAX_VALUE;
        double right = -Double.MAX_VALUE;
        double bottom = Double.MAX_VALUE;
        double top = -Double.MAX_VALUE;
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                left = Math.min(left, r.x[k]);
                right = Math.max(right, r.x[k]);
                bottom = Math.min(bottom, r.y[k]);
                top = Math.max(top, r.y[k]);
            }
        }
        EvenCells even = new EvenCells(left, bottom, right, top, maxPiece);
        division.setEven(even);
        divideCells(rings, even.all(), even, null);
    }

    /** Whether a shape is cut as the merge has cut it: {@link UprightShapes}. */
    boolean isOneUpright(int s) {
        return !division.concerns(s) && upright.isOneCell(s);
    }

    /** A coordinate in grid units, rounded unless pieces are exact. */
    double toGrid(double dbu) {
        return upright.toGrid(dbu);
    }

    /**
     * Cuts what lies in some cells, halving them until it can be cut at once.
     *
     * @param tile the tile whose borders are cut along, or null
     */
    private void divideCells(List<Ring> rings, Block block, EvenCells even, TileFrame tile) {
        if (rings.isEmpty()) {
            return;
        }
        if (tile != null && block.isOneCell()) {
            takeCellOfTile(rings, block, tile);
        } else if (block.isOneCell() || (tile == null && division.isCutAtOnce(rings, block))) {
            leaves.add(new Leaf(block, rings, division.cutWhole(rings, block)));
        } else {
            division.halve(rings, block);
            double at = even.halves(block);
            List<Ring> low = List.copyOf(splitter.low);
            List<Ring> high = List.copyOf(splitter.high);
            divideCells(low, block.lowerHalf(at), even, tile);
            divideCells(high, block.upperHalf(at), even, tile);
        }
    }

    /** Cuts a cell at the borders of a tile. */
    private void takeCellOfTile(List<Ring> rings, Block cell, TileFrame tile) {
        int region = 0;
        for (List<Ring> band : parts(rings, true, tile.bottom(), tile.top())) {
            for (List<Ring> part : parts(band, false, tile.left(), tile.right())) {
                division.takeCell(region++, part, cell);
            }
        }
        division.endCell();
    }

    /** Moves breaks in some cells if the area of the shape has not come out. */
    private void evenOut() {
        int tries = 0;
        for (int k = leaves.size() - 1; k >= 0 && tries < MOST_EVENED; k--) {
            double added = division.addedArea;
            if (exact || Math.abs(added) <= division.allowedArea) {
                return;
            }
            Leaf leaf = leaves.get(k);
            if (leaf.cut == null || leaf.cut.pieces <= 1) {
                continue;
            }
            tries++;
            double others = added - leaf.cut.addedArea;
            Cut evened = region.evened(leaf.cut, others, division.allowedArea);
            if (evened.cost() <= leaf.cut.cost() && Math.abs(others + evened.addedArea) < Math.abs(added) - ROUNDING) {
                leaves.set(k, new Leaf(leaf.block, leaf.rings, evened));
                division.addedArea = others + evened.addedArea;
            }
        }
    }

    private void gather() {
        List<CellDivision.Cell> cells = division.cells;
        cells.sort(IN_ORDER);
        cut.clear();
        units = cells.size();
        if (unitFirst.length < units + 1) {
            unitFirst = new int[Math.max(units + 1, 2 * unitFirst.length)];
            parent = new int[unitFirst.length];
            number = new int[unitFirst.length];
            outside = new boolean[unitFirst.length];
            tied = new boolean[unitFirst.length];
        }
        int judgedBy = 0;
        for (int u = 0; u < units; u++) {
            CellDivision.Cell cell = cells.get(u);
            unitFirst[u] = cut.pieces;
            parent[u] = cell.parent();
            number[u] = cell.number();
            outside[u] = cell.region() != INSIDE;
            tied[u] = u > 0 && cell.number() == number[u - 1];
            int firstEdge = cut.edges.size();
            cut.addAll(cell.cut());
            // Outline of all parts of a cell is judged as one.
            judgedBy = tied[u] ? judgedBy : u;
            for (int e = firstEdge; e < cut.edges.size(); e++) {
                cut.edges.setOwner(e, judgedBy);
            }
        }
        unitFirst[units] = cut.pieces;
        cells.clear();
    }
}
