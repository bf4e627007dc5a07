package evendose.correction;

import evendose.TestData;
import evendose.geometry.Polygons;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.PieceRules;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Map;

/** Layer 1/0 of a real layout in testdata/layouts. */
record DrawnLayer(Polygons polygons, double dbuUm) {
    private static final Layer LAYER = new Layer(1, 0);

    static DrawnLayer of(String name) {
        Layout layout = LayoutFiles.read(TestData.file("layouts/" + name));
        Polygons polygons = new Polygons();
        Flattener.of(layout).flatten(Map.of(LAYER, 0), polygons);
        return new DrawnLayer(polygons, layout.unit().um());
    }

    /** Corrects it with the usual options but exact pieces. */
    DoseTable correctExactly(PointSpreadFunction psf, Workers workers) {
        return TestPatterns.correct(
                polygons,
                dbuUm,
                List.of(LayerRole.corrected(LAYER)),
                CorrectionOptions.builder(psf).rules(PieceRules.exact()).build(),
                workers,
                Progress.NONE);
    }
}
