package evendose.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.util.Optional;

/** A stream that remembers what went wrong with it, which writers keep to themselves. */
final class Outlet extends OutputStream {
    private final OutputStream stream;
    private IOException failure;

    Outlet(OutputStream stream) {
        this.stream = stream;
    }

    /**
     * Why not all of the text arrived, if it did not. A reader that has seen enough and went, as the first lines of a result are
     * taken by another program, is no failure.
     */
    Optional<IOException> failure() {
        return Optional.ofNullable(failure)
                .filter(e -> !String.valueOf(e.getMessage()).contains("Broken pipe"));
    }

    @Override
    public void write(int b) throws IOException {
        write(new byte[] {(byte) b}, 0, 1);
    }

    @Override
    public void write(byte[] bytes, int from, int count) throws IOException {
        try {
            stream.write(bytes, from, count);
        } catch (IOException e) {
            failure = failure == null ? e : failure;
            throw e;
        }
    }

    @Override
    public void flush() throws IOException {
        try {
            stream.flush();
        } catch (IOException e) {
            failure = failure == null ? e : failure;
            throw e;
        }
    }
}
