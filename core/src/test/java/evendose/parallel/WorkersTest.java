package evendose.parallel;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.concurrent.CancellationException;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class WorkersTest {
    /** With one thread, too; parts under way are finished before the call ends, and the caller stays interrupted. */
    @ParameterizedTest
    @ValueSource(ints = {1, 2, 4})
    void anInterruptEndsTheWorkBeforeTheNextParts(int threads) {
        Thread caller = Thread.currentThread();
        int[] done = new int[1];
        try (Workers workers = Workers.of(threads)) {
            assertThrows(
                    CancellationException.class,
                    () -> workers.run(100_000, part -> {
                        synchronized (done) {
                            if (++done[0] == 50) {
                                caller.interrupt();
                            }
                        }
                    }));
            // Others may have begun one each when the interrupt came.
            assertTrue(done[0] >= 50 && done[0] < 50 + threads, () -> done[0] + " parts done");
        } finally {
            assertTrue(Thread.interrupted());
        }
    }

    @ParameterizedTest
    @ValueSource(ints = {1, 3})
    void whatAPartThrowsComesOut(int threads) {
        try (Workers workers = Workers.of(threads)) {
            IllegalStateException thrown = assertThrows(
                    IllegalStateException.class,
                    () -> workers.run(10, part -> {
                        if (part == 7) {
                            throw new IllegalStateException("seven");
                        }
                    }));
            assertEquals("seven", thrown.getMessage());
        }
    }
}
