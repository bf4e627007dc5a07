package evendose.verification;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.stream.Stream;

/**
 * The answer that everything else explains: what comes out as drawn, at how many places not, and where it is worst. Computed once
 * for a run; the console, the report, {@code summary.json} and {@code verify} all tell this one.
 *
 * <p>A place does not come out as drawn if the line beside it does not develop, the gap beside it closes, or the developed edge lies
 * farther from the drawn one than allowed: a tenth of the narrower of line and gap, unless a distance is given. Places are random
 * ones on the outline, corners left out, and the middles of edges that bound a line or gap narrow enough to be lost or closed.
 * "Develops" stands for both tones of resist: above the threshold a positive one clears and a negative one stays.
 *
 * @param places number of places looked at
 * @param lost number of those at which a line does not develop
 * @param closed number of those at which a gap closes
 * @param off number of those at which the edge lies farther off than allowed
 * @param allowedNm how far an edge may be off, nm; empty for a tenth of the feature
 * @param worst the worst places, gravest first, at most {@value #WORST}
 * @param reservations what else is wrong, a sentence each; empty if nothing is
 * @param notes what is good to know and not wrong, a sentence each
 */
public record Verdict(
        long places,
        long lost,
        long closed,
        long off,
        OptionalDouble allowedNm,
        List<TroubleSpot> worst,
        List<String> reservations,
        List<String> notes) {
    /** Most worst places told. */
    public static final int WORST = 5;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public Verdict {
        worst = List.copyOf(worst);
        reservations = List.copyOf(reservations);
        notes = List.copyOf(notes);
    }

    /** From places on the outline and a scan of its edges. */
    static Verdict of(EdgeOutcomes outcomes, OutlineScan scan, OptionalDouble allowedNm) {
        List<TroubleSpot> worst = new ArrayList<>(scan.spots());
        worst.addAll(outcomes.failures());
        return new Verdict(
                outcomes.places() + scan.narrow(),
                outcomes.lost() + scan.lost(),
                outcomes.closed() + scan.closed(),
                outcomes.off(),
                allowedNm,
                worst(worst),
                List.of(),
                List.of());
    }

    /** From what was found on all parts of an outline. */
    static Verdict of(List<OutlineFindings> parts, OptionalDouble allowedNm) {
        return new Verdict(
                parts.stream().mapToLong(p -> p.places).sum(),
                parts.stream().mapToLong(p -> p.lost).sum(),
                parts.stream().mapToLong(p -> p.closed).sum(),
                parts.stream().mapToLong(p -> p.off).sum(),
                allowedNm,
                worst(parts.stream().flatMap(p -> p.failures.stream()).toList()),
                List.of(),
                List.of());
    }

    /** The worst of places that do not come out as drawn. */
    static List<TroubleSpot> worst(List<TroubleSpot> failures) {
        List<TroubleSpot> sorted = new ArrayList<>(failures);
        sorted.sort(TroubleSpot::compare);
        return OutlineScan.keepApart(sorted, 1e-3, WORST);
    }

    /** A verdict in which edges are no promise, as where layers are to reach depths of their own. */
    static Verdict ofNoEdges() {
        return new Verdict(0, 0, 0, 0, OptionalDouble.empty(), List.of(), List.of(), List.of());
    }

    /** The same with more reservations and notes. */
    Verdict with(List<String> moreReservations, List<String> moreNotes) {
        return new Verdict(
                places,
                lost,
                closed,
                off,
                allowedNm,
                worst,
                joined(reservations, moreReservations),
                joined(notes, moreNotes));
    }

    private static List<String> joined(List<String> first, List<String> then) {
        return Stream.concat(first.stream(), then.stream()).toList();
    }

    /** Number of places that do not come out as drawn. */
    long failed() {
        return lost + closed + off;
    }

    /** {@return whether all that was looked at comes out as drawn and there is no reservation} */
    public boolean good() {
        return failed() == 0 && reservations.isEmpty();
    }

    private String edges() {
        return failed() == 0
                ? text(
                        "Comes out as drawn: at %,d places looked at no edge lies farther off than %s.",
                        places, allowed())
                : text("Not all comes out as drawn: %,d of %,d places will not%s.", failed(), places, causes());
    }

    private String causes() {
        List<String> causes = new ArrayList<>();
        if (lost > 0) {
            causes.add(text("%,d where a line does not develop", lost));
        }
        if (closed > 0) {
            causes.add(text("%,d where a gap closes", closed));
        }
        if (off > 0) {
            causes.add(text("%,d where the edge lies farther off than %s", off, allowed()));
        }
        return ": " + String.join(", ", causes);
    }

    private String allowed() {
        return allowedNm.isPresent() ? text("%.4g nm", allowedNm.getAsDouble()) : "a tenth of the feature";
    }

    /** {@return what edges do with the worst place, reservations and notes, the gravest first: a sentence each, at least one} */
    public List<String> sentences() {
        List<String> all = new ArrayList<>();
        if (failed() > 0) {
            all.add(edges());
            TroubleSpot w = worst.get(0);
            all.add(text("Worst at (%.3f, %.3f) um: %s.", w.xUm(), w.yUm(), w.what()));
        }
        all.addAll(reservations);
        if (failed() == 0 && places > 0) {
            all.add(edges());
        }
        all.addAll(notes);
        return all.isEmpty()
                ? List.of("Grey tone: every dose looked at is the one its layer asks for; edges are no promise.")
                : all;
    }

    /** {@return the verdict as plain values by name, for {@code summary.json}} */
    public Map<String, Object> facts() {
        Map<String, Object> facts = new LinkedHashMap<>();
        facts.put("as_drawn", good());
        facts.put("text", String.join(" ", sentences()));
        facts.put("places", places);
        facts.put("places_not_as_drawn", failed());
        facts.put("lines_lost", lost);
        facts.put("gaps_closed", closed);
        facts.put("edges_off", off);
        facts.put("allowed_edge", allowed());
        facts.put("allowed_edge_nm", allowedNm.isPresent() ? (Object) allowedNm.getAsDouble() : null);
        List<Map<String, Object>> spots = new ArrayList<>();
        for (TroubleSpot s : worst) {
            Map<String, Object> spot = new LinkedHashMap<>();
            spot.put("kind", s.kind().word());
            spot.put("x_um", s.xUm());
            spot.put("y_um", s.yUm());
            spot.put("what", s.what());
            spots.add(spot);
        }
        facts.put("worst", spots);
        facts.put("reservations", reservations);
        facts.put("notes", notes);
        return facts;
    }

    private static String text(String pattern, Object... values) {
        return String.format(Locale.ROOT, pattern, values);
    }
}
