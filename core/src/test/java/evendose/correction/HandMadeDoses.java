package evendose.correction;

import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.pieces.HandMadePieces;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/** Tables whose values a test gives one by one, without a correction. What is not given is 1, level 0 or ok. */
final class HandMadeDoses {
    final Pieces pieces;
    CorrectionOptions options = CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
    List<LayerRole> roles = List.of(LayerRole.corrected(new Layer(7, 3)));
    double[] factor;
    int[] level;
    double[] before;
    double[] after;
    double[] target;
    double[] wide;
    float[] judged;
    DoseStatus[] status;
    DoseLevels levels = DoseLevels.of(new double[] {1});
    Convergence convergence = new Convergence(true, 3, 0.5, 1e-4, 5e-5, 0, new double[] {0.5, 1e-2, 1e-3, 1e-4});
    OutlineError outline = new OutlineError(0, 0, 0, 0, List.of());
    Optional<LevelTrial> levelCost = Optional.empty();
    List<LevelTrial> levelStudy = List.of();

    HandMadeDoses(Pieces pieces) {
        int n = pieces.units();
        this.pieces = pieces;
        this.factor = ones(n);
        this.level = new int[n];
        this.before = ones(n);
        this.after = ones(n);
        this.target = ones(n);
        this.wide = ones(n);
        this.judged = new float[n];
        this.status = new DoseStatus[n];
        Arrays.fill(judged, 1);
        Arrays.fill(status, DoseStatus.OK);
    }

    /** So many squares of 1 um in a row from the origin on, 2 um apart, each a shape of its own. */
    static HandMadeDoses squares(int n) {
        double[][] boxes = new double[n][];
        for (int i = 0; i < n; i++) {
            boxes[i] = new double[] {2 * i, 0, 2 * i + 1, 1};
        }
        return new HandMadeDoses(HandMadePieces.rectangles(boxes));
    }

    private static double[] ones(int n) {
        double[] ones = new double[n];
        Arrays.fill(ones, 1);
        return ones;
    }

    DoseTable build() {
        return new DoseTable(
                pieces,
                TestPatterns.of(new Polygons(), 0.001, roles),
                options,
                convergence,
                levels,
                factor,
                level,
                before,
                after,
                status,
                List.of(),
                levelCost,
                levelStudy,
                Optional.of(wide),
                judged,
                outline,
                new DoseTable.Counts(pieces.units(), pieces.size()),
                target);
    }
}
