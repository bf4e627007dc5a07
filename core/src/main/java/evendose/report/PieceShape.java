package evendose.report;

import evendose.pieces.Pieces;
import java.awt.geom.Path2D;

/** Pieces to be drawn. */
final class PieceShape {
    private PieceShape() {}

    /** The outline of piece {@code i}, um. */
    static Path2D of(Pieces pieces, int i) {
        Path2D path = new Path2D.Double();
        path.moveTo(pieces.cornerXUm(i, 0), pieces.cornerYUm(i, 0));
        for (int k = 1; k < 4; k++) {
            path.lineTo(pieces.cornerXUm(i, k), pieces.cornerYUm(i, k));
        }
        path.closePath();
        return path;
    }
}
