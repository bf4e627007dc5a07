package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

class CutPictureTest {
    private final List<double[]> six = new ArrayList<>();
    private final List<Boolean> standing = new ArrayList<>();

    private void add(boolean stands, double... values) {
        six.add(values);
        standing.add(stands);
    }

    private Pieces pieces() {
        int n = six.size();
        double[][] c = new double[6][n];
        boolean[] stands = new boolean[n];
        int[] first = new int[n + 1];
        for (int i = 0; i < n; i++) {
            for (int k = 0; k < 6; k++) {
                c[k][i] = six.get(i)[k];
            }
            stands[i] = standing.get(i);
            first[i + 1] = i + 1;
        }
        return new Pieces(c, stands, first, new int[] {0, n}, new int[] {0});
    }

    /** Many rectangles in one place, a few slanted pieces in another, most of them, of both kinds, in a third. */
    @Test
    void theWindowLiesWhereMostSlantedPiecesAre() {
        for (int k = 0; k < 500; k++) {
            add(false, 0.01 * k, 0.01 * k + 0.01, 0, 1, 0, 1);
        }
        for (int k = 0; k < 20; k++) {
            add(false, 50 + 0.1 * k, 50.1 + 0.1 * k, 10, 11, 10.1, 11.1);
        }
        for (int k = 0; k < 60; k++) {
            add(true, 81 + 0.05 * k, 81.05 + 0.05 * k, 41, 42, 41.1, 42.1);
        }
        double[] w = CutPicture.window(pieces()).orElseThrow();
        assertEquals(4, w[2] - w[0], 1e-9);
        assertTrue(w[0] <= 81 && w[2] >= 84 && w[1] <= 41.05 && w[3] >= 42, w[0] + " " + w[1]);
    }

    /** 40,000 slanted pieces in 4 um: halved until they can be told apart. */
    @Test
    void crowdsAreShownCloser() {
        for (int k = 0; k < 200; k++) {
            for (int m = 0; m < 200; m++) {
                double x = 0.02 * k;
                double y = 0.02 * m;
                add(false, y, y + 0.01, x, x + 0.01, x + 0.002, x + 0.012);
            }
        }
        double[] w = CutPicture.window(pieces()).orElseThrow();
        assertEquals(0.125, w[2] - w[0], 1e-12);
    }

    @Test
    void rectanglesAloneNeedNoPicture() {
        add(false, 0, 1, 0, 1, 0, 1);
        assertTrue(CutPicture.window(pieces()).isEmpty());
    }
}
