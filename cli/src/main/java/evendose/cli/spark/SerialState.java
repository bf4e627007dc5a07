package evendose.cli.spark;

import evendose.tiles.StateStream;
import evendose.tiles.TileRunner;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.io.Serializable;
import java.io.UncheckedIOException;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;

/** A tile's state as bytes: what it was stays as it was, whatever work does to the values, and what is put or taken is told. */
final class SerialState implements TileRunner.State {
    private final Map<String, byte[]> before;
    private final Map<String, byte[]> put = new TreeMap<>();
    private final Set<String> taken = new TreeSet<>();

    /** Takes values by the names of their classes. */
    SerialState(Map<String, byte[]> before) {
        this.before = before;
    }

    /** Values that were put, by the names of their classes. */
    Map<String, byte[]> put() {
        return put;
    }

    /** Names of classes whose values are forgotten. */
    Set<String> taken() {
        return taken;
    }

    @Override
    public <T extends Serializable> T get(Class<T> kind) {
        String name = kind.getName();
        byte[] value = put.containsKey(name) ? put.get(name) : taken.contains(name) ? null : before.get(name);
        return kind.cast(read(value));
    }

    @Override
    public <T extends Serializable> T take(Class<T> kind) {
        T value = get(kind);
        put.remove(kind.getName());
        taken.add(kind.getName());
        return value;
    }

    @Override
    public void put(Serializable value) {
        put.put(value.getClass().getName(), bytes(value));
    }

    /** A value as bytes; null stays null. */
    static byte[] bytes(Object value) {
        if (value == null) {
            return null;
        }
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ObjectOutputStream out = new StateStream(bytes)) {
            out.writeObject(value);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        return bytes.toByteArray();
    }

    /** The value that bytes are of, a new one each time. */
    static Object read(byte[] bytes) {
        if (bytes == null) {
            return null;
        }
        try (ObjectInputStream in = new ObjectInputStream(new ByteArrayInputStream(bytes))) {
            return in.readObject();
        } catch (IOException | ClassNotFoundException e) {
            throw new IllegalStateException("what a tile remembers cannot be read", e);
        }
    }
}
