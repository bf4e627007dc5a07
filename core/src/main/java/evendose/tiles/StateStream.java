package evendose.tiles;

import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.io.OutputStream;
import java.io.Serializable;
import java.lang.reflect.Array;

/**
 * Writes what tiles remember. Nearly all of it are long arrays of numbers, which an {@link ObjectOutputStream} writes and an {@link ObjectInputStream} reads number by
 * number; here they go as blocks of bytes, as few as {@link PackedNumbers} can do with. An {@link ObjectInputStream} reads the result as it is.
 */
public final class StateStream extends ObjectOutputStream {
    /** Shorter arrays are left alone: what stands for a long one takes as much. */
    private static final int LONG = 64;

    /**
     * Begins.
     *
     * @param out where to
     * @throws IOException if nothing can be written there
     */
    public StateStream(OutputStream out) throws IOException {
        super(out);
        enableReplaceObject(true);
    }

    @Override
    protected Object replaceObject(Object o) {
        return o instanceof double[] d && d.length > LONG
                        || o instanceof float[] f && f.length > LONG
                        || o instanceof long[] l && l.length > LONG
                        || o instanceof int[] i && i.length > LONG
                        || o instanceof char[] c && c.length > LONG
                        || o instanceof boolean[] b && b.length > LONG
                ? new Block(o)
                : o;
    }

    /** A long array on its way. */
    private static final class Block implements Serializable {
        private static final long serialVersionUID = 2L;

        private transient Object array;

        Block(Object array) {
            this.array = array;
        }

        private void writeObject(ObjectOutputStream out) throws IOException {
            char kind = array.getClass().getComponentType().descriptorString().charAt(0);
            out.writeChar(kind);
            int length = Array.getLength(array);
            out.writeInt(length);
            PackedNumbers packed = new PackedNumbers(length);
            for (int from = 0; from < length; from += PackedNumbers.MOST) {
                packed.write(array, from, Math.min(PackedNumbers.MOST, length - from), out);
            }
        }

        private void readObject(ObjectInputStream in) throws IOException {
            char kind = in.readChar();
            int length = in.readInt();
            array = switch (kind) {
                case 'D' -> new double[length];
                case 'F' -> new float[length];
                case 'J' -> new long[length];
                case 'C' -> new char[length];
                case 'Z' -> new boolean[length];
                default -> new int[length];
            };
            PackedNumbers packed = new PackedNumbers(length);
            for (int from = 0; from < length; from += PackedNumbers.MOST) {
                packed.read(array, from, Math.min(PackedNumbers.MOST, length - from), in);
            }
        }

        private Object readResolve() {
            return array;
        }
    }
}
