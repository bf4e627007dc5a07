package evendose.pieces;

import evendose.geometry.EdgeBuffer;
import evendose.geometry.Trapezoids;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.function.BooleanSupplier;

/**
 * Cuts one shape into pieces, gathers them into units and lists the exposed outline of each. Works in grid units on scratch arrays
 * that are used again for the next shape.
 */
final class ShapeCutter {
    /** How far a border between cells may be shifted, as a share of a cell. */
    private static final double BORDER_SHIFT = 0.03;

    /** How far pieces may reach across a border that goes between them, as a share of a cell. */
    private static final double MOST_ACROSS = 0.9;

    /** Even cells along a side of a block that is cut at once, at most. */
    private static final int BLOCK = 4;

    /** Error of a shape's area, relative, that is not worth another look. */
    private static final double SAME_AREA = 5e-6;

    /** Areas that differ by less, square grid units, are the same: a moved layout is cut at the same places. */
    private static final double ROUNDING = 1e-4;

    /** Exposed outline of a part that is divided off, at least, direct ranges. */
    private static final double SHORTEST_OUTLINE = 2;

    /** Cells in which breaks are moved for the sake of the area, at most. */
    private static final int MOST_EVENED = 12;

    /** Room for numbers of parts of an even cell. */
    private static final int PARTS = 1 << 10;

    /** Of the nine regions that the borders of a tile make, row by row, the tile itself. */
    private static final int INSIDE = 4;

    /** Places that a border is tried at where thin pieces lie beside it, at most; of a shape, and with how many cells it is worth it. */
    private static final int MOST_TRIED = 6;

    private static final int MOST_TRIES = 24;
    private static final int MOST_CUT_AGAIN = 16;

    /** How near to a border a thin piece lies, smallest extents. */
    private static final double NEAR_BORDER = 3;

    /** Pieces in the order of their units: see {@link Cut}. Unit u holds pieces unitFirst[u] to unitFirst[u + 1] - 1. */
    Cut cut = new Cut();

    int[] unitFirst = new int[65];
    int units;

    private final double gridUm;
    private final List<CellRule> cellRules;
    private final boolean exact;
    private final double maxPiece;
    private final double direct;
    private final double smallest;
    private final UprightShapes upright;
    private final ShapeRings shape;
    private final RegionCutter region;
    private final RingSplitter splitter;

    private double[] xCuts = new double[8];
    private double[] yCuts = new double[8];
    private final List<Leaf> leaves = new ArrayList<>();
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

    /** For each unit the cell that it lies in, grid units: left, bottom, right, top; null for a lone rectangle. */
    double[][] boxes = new double[65][];

    private int shapeNumber;

    /** The tile whose borders are cut along, or null. */
    private TileFrame within;

    /** Columns of even cells. */
    private int columns;

    private int parents;
    private int numbers;

    /** Other borders that may still be tried for the sake of thin pieces. */
    private int triesLeft;

    /** What of the shape lies in an even cell, or in a block of them that is cut at once. Its cut is null if its parts are cut one by one. */
    private record Leaf(int fromColumn, int toColumn, int fromRow, int toRow, List<Ring> rings, Cut cut) {
        boolean isBlock() {
            return toColumn - fromColumn + toRow - fromRow > 2;
        }

        int thin() {
            return cut == null ? 0 : cut.thin;
        }

        int pieces() {
            return cut == null ? 0 : cut.pieces;
        }

        Leaf with(Cut other) {
            return new Leaf(fromColumn, toColumn, fromRow, toRow, rings, other);
        }
    }

    /** What was cut on both sides of a border. */
    private record Halves(boolean alongY, double border, List<Leaf> leaves, double addedArea) {
        int thin() {
            return leaves.stream().mapToInt(Leaf::thin).sum();
        }

        /** Whether another border is worth trying: few cells were cut, and left thin pieces beside this one. */
        boolean isThinAtBorder(double reach, double smallest) {
            return leaves.size() <= MOST_CUT_AGAIN
                    && Cut.areFewThin(
                            thin(), leaves.stream().mapToInt(Leaf::pieces).sum())
                    && leaves.stream()
                            .anyMatch(leaf -> leaf.thin() > 0 && leaf.cut.isThinNear(alongY, border, reach, smallest));
        }
    }

    /** What of the shape lies in one cell. */
    private record Cell(int region, int row, int column, Cut cut, int parent, int number, double[] box) {
        /** Whether both are parts of one cell that the border of a tile has cut. */
        boolean isBeside(Cell other) {
            return row == other.row && column == other.column && number == other.number;
        }
    }

    private static final Comparator<Cell> IN_ORDER =
            Comparator.comparingInt(Cell::row).thenComparingInt(Cell::column);

    ShapeCutter(
            Trapezoids merged,
            boolean oneGroup,
            double dbuUm,
            double gridUm,
            FractureOptions options,
            List<CellRule> rules) {
        this.gridUm = gridUm;
        this.cellRules = List.copyOf(rules);
        PieceRules pieceRules = options.rules();
        this.exact = pieceRules.isExact();
        double gridPerDbu = exact ? 1 : wholeRatio(dbuUm / gridUm);
        this.maxPiece = options.maxPieceUm() / gridUm;
        this.direct = options.directRangeUm() / gridUm;
        this.smallest = pieceRules.smallestUm() / gridUm;
        this.upright = new UprightShapes(merged, exact, gridPerDbu, maxPiece, smallest);
        double tolerance = pieceRules.outlineToleranceUm() / gridUm;
        this.shape = new ShapeRings(merged, oneGroup, gridPerDbu, exact, tolerance);
        this.splitter = new RingSplitter(exact, shape.drawn, new CrossingPlaces(SpanCutter.loose(tolerance), smallest));
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
            units = 1;
            unitFirst[0] = 0;
            parent[0] = 0;
            number[0] = 0;
            outside[0] = false;
            tied[0] = false;
            boxes[0] = null;
            upright.take(s, cut);
            unitFirst[1] = cut.pieces;
            return;
        }
        begin(s);
        List<Ring> rings = List.copyOf(shape.rings);
        addedArea = shape.addedArea;
        allowedArea = SAME_AREA * area(rings);
        divideEvenly(rings);
        evenOut();
        for (Leaf leaf : List.copyOf(leaves)) {
            divide(leaf);
        }
        gather();
    }

    /** Parts of an even cell are numbered the same in each round, whatever lies in other cells. */
    private void beginCell(int row, int column) {
        numbers = PARTS * (row * columns + column);
        parents = cellRules.size() == 1 ? numbers : numbers - 1;
    }

    /** Divides a leaf as the rules ask; a block that does not fall apart between its pieces is halved and cut again. */
    private void divide(Leaf leaf) {
        int column = leaf.fromColumn;
        int row = leaf.fromRow;
        if (leaf.isBlock()) {
            if (!fallsApart(() -> divideBlock(leaf.cut, column, leaf.toColumn, row, leaf.toRow))) {
                addedArea -= leaf.cut.addedArea;
                leaves.clear();
                split(leaf.rings, column, leaf.toColumn, row, leaf.toRow);
                List.copyOf(leaves).forEach(this::divide);
            }
            return;
        }
        beginCell(row, column);
        double[] box = box(column, column + 1, row, row + 1);
        if (leaf.cut == null) {
            divideFurther(leaf.rings, row, column, box, 0);
        } else {
            divide(leaf.cut, leaf.rings, row, column, box, 0);
        }
    }

    /**
     * Cuts what of a large shape lies in a tile and around it into the cells that the whole shape has; cells that lie across the tile's borders are
     * cut there. The borders stay where they are and leave no part with the other side, so that the tile beyond cuts at the same places.
     *
     * @param whole the shape, of which a part may be left out here
     */
    void cut(WholeShape whole, TileFrame tile) {
        begin(whole.parts().stream().mapToInt(s -> s).toArray());
        double m = tile.margin();
        List<Ring> seen = parts(List.copyOf(shape.rings), true, tile.bottom() - m, tile.top() + m)
                .get(1);
        seen = parts(seen, false, tile.left() - m, tile.right() + m).get(1);
        // What rounding has added elsewhere is not to be evened out here.
        addedArea = 0;
        allowedArea = SAME_AREA * area(seen);
        within = tile;
        ShapeBox box = whole.box();
        divideEvenly(seen, toGrid(box.left()), toGrid(box.bottom()), toGrid(box.right()), toGrid(box.top()));
        within = null;
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

    /** Begins with the parts of a shape. */
    private void begin(int... parts) {
        shape.collect(parts);
        shapeNumber = parts[0];
        parents = -1;
        numbers = 0;
        leaves.clear();
        cells.clear();
        triesLeft = exact ? 0 : MOST_TRIES;
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
        columns = UprightShapes.cells(right - left, maxPiece);
        int rows = UprightShapes.cells(top - bottom, maxPiece);
        xCuts = divide(left, right, columns, xCuts);
        yCuts = divide(bottom, top, rows, yCuts);
        divideCells(rings, 0, columns, 0, rows);
    }

    /** Whether a shape is cut as the merge has cut it: {@link UprightShapes}. */
    boolean isOneUpright(int s) {
        for (CellRule rule : cellRules) {
            if (rule.concerns(s)) {
                return false;
            }
        }
        return upright.isOneCell(s);
    }

    /** A coordinate in grid units, rounded unless pieces are exact. */
    double toGrid(double dbu) {
        return upright.toGrid(dbu);
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
            addLeaf(rings, r0, c0);
        } else if (isCutAtOnce(rings, c0, c1, r0, r1)) {
            Cut found = region.cut(rings, addedArea, allowedArea);
            addedArea += found.addedArea;
            leaves.add(new Leaf(c0, c1, r0, r1, rings, found));
        } else {
            split(rings, c0, c1, r0, r1);
        }
    }

    /** Halves a block of cells. */
    private void split(List<Ring> rings, int c0, int c1, int r0, int r1) {
        boolean alongY = r1 - r0 > c1 - c0;
        int k = alongY ? (r0 + r1) / 2 : (c0 + c1) / 2;
        List<Double> tried = new ArrayList<>();
        Halves best = halves(rings, alongY, k, tried, c0, c1, r0, r1);
        while (triesLeft > 0 && tried.size() < MOST_TRIED && best.isThinAtBorder(NEAR_BORDER * smallest, smallest)) {
            triesLeft--;
            Halves other = halves(rings, alongY, k, tried, c0, c1, r0, r1);
            best = other.thin() < best.thin() ? other : best;
        }
        leaves.addAll(best.leaves);
        addedArea = best.addedArea;
    }

    /** Cuts both halves of a block, with a border that has not been tried; leaves all else as it was. */
    private Halves halves(List<Ring> rings, boolean alongY, int k, List<Double> tried, int c0, int c1, int r0, int r1) {
        int begun = leaves.size();
        double before = addedArea;
        double[] cuts = alongY ? yCuts : xCuts;
        double at = border(rings, alongY, cuts, k, tried);
        tried.add(at);
        splitter.split(rings, alongY, at, slack(cuts, k));
        addedArea += splitter.addedArea;
        List<Ring> low = List.copyOf(splitter.low);
        List<Ring> high = List.copyOf(splitter.high);
        divideCells(low, c0, alongY ? c1 : k, r0, alongY ? k : r1);
        divideCells(high, alongY ? c0 : k, c1, alongY ? k : r0, r1);
        List<Leaf> found = leaves.subList(begun, leaves.size());
        Halves halves = new Halves(alongY, at, List.copyOf(found), addedArea);
        found.clear();
        addedArea = before;
        return halves;
    }

    /** The place of some cells: left, bottom, right, top. */
    private double[] box(int c0, int c1, int r0, int r1) {
        return new double[] {xCuts[c0], yCuts[r0], xCuts[c1], yCuts[r1]};
    }

    /** Cuts what lies in an even cell if it stays whole, or if borders of its parts may follow its pieces. */
    private void addLeaf(List<Ring> rings, int row, int column) {
        double[] box = box(column, column + 1, row, row + 1);
        if (within != null) {
            takeCellOfTile(rings, row, column, box);
            return;
        }
        Cut found = null;
        if (mayFollowPieces(rings) || !isDivided(box, 0)) {
            found = region.cut(rings, addedArea, allowedArea);
            addedArea += found.addedArea;
        }
        leaves.add(new Leaf(column, column + 1, row, row + 1, rings, found));
    }

    /** Whether cells are cut together, so that pieces go on from one to the next. */
    private boolean isCutAtOnce(List<Ring> rings, int c0, int c1, int r0, int r1) {
        return !cellRules.isEmpty()
                && within == null
                && Math.max(c1 - c0, r1 - r0) <= BLOCK
                && mayFollowPieces(rings)
                && RegionCutter.runsOneWay(rings);
    }

    /** Cuts a cell at the borders of the tile. */
    private void takeCellOfTile(List<Ring> rings, int row, int column, double[] box) {
        int number = 0;
        for (List<Ring> band : parts(rings, true, within.bottom(), within.top())) {
            for (List<Ring> part : parts(band, false, within.left(), within.right())) {
                takeCell(number++, part, row, column, box);
            }
        }
        numbers++;
    }

    private void takeCell(int inRegion, List<Ring> rings, int row, int column, double[] box) {
        if (rings.isEmpty()) {
            return;
        }
        Cut found = region.cut(rings, addedArea, allowedArea);
        addedArea += found.addedArea;
        if (found.pieces > 0) {
            cells.add(new Cell(inRegion, row, column, found, parents, numbers, box));
        }
    }

    /** Whether most of the outline is slanted and so cut into many pieces; rectilinear parts are divided where it is best for doses. */
    private boolean mayFollowPieces(List<Ring> rings) {
        return !exact && rings.size() == 1 && rings.get(0).slantedShare() > 0.5;
    }

    /** Whether a rule from {@code from} on divides a cell. */
    private boolean isDivided(double[] box, int from) {
        for (int k = from; k < cellRules.size(); k++) {
            if (!borders(box, k).isEmpty()) {
                return true;
            }
        }
        return false;
    }

    private List<CellRule.Border> borders(double[] box, int rule) {
        return cellRules
                .get(rule)
                .borders(shapeNumber, box[0] * gridUm, box[1] * gridUm, box[2] * gridUm, box[3] * gridUm);
    }

    /** Divides what is cut, between pieces if that is possible. */
    private void divide(Cut cut, List<Ring> rings, int row, int column, double[] box, int from) {
        if (!fallsApart(() -> divideBetweenPieces(cut, row, column, box, from))) {
            addedArea -= cut.addedArea;
            divideFurther(rings, row, column, box, from);
        }
    }

    /** Tries a division; takes back what it has done if it fails. */
    private boolean fallsApart(BooleanSupplier division) {
        int parentsBefore = parents;
        int numbersBefore = numbers;
        int cellsBefore = cells.size();
        boolean done = division.getAsBoolean();
        if (!done) {
            parents = parentsBefore;
            numbers = numbersBefore;
            cells.subList(cellsBefore, cells.size()).clear();
        }
        return done;
    }

    /** Divides what was cut in several cells at once, between pieces; false if there are none near enough to a border. */
    private boolean divideBlock(Cut whole, int c0, int c1, int r0, int r1) {
        if (whole.pieces == 0) {
            return true;
        }
        if (c1 - c0 == 1 && r1 - r0 == 1) {
            beginCell(r0, c0);
            return divideBetweenPieces(whole, r0, c0, box(c0, c0 + 1, r0, r0 + 1), 0);
        }
        boolean alongY = r1 - r0 > c1 - c0;
        int k = alongY ? (r0 + r1) / 2 : (c0 + c1) / 2;
        double[] cuts = alongY ? yCuts : xCuts;
        double cell = Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]);
        Cut apart = whole.fallingApart(alongY, cuts[k], MOST_ACROSS * 0.5 * cell, smallest);
        if (apart == null) {
            return false;
        }
        Cut low = apart.side(alongY, cuts[k], true);
        Cut high = apart.side(alongY, cuts[k], false);
        // What reaches across by less than this is not cut off.
        boolean noLow = low.liesNear(alongY, cuts[k], slack(cell));
        boolean noHigh = !noLow && high.liesNear(alongY, cuts[k], slack(cell));
        return (noLow || divideBlock(noHigh ? whole : low, c0, alongY ? c1 : k, r0, alongY ? k : r1))
                && (noHigh || divideBlock(noLow ? whole : high, alongY ? c0 : k, c1, alongY ? k : r0, r1));
    }

    /** Divides a cell as the rules from {@code from} on ask, along borders that lie between pieces; false if there is none near enough. */
    private boolean divideBetweenPieces(Cut whole, int row, int column, double[] box, int from) {
        for (int k = from; k < cellRules.size(); k++) {
            for (CellRule.Border border : borders(box, k)) {
                int low = border.alongY() ? 1 : 0;
                double wanted = border.atUm() / gridUm;
                double cell = Math.min(wanted - box[low], box[low + 2] - wanted);
                double at = Math.rint(wanted);
                Cut apart = whole.fallingApart(border.alongY(), at, MOST_ACROSS * cell, smallest);
                if (apart == null) {
                    return false;
                }
                Cut below = apart.side(border.alongY(), at, true);
                Cut above = apart.side(border.alongY(), at, false);
                if (isEnough(k, below.exposed(), above.exposed())) {
                    return divideBetweenPieces(below, row, column, lower(box, low, wanted), k)
                            && divideBetweenPieces(above, row, column, upper(box, low, wanted), k);
                }
            }
            if (k == cellRules.size() - 2) {
                parents++;
            }
        }
        if (whole.pieces > 0) {
            cells.add(new Cell(INSIDE, row, column, whole, parents, numbers, box));
        }
        numbers++;
        return true;
    }

    // Cells end where the rule has asked for it, so that the next rule is asked for the same cells whatever pieces
    // need.
    private static double[] lower(double[] box, int low, double border) {
        double[] part = box.clone();
        part[low + 2] = border;
        return part;
    }

    private static double[] upper(double[] box, int low, double border) {
        double[] part = box.clone();
        part[low] = border;
        return part;
    }

    /** Divides a cell as the rules from {@code from} on ask, across pieces, and cuts the parts. */
    private void divideFurther(List<Ring> rings, int row, int column, double[] box, int from) {
        if (rings.isEmpty()) {
            return;
        }
        for (int k = from; k < cellRules.size(); k++) {
            for (CellRule.Border border : borders(box, k)) {
                if (divideAt(border, rings, row, column, box, k)) {
                    return;
                }
            }
            if (k == cellRules.size() - 2) {
                parents++;
            }
        }
        takeCell(INSIDE, rings, row, column, box);
        numbers++;
    }

    /** Divides a cell at a border and its parts further; false if a part would be a remainder that only trades with its neighbour. */
    private boolean divideAt(CellRule.Border border, List<Ring> rings, int row, int column, double[] box, int rule) {
        int low = border.alongY() ? 1 : 0;
        double wanted = border.atUm() / gridUm;
        double cell = Math.min(wanted - box[low], box[low + 2] - wanted);
        double at = exact
                ? wanted
                : splitter.gentlest(
                        rings,
                        border.alongY(),
                        Math.rint(wanted),
                        Math.floor(BORDER_SHIFT * cell),
                        addedArea,
                        List.of());
        splitter.split(rings, border.alongY(), at, slack(cell, direct));
        List<Ring> below = List.copyOf(splitter.low);
        List<Ring> above = List.copyOf(splitter.high);
        if (!isEnough(rule, exposed(below), exposed(above))) {
            return false;
        }
        addedArea += splitter.addedArea;
        dividePart(below, row, column, lower(box, low, wanted), rule);
        dividePart(above, row, column, upper(box, low, wanted), rule);
        return true;
    }

    private void dividePart(List<Ring> rings, int row, int column, double[] box, int rule) {
        if (mayFollowPieces(rings) && isDivided(box, rule)) {
            Cut found = region.cut(rings, addedArea, allowedArea);
            addedArea += found.addedArea;
            divide(found, rings, row, column, box, rule);
        } else {
            divideFurther(rings, row, column, box, rule);
        }
    }

    /** Whether both parts have enough outline for doses of their own. */
    private boolean isEnough(int rule, double exposedBelow, double exposedAbove) {
        return !cellRules.get(rule).needsOutline() || Math.min(exposedBelow, exposedAbove) >= SHORTEST_OUTLINE * direct;
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

    /** Where border {@code k} lies: where it is wanted, or where it bends straight sides less; not where it has been tried. */
    private double border(List<Ring> rings, boolean alongY, double[] cuts, int k, List<Double> tried) {
        double cell = Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]);
        double window = Math.floor(BORDER_SHIFT * cell);
        return exact ? cuts[k] : splitter.gentlest(rings, alongY, cuts[k], window, addedArea, tried);
    }

    /** How far a part of the shape may reach across border {@code k} without being cut off. */
    private double slack(double[] cuts, int k) {
        return slack(Math.min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k]));
    }

    private double slack(double cell) {
        return slack(cell, Math.max(cell / 7, 5 * direct));
    }

    /** The same, no more than asked for and than goes with the size of a cell. */
    private static double slack(double cell, double most) {
        return Math.min(0.3 * cell, most);
    }

    /** Moves breaks in some cells if the area of the shape has not come out. */
    private void evenOut() {
        int tries = 0;
        for (int k = leaves.size() - 1; k >= 0 && tries < MOST_EVENED; k--) {
            if (exact || Math.abs(addedArea) <= allowedArea) {
                return;
            }
            Leaf leaf = leaves.get(k);
            if (leaf.cut == null || leaf.cut.pieces <= 1) {
                continue;
            }
            tries++;
            double others = addedArea - leaf.cut.addedArea;
            Cut evened = region.evened(leaf.cut, others, allowedArea);
            if (evened.cost() <= leaf.cut.cost()
                    && Math.abs(others + evened.addedArea) < Math.abs(addedArea) - ROUNDING) {
                leaves.set(k, leaf.with(evened));
                addedArea = others + evened.addedArea;
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
            boxes = new double[unitFirst.length][];
        }
        int judgedBy = 0;
        for (int u = 0; u < units; u++) {
            unitFirst[u] = cut.pieces;
            parent[u] = cells.get(u).parent;
            number[u] = cells.get(u).number;
            outside[u] = cells.get(u).region != INSIDE;
            boxes[u] = cells.get(u).box;
            tied[u] = u > 0 && cells.get(u).isBeside(cells.get(u - 1));
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
