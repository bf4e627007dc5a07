package evendose.parallel;

import evendose.Supported;

/**
 * Hears how far a computation is. Compute code reports counts only; how and whether they are shown is the listener's
 * business. Methods may be called from any thread.
 */
@Supported
public interface Progress {
    /** Hears nothing. */
    Progress NONE = new Progress() {
        @Override
        public void begin(String stage, long total) {}

        @Override
        public void advance(long done) {}
    };

    /**
     * A stage begins, and the one before it is over.
     *
     * @param stage what is being done, for a person to read
     * @param total number of steps, or 0 if unknown
     */
    void begin(String stage, long total);

    /**
     * {@code done} more steps of the current stage are done.
     *
     * @param done steps that are done in addition
     */
    void advance(long done);
}
