package evendose.layout;

/**
 * How much a layout file may ask for, so that a damaged or hostile one is refused early instead of filling memory or time.
 *
 * @param memoryBytes most memory for what is read, about, bytes
 * @param decompressedBytes most bytes that compressed data may give
 */
public record ReadLimits(long memoryBytes, long decompressedBytes) {
    private static final long DECOMPRESSED = 8L << 30;

    /** Checks that values lie in their ranges. {@inheritDoc} */
    public ReadLimits {
        if (memoryBytes < 1 || decompressedBytes < 1) {
            throw new IllegalArgumentException(
                    "limits must be positive, got " + memoryBytes + " and " + decompressedBytes + " bytes");
        }
    }

    /** {@return three quarters of the memory that Java may use, and 8 GiB of decompressed data} */
    public static ReadLimits usual() {
        return new ReadLimits(Runtime.getRuntime().maxMemory() / 4 * 3, DECOMPRESSED);
    }
}
