package evendose.cli;

import evendose.correction.BeamSeam;
import evendose.correction.CorrectionOptions;
import evendose.correction.DrawnPattern;
import evendose.correction.TwoBeamCorrection;
import evendose.files.NumberText;
import evendose.psf.PsfFile;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import picocli.CommandLine.Option;

/** The options for two beams: what the coarse one exposes, and its point spread function. */
final class BulkChoice {
    private static final String RIM = "--rim-um";
    private static final String PSF = "--bulk-psf";

    @Option(
            names = RIM,
            paramLabel = "W",
            description =
                    "Expose a rim of this width inside the outline of wide shapes, and all narrow shapes, with the beam of --psf,"
                            + " and the inside of wide shapes with a coarse beam of high current, um; goes with --bulk-psf.")
    private Double rimUm;

    @Option(
            names = PSF,
            paramLabel = "FILE_OR_SET",
            description = "Point spread function of the coarse beam, as --psf takes it; goes with --rim-um.")
    private String psf;

    private PsfFile file;
    private final List<String> notes = new ArrayList<>();

    /** Whether two beams were asked for. */
    boolean isGiven() {
        return rimUm != null || psf != null;
    }

    /**
     * Reads the point spread function, if two beams are wanted.
     *
     * @param fine the fine beam's options
     * @param alone options that were given and do not go with two beams
     * @throws UsageException if one option is given without the other, or does not fit the rest
     */
    void read(CorrectionOptions fine, List<String> alone) {
        if (!isGiven()) {
            return;
        }
        if (rimUm == null) {
            throw new UsageException(PSF + " goes with " + RIM + ", the width of the rim that the fine beam exposes");
        }
        if (psf == null) {
            throw new UsageException(RIM + " goes with " + PSF + ", the point spread function of the coarse beam");
        }
        if (!(rimUm > 0 && Double.isFinite(rimUm))) {
            throw new UsageException(RIM + " must be positive, got " + rimUm);
        }
        if (!alone.isEmpty()) {
            throw new UsageException(RIM + " does not go with " + alone.get(0));
        }
        file = PsfChoice.named(PSF, psf);
        if (!file.notice().isEmpty()) {
            notes.add(PSF + ": " + file.notice());
        }
        if (file.psf().direct().rangeUm() < fine.psf().direct().rangeUm()) {
            notes.add("the coarse beam is the finer one: its direct range is "
                    + um(file.psf().direct().rangeUm()) + ", that of --psf "
                    + um(fine.psf().direct().rangeUm()));
        }
    }

    /** Both tables of doses; empty for one beam, also where no shape is wide. */
    Optional<TwoBeamCorrection> correct(DrawnPattern drawn, CorrectionOptions fine) {
        if (file == null) {
            return Optional.empty();
        }
        BeamSeam seam =
                TwoBeamCorrection.seam(fine, file.psf(), rimUm, drawn.unit().um());
        Optional<TwoBeamCorrection> both;
        try {
            both = TwoBeamCorrection.of(drawn, fine, file.psf(), rimUm);
        } catch (IllegalArgumentException e) {
            throw new UsageException(RIM + ": " + e.getMessage());
        }
        if (both.isEmpty()) {
            notes.add("no shape is wide: none has room for two rims of " + um(rimUm) + " and a bulk of "
                    + um(2 * seam.coreUm()) + ", the least for this coarse beam; nothing to expose coarsely, so all was"
                    + " corrected for the fine beam alone");
        } else if (rimUm < seam.sensibleRimUm()) {
            notes.add("warning: a rim of " + um(rimUm)
                    + " is narrower than the blur of the coarse beam, which so reaches the drawn outline; take " + RIM
                    + " " + NumberText.plain(Math.ceil(100 * seam.sensibleRimUm()) / 100, 3) + " or more");
        }
        return both;
    }

    /** Where the coarse beam's point spread function comes from. */
    String source() {
        return file.source().isEmpty() ? psf : file.source();
    }

    /** What the user should know. */
    List<String> notes() {
        return notes;
    }

    private static String um(double value) {
        return NumberText.plain(value, 3) + " um";
    }
}
