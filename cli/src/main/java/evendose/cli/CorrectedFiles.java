package evendose.cli;

import evendose.correction.CorrectedLayout;
import evendose.correction.DoseTable;
import evendose.correction.DoseTableCsv;
import evendose.correction.EdgeMoves;
import evendose.correction.TilePlace;
import evendose.files.BadInputException;
import evendose.files.OutputFolder;
import evendose.layout.Window;
import evendose.layout.formats.LayoutFormat;
import evendose.report.LevelColours;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/**
 * The files of a correction.
 *
 * @param output where they are written
 * @param format of the corrected layout
 */
record CorrectedFiles(OutputFolder output, LayoutFormat format) {
    private static final String DOSES = "doses.csv";
    private static final String LEVELS = "levels.csv";
    private static final String COLOURS = "corrected-levels.lyp";
    private static final String REPORT = "report.html";

    /** Tables of tiles, and what is written of tiles elsewhere. */
    private static final Pattern OF_TILE = Pattern.compile("doses-part-\\d+\\.(csv\\.gz|parquet)");

    /** Files that some runs write and others do not. */
    private static final List<String> OPTIONAL = List.of(
            REPORT,
            TilePlace.FILE,
            "bias-study.csv",
            "bias-study.json",
            "bias-study.png",
            "bias-study.svg",
            DosesInput.BULK,
            "bulk.gds",
            "bulk.oas",
            "bulk-levels.csv",
            EdgeMoves.FILE,
            "depths.csv",
            "grey-tone.png",
            "grey-tone.svg",
            "level-study.csv",
            "level-study.png",
            "level-study.svg");

    /** Where the corrected layout goes. */
    Path corrected() {
        return output.file(layoutName());
    }

    /** Where the table of levels goes. */
    Path levels() {
        return output.file(LEVELS);
    }

    private String layoutName() {
        return "corrected." + format.extension();
    }

    /**
     * What the corrected layout cannot hold is known before the work.
     *
     * @param extent of the layout, database units
     * @param layoutFile whose layout it is
     */
    void refuseUnwritable(Window extent, Path layoutFile) {
        long largest = format.largestCoordinate();
        if (extent.right() > largest
                || extent.top() > largest
                || extent.left() < -largest
                || extent.bottom() < -largest) {
            throw new BadInputException(
                    layoutFile.toString(),
                    "",
                    String.format(
                            "reaches from (%d, %d) to (%d, %d) in database units, which %s cannot hold; write --format oasis",
                            extent.left(), extent.bottom(), extent.right(), extent.top(), layoutName()));
        }
    }

    /** Begins the files of a correction of the whole, and lets go of what an earlier run left. */
    void beginWhole(boolean report) {
        output.file(DOSES);
        corrected();
        withoutFormer();
        levels();
        if (report) {
            output.file(REPORT);
        }
    }

    /** Lets go of what an earlier run left and one in tiles does not write. */
    void beginTiles(boolean report) {
        withoutFormer();
        output.without(DOSES);
        output.without(COLOURS);
        if (report) {
            output.file(REPORT);
        }
    }

    /** Lets go of what an earlier run left and this one may not write. */
    private void withoutFormer() {
        for (LayoutFormat other : LayoutFormat.values()) {
            if (other != format) {
                output.without("corrected." + other.extension());
            }
        }
        OPTIONAL.forEach(output::without);
        namesOfTiles().forEach(output::without);
    }

    /** Names of files that an earlier run has written of its tiles. */
    private List<String> namesOfTiles() {
        Path folder = output.folder();
        if (!Files.isDirectory(folder)) {
            return List.of();
        }
        try (Stream<Path> files = Files.list(folder)) {
            return files.map(f -> String.valueOf(f.getFileName()))
                    .filter(OF_TILE.asMatchPredicate())
                    .sorted()
                    .toList();
        } catch (IOException e) {
            throw new BadInputException(folder.toString(), "", "cannot be read (" + OutputFolder.reason(e) + ")", e);
        }
    }

    /** Writes tables and layouts of one beam or two; gives the number of pieces that rounding left out of the layouts. */
    long write(DoseTable table, Optional<DoseTable> bulk) {
        DoseTableCsv.write(table, output.file(DOSES));
        long lost = CorrectedLayout.write(table, corrected(), format);
        DoseTableCsv.writeLevels(table, levels());
        output.write(COLOURS, LevelColours.xml(table));
        if (bulk.isPresent()) {
            DoseTable coarse = bulk.get();
            DoseTableCsv.write(coarse, output.file(DosesInput.BULK));
            lost += CorrectedLayout.write(coarse, output.file("bulk." + format.extension()), format);
            DoseTableCsv.writeLevels(coarse, output.file("bulk-levels.csv"));
        }
        return lost;
    }

    void writeReport(String html) {
        output.write(REPORT, html);
    }
}
