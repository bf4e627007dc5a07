package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import evendose.TestData;
import evendose.files.BadInputException;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.LayoutBuilder;
import evendose.layout.formats.LayoutFiles;
import evendose.parallel.Progress;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.CancellationException;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The ways in that an embedding program takes. */
class FrontDoorTest {
    private static final PointSpreadFunction PSF = PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6);
    private static final Layer LINES = new Layer(1, 0);
    private static final Layer PADS = new Layer(2, 0);

    @TempDir
    Path folder;

    /** A lone line and, beside it, a pad on another layer. */
    private static LayoutBuilder lineAndPad() {
        return Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 0.2, 20)
                .rectangles(PADS, 1, 0, 21, 20);
    }

    private static void assertSame(DoseTable expected, DoseTable found) {
        assertArrayEquals(expected.factors(), found.factors());
        Pieces p = expected.pieces();
        Pieces q = found.pieces();
        assertEquals(p.size(), q.size());
        for (int i = 0; i < p.size(); i++) {
            for (int k = 0; k < 4; k++) {
                assertEquals(p.cornerXUm(i, k), q.cornerXUm(i, k));
                assertEquals(p.cornerYUm(i, k), q.cornerYUm(i, k));
            }
        }
    }

    /** A real layout with bars that are turned, from its file and from arrays: the same to the last bit. */
    @Test
    void aFileAndArraysGiveTheSameDoses() {
        Layout file = LayoutFiles.read(TestData.file("layouts/cd-500nm.gds"));
        Polygons polygons = new Polygons();
        Flattener.of(file).flatten(Map.of(LINES, 0), polygons);
        LayoutBuilder builder = Layout.builder(file.unit());
        polygons.forEach(new Polygons.Visitor() {
            @Override
            public void rectangle(int group, long x0, long y0, long x1, long y1) {
                builder.rectangles(LINES, um(x0), um(y0), um(x1), um(y1));
            }

            @Override
            public void polygon(int group, long[] xy, int from, int vertices) {
                double[] vertexUm = new double[2 * vertices];
                for (int k = 0; k < vertexUm.length; k++) {
                    vertexUm[k] = um(xy[from + k]);
                }
                builder.polygon(LINES, vertexUm);
            }

            private double um(long dbu) {
                return file.unit().toUm(dbu);
            }
        });
        List<LayerRole> roles = List.of(LayerRole.corrected(LINES));
        CorrectionOptions options = CorrectionOptions.of(PSF);
        DoseTable expected = Corrector.correct(file, roles, options);
        assertTrue(expected.pieces().size() > 1_000);
        assertSame(expected, Corrector.correct(builder.build(), roles, options));
        assertSame(
                expected,
                Corrector.correct(
                        file, roles, CorrectionOptions.builder(PSF).threads(1).build()));
    }

    @Test
    void aTextTableAndArraysGiveTheSameDoses() throws IOException {
        Path csv = Files.writeString(
                folder.resolve("shapes.csv"),
                "wkt,layer\n\"POLYGON ((0 0, 0.2 0, 0.2 20, 0 20, 0 0))\",1\n"
                        + "\"POLYGON ((1 0, 21 0, 21 20, 1 20, 1 0))\",2\n\"POLYGON ((30 0, 40 0, 35 7.0005, 30 0))\",1\n");
        List<LayerRole> roles = List.of(LayerRole.corrected(LINES), LayerRole.fixed(PADS, 0.8));
        assertSame(
                Corrector.correct(LayoutFiles.read(csv), roles, CorrectionOptions.of(PSF)),
                Corrector.correct(
                        lineAndPad().polygon(LINES, 30, 0, 40, 0, 35, 7.0005).build(),
                        roles,
                        CorrectionOptions.of(PSF)));
    }

    /** Roles are found by their layers: their order says only who owns what overlaps, and nothing does here. */
    @Test
    void rolesInAnotherOrderAreTheSameRoles() {
        LayerRole line = LayerRole.corrected(LINES);
        LayerRole pad = LayerRole.fixed(PADS, 0.7);
        CorrectionOptions options = CorrectionOptions.of(PSF);
        PolygonDoses oneWay = PolygonDoses.of(Corrector.correct(lineAndPad().build(), List.of(line, pad), options));
        PolygonDoses otherWay = PolygonDoses.of(Corrector.correct(lineAndPad().build(), List.of(pad, line), options));
        assertEquals(0.7, oneWay.factors(PADS)[0]);
        assertEquals(0.7, otherWay.factors(PADS)[0]);
        assertEquals(oneWay.factors(LINES)[0], otherWay.factors(LINES)[0], 1e-9);
        assertTrue(oneWay.factors(LINES)[0] > 1);
    }

    @Test
    void theLayerNamedFirstOwnsWhatOverlaps() {
        Layout layout = Layout.builder(DatabaseUnit.NANOMETRE)
                .rectangles(LINES, 0, 0, 2, 20)
                .rectangles(PADS, 1, 0, 3, 20)
                .build();
        LayerRole line = LayerRole.fixed(LINES, 1.5);
        LayerRole pad = LayerRole.fixed(PADS, 0.5);
        CorrectionOptions options = CorrectionOptions.of(PSF);
        assertEquals(
                20 * (2 * 1.5 + 0.5),
                Corrector.correct(layout, List.of(line, pad), options).dosedAreaUm2(),
                1e-9);
        assertEquals(
                20 * (1.5 + 2 * 0.5),
                Corrector.correct(layout, List.of(pad, line), options).dosedAreaUm2(),
                1e-9);
    }

    @Test
    void rolesThatCannotBeAreRefused() {
        Layout layout = lineAndPad().build();
        CorrectionOptions options = CorrectionOptions.of(PSF);
        LayerRole line = LayerRole.corrected(LINES);
        assertEquals(
                "no layer is named to correct; give at least one role",
                assertThrows(IllegalArgumentException.class, () -> Corrector.correct(layout, List.of(), options))
                        .getMessage());
        assertEquals(
                "layer 1/0 has two roles; give it one",
                assertThrows(
                                IllegalArgumentException.class,
                                () -> Corrector.correct(layout, List.of(line, LayerRole.fixed(LINES, 1)), options))
                        .getMessage());
        assertEquals(
                "arrays: has no shape on layer 7/1; it has 1/0, 2/0",
                assertThrows(
                                BadInputException.class,
                                () -> Corrector.correct(
                                        layout, List.of(line, LayerRole.corrected(new Layer(7, 1))), options))
                        .getMessage());
        assertEquals(
                "options must not be null",
                assertThrows(NullPointerException.class, () -> Corrector.correct(layout, List.of(line), null))
                        .getMessage());
        assertEquals(
                "layer of a role must not be null",
                assertThrows(NullPointerException.class, () -> LayerRole.corrected(null))
                        .getMessage());
    }

    /** A part of a layout, with what lies around it as background: nearly what the whole gives there. */
    @Test
    void aWindowKnowsItsSurroundings() {
        LayoutBuilder builder = Layout.builder(DatabaseUnit.NANOMETRE);
        for (int k = 0; k < 300; k++) {
            builder.rectangles(LINES, k, 0, k + 0.4, 20);
        }
        Layout layout = builder.build();
        List<LayerRole> roles = List.of(LayerRole.corrected(LINES));
        double[] window = {140, -1, 150, 21};
        DrawnPattern part = DrawnPattern.around(window, CorrectionOptions.of(PSF), Flattener.of(layout), roles);
        assertEquals(10 + 2 * 57, part.size(), 1);
        DoseTable whole =
                Corrector.correct(layout, roles, CorrectionOptions.of(PSF)).within(140, -1, 150, 21);
        DoseTable found = Corrector.correct(part, CorrectionOptions.of(PSF)).within(140, -1, 150, 21);
        assertEquals(whole.factors().length, found.factors().length);
        for (int u = 0; u < whole.factors().length; u++) {
            assertEquals(whole.factor(u), found.factor(u), 2e-3);
        }
        assertThrows(
                IllegalArgumentException.class,
                () -> DrawnPattern.around(
                        new double[] {1, 0, 0, 1}, CorrectionOptions.of(PSF), Flattener.of(layout), roles));
    }

    @Test
    void optionsAreCheckedAndCompareByWhatTheyLeadTo() {
        CorrectionOptions.Builder builder = CorrectionOptions.builder(PSF);
        assertEquals(
                "number of threads must be at least 1, got 0",
                assertThrows(
                                IllegalArgumentException.class,
                                () -> builder.threads(0).build())
                        .getMessage());
        assertThrows(NullPointerException.class, () -> builder.progress(null));
        CorrectionOptions options =
                builder.threads(3).tolerance(1e-4).baseDoseUcPerCm2(300).build();
        assertEquals(options, options.toBuilder().threads(1).build());
        assertEquals(3, options.toBuilder().build().threads());
        assertNotEquals(options, options.toBuilder().tolerance(1e-3).build());
        assertEquals(options.toString(), options.toBuilder().build().toString());
        assertEquals(
                Runtime.getRuntime().availableProcessors(),
                CorrectionOptions.of(PSF).threads());
    }

    @Test
    void aListenerHearsTheStages() {
        Set<String> stages = new TreeSet<>();
        Corrector.correct(lineAndPad().build(), List.of(LayerRole.corrected(LINES)), hearing(stages::add));
        assertTrue(stages.contains("correcting doses"), stages::toString);
    }

    private static CorrectionOptions hearing(java.util.function.Consumer<String> listener) {
        return CorrectionOptions.builder(PSF)
                .threads(1)
                .progress(new Progress() {
                    @Override
                    public void begin(String stage, long total) {
                        listener.accept(stage);
                    }

                    @Override
                    public void advance(long done) {}
                })
                .build();
    }

    /** With one thread there is nobody to wait for, and still an interrupt ends the work at the stage in which it came. */
    @Test
    void anInterruptEndsACorrectionOnOneThread() {
        List<String> stages = new ArrayList<>();
        CorrectionOptions options = hearing(stage -> {
            stages.add(stage);
            if (stage.equals("correcting doses")) {
                Thread.currentThread().interrupt();
            }
        });
        try {
            assertThrows(
                    CancellationException.class,
                    () -> Corrector.correct(lineAndPad().build(), List.of(LayerRole.corrected(LINES)), options));
            assertEquals("correcting doses", stages.get(stages.size() - 1));
        } finally {
            assertTrue(Thread.interrupted());
        }
    }
}
