package evendose.layout.oasis;

import java.util.List;

/** Sound OASIS files for tests elsewhere. */
public final class OasisSamples {
    private OasisSamples() {}

    /** The catalogue of all records; one with compressed blocks, properties, texts and a CRC-32; one with a checksum. */
    public static List<byte[]> all() {
        Oasis inside = new Oasis().rectangle(1, 0, 10, 20, 30, -40);
        inside.repeatedRectangle(2, 5, 5, 0, 0)
                .uint(10, 2)
                .delta(7, 3)
                .delta(-4, 9)
                .delta(50, -60);
        inside.uint(19).raw(0x5b).string("label").uint(1, 2).sint(100, 200);
        inside.uint(28).raw(0x24).string("name").uint(8, 77, 10).string("text");
        inside.uint(27).raw(0x3b).uint(1, 0, 1000).sint(500, -700);
        inside.uint(17)
                .raw(0xf0)
                .uint(4)
                .sint(1000, 2000)
                .uint(33)
                .raw(0)
                .uint(9)
                .string("shape");
        byte[] packed = Oasis.file()
                .uint(12)
                .string("metal")
                .uint(0, 4, 1, 5)
                .cell("TOP")
                .block(inside)
                .block(inside)
                .uint(13, 4)
                .rectangle(3, 1, 5, 6, 7, 8)
                .uint(4)
                .string("SUB")
                .uint(4)
                .end();
        return List.of(
                Catalogue.file(),
                packed,
                Oasis.top().rectangle(1, 0, 10, 10, 0, 0).endWithCrc(),
                Oasis.top().rectangle(1, 0, 10, 10, 0, 0).endWithChecksum());
    }
}
