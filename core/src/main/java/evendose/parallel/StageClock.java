package evendose.parallel;

import java.util.LinkedHashMap;
import java.util.Map;

/** Measures how long each stage takes and passes everything on to another listener. */
public final class StageClock implements Progress {
    private final Progress next;
    private final Map<String, Double> seconds = new LinkedHashMap<>();
    private String stage;
    private long begun;

    /**
     * A clock that passes on to {@code next}.
     *
     * @param next hears the same
     */
    public StageClock(Progress next) {
        this.next = next;
    }

    @Override
    public synchronized void begin(String newStage, long total) {
        stop();
        stage = newStage;
        next.begin(newStage, total);
    }

    @Override
    public void advance(long done) {
        next.advance(done);
    }

    /** {@return seconds spent in each stage so far, in the order they began; times of a stage that came again are added} */
    public synchronized Map<String, Double> secondsByStage() {
        stop();
        return new LinkedHashMap<>(seconds);
    }

    private void stop() {
        long now = System.nanoTime();
        if (stage != null) {
            seconds.merge(stage, (now - begun) * 1e-9, Double::sum);
        }
        begun = now;
    }
}
