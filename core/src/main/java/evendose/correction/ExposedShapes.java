package evendose.correction;

import evendose.files.BadInputException;
import evendose.files.NumberText;
import evendose.geometry.Offset;
import evendose.geometry.Trapezoids;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import evendose.pieces.FractureOptions;
import evendose.pieces.PieceRules;
import evendose.pieces.TileFrame;
import evendose.psf.GaussianTerm;
import evendose.psf.PointSpreadFunction;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.apache.commons.numbers.gamma.Erf;

/**
 * What is exposed so that what is drawn develops: the drawn shapes, their outline moved by the bias or in parts, and how the two are held
 * apart. Pieces are cut from the exposed shapes; edges are judged on the drawn outline.
 *
 * <p>Layers of fixed dose are exposed as they are drawn.
 *
 * @param shapes the exposed shapes, dbu; groups are the layers
 * @param fracture how they are cut, and where the drawn outline lies beside theirs
 * @param directShare share of the direct terms that a straight drawn edge sees of the exposed shape beside it: half without a bias
 * @param doseSlack by how much doses may differ, relative, for what rounding of the moved outline to the grid does to that share; 0
 *     without a bias, where drawn corners lie on the grid
 */
public record ExposedShapes(Trapezoids shapes, FractureOptions fracture, double directShare, double doseSlack) {
    /** What a bias may be off the grid, as a share of it. */
    private static final double ON_GRID = 1e-6;

    /** How far off the drawn outline is looked for: pieces stray once, corners of a moved outline are rounded once more, and once is to spare. */
    private static final double REACHES = 3;

    /**
     * Moves the outline of drawn shapes.
     *
     * @param drawn the drawn shapes, merged, dbu; groups are the layers
     * @param dbuUm size of a database unit, um
     * @param roles what each layer does
     * @param options the bias, and how shapes are cut
     * @param workers threads to use; the result does not depend on their number
     * @param progress hears how far the work is
     * @return what is exposed
     * @throws BadInputException if the bias is not on the grid, or it or moved edges make a gap close or a part of a shape vanish, or moved
     *     edges are no part of the drawn outline
     */
    public static ExposedShapes of(
            Trapezoids drawn,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        return within(TileFrame.everything(), drawn, dbuUm, roles, options, workers, progress);
    }

    /** As above; where the bias closes a gap or makes a part vanish is told of a tile alone, whose surroundings may be drawn in part. */
    static ExposedShapes within(
            TileFrame tile,
            Trapezoids drawn,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        double bias = options.biasUm();
        if (!options.moves().isEmpty()) {
            return moved(drawn, dbuUm, roles, options, workers, progress);
        }
        if (bias == 0) {
            return new ExposedShapes(drawn, options.fracture(), 0.5, 0);
        }
        requireOnGrid(bias, dbuUm, options.rules());
        double[] distance = roles.stream()
                .mapToDouble(role -> role.fixedDose().isPresent() ? 0 : bias / dbuUm)
                .toArray();
        Trapezoids exposed = Offset.of(drawn, distance, workers, progress);
        Optional<Offset.Change> change = Offset.change(
                drawn, exposed, distance, new double[] {tile.left(), tile.bottom(), tile.right(), tile.top()}, workers);
        if (change.isPresent()) {
            throw refused(change.get(), bias, dbuUm);
        }
        double reachUm = options.rules().reachUm(dbuUm, false);
        double share = directShare(options.psf(), bias);
        return new ExposedShapes(
                exposed,
                options.fracture()
                        .judgedOn(new DrawnBeside(
                                drawn, dbuUm, (layer, x, y) -> distance[layer] * dbuUm, REACHES * reachUm)),
                share,
                (directShare(options.psf(), bias + reachUm) - share) / share);
    }

    /** Only parts near edges move, so what lies inside asks for the usual share of the direct terms. */
    private static ExposedShapes moved(
            Trapezoids drawn,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        MovedEdges moved = new MovedEdges(drawn, dbuUm, roles, options.moves(), workers, progress);
        double reachUm = REACHES * options.rules().reachUm(dbuUm, false);
        double most = options.moves().stream()
                .mapToDouble(m -> Math.abs(m.outUm()))
                .max()
                .orElse(0);
        return new ExposedShapes(
                moved.shapes,
                options.fracture()
                        .judgedOn(new DrawnBeside(
                                drawn, dbuUm, (layer, x, y) -> moved.outUm(x, y, reachUm), most + reachUm)),
                0.5,
                0);
    }

    private static void requireOnGrid(double bias, double dbuUm, PieceRules rules) {
        double grid = rules.gridUm() == 0 ? dbuUm : rules.gridUm();
        double steps = bias / grid;
        if (!rules.isExact() && Math.abs(steps - Math.rint(steps)) > ON_GRID) {
            throw new BadInputException(
                    "the bias",
                    "",
                    String.format(
                            Locale.ROOT,
                            "of %s nm is no multiple of the grid that corners of pieces lie on, %s nm; take one, or a finer --grid-nm",
                            NumberText.plain(1e3 * bias, 6),
                            NumberText.plain(1e3 * grid, 6)));
        }
    }

    private static BadInputException refused(Offset.Change change, double bias, double dbuUm) {
        return new BadInputException(
                "the bias",
                "",
                String.format(
                        Locale.ROOT,
                        "of %s nm %s about (%.3f, %.3f) um, %.3g um^2%s; take a smaller one",
                        NumberText.plain(1e3 * bias, 6),
                        bias > 0 ? "closes a gap" : "makes a part of a shape vanish",
                        change.x() * dbuUm,
                        change.y() * dbuUm,
                        change.area() * dbuUm * dbuUm,
                        change.places() > 1
                                ? String.format(Locale.ROOT, ", and does so at %,d places", change.places())
                                : ""));
    }

    /** Share of the direct terms at a distance inside the straight edge of a large area. */
    static double directShare(PointSpreadFunction psf, double insideUm) {
        double weight = 0;
        double seen = 0;
        for (GaussianTerm t : psf.terms().subList(0, psf.directTerms())) {
            weight += t.weight();
            seen += t.weight() * 0.5 * (1 + Erf.value(insideUm / t.rangeUm()));
        }
        return seen / weight;
    }
}
