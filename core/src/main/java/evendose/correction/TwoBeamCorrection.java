package evendose.correction;

import evendose.geometry.Polygons;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * Doses for two beams: a fine one for a rim inside the outline of wide shapes and for all narrow shapes, and a coarse one of high current for
 * the inside of wide shapes, the bulk. Both tables are found together: edges are judged where they are drawn, with the energy of both
 * exposures.
 *
 * <p>Dose factors of both tables count from the same base dose, and energies from the same clearing dose: both functions give the energy that a dose leaves
 * in the same resist. A shape is wide where there is room for two rims and a bulk of the least width ({@link BeamSeam#coreUm}); narrower parts
 * are left to the fine beam.
 *
 * <p>Steps of the seam get down to a few per cent of a dose, whatever the smallest factor of the options is: that bounds full doses.
 *
 * <p>Held by {@code TwoBeamCorrectionTest} against sums of error functions.
 */
public final class TwoBeamCorrection {
    private final BeamSeam seam;
    private final DoseTable fine;
    private final DoseTable bulk;
    private final double[] shareOfShape;
    private final Polygons bulkShapes;

    private TwoBeamCorrection(
            BeamSeam seam, DoseTable fine, DoseTable bulk, double[] shareOfShape, Polygons bulkShapes) {
        this.seam = seam;
        this.bulkShapes = bulkShapes;
        this.fine = fine;
        this.bulk = bulk;
        this.shareOfShape = shareOfShape;
    }

    /**
     * {@return the seam that a correction will have}
     *
     * @param options options of the fine exposure, with its point spread function
     * @param bulkPsf point spread function of the coarse beam
     * @param rimUm width of the rim, um, positive
     * @param dbuUm database unit, um
     */
    public static BeamSeam seam(CorrectionOptions options, PointSpreadFunction bulkPsf, double rimUm, double dbuUm) {
        double gridUm = dbuUm * TwoBeams.gridSteps(options.rules(), dbuUm);
        return BeamSeam.of(options.psf(), bulkPsf, rimUm, options.rules().smallestUm(), gridUm);
    }

    /**
     * Corrects.
     *
     * @param pattern what is drawn; all layers are to be corrected, towards the usual energy
     * @param options options of the fine exposure, with its point spread function; criterion {@link Criterion#EDGE}, free doses
     * @param bulkPsf point spread function of the coarse beam
     * @param rimUm width of the rim, um, positive
     * @return the doses; empty if no shape is wide
     * @throws IllegalArgumentException if a layer has another role, or the options ask for something else
     * @throws MemoryLimitException if the correction needs more memory than Java may use
     */
    public static Optional<TwoBeamCorrection> of(
            DrawnPattern pattern, CorrectionOptions options, PointSpreadFunction bulkPsf, double rimUm) {
        require(pattern.roles(), options);
        Progress progress = options.progress();
        BeamSeam seam = seam(options, bulkPsf, rimUm, pattern.unit().um());
        CorrectionOptions.Builder other = CorrectionOptions.builder(bulkPsf)
                .referenceDensity(options.referenceDensity())
                .tolerance(options.tolerance())
                .maxIterations(options.maxIterations())
                .minFactor(options.minFactor())
                .maxFactor(options.maxFactor())
                .rules(options.rules())
                .threads(options.threads())
                .progress(progress);
        options.baseDoseUcPerCm2().ifPresent(other::baseDoseUcPerCm2);
        CorrectionOptions bulk = other.build();
        try (Workers workers = Workers.of(options.threads())) {
            return TwoBeams.of(pattern, seam, options, bulk, workers, progress)
                    .map(beams -> of(beams, pattern, options, bulk, workers, progress));
        }
    }

    private static void require(List<LayerRole> roles, CorrectionOptions options) {
        for (LayerRole role : roles) {
            if (role.fixedDose().isPresent() || role.target() != 1) {
                throw new IllegalArgumentException("two beams correct layers towards the usual energy only; layer "
                        + role.layer() + " has a fixed dose or a target of its own");
            }
        }
        if (options.criterion() != Criterion.EDGE
                || options.levels().isPresent()
                || options.levelStudy()
                || options.oneDosePerShape()) {
            throw new IllegalArgumentException("two beams go with the edge criterion and free doses only");
        }
        if (options.biasUm() != 0
                || !options.moves().isEmpty()
                || !options.longRange().equals(LongRange.NONE)) {
            throw new IllegalArgumentException(
                    "two beams go without a bias, moved edges, fogging and a loading of the development");
        }
    }

    private static TwoBeamCorrection of(
            TwoBeams beams,
            DrawnPattern pattern,
            CorrectionOptions options,
            CorrectionOptions bulkOptions,
            Workers workers,
            Progress progress) {
        Correction done = Correction.of(beams, beams.roles(pattern.roles()), options, workers, progress);
        UnitDoses doses = new UnitDoses(done, options);
        doses.join(false);
        Pieces all = done.cut.pieces();
        int fineUnits = beams.fineUnits(done.cut);
        boolean[] isFine = new boolean[all.units()];
        Arrays.fill(isFine, 0, fineUnits, true);
        boolean[] isBulk = new boolean[all.units()];
        Arrays.fill(isBulk, fineUnits, all.units(), true);
        Pieces rims = all.ofUnits(isFine);
        Pieces inside = all.ofUnits(isBulk);
        double[] shareOfShape = new double[rims.shapes()];
        int[] layer = new int[rims.shapes()];
        int[] source = beams.sources(done.cut);
        double[] factor = new double[all.units()];
        Arrays.setAll(factor, u -> doses.factor[source[u]]);
        for (int s = 0; s < layer.length; s++) {
            shareOfShape[s] = beams.share(rims.layerOfShape(s));
            layer[s] = beams.drawnLayer(rims.layerOfShape(s));
            for (int u = rims.shapeFirst(s); u < rims.shapeFirst(s + 1); u++) {
                factor[u] *= shareOfShape[s];
            }
        }
        Split split = new Split(done, doses, factor, pattern, options, progress);
        return new TwoBeamCorrection(
                beams.seam(),
                split.table(rims.onLayers(layer), 0, options),
                split.table(inside, fineUnits, bulkOptions),
                shareOfShape,
                beams.inside());
    }

    /** What was found for the units of both beams, to be divided between two tables. */
    private static final class Split {
        private final Correction done;
        private final UnitDoses doses;
        private final double[] factor;
        private final DrawnPattern pattern;
        private final DoseStatus[] status;
        private final Convergence convergence;
        private final OutlineError outlineError;

        Split(
                Correction done,
                UnitDoses doses,
                double[] factor,
                DrawnPattern pattern,
                CorrectionOptions options,
                Progress progress) {
            this.done = done;
            this.doses = doses;
            this.factor = factor;
            this.pattern = pattern;
            this.status = doses.statuses();
            this.convergence = done.solver.convergence(options.tolerance());
            this.outlineError = done.outlineError(doses.factor, progress);
        }

        /** The table of the units from {@code from} on. */
        DoseTable table(Pieces pieces, int from, CorrectionOptions options) {
            int to = from + pieces.units();
            double[] factors = Arrays.copyOfRange(factor, from, to);
            double[] before = Arrays.copyOfRange(doses.before, from, to);
            double[] judged = Arrays.copyOfRange(doses.judged, from, to);
            DoseStatus[] statuses = Arrays.copyOfRange(status, from, to);
            DoseLevels levels = DoseLevels.grouping(factors);
            return new DoseTable(
                    pieces,
                    pattern,
                    options,
                    convergence.written(before, judged, Arrays.copyOfRange(done.target, from, to), statuses),
                    levels,
                    factors,
                    Arrays.stream(factors).mapToInt(levels::nearest).toArray(),
                    before,
                    judged,
                    statuses,
                    done.model.choices(),
                    Optional.empty(),
                    List.of(),
                    Optional.empty(),
                    Arrays.copyOfRange(done.cut.judged(), from, to),
                    outlineError,
                    new DoseTable.Counts(pieces.units(), pieces.size()),
                    Arrays.copyOfRange(done.target, from, to));
        }
    }

    /** {@return how both exposures meet} */
    public BeamSeam seam() {
        return seam;
    }

    /** {@return doses of rims, of the steps of the seam and of narrow shapes} */
    public DoseTable fine() {
        return fine;
    }

    /** {@return doses of the inside of wide shapes} */
    public DoseTable bulk() {
        return bulk;
    }

    /** {@return the same doses in fewer, larger pieces; see {@link DoseTable#joined}} */
    public TwoBeamCorrection joined() {
        return new TwoBeamCorrection(seam, fine.joined(), bulk.joined(), shareOfShape, bulkShapes);
    }

    /** {@return what the coarse beam exposes, in the database unit of the pattern, all in group 0; not to be added to} */
    public Polygons bulkShapes() {
        return bulkShapes;
    }

    /** {@return for each shape of the fine exposure the share that the seam leaves of a full dose, a new array; 1 but for steps of the seam} */
    public double[] shareOfShape() {
        return shareOfShape.clone();
    }
}
