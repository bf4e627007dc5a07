package evendose.correction;

import static org.junit.jupiter.api.Assertions.assertDoesNotThrow;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class MemoryNeedTest {
    @Test
    void whatFitsIsNotRefused() {
        assertDoesNotThrow(() -> MemoryNeed.require(1000, "a small layout"));
        assertDoesNotThrow(() -> MemoryNeed.requireBeside(1000, "a small layout"));
    }

    /** All that Java may use fits alone, but not beside what is in use already. */
    @Test
    void whatIsInUseCounts() {
        double all = Runtime.getRuntime().maxMemory();
        assertDoesNotThrow(() -> MemoryNeed.require(all, "a large layout"));
        MemoryLimitException refused = assertThrows(
                MemoryLimitException.class, () -> MemoryNeed.requireBeside(all, "a large layout was cut into pieces"));
        assertTrue(refused.neededBytes() > all);
        assertTrue(refused.getMessage().startsWith("a large layout was cut into pieces; that needs about "));
        assertTrue(refused.getMessage().contains("--max-piece-um"));
    }
}
