package evendose.cli;

import java.util.Collection;
import java.util.Comparator;
import java.util.Optional;

/** Finds what somebody meant who typed a word that is not known. */
final class Nearest {
    /** One slip in so many letters is taken for a slip. */
    private static final int LETTERS_A_SLIP = 3;

    private Nearest() {}

    /** The end of a message: "; did you mean 'X'?", or nothing if no known word is near. */
    static String question(String typed, Collection<String> known) {
        return to(typed, known).map(word -> "; did you mean '" + word + "'?").orElse("");
    }

    /** The known word that begins with what was typed, else the one with the fewest slips, if these are few. */
    static Optional<String> to(String typed, Collection<String> known) {
        Optional<String> longer = known.stream()
                .filter(w -> typed.length() > 3 && w.startsWith(typed))
                .min(Comparator.naturalOrder());
        return longer.isPresent()
                ? longer
                : known.stream()
                        .filter(w -> slips(typed, w) <= Math.max(typed.length(), w.length()) / LETTERS_A_SLIP)
                        .min(Comparator.<String>comparingInt(w -> slips(typed, w))
                                .thenComparing(Comparator.naturalOrder()));
    }

    /** Letters to add, leave out or exchange, and neighbours to swap. */
    private static int slips(String a, String b) {
        int[][] d = new int[a.length() + 1][b.length() + 1];
        for (int i = 0; i <= a.length(); i++) {
            for (int j = 0; j <= b.length(); j++) {
                if (i == 0 || j == 0) {
                    d[i][j] = i + j;
                    continue;
                }
                boolean same = a.charAt(i - 1) == b.charAt(j - 1);
                d[i][j] = Math.min(d[i - 1][j - 1] + (same ? 0 : 1), 1 + Math.min(d[i - 1][j], d[i][j - 1]));
                if (i > 1 && j > 1 && a.charAt(i - 1) == b.charAt(j - 2) && a.charAt(i - 2) == b.charAt(j - 1)) {
                    d[i][j] = Math.min(d[i][j], d[i - 2][j - 2] + 1);
                }
            }
        }
        return d[a.length()][b.length()];
    }
}
