package evendose.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class NearestTest {
    @ParameterizedTest
    @CsvSource({
        "correct x.gds --laye 1/0, there is no option '--laye'; did you mean '--layer'?",
        "correct x.gds --base-dose 1, there is no option '--base-dose'; did you mean '--base-dose-uc-per-cm2'?",
        "plan x --curent-na=2, there is no option '--curent-na'; did you mean '--current-na'?",
        "corect x.gds, there is no command 'corect'; did you mean 'correct'?",
        "calibrate patern, there is no command 'patern'; did you mean 'pattern'?",
        "correct x.gds --elephant, there is no option '--elephant'",
        "psf si-10kv, there is no file and no built-in set named 'si-10kv'; did you mean 'si-100kv'?"
    })
    void aSlipGetsAQuestion(String words, String message) {
        Tool tool = Tool.run((Object[]) words.split(" ")).ends(2);
        assertEquals("evendose: " + message, tool.err().lines().findFirst().orElse(""));
    }
}
