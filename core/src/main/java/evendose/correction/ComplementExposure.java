package evendose.correction;

import evendose.energy.EnergyField;
import evendose.energy.EnergyModel;
import evendose.energy.EnginePlan;
import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.geometry.Merge;
import evendose.geometry.Polygons;
import evendose.geometry.Trapezoids;
import evendose.layout.Layer;
import evendose.layout.formats.LayoutFormat;
import evendose.parallel.Workers;
import evendose.pieces.Fracture;
import evendose.pieces.FractureOptions;
import evendose.pieces.PieceJoin;
import evendose.pieces.Pieces;
import evendose.psf.PointSpreadFunction;
import evendose.units.Range;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Locale;

/**
 * A pattern with one dose everywhere, and its complement within a frame, exposed with a wide spot so that the background is the same
 * everywhere; {@link EqualisingSpot} has the physics.
 *
 * <p>Held by {@code ComplementExposureTest} against closed forms for lines, gratings and pads in a frame.
 */
public final class ComplementExposure {
    /** Name of the one cell that is written. */
    public static final String CELL = "EQUALISED";

    /**
     * Usual width of the frame in longest ranges. The complement ends at the frame, which along a straight side takes less than
     * {@code erfc(3 / sqrt(2)) / 2 = 1.4e-3} of its energy from the nearest feature, and less than twice that in a corner.
     */
    private static final double FRAME_RANGES = 3;

    /** About how many points are asked for. */
    private static final double POINTS = 30_000;

    private final DrawnPattern drawn;
    private final CorrectionOptions options;
    private final EqualisingSpot spot;
    private final Pieces pieces;
    private final Pieces complement;

    private ComplementExposure(DrawnPattern drawn, CorrectionOptions options, EqualisingSpot spot, Pieces pieces) {
        this.drawn = drawn;
        this.options = options;
        this.spot = spot;
        this.pieces = pieces;
        boolean[] keep = new boolean[pieces.units()];
        int[] shape = pieces.shapeOfUnit();
        for (int u = 0; u < keep.length; u++) {
            keep[u] = pieces.layerOfShape(shape[u]) == drawn.roles().size();
        }
        this.complement = pieces.ofUnits(keep);
    }

    /**
     * {@return the usual width of the frame, um}
     *
     * @param psf the point spread function
     */
    public static double usualFrameUm(PointSpreadFunction psf) {
        return FRAME_RANGES * psf.longestUm();
    }

    /**
     * Frames a pattern and cuts both it and what is left.
     *
     * @param drawn the pattern; all its layers get the same dose
     * @param options point spread function, threshold (the target of {@link Criterion#EDGE}) and rules of pieces
     * @param spot the spot for the complement
     * @param frameUm how far the frame reaches beyond the pattern on each side, um, positive; rounded to the database unit
     * @param workers threads to use; the result does not depend on their number
     * @return the exposure
     * @throws IllegalArgumentException if the frame is narrower than the range of the spot
     * @throws BadInputException if the frame reaches farther than GDSII can hold
     * @throws MemoryLimitException if the pieces need more memory than Java may use
     */
    public static ComplementExposure of(
            DrawnPattern drawn, CorrectionOptions options, EqualisingSpot spot, double frameUm, Workers workers) {
        Range.positive("width of the frame (um)", frameUm);
        if (spot.rangeUm() > frameUm) {
            throw new IllegalArgumentException(String.format(
                    Locale.ROOT,
                    "a frame of %s um is narrower than the spot, whose range is %s um: the background would not reach the pattern's edge",
                    NumberText.plain(frameUm, 3),
                    NumberText.plain(spot.rangeUm(), 3)));
        }
        double dbuUm = drawn.unit().um();
        int groups = drawn.roles().size();
        Trapezoids merged = Merge.of(framed(drawn, frameUm), groups + 1, workers, options.progress());
        // The pattern's dose is the same everywhere, so cells only keep pieces small enough for the engine's grids.
        FractureOptions usual = options.fracture();
        FractureOptions fracture = new FractureOptions(
                Math.max(usual.maxPieceUm(), spot.rangeUm()),
                usual.directRangeUm(),
                usual.sampleSpacingUm(),
                usual.judging(),
                usual.rules());
        MemoryNeed.require(
                MemoryNeed.ofMerged(merged.size(), merged.area() * dbuUm * dbuUm, fracture.maxPieceUm()),
                String.format(Locale.ROOT, "the pattern in its frame has %,d trapezoids", merged.size()));
        Pieces cut = Fracture.of(merged, dbuUm, fracture, workers, options.progress())
                .pieces();
        return new ComplementExposure(drawn, options, spot, PieceJoin.of(cut, cut.shapeOfUnit(), cut.shapes()));
    }

    /** The drawn polygons and, in a group after theirs, a frame around all: where they overlap, the pattern owns the place. */
    private static Polygons framed(DrawnPattern drawn, double frameUm) {
        Polygons pattern = drawn.polygons();
        long largest = LayoutFormat.GDSII.largestCoordinate();
        long frame = Math.min(largest, Math.max(1, drawn.unit().nearest(frameUm)));
        long left = pattern.left() - frame;
        long bottom = pattern.bottom() - frame;
        long right = pattern.right() + frame;
        long top = pattern.top() + frame;
        if (Math.max(Math.max(right, top), Math.max(-left, -bottom)) > largest) {
            throw new BadInputException(
                    "the frame",
                    "",
                    "reaches beyond " + largest + " database units, which GDSII cannot hold; take a narrower one");
        }
        Polygons both = new Polygons();
        both.addAll(pattern, group -> group);
        both.addRectangle(drawn.roles().size(), left, bottom, right, top);
        return both;
    }

    /** {@return the spot that the complement is exposed with} */
    public EqualisingSpot spot() {
        return spot;
    }

    /** {@return the frame less the pattern} */
    public Pieces complement() {
        return complement;
    }

    /** {@return left, bottom, right and top of the frame, um, a new array} */
    public double[] frameUm() {
        return pieces.boundsUm();
    }

    /** {@return dose factor of the pattern} */
    public double patternFactor() {
        return spot.patternFactor(options.target());
    }

    /** {@return dose factor of the complement} */
    public double complementFactor() {
        return spot.dose() * patternFactor();
    }

    /** {@return area of the complement, um^2} */
    public double complementAreaUm2() {
        return areaUm2(complement);
    }

    /** {@return area of the pattern, um^2} */
    public double patternAreaUm2() {
        return areaUm2(pieces) - areaUm2(complement);
    }

    private static double areaUm2(Pieces pieces) {
        double sum = 0;
        for (int i = 0; i < pieces.size(); i++) {
            sum += pieces.areaUm2(i);
        }
        return sum;
    }

    /**
     * {@return what the complement adds to the energy, with its dose and its spot}
     *
     * @param workers threads to use; the result does not depend on their number
     */
    public EnergyField added(Workers workers) {
        double[] factor = new double[complement.units()];
        Arrays.fill(factor, complementFactor());
        EnginePlan plan = EnginePlan.forPoints(complement, spot.blurred(options.psf()), POINTS, 1, 0);
        return EnergyModel.build(plan, workers, options.progress()).field(factor);
    }

    /** {@return the layer that the complement is written to: that of the next number above the pattern's first which the pattern leaves free} */
    public Layer complementLayer() {
        Layer first = drawn.roles().get(0).layer();
        Layer layer = first;
        while (isDrawn(layer)) {
            layer = new Layer((layer.number() + 1) & 0xffff, first.datatype());
        }
        return layer;
    }

    private boolean isDrawn(Layer layer) {
        return drawn.roles().stream().anyMatch(role -> role.layer().equals(layer));
    }

    /**
     * Writes the pieces of both as GDSII in the database unit of what was drawn: the pattern on its layers, the complement on
     * {@link #complementLayer}.
     *
     * @param file the file to write
     * @return number of pieces that rounding left without area
     * @throws BadInputException if the file cannot be written
     */
    public long write(Path file) {
        int[] shape = pieces.shapeOfUnit();
        Layer other = complementLayer();
        return PieceLayout.write(
                pieces,
                u -> {
                    int group = pieces.layerOfShape(shape[u]);
                    return group == drawn.roles().size()
                            ? other
                            : drawn.roles().get(group).layer();
                },
                CELL,
                drawn.unit(),
                file,
                LayoutFormat.GDSII,
                options.progress());
    }
}
