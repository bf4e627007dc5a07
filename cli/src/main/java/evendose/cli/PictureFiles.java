package evendose.cli;

import evendose.files.OutputFolder;
import evendose.report.Picture;
import java.util.List;

/** Writes pictures beside the other files of a run. */
final class PictureFiles {
    private PictureFiles() {}

    static void write(OutputFolder output, List<Picture> pictures) {
        for (Picture picture : pictures) {
            output.write(picture.name() + ".png", picture.png());
            if (!picture.svg().isEmpty()) {
                output.write(picture.name() + ".svg", picture.svg());
            }
        }
    }
}
