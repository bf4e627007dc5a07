package evendose.writing;

import evendose.pieces.Pieces;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.PriorityQueue;

/** Counts the dwell points of pieces as {@link StepFilling} says. Arguments are not checked. */
final class FillingKernel {
    /** So that a size which is half a step beyond a whole number counts as such in binary too. */
    private static final double ROUNDING = 1e-9;

    private static final double SMALL = 0.01;
    private static final double LARGE = 0.05;

    private FillingKernel() {}

    static StepFilling fill(DosedPieces dosed, double stepNm) {
        Pieces pieces = dosed.pieces();
        double step = stepNm / 1e3;
        long points = 0;
        long thin = 0;
        double area = 0;
        double square = 0;
        double small = 0;
        double large = 0;
        double charge = 0;
        Comparator<double[]> byError = Comparator.<double[]>comparingDouble(e -> Math.abs(e[1]))
                .thenComparing(Comparator.<double[]>comparingDouble(e -> e[0]).reversed());
        PriorityQueue<double[]> worst = new PriorityQueue<>(byError);
        for (int i = 0; i < pieces.size(); i++) {
            long own = points(pieces, i, step);
            double wanted = pieces.areaUm2(i);
            double error = own * step * step / wanted - 1;
            points += own;
            area += wanted;
            square += wanted * error * error;
            small += Math.abs(error) > SMALL * (1 + ROUNDING) ? wanted : 0;
            large += Math.abs(error) > LARGE * (1 + ROUNDING) ? wanted : 0;
            charge += own * step * step * dosed.factor(i);
            double across = pieces.highUm()[i] - pieces.lowUm()[i];
            thin += Math.min(across, wanted / across) < step * (1 - ROUNDING) ? 1 : 0;
            if (worst.size() < StepFilling.MOST_LISTED || Math.abs(error) > Math.abs(worst.element()[1])) {
                worst.add(new double[] {i, error});
                if (worst.size() > StepFilling.MOST_LISTED) {
                    worst.remove();
                }
            }
        }
        List<double[]> listed = new ArrayList<>(worst);
        listed.sort(byError.reversed());
        return new StepFilling(
                stepNm,
                points,
                charge / dosed.dosedAreaUm2() - 1,
                Math.sqrt(square / area),
                small / area,
                large / area,
                thin,
                listed.stream().map(e -> piece(dosed, (int) e[0], step, e[1])).toList());
    }

    private static StepFilling.FilledPiece piece(DosedPieces dosed, int i, double step, double error) {
        Pieces p = dosed.pieces();
        return new StepFilling.FilledPiece(
                dosed.shape(i),
                p.middleXUm(i),
                p.middleYUm(i),
                p.rightUm(i) - p.leftUm(i),
                p.topUm(i) - p.bottomUm(i),
                whole(p.highUm()[i] - p.lowUm()[i], step),
                points(p, i, step),
                error);
    }

    /** Points of piece {@code i}; {@code step} in um. */
    static long points(Pieces p, int i, double step) {
        long rows = whole(p.highUm()[i] - p.lowUm()[i], step);
        double low = p.toLowUm()[i] - p.fromLowUm()[i];
        double high = p.toHighUm()[i] - p.fromHighUm()[i];
        if (low == high) {
            return rows * whole(low, step);
        }
        long points = 0;
        for (long k = 0; k < rows; k++) {
            points += whole(low + (k + 0.5) / rows * (high - low), step);
        }
        return points;
    }

    private static long whole(double length, double step) {
        return Math.max(1, (long) Math.floor(length / step * (1 + ROUNDING) + 0.5));
    }
}
