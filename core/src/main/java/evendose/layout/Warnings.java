package evendose.layout;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** Gathers what a reader puts up with: one sentence a kind of trouble, with its number of cases and the first place. */
public final class Warnings {
    private static final class Kind {
        long cases;
        String firstPlace;
    }

    private final Map<String, Kind> kinds = new LinkedHashMap<>();

    /**
     * Notes one case.
     *
     * @param trouble what was found and what is done about it, the same words for each case
     * @param place where, for instance {@code byte 812}
     */
    public void add(String trouble, String place) {
        Kind kind = kinds.computeIfAbsent(trouble, t -> new Kind());
        if (kind.cases++ == 0) {
            kind.firstPlace = place;
        }
    }

    /** {@return the sentences, in the order in which the kinds were first met} */
    public List<String> sentences() {
        List<String> sentences = new ArrayList<>();
        kinds.forEach((trouble, kind) -> sentences.add(trouble
                + (kind.cases == 1
                        ? " (" + kind.firstPlace + ")"
                        : " (" + kind.cases + " cases, the first at " + kind.firstPlace + ")")));
        return sentences;
    }
}
