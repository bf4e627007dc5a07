package evendose.files;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class OneLineTest {
    @Test
    void whatCouldHarmATerminalBecomesASpace() {
        assertEquals("a [31mred b c d e", OneLine.of("a\u001b[31mred\nb\u202ec\u2028d\u009be"));
        assertEquals("x \ud83d\ude00\u00b5\u6f22 y", OneLine.of("x\ud800\ud83d\ude00\u00b5\u6f22\u0000y"));
    }

    @Test
    void longTextsLoseTheirMiddle() {
        assertEquals("0123456789", OneLine.of("0123456789", 10));
        assertEquals("012 ... 89", OneLine.of("0123456789".repeat(50), 10));
    }

    /** Names from files stand in messages; they stay one line of some length. */
    @Test
    void messagesAreOneLine() {
        BadInputException e = new BadInputException("f.gds", "cell \u001b]0;x\u0007", "is\n" + "long".repeat(50_000));
        assertTrue(
                e.getMessage().startsWith("f.gds, cell  ]0;x : is long"),
                e.getMessage().substring(0, 60));
        assertTrue(e.getMessage().length() < 3000);
    }
}
