package evendose.correction;

import evendose.Supported;
import java.util.Locale;

/** A correction would need more memory than Java may use. Told before the work begins, with what to change. */
@Supported
public final class MemoryLimitException extends RuntimeException {
    private static final long serialVersionUID = 1L;

    /** Estimated need, bytes. */
    private final double neededBytes;

    /**
     * @param what what is too large, for the beginning of a sentence
     * @param neededBytes estimated need, bytes
     * @param allowedBytes what Java may use, bytes
     */
    MemoryLimitException(String what, double neededBytes, double allowedBytes) {
        super(String.format(
                Locale.ROOT,
                "%s; that needs about %.1f GB of memory, %.1f GB are allowed. Give more (java -Xmx%.0fg), choose fewer"
                        + " layers, a smaller cell or a --window, or allow larger pieces (--max-piece-um)",
                what,
                neededBytes / 1e9,
                allowedBytes / 1e9,
                Math.ceil(1.2 * neededBytes / 1e9)));
        this.neededBytes = neededBytes;
    }

    /** {@return estimated need, bytes} */
    public double neededBytes() {
        return neededBytes;
    }
}
