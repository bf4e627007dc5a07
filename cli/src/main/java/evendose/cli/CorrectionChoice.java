package evendose.cli;

import static evendose.cli.CommandLineTool.ifGiven;

import evendose.correction.CorrectionOptions;
import evendose.correction.Criterion;
import evendose.correction.LevelRule;
import evendose.pieces.PieceRules;
import evendose.psf.PsfFile;
import java.util.OptionalDouble;
import picocli.CommandLine.Option;

/** Options of the correction itself; what is not given keeps the library's default. */
final class CorrectionChoice {
    @Option(
            names = "--criterion",
            paramLabel = "edge|mean",
            description =
                    "What is made equal: energy on drawn edges (default; dimensions come out right), or mean energy"
                            + " of each piece.")
    private String criterion;

    @Option(
            names = "--reference-density",
            paramLabel = "R",
            description = "Density of the grating that has factor 1 (default: 0.5 for edge, 1 for mean).")
    private Double referenceDensity;

    @Option(
            names = "--base-dose-uc-per-cm2",
            paramLabel = "Q",
            description = "Dose at factor 1, uC/cm^2; fills the column of absolute doses.")
    private Double baseDose;

    @Option(
            names = "--max-piece-um",
            paramLabel = "M",
            description =
                    "Largest extent of a dose unit, um (default: a quarter of the mean range of what is scattered far);"
                            + " units become smaller where edges ask for it.")
    private Double maxPieceUm;

    @Option(
            names = "--allowed-edge-percent",
            paramLabel = "P",
            description =
                    "Divide dose units until 95 %% of the outline off corners is within P percent of the energy wanted, and join"
                            + " neighbours as far as that leaves room (default: 1); layouts of more than 300,000 units stay as they are.")
    private Double allowedEdgePercent;

    @Option(
            names = "--outline-tolerance-nm",
            paramLabel = "T",
            description = "How far the outline of pieces may lie from the drawn one, nm (default: 0.5; 0 is exact).")
    private Double outlineToleranceNm;

    @Option(
            names = "--grid-nm",
            paramLabel = "G",
            description = "Corners of pieces lie on this grid, nm (default: the database unit of the layout).")
    private Double gridNm;

    @Option(
            names = "--smallest-piece-nm",
            paramLabel = "P",
            description = "Avoid pieces thinner than this in x or y, nm (default: 10).")
    private Double smallestPieceNm;

    @Option(
            names = "--tolerance",
            paramLabel = "E",
            description = "Largest relative error of the criterion at which to stop (default: 1e-3).")
    private Double tolerance;

    @Option(names = "--max-iterations", paramLabel = "N", description = "Most dose updates (default: 50).")
    private Integer maxIterations;

    @Option(names = "--min-factor", paramLabel = "F", description = "Smallest dose factor (default: 0.05).")
    private Double minFactor;

    @Option(names = "--max-factor", paramLabel = "F", description = "Largest dose factor (default: 20).")
    private Double maxFactor;

    @Option(names = "--levels", paramLabel = "N", description = "Use only N different doses (default: free doses).")
    private Integer levels;

    @Option(
            names = "--level-spacing",
            paramLabel = "optimal|geometric",
            description = "Where the N doses lie: at the least rms error (default; the largest error may be larger than"
                    + " with geometric), or at a constant ratio.")
    private String levelSpacing;

    @Option(
            names = "--level-step-percent",
            paramLabel = "P",
            description = "Use only doses P percent apart, instead of --levels.")
    private Double levelStepPercent;

    @Option(
            names = "--level-study",
            description = "Find out what 1 to 256 levels would cost: level-study.csv and a picture.")
    private boolean levelStudy;

    @Option(names = AllowedEdge.NAME, paramLabel = "D", description = AllowedEdge.DESCRIPTION)
    private Double allowedEdgeNm;

    @Option(names = "--one-dose-per-shape", description = "Give all pieces of a merged shape the same dose.")
    private boolean oneDosePerShape;

    /** How far an edge may be off, nm; empty for a tenth of the feature. */
    OptionalDouble allowedEdgeNm() {
        return AllowedEdge.nm(allowedEdgeNm);
    }

    /** Dose at factor 1, uC/cm^2, or null. */
    Double baseDose() {
        return baseDose;
    }

    /**
     * Asks for the mean criterion, unless the user did.
     *
     * @throws UsageException if the user asked for another one
     */
    void requireMean(String because) {
        if (criterion == null) {
            criterion = "mean";
        } else if (!criterion.equals("mean")) {
            throw new UsageException(because + " goes with --criterion mean");
        }
    }

    CorrectionOptions build(PsfFile psf) {
        try {
            CorrectionOptions.Builder builder = CorrectionOptions.builder(psf.psf());
            if (criterion != null) {
                builder.criterion(criterion(criterion));
            }
            ifGiven(referenceDensity, builder::referenceDensity);
            ifGiven(baseDose, builder::baseDoseUcPerCm2);
            ifGiven(maxPieceUm, builder::maxPieceUm);
            ifGiven(allowedEdgePercent, percent -> builder.allowedEdgeError(0.01 * percent));
            ifGiven(tolerance, builder::tolerance);
            ifGiven(maxIterations, builder::maxIterations);
            ifGiven(minFactor, builder::minFactor);
            ifGiven(maxFactor, builder::maxFactor);
            ifGiven(levelRule(), builder::levels);
            builder.levelStudy(levelStudy);
            builder.rules(new PieceRules(
                    um(outlineToleranceNm, PieceRules.USUAL.outlineToleranceUm()),
                    um(gridNm, PieceRules.USUAL.gridUm()),
                    um(smallestPieceNm, PieceRules.USUAL.smallestUm())));
            return builder.oneDosePerShape(oneDosePerShape).build();
        } catch (IllegalArgumentException e) {
            throw new UsageException(e.getMessage());
        }
    }

    private static double um(Double nm, double usualUm) {
        return nm == null ? usualUm : 1e-3 * nm;
    }

    private LevelRule levelRule() {
        if (levelStepPercent != null) {
            if (levels != null || levelSpacing != null) {
                throw new UsageException("give either --levels or --level-step-percent, not both");
            }
            return LevelRule.step(levelStepPercent);
        }
        if (levels == null) {
            if (levelSpacing != null) {
                throw new UsageException("--level-spacing goes with --levels");
            }
            return null;
        }
        return switch (levelSpacing == null ? "optimal" : levelSpacing) {
            case "optimal" -> LevelRule.optimal(levels);
            case "geometric" -> LevelRule.geometric(levels);
            default -> throw new UsageException("--level-spacing is optimal or geometric, not '" + levelSpacing + "'");
        };
    }

    static Criterion criterion(String word) {
        return switch (word) {
            case "edge" -> Criterion.EDGE;
            case "mean" -> Criterion.MEAN;
            default -> throw new UsageException("--criterion is edge or mean, not '" + word + "'");
        };
    }
}
