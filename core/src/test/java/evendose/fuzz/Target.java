package evendose.fuzz;

import evendose.TestData;
import evendose.calibration.MeasurementFile;
import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.Corrector;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.RecordedRun;
import evendose.correction.RunSummary;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.layout.Flattener;
import evendose.layout.Layer;
import evendose.layout.Layout;
import evendose.layout.ReadLimits;
import evendose.layout.csv.CsvReader;
import evendose.layout.formats.LayoutFiles;
import evendose.layout.gdsii.GdsiiReader;
import evendose.layout.oasis.OasisReader;
import evendose.layout.oasis.OasisSamples;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.psf.RadialProfile;
import evendose.scattering.LayerStack;
import evendose.verification.Exposure;
import evendose.verification.OutlineEdges;
import evendose.verification.WidthGauges;
import evendose.writing.BeamTable;
import evendose.writing.DosedPieces;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.zip.GZIPOutputStream;

/** The readers that get files from outside, each with sound files to begin with. */
enum Target {
    GDSII(8) {
        @Override
        void read(byte[] bytes, Path scratch) throws IOException {
            flatten(GdsiiReader.read(new ByteArrayInputStream(bytes), NAME));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return files("layouts/text-order.gds", "layouts/euler-bends.gds", "layouts/cd-500nm.gds");
        }
    },
    OASIS(8) {
        @Override
        void read(byte[] bytes, Path scratch) throws IOException {
            flatten(OasisReader.read(new ByteArrayInputStream(bytes), NAME, LIMITS));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            List<byte[]> seeds = new ArrayList<>(OasisSamples.all());
            seeds.addAll(files("layouts/grating-coupler.oas"));
            return seeds;
        }
    },
    CSV(4) {
        @Override
        void read(byte[] bytes, Path scratch) throws IOException {
            flatten(CsvReader.read(new ByteArrayInputStream(bytes), NAME, DatabaseUnit.NANOMETRE));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            List<byte[]> seeds = new ArrayList<>(files("demo/tidepool-stairs.csv"));
            seeds.add(text("wkt,layer\n\"POLYGON((0 0,10 0,10 10,0 10,0 0),(2 2,4 2,4 4,2 2))\",3\n"
                    + "\"MULTIPOLYGON(((0 0,1 0,1 1,0 0)),((5 5,6 5,6 6,5 5)))\",4\n"));
            return seeds;
        }
    },
    /** What decides on the format, and unpacks. */
    LAYOUT(1) {
        @Override
        void read(byte[] bytes, Path scratch) throws IOException {
            flatten(LayoutFiles.read(write(bytes, scratch), DatabaseUnit.NANOMETRE, LIMITS));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            List<byte[]> seeds = new ArrayList<>();
            for (byte[] file : files("demo/tidepool-stairs.csv", "layouts/euler-bends.gds")) {
                ByteArrayOutputStream out = new ByteArrayOutputStream();
                try (GZIPOutputStream gzip = new GZIPOutputStream(out)) {
                    gzip.write(file);
                }
                seeds.add(out.toByteArray());
            }
            return seeds;
        }
    },
    PSF(3) {
        @Override
        void read(byte[] bytes, Path scratch) {
            PsfFile.read(write(bytes, scratch)).toJson();
        }

        @Override
        List<byte[]> seeds() {
            return List.of(text("{\"terms\":[{\"weight\":0.6,\"range_um\":0.02},{\"weight\":0.4,\"range_um\":9.5}],"
                    + "\"energy_kev\":100,\"stack\":\"resist on silicon\",\"source\":\"made up\"}"));
        }
    },
    STACK(3) {
        @Override
        void read(byte[] bytes, Path scratch) {
            LayerStack.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            List<byte[]> seeds = new ArrayList<>(files("demo/pmma-on-silicon.json"));
            seeds.add(text("{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":300,\"resist\":true},"
                    + "{\"material\":\"Cr\",\"thickness_nm\":70},{\"material\":\"SiO2\"}]}"));
            return seeds;
        }
    },
    PROFILE(2) {
        @Override
        void read(byte[] bytes, Path scratch) {
            RadialProfile.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() {
            StringBuilder profile = new StringBuilder("radius_um,density_per_um2,standard_error_per_um2\n");
            for (double r = 0.01; r < 30; r *= 1.3) {
                profile.append(r).append(',').append(Math.exp(-r)).append(",1e-4\n");
            }
            return List.of(text(profile.toString()));
        }
    },
    CONTRAST(2) {
        @Override
        void read(byte[] bytes, Path scratch) {
            ContrastCurve.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return files("demo/tidepool-contrast.csv");
        }
    },
    GAUGES(2) {
        @Override
        void read(byte[] bytes, Path scratch) {
            GaugeFinder.INSTANCE.fromTable(write(bytes, scratch), 5);
        }

        @Override
        List<byte[]> seeds() {
            return List.of(
                    text("x_um,y_um,angle_deg,name\n0.5,2,0,first\n2.5,1,90,\"the, second\"\n# remark\n0.5,3,,\n"));
        }
    },
    MEASUREMENTS(2) {
        @Override
        void read(byte[] bytes, Path scratch) {
            MeasurementFile.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return files("demo/tidepool-measured.csv");
        }
    },
    BEAM(1) {
        @Override
        void read(byte[] bytes, Path scratch) {
            BeamTable.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return files("demo/tidepool-beam.csv");
        }
    },
    DOSES(2) {
        @Override
        void read(byte[] bytes, Path scratch) {
            DoseTableReader.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return List.of(Result.INSTANCE.doses());
        }
    },
    DOSED_PIECES(1) {
        @Override
        void read(byte[] bytes, Path scratch) {
            DosedPieces.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return List.of(Result.INSTANCE.doses());
        }
    },
    RUN(1) {
        @Override
        void read(byte[] bytes, Path scratch) {
            RecordedRun.read(write(bytes, scratch));
        }

        @Override
        List<byte[]> seeds() throws IOException {
            return List.of(Result.INSTANCE.summary());
        }
    };

    private static final String NAME = "input";
    private static final ReadLimits LIMITS = new ReadLimits(128 << 20, 256 << 20);
    private static final long MOST_POLYGONS = 20_000;

    private final int share;

    Target(int share) {
        this.share = share;
    }

    /** How many of a campaign's inputs this one gets, relative to the others. */
    int share() {
        return share;
    }

    /**
     * Reads an input. May throw {@link evendose.files.BadInputException}; anything else is a fault.
     *
     * @param scratch a file that may be overwritten, for readers that want one
     */
    abstract void read(byte[] bytes, Path scratch) throws IOException;

    /** Sound files. */
    abstract List<byte[]> seeds() throws IOException;

    private static void flatten(Layout layout) {
        Map<Layer, Integer> groups = new TreeMap<>();
        Flattener flattener = Flattener.of(layout).withLimit(MOST_POLYGONS);
        flattener.counts().keySet().forEach(layer -> groups.put(layer, Math.min(groups.size(), 100)));
        flattener.flatten(groups, new Polygons());
    }

    private static List<byte[]> files(String... names) throws IOException {
        List<byte[]> files = new ArrayList<>();
        for (String name : names) {
            files.add(Files.readAllBytes(TestData.file(name)));
        }
        return files;
    }

    private static byte[] text(String text) {
        return text.getBytes(StandardCharsets.UTF_8);
    }

    private static Path write(byte[] bytes, Path scratch) {
        try {
            return Files.write(scratch, bytes);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** A small correction, whose files are the seeds of what reads them back. */
    private record Result(DoseTable table, Polygons polygons) {
        static final Result INSTANCE = make();

        private static Result make() {
            Polygons polygons = new Polygons();
            for (int i = 0; i < 5; i++) {
                polygons.addRectangle(0, 2000 * i, 0, 2000 * i + 1000, 4000);
            }
            polygons.addPolygon(0, new long[] {0, 6000, 3000, 6000, 1000, 8000}, 3);
            CorrectionOptions options = CorrectionOptions.builder(
                            PointSpreadFunction.from(List.of(new GaussianTerm(0.6, 0.02), new GaussianTerm(0.4, 9.5))))
                    .build();
            try (Workers one = Workers.of(1)) {
                DoseTable table = Corrector.correct(
                        polygons, 0.001, List.of(LayerRole.corrected(new Layer(1, 0))), options, one, Progress.NONE);
                return new Result(table, polygons);
            }
        }

        byte[] doses() throws IOException {
            Path file = Files.createTempFile("seed", ".csv");
            try (Workers one = Workers.of(1)) {
                DoseTableCsv.write(table, file, one, Progress.NONE);
                return Files.readAllBytes(file);
            } finally {
                Files.delete(file);
            }
        }

        byte[] summary() {
            return text(new RunSummary(
                            table, "chip.gds", List.of("TOP"), Optional.empty(), "1", "made up", Map.of("all", 1.0))
                    .toJson());
        }
    }

    /** Places gauges on that correction. */
    private static final class GaugeFinder {
        static final WidthGauges INSTANCE = make();

        private static WidthGauges make() {
            Exposure exposure = Exposure.of(Result.INSTANCE.table());
            try (Workers one = Workers.of(1)) {
                var merged = Merge.of(Result.INSTANCE.polygons(), 1, one, Progress.NONE);
                return new WidthGauges(OutlineEdges.of(merged, 0.001), exposure, exposure.exact(false));
            }
        }
    }
}
