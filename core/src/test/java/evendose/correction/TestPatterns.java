package evendose.correction;

import evendose.geometry.Polygons;
import evendose.layout.DatabaseUnit;
import evendose.parallel.Progress;
import evendose.parallel.Workers;
import java.util.List;

/** Patterns of polygons in database units, for tests that draw such. */
public final class TestPatterns {
    private TestPatterns() {}

    /** The pattern in which group {@code g} of the polygons has the role {@code roles.get(g)}. */
    public static DrawnPattern of(Polygons polygons, double dbuUm, List<LayerRole> roles) {
        return new DrawnPattern(polygons, new DatabaseUnit(dbuUm), roles);
    }

    /** Corrects such a pattern. */
    public static DoseTable correct(
            Polygons polygons,
            double dbuUm,
            List<LayerRole> roles,
            CorrectionOptions options,
            Workers workers,
            Progress progress) {
        return Corrector.correct(
                of(polygons, dbuUm, roles),
                options.toBuilder()
                        .threads(workers.threads())
                        .progress(progress)
                        .build());
    }
}
