package evendose.fuzz;

import evendose.TestData;
import evendose.calibration.MeasurementFile;
import evendose.correction.ContrastCurve;
import evendose.correction.CorrectionOptions;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.DoseTableReader;
import evendose.correction.LayerRole;
import evendose.correction.RecordedRun;
import evendose.correction.RunSummary;
import evendose.correction.TestPatterns;
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
import evendose.psf.MeasuredProfile;
import evendose.psf.PointSpreadFunction;
import evendose.psf.PsfFile;
import evendose.scattering.LayerStack;
import evendose.verification.Exposure;
import evendose.verification.OutlineEdges;
import evendose.verification.WidthGauges;
import evendose.writing.BeamTable;
import evendose.writing.DosedPieces;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.Consumer;
import java.util.stream.Stream;
import java.util.zip.GZIPOutputStream;

/** The readers that get files from outside, each with sound files to begin with. */
enum Target {
    GDSII(
            8,
            (bytes, scratch) -> flatten(GdsiiReader.read(stream(bytes), "input")),
            () -> files("layouts/text-order.gds", "layouts/euler-bends.gds", "layouts/cd-500nm.gds")),
    OASIS(
            8,
            (bytes, scratch) -> flatten(OasisReader.read(stream(bytes), "input", limits())),
            () -> joined(OasisSamples.all(), files("layouts/grating-coupler.oas"))),
    CSV(
            4,
            (bytes, scratch) -> flatten(CsvReader.read(stream(bytes), "input", DatabaseUnit.NANOMETRE)),
            () -> joined(
                    files("demo/tidepool-stairs.csv"),
                    texts("wkt,layer\n\"POLYGON((0 0,10 0,10 10,0 10,0 0),(2 2,4 2,4 4,2 2))\",3\n"
                            + "\"MULTIPOLYGON(((0 0,1 0,1 1,0 0)),((5 5,6 5,6 6,5 5)))\",4\n"))),
    /** What decides on the format, and unpacks. */
    LAYOUT(
            1,
            file(f -> flatten(LayoutFiles.read(f, DatabaseUnit.NANOMETRE, limits()))),
            () -> zipped(files("demo/tidepool-stairs.csv", "layouts/euler-bends.gds"))),
    PSF(
            3,
            file(f -> PsfFile.read(f).toJson()),
            () -> texts("{\"terms\":[{\"weight\":0.6,\"range_um\":0.02},{\"weight\":0.4,\"range_um\":9.5}],"
                    + "\"energy_kev\":100,\"stack\":\"resist on silicon\",\"source\":\"made up\"}")),
    STACK(
            3,
            file(LayerStack::read),
            () -> joined(
                    files("demo/pmma-on-silicon.json"),
                    texts("{\"layers\":[{\"material\":\"PMMA\",\"thickness_nm\":300,\"resist\":true},"
                            + "{\"material\":\"Cr\",\"thickness_nm\":70},{\"material\":\"SiO2\"}]}"))),
    PROFILE(2, file(MeasuredProfile::read), () -> texts(profile())),
    CONTRAST(2, file(ContrastCurve::read), () -> files("demo/tidepool-contrast.csv")),
    GAUGES(
            2,
            file(f -> GaugeFinder.INSTANCE.fromTable(f, 5)),
            () -> texts("x_um,y_um,angle_deg,name\n0.5,2,0,first\n2.5,1,90,\"the, second\"\n# remark\n0.5,3,,\n")),
    MEASUREMENTS(2, file(MeasurementFile::read), () -> files("demo/tidepool-measured.csv")),
    BEAM(1, file(BeamTable::read), () -> files("demo/tidepool-beam.csv")),
    DOSES(2, file(DoseTableReader::read), () -> List.of(Result.INSTANCE.doses())),
    DOSED_PIECES(1, file(DosedPieces::read), () -> List.of(Result.INSTANCE.doses())),
    RUN(1, file(RecordedRun::read), () -> List.of(Result.INSTANCE.summary()));

    private static final long MOST_POLYGONS = 20_000;

    /** Reads bytes, perhaps by way of a file that it may overwrite. */
    private interface Reader {
        void read(byte[] bytes, Path scratch) throws IOException;
    }

    private interface Seeds {
        List<byte[]> get() throws IOException;
    }

    private final int share;
    private final Reader reader;
    private final Seeds seeds;

    Target(int share, Reader reader, Seeds seeds) {
        this.share = share;
        this.reader = reader;
        this.seeds = seeds;
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
    void read(byte[] bytes, Path scratch) throws IOException {
        reader.read(bytes, scratch);
    }

    /** Sound files. */
    List<byte[]> seeds() throws IOException {
        return seeds.get();
    }

    private static Reader file(Consumer<Path> reader) {
        return (bytes, scratch) -> reader.accept(Files.write(scratch, bytes));
    }

    private static ReadLimits limits() {
        return new ReadLimits(128 << 20, 256 << 20);
    }

    private static InputStream stream(byte[] bytes) {
        return new ByteArrayInputStream(bytes);
    }

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

    private static List<byte[]> texts(String text) {
        return List.of(text.getBytes(StandardCharsets.UTF_8));
    }

    private static List<byte[]> joined(List<byte[]> some, List<byte[]> more) {
        return Stream.concat(some.stream(), more.stream()).toList();
    }

    private static List<byte[]> zipped(List<byte[]> files) throws IOException {
        List<byte[]> zipped = new ArrayList<>();
        for (byte[] file : files) {
            ByteArrayOutputStream out = new ByteArrayOutputStream();
            try (GZIPOutputStream gzip = new GZIPOutputStream(out)) {
                gzip.write(file);
            }
            zipped.add(out.toByteArray());
        }
        return zipped;
    }

    private static String profile() {
        StringBuilder profile = new StringBuilder("radius_um,density_per_um2,standard_error_per_um2\n");
        for (double r = 0.01; r < 30; r *= 1.3) {
            profile.append(r).append(',').append(Math.exp(-r)).append(",1e-4\n");
        }
        return profile.toString();
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
                DoseTable table = TestPatterns.correct(
                        polygons, 0.001, List.of(LayerRole.corrected(new Layer(1, 0))), options, one, Progress.NONE);
                return new Result(table, polygons);
            }
        }

        byte[] doses() throws IOException {
            Path file = Files.createTempFile("seed", ".csv");
            try {
                DoseTableCsv.write(table, file);
                return Files.readAllBytes(file);
            } finally {
                Files.delete(file);
            }
        }

        byte[] summary() {
            RunSummary summary = new RunSummary(
                    table, "chip.gds", List.of("TOP"), Optional.empty(), "1", "made up", Map.of("all", 1.0), Map.of());
            return summary.toJson().getBytes(StandardCharsets.UTF_8);
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
