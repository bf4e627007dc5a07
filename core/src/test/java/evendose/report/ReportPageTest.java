package evendose.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import evendose.correction.CorrectionOptions;
import evendose.correction.DoseFacts;
import evendose.correction.DoseTable;
import evendose.correction.LayerRole;
import evendose.correction.RunSummary;
import evendose.correction.TestPatterns;
import evendose.geometry.Polygons;
import evendose.layout.Layer;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.psf.PointSpreadFunction;
import evendose.verification.CorrectionVerdict;
import evendose.verification.Exposure;
import evendose.verification.OutlineSample;
import evendose.verification.Prediction;
import evendose.verification.Verdict;
import evendose.verification.WholePrediction;
import java.awt.image.BufferedImage;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ReportPageTest {
    private static final String HOSTILE = "a<script>alert(1)</script>&\"'\u0007.gds";
    private static final int PICTURES = 10;

    /** In the order of a reader's questions. */
    private static final List<String> SECTIONS =
            List.of("doses", "widths", "edges", "places", "sensitivity", "job", "convergence", "repeat");

    @TempDir
    private static Path folder;

    private static String page;

    @BeforeAll
    static void write() throws IOException {
        Polygons polygons = new Polygons();
        polygons.addRectangle(0, 0, 0, 12_000, 12_000);
        for (int k = 0; k < 20; k++) {
            polygons.addRectangle(0, 14_000 + 400 * k, 0, 14_200 + 400 * k, 12_000);
        }
        polygons.addRectangle(0, 40_000, 0, 40_100, 12_000);
        polygons.addPolygon(0, new long[] {42_000, 0, 44_000, 0, 43_000, 3_000, 42_500, 2_000}, 4);
        page = page(polygons, 2);
        Files.writeString(folder.resolve("report.html"), page);
        assertEquals(page, page(polygons, 1), "the page must not depend on the number of threads");
    }

    private static String page(Polygons polygons, int threads) {
        try (Workers workers = Workers.of(threads)) {
            DoseTable table = TestPatterns.correct(
                    polygons,
                    0.001,
                    List.of(LayerRole.corrected(new Layer(1, 0))),
                    CorrectionOptions.of(PointSpreadFunction.doubleGaussian(0.02, 9.5, 0.6)),
                    workers,
                    Progress.NONE);
            Exposure exposure = Exposure.of(table);
            OutlineSample outline = OutlineSample.of(
                    table.pattern(), Optional.empty(), Prediction.reachUm(exposure.psf()), workers, Progress.NONE);
            WholePrediction prediction =
                    WholePrediction.of(exposure, outline, OptionalDouble.empty(), true, workers, Progress.NONE);
            Verdict verdict = CorrectionVerdict.of(prediction.found().verdict(), DoseFacts.of(table), List.of());
            RunSummary run = new RunSummary(
                    table,
                    HOSTILE,
                    List.of("TOP"),
                    Optional.empty(),
                    "test",
                    HOSTILE,
                    Map.of("all", 1.0),
                    verdict.facts());
            return ReportPage.html(
                    run,
                    exposure,
                    prediction,
                    verdict,
                    List.of(),
                    Optional.empty(),
                    Optional.empty(),
                    polygons.size(),
                    List.of("correct", HOSTILE, "--eta", "0.6"),
                    workers,
                    Progress.NONE);
        }
    }

    @Test
    void textFromOutsideIsHarmless() {
        // The page's own script and its data, and nothing else that runs.
        assertEquals(3, page.split("<script", -1).length);
        assertFalse(page.contains("<script>alert"));
        assertTrue(page.contains("a&lt;script&gt;alert(1)&lt;/script&gt;&amp;&quot;&#39; .gds"));
    }

    @Test
    void thePageNeedsNothingElse() {
        Matcher sources = Pattern.compile("(src|href)=\"([^\"]{0,12})").matcher(page);
        int count = 0;
        while (sources.find()) {
            assertTrue(sources.group(2).startsWith("data:") || sources.group(2).startsWith("#"), sources.group());
            count += sources.group(2).startsWith("#") ? 0 : 1;
        }
        assertEquals(PICTURES + 1, count);
        assertFalse(page.contains("url(") || page.contains("@import"));
    }

    @Test
    void allSectionsAreThere() {
        int last = 0;
        for (String id : SECTIONS) {
            int at = page.indexOf("<section id=\"" + id + "\">");
            assertTrue(at > last, id + " is missing or out of order");
            last = at;
        }
        assertTrue(page.indexOf("class=\"verdict") < page.indexOf("<section id"), "the verdict stands first");
        assertTrue(page.contains("never replace a dose test"));
        assertTrue(page.contains("How the layout is cut"));
        assertTrue(page.contains("above it a positive resist clears and a negative one stays"), "both tones");
    }

    /** Counts what the browser made of the pictures, then asks the dose map for a place as a reader would. */
    private static final String ASKING = """
            <script>addEventListener('load', () => setTimeout(() => {
              const all = [...document.images];
              document.getElementById('count').textContent = 'shown '
                + all.filter(i => i.complete && i.naturalWidth > 100).length + ' of ' + all.length;
              const box = document.getElementById('dose-explorer');
              const whole = box.dataset.scale;
              box.querySelector('input').value = '40.05, 6';
              box.querySelector('form button').click();
              document.getElementById('map').textContent = 'whole ' + whole + ' near ' + box.dataset.scale
                + ' pieces ' + box.dataset.pieces + ' tells ' + box.querySelector('.told').textContent;
            }, 300));</script>""";

    /** In headless Chromium: no console message, every picture has a size, and a screenshot that is not blank. */
    @Test
    void aBrowserShowsIt() throws Exception {
        Path browser = Path.of("/usr/bin/chromium");
        assumeTrue(Files.isExecutable(browser), "skipped: the Debian package chromium is not installed");
        // A copy with a script that counts what the browser made of the pictures.
        Path copy = Files.writeString(
                folder.resolve("counted.html"),
                page.replace("</body>", "<p id=\"count\"></p><p id=\"map\"></p>" + ASKING + "</body>"));
        String dom = chromium(
                browser,
                "--virtual-time-budget=4000",
                "--dump-dom",
                copy.toUri().toString());
        assertTrue(dom.contains("shown " + PICTURES + " of " + PICTURES), "pictures are missing");
        // Over the lone line of 100 nm: 80 direct ranges of 20 nm show it alone, and a click tells its dose.
        Matcher map = Pattern.compile("whole (\\S+) near (\\S+) pieces (\\d+) tells (.*?)</p>")
                .matcher(dom);
        assertTrue(map.find(), "the dose map did not answer");
        assertTrue(Double.parseDouble(map.group(2)) > 10 * Double.parseDouble(map.group(1)), "it did not zoom in");
        assertTrue(Integer.parseInt(map.group(3)) >= 1, "no piece in view");
        assertTrue(
                map.group(4).matches("40.050, 6.000 um: piece \\d+, dose factor 1\\.[56]\\d+, .*100.0 nm by .*"),
                map.group(4));
        assertFalse(
                dom.contains("CONSOLE"),
                dom.lines().filter(l -> l.contains("CONSOLE")).toList().toString());

        Path screenshot = folder.resolve("page.png");
        chromium(
                browser,
                "--window-size=1060,3000",
                "--screenshot=" + screenshot,
                folder.resolve("report.html").toUri().toString());
        BufferedImage image = ImageIO.read(screenshot.toFile());
        long dark = 0;
        for (int y = 0; y < image.getHeight(); y += 4) {
            for (int x = 0; x < image.getWidth(); x += 4) {
                dark += (image.getRGB(x, y) & 0xff) < 128 ? 1 : 0;
            }
        }
        assertTrue(dark > 500, "the screenshot is blank: " + dark);
    }

    private static String chromium(Path browser, String... arguments) throws Exception {
        List<String> command = new java.util.ArrayList<>(List.of(
                browser.toString(),
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--hide-scrollbars",
                "--enable-logging=stderr",
                "--user-data-dir=" + folder.resolve("profile")));
        command.addAll(List.of(arguments));
        Path out = folder.resolve("chromium.txt");
        Process process = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(out.toFile())
                .start();
        assertTrue(process.waitFor(120, TimeUnit.SECONDS), "the browser hangs");
        return Files.readString(out);
    }
}
