package evendose.layout.formats;

import java.io.FilterInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.util.function.Supplier;

/** Passes bytes on up to a limit, then throws. */
final class LimitedStream extends FilterInputStream {
    private long left;
    private final Supplier<RuntimeException> beyond;

    LimitedStream(InputStream in, long limit, Supplier<RuntimeException> beyond) {
        super(in);
        this.left = limit;
        this.beyond = beyond;
    }

    @Override
    public int read() throws IOException {
        int b = super.read();
        count(b < 0 ? 0 : 1);
        return b;
    }

    @Override
    public int read(byte[] bytes, int from, int length) throws IOException {
        int some = super.read(bytes, from, length);
        count(Math.max(0, some));
        return some;
    }

    private void count(int bytes) {
        left -= bytes;
        if (left < 0) {
            throw beyond.get();
        }
    }
}
