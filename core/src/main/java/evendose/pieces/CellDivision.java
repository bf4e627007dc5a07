package evendose.pieces;

import java.util.ArrayList;
import java.util.List;

/**
 * Divides the even cells of one shape as the rules ask, and cuts what lies in the parts. Borders go between pieces where most of the
 * outline is slanted, else across them.
 */
final class CellDivision {
    /** How far a border between cells may be shifted, as a share of a cell. */
    private static final double BORDER_SHIFT = 0.03;

    /** How far pieces may reach across a border that goes between them, as a share of a cell. */
    private static final double MOST_ACROSS = 0.6;

    /** The same where the outline is a curve, whose pieces are short and have similar doses. */
    private static final double MOST_ACROSS_CURVE = 3;

    /** Longest slanted edge of a curve, as a share of the largest cell: longer ones are straight sides of long pieces. */
    private static final double LONGEST_OF_CURVE = 0.5;

    /** Exposed outline of a part that is divided off, at least, direct ranges. */
    private static final double SHORTEST_OUTLINE = 4;

    /** Rows and columns of cells that are cut at once, at most. */
    private static final int MOST_AT_ONCE = 2;

    /** Widest inside, on average, that is cut at once over several cells, as a share of a cell: pieces of wider ones reach too far. */
    private static final double NARROW = 0.5;

    /** What of the shape lies in one cell. */
    record Cell(int region, int row, int column, Cut cut, int parent, int number) {}

    /** Units to be, and for each the cell that it lay in before the last rule. */
    final List<Cell> cells = new ArrayList<>();

    /** What has been added to the area of the shape so far. */
    double addedArea;

    /** What may be left of it. */
    double allowedArea;

    private final List<CellRule> rules;
    private final boolean exact;
    private final double gridUm;
    private final double direct;
    private final RingSplitter splitter;
    private final RegionCutter region;

    private final double maxPiece;
    private int shape;

    /** Whether what is being divided between pieces is a curve. */
    private boolean isCurve;

    private EvenCells even;
    private int parents;
    private int numbers;

    CellDivision(
            List<CellRule> rules,
            boolean exact,
            double gridUm,
            double direct,
            double maxPiece,
            RingSplitter splitter,
            RegionCutter region) {
        this.rules = List.copyOf(rules);
        this.exact = exact;
        this.gridUm = gridUm;
        this.direct = direct;
        this.maxPiece = maxPiece;
        this.splitter = splitter;
        this.region = region;
    }

    /** Begins a shape. */
    void begin(int number, double areaAdded, double areaAllowed) {
        shape = number;
        addedArea = areaAdded;
        allowedArea = areaAllowed;
        parents = -1;
        numbers = 0;
        cells.clear();
    }

    void setEven(EvenCells evenCells) {
        even = evenCells;
    }

    /** Whether a rule concerns a shape. */
    boolean concerns(int number) {
        for (CellRule rule : rules) {
            if (rule.concerns(number)) {
                return true;
            }
        }
        return false;
    }

    /** Splits what lies in several cells at the border that halves them; the parts are those of the splitter. */
    void halve(List<Ring> rings, Block block) {
        boolean alongY = block.isHalvedAlongY();
        double cell = even.cellBeside(block);
        splitter.split(rings, alongY, gentle(rings, alongY, even.halves(block), cell), slack(cell));
        addedArea += splitter.addedArea;
    }

    /** Where a border lies: where it is wanted, or near, where it bends straight sides less. */
    private double gentle(List<Ring> rings, boolean alongY, double wanted, double cell) {
        return exact
                ? wanted
                : splitter.gentlest(rings, alongY, Math.rint(wanted), Math.floor(BORDER_SHIFT * cell), addedArea);
    }

    /** How far a part of the shape may reach across a border without being cut off. */
    private double slack(double cell) {
        return Math.min(0.3 * cell, Math.max(cell / 7, 5 * direct));
    }

    /** Whether what lies in some cells is cut at once, and then divided between pieces. */
    boolean isCutAtOnce(List<Ring> rings, Block block) {
        return block.rows() <= MOST_AT_ONCE
                && block.columns() <= MOST_AT_ONCE
                && mayFollowPieces(rings)
                && isGuide(rings, block);
    }

    /** Whether a part is narrow and does not wind: what lies between the holes of a lattice is narrow, too, but has far more outline. */
    private boolean isGuide(List<Ring> rings, Block block) {
        double area = 0;
        for (Ring r : rings) {
            area += r.area();
        }
        double outline = exposed(rings);
        double[] box = block.box();
        return 2 * area <= NARROW * even.cellBeside(block) * outline
                && outline <= 2 * (box[2] - box[0] + box[3] - box[1]);
    }

    /** Whether most of the outline is slanted and so cut into many pieces; rectilinear parts are divided where it is best for doses. */
    private boolean mayFollowPieces(List<Ring> rings) {
        // Between holes, pieces lie in steps: following them made three times as many thin pieces.
        if (exact || rings.size() != 1) {
            return false;
        }
        double length = 0;
        double slanted = 0;
        for (Ring r : rings) {
            length += r.extent(false);
            slanted += r.extent(true);
        }
        return slanted > 0.5 * length;
    }

    /** Cuts what lies in even cells, unless rules divide it and borders have to go across pieces: null then. */
    Cut cutWhole(List<Ring> rings, Block block) {
        return mayFollowPieces(rings) || !isDivided(block, 0) ? cut(rings) : null;
    }

    private Cut cut(List<Ring> rings) {
        Cut found = region.cut(rings, addedArea, allowedArea);
        addedArea += found.addedArea;
        return found;
    }

    /** Makes cells of what lies in even cells; {@code cut} is what {@link #cutWhole} has found. */
    void take(List<Ring> rings, Block block, Cut cut) {
        enter(block);
        if (cut == null) {
            divideAcross(rings, block, 0);
        } else {
            divide(cut, rings, block, 0);
        }
    }

    /** Makes one cell of what lies in a part of an even one. */
    void takeCell(int inRegion, List<Ring> rings, Block block) {
        if (rings.isEmpty()) {
            return;
        }
        Cut found = cut(rings);
        if (found.pieces > 0) {
            cells.add(new Cell(inRegion, block.row(), block.column(), found, parents, numbers));
        }
    }

    /** Ends a cell, of which any number of parts were taken. */
    void endCell() {
        numbers++;
    }

    /** Whether a rule from {@code from} on divides a cell. */
    private boolean isDivided(Block cell, int from) {
        for (int k = from; k < rules.size(); k++) {
            if (border(cell, k) != null) {
                return true;
            }
        }
        return false;
    }

    private CellRule.Border border(Block cell, int rule) {
        double[] box = cell.box();
        return rules.get(rule).border(shape, box[0] * gridUm, box[1] * gridUm, box[2] * gridUm, box[3] * gridUm);
    }

    /** Divides what is cut, between pieces if that is possible. */
    private void divide(Cut cut, List<Ring> rings, Block block, int from) {
        int parentsBefore = parents;
        int numbersBefore = numbers;
        int cellsBefore = cells.size();
        isCurve = isCurve(rings);
        if (!divideBetweenPieces(cut, block, from)) {
            parents = parentsBefore;
            numbers = numbersBefore;
            cells.subList(cellsBefore, cells.size()).clear();
            addedArea -= cut.addedArea;
            divideAcross(rings, block, from);
        }
    }

    /** Divides along borders that lie between pieces; false if there is none near enough. */
    private boolean divideBetweenPieces(Cut whole, Block block, int from) {
        if (!block.isOneCell()) {
            return halveBetweenPieces(whole, block);
        }
        for (int k = from; k < rules.size(); k++) {
            CellRule.Border border = border(block, k);
            if (border != null) {
                boolean alongY = border.alongY();
                double wanted = border.atUm() / gridUm;
                double cell = block.nearerEnd(alongY, wanted);
                Cut below = whole.side(alongY, wanted, true);
                Cut beyond = whole.side(alongY, wanted, false);
                boolean divides = isWorthDividing(below.exposed(), beyond.exposed());
                if (!fallsApart(whole, alongY, wanted, cell)) {
                    return false;
                }
                if (divides) {
                    return divideBetweenPieces(below, block.below(alongY, wanted), k)
                            && divideBetweenPieces(beyond, block.beyond(alongY, wanted), k);
                }
            }
            passRule(k);
        }
        if (whole.pieces > 0) {
            cells.add(new Cell(ShapeCutter.INSIDE, block.row(), block.column(), whole, parents, numbers));
        }
        endCell();
        return true;
    }

    private boolean fallsApart(Cut whole, boolean alongY, double at, double cell) {
        return whole.fallsApart(alongY, at, (isCurve ? MOST_ACROSS_CURVE : MOST_ACROSS) * cell);
    }

    /** Gives the pieces of some cells to the cells. */
    private boolean halveBetweenPieces(Cut whole, Block block) {
        boolean alongY = block.isHalvedAlongY();
        double wanted = even.halves(block);
        double cell = even.cellBeside(block);
        Cut below = whole.side(alongY, wanted, true);
        Cut beyond = whole.side(alongY, wanted, false);
        boolean divides =
                Math.min(below.exposed(), beyond.exposed()) >= Math.max(SHORTEST_OUTLINE * direct, 2 * slack(cell));
        if (!whole.fallsApart(alongY, wanted, MOST_ACROSS * cell)) {
            return false;
        }
        if (!divides) {
            // A remainder stays with its neighbour.
            boolean goesBelow = below.exposed() > beyond.exposed();
            below = goesBelow ? whole : new Cut();
            beyond = goesBelow ? new Cut() : whole;
        }
        Block lower = enter(block.lowerHalf(wanted));
        if (!divideBetweenPieces(below, lower, 0)) {
            return false;
        }
        Block upper = enter(block.upperHalf(wanted));
        return divideBetweenPieces(beyond, upper, 0);
    }

    /** Begins what may be one even cell. */
    private Block enter(Block block) {
        if (rules.size() == 1 && block.isOneCell()) {
            parents++;
        }
        return block;
    }

    /** Goes on to the next rule: what the last but one leaves whole was one cell before the last. */
    private void passRule(int k) {
        if (k == rules.size() - 2) {
            parents++;
        }
    }

    /** Divides across pieces, and cuts the parts. */
    private void divideAcross(List<Ring> rings, Block block, int from) {
        if (!block.isOneCell()) {
            halveAcross(rings, block);
            return;
        }
        for (int k = from; k < rules.size(); k++) {
            CellRule.Border border = border(block, k);
            if (border != null && divideAt(border, rings, block, k)) {
                return;
            }
            passRule(k);
        }
        takeCell(ShapeCutter.INSIDE, rings, block);
        endCell();
    }

    private void halveAcross(List<Ring> rings, Block block) {
        halve(rings, block);
        double wanted = even.halves(block);
        List<Ring> below = List.copyOf(splitter.low);
        List<Ring> beyond = List.copyOf(splitter.high);
        takeHalf(below, enter(block.lowerHalf(wanted)));
        takeHalf(beyond, enter(block.upperHalf(wanted)));
    }

    private void takeHalf(List<Ring> rings, Block half) {
        divide(cut(rings), rings, half, 0);
    }

    /** Divides a cell at a border and its parts further; false if a part would be a remainder that only trades with its neighbour. */
    private boolean divideAt(CellRule.Border border, List<Ring> rings, Block block, int rule) {
        boolean alongY = border.alongY();
        double wanted = border.atUm() / gridUm;
        double cell = block.nearerEnd(alongY, wanted);
        splitter.split(rings, alongY, gentle(rings, alongY, wanted, cell), slack(cell));
        List<Ring> below = List.copyOf(splitter.low);
        List<Ring> beyond = List.copyOf(splitter.high);
        if (!isWorthDividing(exposed(below), exposed(beyond))) {
            return false;
        }
        addedArea += splitter.addedArea;
        // Cells end where the rule has asked for it, so that the next rule is asked for the same cells whatever pieces
        // need.
        takePart(below, block.below(alongY, wanted), rule);
        takePart(beyond, block.beyond(alongY, wanted), rule);
        return true;
    }

    private boolean isWorthDividing(double oneExposed, double otherExposed) {
        return Math.min(oneExposed, otherExposed) >= SHORTEST_OUTLINE * direct;
    }

    private void takePart(List<Ring> rings, Block part, int rule) {
        if (mayFollowPieces(rings) && isDivided(part, rule)) {
            divide(cut(rings), rings, part, rule);
        } else {
            divideAcross(rings, part, rule);
        }
    }

    private boolean isCurve(List<Ring> rings) {
        return longestSlanted(rings) <= LONGEST_OF_CURVE * maxPiece;
    }

    private static double longestSlanted(List<Ring> rings) {
        double longest = 0;
        for (Ring r : rings) {
            for (int k = 0; k < r.size; k++) {
                int next = k + 1 == r.size ? 0 : k + 1;
                double dx = Math.abs(r.x[next] - r.x[k]);
                double dy = Math.abs(r.y[next] - r.y[k]);
                longest = dx > 0 && dy > 0 ? Math.max(longest, dx + dy) : longest;
            }
        }
        return longest;
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
}
