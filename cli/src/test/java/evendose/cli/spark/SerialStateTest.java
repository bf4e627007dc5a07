package evendose.cli.spark;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertNull;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;

/** What a tile remembers on a cluster: what was there before, and what a work puts and takes. */
class SerialStateTest {
    private static final String LIST = ArrayList.class.getName();

    private static SerialState state() {
        return new SerialState(Map.of(
                LIST,
                SerialState.bytes(new ArrayList<>(List.of(1, 2))),
                "java.lang.String",
                SerialState.bytes("before")));
    }

    /** Work that Spark does again has to begin with what was there, whatever it did to its values the first time. */
    @Test
    @SuppressWarnings("unchecked")
    void workHasValuesOfItsOwn() {
        SerialState state = state();
        ArrayList<Integer> mine = state.get(ArrayList.class);
        mine.add(3);
        assertEquals(List.of(1, 2), state.get(ArrayList.class));
        assertNotSame(mine, state.get(ArrayList.class));
        assertEquals(Map.of(), state.put(), "nothing was put");
        assertEquals(Set.of(), state.taken());
    }

    @Test
    void whatIsPutGoesBeforeWhatWasThere() {
        SerialState state = state();
        state.put("after");
        assertEquals("after", state.get(String.class));
        assertEquals(Set.of("java.lang.String"), state.put().keySet());
        assertArrayEquals(SerialState.bytes("after"), state.put().get("java.lang.String"));
        assertEquals(List.of(1, 2), state.get(ArrayList.class));
    }

    @Test
    void whatIsTakenIsForgotten() {
        SerialState state = state();
        assertEquals("before", state.take(String.class));
        assertNull(state.get(String.class));
        assertEquals(Set.of("java.lang.String"), state.taken());
        state.put(7);
        assertEquals(7, state.take(Integer.class));
        assertNull(state.get(Integer.class));
        assertEquals(Map.of(), state.put(), "what is put and taken is not kept");
    }

    @Test
    void whatIsTakenCanBePutAgain() {
        SerialState state = state();
        state.take(String.class);
        state.put("again");
        assertEquals("again", state.get(String.class));
        assertEquals(Set.of("java.lang.String"), state.put().keySet());
    }

    @Test
    void whatIsNotThereIsNull() {
        assertNull(state().get(Double.class));
        assertNull(state().take(Double.class));
        assertNull(SerialState.bytes(null));
        assertNull(SerialState.read(null));
    }
}
