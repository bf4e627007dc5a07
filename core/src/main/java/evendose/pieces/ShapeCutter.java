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
    /** How far a border between cells may be shifted, as a share of a cell. */
    private static final double BORDER_SHIFT = 0.03;

    /** Error of a shape's area, relative, that is not worth another look. */
    private static final double SAME_AREA = 5e-6;

    /** Exposed outline of a part that is divided off, at least, direct ranges. */
    private static final double SHORTEST_OUTLINE = 4;

    /** Cells that are cut again for the sake of the area, at most, and how many pieces make one worth it. */
    private static final int MOST_AGAIN = 6;

    private static final int WORTH_CUTTING = 3;

    /** Of the nine regions that the borders of a tile make, row by row, the tile itself. */
    private static final int INSIDE = 4;

    /** Pieces in the order of their units: see {@link Cut}. Unit u holds pieces unitFirst[u] to unitFirst[u + 1] - 1. */
    Cut cut = new Cut();

    int[] unitFirst = new int[65];
    int units;

    private final Trapezoids merged;
    private final double gridPerDbu;
    private final double gridUm;
    private final List<CellRule> cellRules;
    private final boolean exact;
    private final double maxPiece;
    private final double direct;
    private final double smallest;
    private final ShapeRings shape;
    private final RegionCutter region;
    private final RingSplitter splitter;

    private double[] xCuts = new double[8];
    private double[] yCuts = new double[8];
    private final List<Cell> cells = new ArrayList<>();
    private double addedArea;
    private double allowedArea;

    /** For each unit the number of the cell that it lay in before the last rule, counted within the shape. */
    int[] parent = new int[65];

    /** The same for the cells as they are now. */
    int[] number = new int[65];

    /** For each unit whether it lies beyond the borders of the tile that the shape was cut for. */
    boolean[] outside = new boolean[65];

    /** For each unit whether it is a part of the same cell as the one before it, on the other side of a border. */
    boolean[] tied = new boolean[65];

    private int shapeNumber;
    /** The tile whose borders are cut along, or null. */
    private TileFrame within;

    private int parents;
    private int numbers;

    /** What of the shape lies in one cell. */
    private record Cell(int region, int row, int column, List<Ring> rings, Cut cut, int parent, int number) {}

    private static final Comparator<Cell> IN_ORDER =
            Comparator.comparingInt(Cell::row).thenComparingInt(Cell::column);

    ShapeCutter(
            Trapezoids merged,
            boolean oneGroup,
            double dbuUm,
            double gridUm,
            FractureOptions options,
            List<CellRule> rules) {
        this.merged = merged;
        this.gridUm = gridUm;
        this.cellRules = List.copyOf(rules);
        PieceRules pieceRules = options.rules();
        this.exact = pieceRules.isExact();
        this.gridPerDbu = exact ? 1 : wholeRatio(dbuUm / gridUm);
        this.maxPiece = options.maxPieceUm() / gridUm;
        this.direct = options.directRangeUm() / gridUm;
        this.smallest = pieceRules.smallestUm() / gridUm;
        double tolerance = pieceRules.outlineToleranceUm() / gridUm;
        this.shape = new ShapeRings(merged, oneGroup, gridPerDbu, exact, tolerance);
        this.splitter = new RingSplitter(exact, shape.drawn);
        this.region = new RegionCutter(exact, tolerance, smallest, splitter, shape.drawn);
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
            takeTrapezoids(s);
            return;
        }
        begin(s);
        List<Ring> rings = List.copyOf(shape.rings);
        addedArea = shape.addedArea;
        allowedArea = SAME_AREA * area(rings);
        divideEvenly(rings);
        evenOut();
        gather();
    }

    /**
     * Cuts what of a large shape lies in a tile and around it into the cells that the whole shape has; cells that lie across the tile's borders are
     * cut there. The borders stay where they are and leave no part with the other side, so that the tile beyond cuts at the same places.
     *
     * @param box the box of the whole shape, of which a part may be left out here
     */
    void cut(int s, TileFrame tile, ShapeBox box) {
        begin(s);
        double m = tile.margin();
        List<Ring> seen = parts(List.copyOf(shape.rings), true, tile.bottom() - m, tile.top() + m)
                .get(1);
        seen = parts(seen, false, tile.left() - m, tile.right() + m).get(1);
        // What rounding has added elsewhere is not to be evened out here.
        addedArea = 0;
        allowedArea = SAME_AREA * area(seen);
        within = tile;
        divideEvenly(seen, toGrid(box.left()), toGrid(box.bottom()), toGrid(box.right()), toGrid(box.top()));
        within = null;
        evenOut();
        gather();
    }

    /** The parts before, between and after lines, dbu. */
    private List<List<Ring>> parts(List<Ring> rings, boolean alongY, double... lines) {
        List<List<Ring>> parts = new ArrayList<>();
        List<Ring> rest = rings;
        for (double line : lines) {
            splitter.split(rest, alongY, toGrid(line), 0);
            addedArea += splitter.addedArea;
            parts.add(List.copyOf(splitter.low));
            rest = List.copyOf(splitter.high);
        }
        parts.add(rest);
        return parts;
    }

    private void begin(int s) {
        shape.collect(s);
        shapeNumber = s;
        parents = -1;
        numbers = 0;
        cells.clear();
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
        divideEvenly(rings, left, bottom, right, top);
    }

    /** Divides a shape with a given box. */
    private void divideEvenly(List<Ring> rings, double left, double bottom, double right, double top) {
        int columns = cells(right - left);
        int rows = cells(top - bottom);
        xCuts = divide(left, right, columns, xCuts);
        yCuts = divide(bottom, top, rows, yCuts);
        divideCells(rings, 0, columns, 0, rows);
    }

    /** A shape of one cell without slanted sides or thin parts is cut as the merge has cut it. */
    boolean isOneUpright(int s) {
        for (CellRule rule : cellRules) {
            if (rule.concerns(s)) {
                return false;
            }
        }
        double left = Double.MAX_VALUE;
        double right = -Double.MAX_VALUE;
        double bottom = Double.MAX_VALUE;
        double top = -Double.MAX_VALUE;
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            if (merged.xLeftBottom(i) != merged.xLeftTop(i) || merged.xRightBottom(i) != merged.xRightTop(i)) {
                return false;
            }
            double l = toGrid(merged.xLeftBottom(i));
            double r = toGrid(merged.xRightBottom(i));
            double b = toGrid(merged.yBottom(i));
            double t = toGrid(merged.yTop(i));
            if (!(r > l && t > b) || (merged.first(s + 1) - merged.first(s) > 1 && isThin(r - l, t - b))) {
                return false;
            }
            left = Math.min(left, l);
            right = Math.max(right, r);
            bottom = Math.min(bottom, b);
            top = Math.max(top, t);
        }
        return isOneCell(right - left) && isOneCell(top - bottom);
    }

    /** A coordinate in grid units, rounded unless pieces are exact. */
    double toGrid(double dbu) {
        return exact ? dbu : Math.rint(dbu * gridPerDbu);
    }

    private void takeTrapezoids(int s) {
        cut.clear();
        units = 1;
        unitFirst[0] = 0;
        parent[0] = 0;
        number[0] = 0;
        outside[0] = false;
        tied[0] = false;
        for (int i = merged.first(s); i < merged.first(s + 1); i++) {
            double l = toGrid(merged.xLeftBottom(i));
            double r = toGrid(merged.xRightBottom(i));
            double b = toGrid(merged.yBottom(i));
            double t = toGrid(merged.yTop(i));
            cut.add(false, b, t, l, r, l, r);
            if (merged.rightExposed(i)) {
                cut.edges.add(r, b, r, t, 0);
            }
            if (merged.leftExposed(i)) {
                cut.edges.add(l, t, l, b, 0);
            }
            for (int e = merged.exposedFirst(i); e < merged.exposedFirst(i + 1); e++) {
                double from = toGrid(merged.exposedFrom(e));
                double to = toGrid(merged.exposedTo(e));
                if (merged.exposedOnTop(e)) {
                    cut.edges.add(to, t, from, t, 0);
                } else {
                    cut.edges.add(from, b, to, b, 0);
                }
            }
        }
        unitFirst[1] = cut.pieces;
    }

    private boolean isThin(double width, double height) {
        return width < smallest || height < smallest;
    }

    /** Whether an extent, grid units, needs no cut. */
    private boolean isOneCell(double extent) {
        return cells(extent) == 1;
    }

    private int cells(double extent) {
        return Math.max(1, (int) Math.ceil(extent / maxPiece - 1e-9));
    }

    /** Borders of even cells on the grid. */
    private double[] divide(double from, double to, int n, double[] room) {
        double[] cuts = room.length > n ? room : new double[n + 1];
        for (int k = 0; k <= n; k++) {
            cuts[k] = Math.rint(from + (to - from) * k / n);
        }
        cuts[0] = from;
        cuts[n] = to;
        return cuts;
    }

    /** Cuts what lies in columns {@code c0} to {@code c1 - 1} and rows {@code r0} to {@code r1 - 1}, halving it until it is one cell. */
    private void divideCells(List<Ring> rings, int c0, int c1, int r0, int r1) {
        if (rings.isEmpty()) {
            return;
        }
        if (c1 - c0 == 1 && r1 - r0 == 1) {
            if (cellRules.size() == 1) {
                parents++;
            }
            divideFurther(rings, r0, c0, new double[] {xCuts[c0], yCuts[r0], xCuts[c1], yCuts[r1]}, 0);
            return;
        }
        boolean alongY = r1 - r0 > c1 - c0;
        int k = alongY ? (r0 + r1) / 2 : (c0 + c1) / 2;
        double[] cuts = alongY ? yCuts : xCuts;
        splitter.split(rings, alongY, border(rings, alongY, cuts, k), slack(cuts, k));
        addedArea += splitter.addedArea;
        List<Ring> low = List.copyOf(splitter.low);
        List<Ring> high = List.copyOf(splitter.high);
        divideCells(low, c0, alongY ? c1 : k, r0, alongY ? k : r1);
        divideCells(high, alongY ? c0 : k, c1, alongY ? k : r0, r1);
    }

    /** Divides a cell, left, bottom, right, top, as the rules from {@code from} on ask, and cuts what is left whole. */
    private void divideFurther(List<Ring> rings, int row, int column, double[] box, int from) {
        if (rings.isEmpty()) {
            return;
        }
        for (int k = from; k < cellRules.size(); k++) {
            CellRule.Border border = cellRules
                    .get(k)
                    .border(shapeNumber, box[0] * gridUm, box[1] * gridUm, box[2] * gridUm, box[3] * gridUm);
            if (border != null && divideAt(border, rings, row, column, box, k)) {
                return;
            }
            if (k == cellRules.size() - 2) {
                parents++;
            }
        }
        if (within == null) {
            takeCell(INSIDE, rings, row, column);
        } else {
            int number = 0;
            for (List<Ring> band : parts(rings, true, within.bottom(), within.top())) {
                for (List<Ring> part : parts(band, false, within.left(), within.right())) {
                    takeCell(number++, part, row, column);
                }
            }
        }
        numbers++;
    }

    private void takeCell(int inRegion, List<Ring> rings, int row, int column) {
        if (rings.isEmpty()) {
            return;
        }
        Cut found = region.cut(rings, addedArea, allowedArea, false);
        addedArea += found.addedArea;
        if (found.pieces > 0) {
            cells.add(new Cell(inRegion, row, column, rings, found, parents, numbers));
        }
    }

    /** Divides a cell at a border and its parts further; false if a part would be a remainder that only trades with its neighbour. */
    private boolean divideAt(CellRule.Border border, List<Ring> rings, int row, int column, double[] box, int rule) {
        int low = border.alongY() ? 1 : 0;
        double wanted = border.atUm() / gridUm;
        double cell = Math.min(wanted - box[low], box[low + 2] - wanted);
        double at = exact
                ? wanted
                : RingSplitter.gentlest(rings, border.alongY(), Math.rint(wanted), Math.floor(BORDER_SHIFT * cell));
        splitter.split(rings, border.alongY(), at, slack(cell));
        List<Ring> below = List.copyOf(splitter.low);
        List<Ring> above = List.copyOf(splitter.high);
        if (Math.min(exposed(below), exposed(above)) < SHORTEST_OUTLINE * direct) {
            return false;
        }
        addedArea += splitter.addedArea;
        // Cells end where the rule has asked for it, so that the next rule is asked for the same cells whatever pieces
        // need.
        double[] lower = box.clone();
        double[] upper = box.clone();
        lower[low + 2] = wanted;
        upper[low] = wanted;
        divideFurther(below, row, column, lower, rule);
        divideFurther(above, row, column, upper, rule);
        return true;
    }

    private static double exposed(List<Ring> rings) {
        double length = 0;
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                if ((r.mark[k] & Ring.EXPOSED) != 0) {
                    int next = k + 1 == r.size ? 0 : k + 1;
                    length += Math.hypot(r.x[next] - r.x[k], r.y[next] - r.y[k]);
                }
            }
        }
        return length;
    }

    /** Where border {@code k} lies: where it is wanted, or where it bends straight sides less. */
    private double border(List<Ring> rings, boolean alongY, double[] cuts, int k) {
        double cell = Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]);
        return exact ? cuts[k] : RingSplitter.gentlest(rings, alongY, cuts[k], Math.floor(BORDER_SHIFT * cell));
    }

    /** How far a part of the shape may reach across border {@code k} without being cut off. */
    private double slack(double[] cuts, int k) {
        return slack(Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]));
    }

    private double slack(double cell) {
        return Math.min(0.3 * cell, Math.max(cell / 7, 5 * direct));
    }

    /** Cuts some cells again, with more pieces perhaps, if the area of the shape has not come out. */
    private void evenOut() {
        int tries = 0;
        for (int k = cells.size() - 1; k >= 0 && tries < MOST_AGAIN; k--) {
            if (exact || Math.abs(addedArea) <= Math.max(allowedArea, 0.5)) {
                return;
            }
            Cell cell = cells.get(k);
            if (cell.cut.pieces < WORTH_CUTTING) {
                continue;
            }
            tries++;
            double others = addedArea - cell.cut.addedArea;
            Cut again = region.cut(cell.rings, others, allowedArea, true);
            if (again.thin <= cell.cut.thin && Math.abs(others + again.addedArea) < Math.abs(addedArea)) {
                cells.set(k, new Cell(cell.region, cell.row, cell.column, cell.rings, again, cell.parent, cell.number));
                addedArea = others + again.addedArea;
            }
        }
    }

    private void gather() {
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
            unitFirst[u] = cut.pieces;
            parent[u] = cells.get(u).parent;
            number[u] = cells.get(u).number;
            outside[u] = cells.get(u).region != INSIDE;
            tied[u] = u > 0 && cells.get(u).number == cells.get(u - 1).number;
            int firstEdge = cut.edges.size();
            cut.addAll(cells.get(u).cut);
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
