package evendose.tiles;

import java.io.IOException;
import java.io.ObjectInputStream;
import java.io.ObjectOutputStream;
import java.io.OutputStream;
import java.io.Serializable;
import java.lang.reflect.Array;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;

/**
 * Writes what tiles remember. Nearly all of it are long arrays of numbers, which an {@link ObjectOutputStream} writes and an {@link ObjectInputStream} reads number by
 * number; here they go as blocks of bytes, in an order of bytes that is the same on all machines. An {@link ObjectInputStream} reads the result as it is.
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
                ? new Block(o)
                : o;
    }

    /** A long array on its way. */
    private static final class Block implements Serializable {
        private static final long serialVersionUID = 1L;

        /** Bytes that are copied at a time. */
        private static final int CHUNK = 1 << 16;

        private transient Object array;

        Block(Object array) {
            this.array = array;
        }

        private void writeObject(ObjectOutputStream out) throws IOException {
            char kind = array.getClass().getComponentType().descriptorString().charAt(0);
            out.writeChar(kind);
            int length = Array.getLength(array);
            out.writeInt(length);
            ByteBuffer bytes = buffer(length, kind);
            int most = bytes.capacity() / size(kind);
            for (int from = 0; from < length; from += most) {
                int n = Math.min(most, length - from);
                switch (kind) {
                    case 'D' -> bytes.asDoubleBuffer().put((double[]) array, from, n);
                    case 'F' -> bytes.asFloatBuffer().put((float[]) array, from, n);
                    case 'J' -> bytes.asLongBuffer().put((long[]) array, from, n);
                    default -> bytes.asIntBuffer().put((int[]) array, from, n);
                }
                out.write(bytes.array(), 0, n * size(kind));
            }
        }

        private void readObject(ObjectInputStream in) throws IOException {
            char kind = in.readChar();
            int length = in.readInt();
            array = switch (kind) {
                case 'D' -> new double[length];
                case 'F' -> new float[length];
                case 'J' -> new long[length];
                default -> new int[length];
            };
            ByteBuffer bytes = buffer(length, kind);
            int most = bytes.capacity() / size(kind);
            for (int from = 0; from < length; from += most) {
                int n = Math.min(most, length - from);
                in.readFully(bytes.array(), 0, n * size(kind));
                switch (kind) {
                    case 'D' -> bytes.asDoubleBuffer().get((double[]) array, from, n);
                    case 'F' -> bytes.asFloatBuffer().get((float[]) array, from, n);
                    case 'J' -> bytes.asLongBuffer().get((long[]) array, from, n);
                    default -> bytes.asIntBuffer().get((int[]) array, from, n);
                }
            }
        }

        private static int size(char kind) {
            return kind == 'D' || kind == 'J' ? Long.BYTES : Integer.BYTES;
        }

        private static ByteBuffer buffer(int length, char kind) {
            return ByteBuffer.allocate((int) Math.min(CHUNK, (long) length * size(kind)))
                    .order(ByteOrder.LITTLE_ENDIAN);
        }

        private Object readResolve() {
            return array;
        }
    }
}
