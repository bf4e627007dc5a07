package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.energy.EnergyModel;
import evendose.energy.TermChoice;
import evendose.energy.TermGroup;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

class TileStepTest {
    private static final CorrectionOptions OPTIONS =
            CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6));
    private static final int ROUNDS = 60;

    @Test
    void fourMachinesThatExchangeOnlyGridsFindTheDosesOfOne() throws Exception {
        Layout layout = LayoutFiles.read(TestData.file("layouts/grating-coupler.gds"));
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(new Layer(1, 0), 0), polygons);
        try (Workers workers = Workers.of(2)) {
            Fracture.Result cut = Fracture.of(
                    Merge.of(polygons, 1, workers, Progress.NONE),
                    layout.unit().um(),
                    OPTIONS.fracture(),
                    workers,
                    Progress.NONE);
            Pieces pieces = cut.pieces();
            EnergyModel whole = EnergyModel.build(pieces, cut.samples(), OPTIONS.psf(), workers, Progress.NONE);
            double[] target = new double[pieces.units()];
            Arrays.fill(target, 0.5);
            double[] free = new double[pieces.units()];
            Arrays.fill(free, Double.NaN);
            double[] ones = new double[pieces.units()];
            Arrays.fill(ones, 1);
            Solver solver = new Solver(
                    whole::apply, target, free, ones, new double[0], OPTIONS.minFactor(), OPTIONS.maxFactor(), workers);
            solver.solve(1e-12, 60, Progress.NONE);
            assertTrue(solver.convergence(1e-12).converged());

            List<TermGroup> groups =
                    whole.choices().stream().map(TermChoice::terms).toList();
            List<int[]> unitsOfTile = new ArrayList<>();
            List<boolean[]> ownOfTile = new ArrayList<>();
            List<TileStep> tiles = new ArrayList<>();
            double[] box = pieces.boundsUm();
            double halo = 6 * OPTIONS.maxPieceUm();
            for (int t = 0; t < 4; t++) {
                double x0 = (t & 1) == 0 ? Double.NEGATIVE_INFINITY : 0.5 * (box[0] + box[2]);
                double x1 = (t & 1) == 0 ? 0.5 * (box[0] + box[2]) : Double.POSITIVE_INFINITY;
                double y0 = (t & 2) == 0 ? Double.NEGATIVE_INFINITY : 0.5 * (box[1] + box[3]);
                double y1 = (t & 2) == 0 ? 0.5 * (box[1] + box[3]) : Double.POSITIVE_INFINITY;
                boolean[] keep = new boolean[pieces.units()];
                boolean[] mine = new boolean[pieces.units()];
                for (int u = 0; u < keep.length; u++) {
                    double x = pieces.leftUm(pieces.unitFirst(u));
                    double y = pieces.bottomUm(pieces.unitFirst(u));
                    mine[u] = x >= x0 && x < x1 && y >= y0 && y < y1;
                    keep[u] = x >= x0 - halo && x < x1 + halo && y >= y0 - halo && y < y1 + halo;
                }
                int[] units = select(keep);
                boolean[] own = new boolean[units.length];
                double[] wanted = new double[units.length];
                for (int k = 0; k < units.length; k++) {
                    own[k] = mine[units[k]];
                    wanted[k] = target[units[k]];
                }
                unitsOfTile.add(units);
                ownOfTile.add(own);
                TileStep tile = new TileStep(
                        pieces.ofUnits(keep), cut.samples().ofUnits(keep), own, wanted, OPTIONS, groups, box);
                tiles.add(sent(tile));
                assertTrue(units.length < pieces.units(), "a tile is not the whole");
            }

            double[][] dose = new double[4][];
            for (int t = 0; t < 4; t++) {
                dose[t] = new double[tiles.get(t).units()];
                Arrays.fill(dose[t], 1);
            }
            double worst = 1;
            for (int round = 0; round < ROUNDS && worst > 1e-12; round++) {
                double[][] sum = null;
                for (int t = 0; t < 4; t++) {
                    sum = add(sum, tiles.get(t).contribution(dose[t], workers));
                }
                worst = 0;
                for (int t = 0; t < 4; t++) {
                    TileStep.Result result = tiles.get(t).next(dose[t], sum, workers);
                    dose[t] = result.dose();
                    worst = Math.max(worst, result.maxResidual());
                }
            }
            int compared = 0;
            for (int t = 0; t < 4; t++) {
                for (int k = 0; k < dose[t].length; k++) {
                    if (ownOfTile.get(t)[k]) {
                        double alone = solver.dose[unitsOfTile.get(t)[k]];
                        assertEquals(alone, dose[t][k], 1e-9 * alone, "tile " + t + ", unit " + k);
                        compared++;
                    }
                }
            }
            assertEquals(pieces.units(), compared, "every unit belongs to one tile");
        }
    }

    private static int[] select(boolean[] keep) {
        int[] chosen = new int[keep.length];
        int n = 0;
        for (int u = 0; u < keep.length; u++) {
            if (keep[u]) {
                chosen[n++] = u;
            }
        }
        return Arrays.copyOf(chosen, n);
    }

    private static double[][] add(double[][] sum, double[][] more) {
        if (sum == null) {
            return more;
        }
        for (int f = 0; f < sum.length; f++) {
            for (int k = 0; k < sum[f].length; k++) {
                sum[f][k] += more[f][k];
            }
        }
        return sum;
    }

    /** The tile as another machine would get it. */
    private static TileStep sent(TileStep tile) throws IOException, ClassNotFoundException {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new ObjectOutputStream(bytes)) {
            out.writeObject(tile);
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes.toByteArray()))) {
            return (TileStep) in.readObject();
        }
    }
}
