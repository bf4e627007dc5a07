package evendose.report;

import evendose.pieces.Pieces;
import evendose.verification.Exposure;
import java.awt.Color;
import java.awt.Shape;
import java.awt.geom.AffineTransform;
import java.util.Arrays;
import java.util.Optional;

/**
 * How a curved part of the layout is cut: the pieces with their borders, in the window where most slanted ones lie. The window is
 * found on a grid of squares of {@value #LARGEST_UM} um and made smaller, towards its fullest quarter, until it shows few enough
 * pieces to tell them apart.
 */
final class CutPicture {
    private static final double LARGEST_UM = 4;
    private static final double SMALLEST_UM = 0.1;
    private static final int MOST_SLANTED = 150;
    private static final int PIXELS = 900;
    private static final int PAGE_WIDTH = 780;

    private CutPicture() {}

    /** The picture; empty if all pieces are rectangles. */
    static Optional<Picture> of(Exposure exposure) {
        Pieces p = exposure.pieces();
        return window(p).map(w -> draw(exposure, p, w));
    }

    /** Left, bottom, right, top of the window, um; empty if all pieces are rectangles. */
    static Optional<double[]> window(Pieces p) {
        int[] slanted = new int[p.size()];
        int n = 0;
        for (int i = 0; i < p.size(); i++) {
            if (!p.isRectangle(i)) {
                slanted[n++] = i;
            }
        }
        if (n == 0) {
            return Optional.empty();
        }
        double[] bounds = p.boundsUm();
        double side = LARGEST_UM;
        double[] corner = fullest(p, Arrays.copyOf(slanted, n), bounds[0], bounds[1], side);
        int[] inside = within(p, slanted, n, corner, side);
        while (inside.length > MOST_SLANTED && side > SMALLEST_UM) {
            side /= 2;
            corner = fullest(p, inside, corner[0], corner[1], side);
            inside = within(p, inside, inside.length, corner, side);
        }
        return Optional.of(new double[] {corner[0], corner[1], corner[0] + side, corner[1] + side});
    }

    /** Lower left corner of the square of a grid from ({@code x0}, {@code y0}) that holds most middles of the pieces. */
    private static double[] fullest(Pieces p, int[] pieces, double x0, double y0, double side) {
        long[] cells = new long[pieces.length];
        for (int k = 0; k < pieces.length; k++) {
            long column = (long) ((p.middleXUm(pieces[k]) - x0) / side);
            long row = (long) ((p.middleYUm(pieces[k]) - y0) / side);
            cells[k] = row << 32 | column;
        }
        Arrays.sort(cells);
        long best = cells[0];
        int most = 0;
        for (int from = 0, to; from < cells.length; from = to) {
            for (to = from; to < cells.length && cells[to] == cells[from]; ) {
                to++;
            }
            if (to - from > most) {
                most = to - from;
                best = cells[from];
            }
        }
        return new double[] {x0 + (best & 0xffffffffL) * side, y0 + (best >> 32) * side};
    }

    private static int[] within(Pieces p, int[] pieces, int n, double[] corner, double side) {
        return Arrays.stream(pieces, 0, n)
                .filter(i -> p.middleXUm(i) >= corner[0]
                        && p.middleXUm(i) < corner[0] + side
                        && p.middleYUm(i) >= corner[1]
                        && p.middleYUm(i) < corner[1] + side)
                .toArray();
    }

    private static Picture draw(Exposure exposure, Pieces p, double[] w) {
        boolean[] shown = new boolean[p.size()];
        double low = Double.MAX_VALUE;
        double high = 0;
        for (int u = 0; u < p.units(); u++) {
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                if (p.leftUm(i) < w[2] && p.rightUm(i) > w[0] && p.bottomUm(i) < w[3] && p.topUm(i) > w[1]) {
                    shown[i] = true;
                    low = Math.min(low, exposure.factor(u));
                    high = Math.max(high, exposure.factor(u));
                }
            }
        }
        DoseColours colours = DoseColours.over(low, high);
        MapFrame frame = new MapFrame(w[0], w[1], w[2], w[3], PIXELS, PIXELS, PAGE_WIDTH);
        frame.clip();
        AffineTransform toPixels = frame.toPixels();
        frame.graphics.setStroke(frame.stroke(0.8));
        for (int u = 0; u < p.units(); u++) {
            Color fill = new Color(colours.rgb(exposure.factor(u)));
            Color line = colours.line(exposure.factor(u));
            for (int i = p.unitFirst(u); i < p.unitFirst(u + 1); i++) {
                if (shown[i]) {
                    Shape shape = toPixels.createTransformedShape(PieceShape.of(p, i));
                    frame.graphics.setColor(fill);
                    frame.graphics.fill(shape);
                    frame.graphics.setColor(line);
                    frame.graphics.draw(shape);
                }
            }
        }
        byte[] png = frame.finish("Pieces", "dose factor", colours.high(), colours.low(), Double.NaN);
        return new Picture(
                "pieces",
                "How the layout is cut, where most slanted pieces lie: every piece with its border, coloured by its dose factor.",
                png,
                "");
    }
}
