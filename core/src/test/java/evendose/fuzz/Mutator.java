package evendose.fuzz;

import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;

/** Damages sound files. The same seed gives the same inputs. */
final class Mutator {
    private static final int LONGEST = 1 << 18;
    private static final String[] WORDS = {
        "NaN",
        "Infinity",
        "1e999",
        "-1e-999",
        "-0",
        "9999999999999999999999",
        "0x1p3",
        "1,5",
        "\"",
        "\"\"",
        "'",
        ",",
        ";",
        "\n",
        "\r\n",
        "\r",
        "#",
        "{",
        "}",
        "[",
        "]",
        ":",
        "null",
        "true",
        "\\u0000",
        "\\",
        "\ufeff",
        "\0",
        "=1+1",
        "(",
        ")",
        "POLYGON",
        "EMPTY",
        "e",
        ".",
        "-",
        "+",
        "/",
        "\u00e9",
        "\ud83d\ude00",
        " ",
        "\t"
    };

    private final List<byte[]> seeds;
    private final SplittableRandom random;

    Mutator(List<byte[]> seeds, long seed) {
        this.seeds = seeds;
        this.random = new SplittableRandom(seed);
    }

    /** The next input: a seed with one to eight changes. */
    byte[] next() {
        byte[] bytes = pick().clone();
        for (int changes = 1 << random.nextInt(4); changes > 0; changes--) {
            bytes = change(bytes);
        }
        return bytes;
    }

    private byte[] pick() {
        return seeds.get(random.nextInt(seeds.size()));
    }

    private byte[] change(byte[] bytes) {
        if (bytes.length == 0) {
            return new byte[] {(byte) random.nextInt()};
        }
        int at = place(bytes.length);
        int length = 1 + random.nextInt(Math.min(bytes.length - at, random.nextBoolean() ? 8 : 400));
        switch (random.nextInt(12)) {
            case 0, 1 -> bytes[at] ^= (byte) (1 << random.nextInt(8));
            case 2 -> bytes[at] = (byte) random.nextInt();
            case 3 -> bytes[at] += (byte) (random.nextBoolean() ? 1 : -1);
            case 4 -> {
                byte[] extremes = {0, -1, 127, -128, 1};
                Arrays.fill(bytes, at, at + Math.min(length, 8), extremes[random.nextInt(extremes.length)]);
            }
            case 5 -> {
                return join(bytes, at, bytes, at + length, bytes.length);
            }
            case 6 -> {
                // The same stretch once more, or many times.
                byte[] stretch = Arrays.copyOfRange(bytes, at, at + length);
                byte[] result = bytes;
                for (int i = random.nextInt(8) == 0 ? 200 : 1; i > 0; i--) {
                    result = insert(result, at, stretch);
                }
                return result;
            }
            case 7 -> {
                int to = place(bytes.length);
                System.arraycopy(bytes, at, bytes, to, Math.min(length, bytes.length - to));
            }
            case 8 -> {
                return Arrays.copyOf(bytes, at);
            }
            case 9 -> {
                byte[] other = pick();
                int from = place(other.length);
                int end = Math.min(other.length, from + length);
                return random.nextInt(4) == 0
                        ? join(bytes, at, other, from, other.length)
                        : insert(bytes, at, Arrays.copyOfRange(other, from, end));
            }
            case 10 -> {
                String word = WORDS[random.nextInt(WORDS.length)];
                int times = random.nextInt(16) == 0 ? 2000 : 1;
                return insert(bytes, at, word.repeat(times).getBytes(StandardCharsets.UTF_8));
            }
            default -> {
                // In texts: another digit; else any byte of digits.
                for (int i = at; i < bytes.length && i < at + 40; i++) {
                    if (bytes[i] >= '0' && bytes[i] <= '9') {
                        bytes[i] = (byte) ('0' + random.nextInt(10));
                        break;
                    }
                }
            }
        }
        return bytes;
    }

    /** Any place, the head of the file more often. */
    private int place(int length) {
        return random.nextInt(random.nextInt(4) == 0 ? Math.min(length, 200) : length);
    }

    private static byte[] insert(byte[] bytes, int at, byte[] some) {
        if (bytes.length + some.length > LONGEST) {
            return bytes;
        }
        byte[] result = new byte[bytes.length + some.length];
        System.arraycopy(bytes, 0, result, 0, at);
        System.arraycopy(some, 0, result, at, some.length);
        System.arraycopy(bytes, at, result, at + some.length, bytes.length - at);
        return result;
    }

    private static byte[] join(byte[] head, int headEnd, byte[] tail, int tailFrom, int tailEnd) {
        byte[] result = Arrays.copyOf(head, headEnd + tailEnd - tailFrom);
        System.arraycopy(tail, tailFrom, result, headEnd, tailEnd - tailFrom);
        return result;
    }
}
