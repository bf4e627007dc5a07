package evendose.correction;

import evendose.Supported;
import java.io.Serializable;
import java.util.Arrays;
import java.util.stream.DoubleStream;

/**
 * How a limited set of doses is chosen.
 *
 * @param spacing how levels lie
 * @param count number of levels for {@link Spacing#OPTIMAL} and {@link Spacing#GEOMETRIC}, 1 to {@link DoseLevels#MOST}
 * @param stepPercent distance of neighbours for {@link Spacing#STEP}, percent of the dose, positive
 * @serial exclude
 */
@Supported
public record LevelRule(Spacing spacing, int count, double stepPercent) implements Serializable {
    /** How levels lie. */
    public enum Spacing {
        /**
         * Where the rms error that levels add to the criterion is least: where the mean squared error of the doses at hand is, with
         * no dose further off than 1.5 times as far as geometric spacing puts it, or at a constant ratio if that is better. The
         * largest error may be larger than at a constant ratio: it is the rms that is promised.
         */
        OPTIMAL,
        /** At a constant ratio from the smallest dose to the largest. */
        GEOMETRIC,
        /** At powers of a given ratio, so that factor 1 is a level; as many as the doses need. */
        STEP
    }

    /** See {@link LevelClustering#levels}: 1.5 times the 0.5 of equal spacing. */
    private static final double MOST_OFF = 0.75;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public LevelRule {
        if (spacing == Spacing.STEP) {
            if (!(stepPercent > 0 && stepPercent <= 1000)) {
                throw new IllegalArgumentException("dose step must lie in 0 to 1000 percent, got " + stepPercent);
            }
        } else if (count < 1 || count > DoseLevels.MOST) {
            throw new IllegalArgumentException(
                    "number of dose levels must lie in 1 to " + DoseLevels.MOST + ", got " + count);
        }
        if (spacing == Spacing.OPTIMAL && count > LevelClustering.MOST) {
            throw new IllegalArgumentException("at most " + LevelClustering.MOST
                    + " levels can be placed optimally, got " + count + "; use geometric spacing for more");
        }
    }

    /**
     * {@return {@code count} levels where they cost the least}
     *
     * @param count number of levels
     */
    public static LevelRule optimal(int count) {
        return new LevelRule(Spacing.OPTIMAL, count, 0);
    }

    /**
     * {@return {@code count} levels at a constant ratio}
     *
     * @param count number of levels
     */
    public static LevelRule geometric(int count) {
        return new LevelRule(Spacing.GEOMETRIC, count, 0);
    }

    /**
     * {@return levels {@code percent} apart}
     *
     * @param percent ratio of neighbouring factors less 1, %
     */
    public static LevelRule step(double percent) {
        return new LevelRule(Spacing.STEP, 0, percent);
    }

    /**
     * The levels for given doses and such as stay exactly what they are: each of these takes a level of its own out of the number asked for.
     *
     * @param given what stays, in rising order, each once
     * @param factor dose factors, positive
     * @param weight how much an error of each counts, at least 0
     */
    DoseLevels levelsBeside(double[] given, double[] factor, double[] weight) {
        if (given.length == 0) {
            return levelsFor(factor, weight);
        }
        if (spacing != Spacing.STEP && count <= given.length && factor.length > 0) {
            throw new IllegalArgumentException(count + " dose levels are too few: " + given.length
                    + " are taken by fixed doses, corrected ones need at least one more");
        }
        LevelRule rest = spacing == Spacing.STEP ? this : new LevelRule(spacing, Math.max(1, count - given.length), 0);
        double[] found =
                factor.length == 0 ? factor : rest.levelsFor(factor, weight).factors();
        return DoseLevels.of(DoubleStream.concat(Arrays.stream(given), Arrays.stream(found))
                .sorted()
                .distinct()
                .toArray());
    }

    /**
     * The levels for given doses.
     *
     * @param factor dose factors, positive
     * @param weight how much an error of each counts, at least 0
     */
    DoseLevels levelsFor(double[] factor, double[] weight) {
        if (factor.length == 0) {
            return DoseLevels.geometric(1, 1, 1);
        }
        double min = Double.MAX_VALUE;
        double max = 0;
        for (double f : factor) {
            min = Math.min(min, f);
            max = Math.max(max, f);
        }
        return switch (spacing) {
            case OPTIMAL -> LevelClustering.levels(factor, weight, count, MOST_OFF);
            case GEOMETRIC -> DoseLevels.geometric(min, max, count);
            case STEP -> DoseLevels.step(min, max, stepPercent);
        };
    }
}
