package evendose.layout.oasis;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/**
 * A file with every kind of shape, repetition, point list and placement, a layer each, most of which real files lack.
 *
 * <p>Run as a program with a file's name it writes the file, so that other programs' readers can be asked what it holds; see
 * testdata/reference/README.md.
 */
final class Catalogue {
    private Catalogue() {}

    public static void main(String[] args) throws IOException {
        Files.write(Path.of(args[0]), file());
    }

    static byte[] file() {
        Oasis o = Oasis.file();
        o.cell("LEAF");
        // A shape without symmetry, so that every turn shows.
        o.uint(21)
                .raw(0x3b)
                .uint(500, 0, 4, 3)
                .delta(400, 0)
                .delta(-300, 200)
                .delta(-50, 600)
                .sint(100, 50);
        o.cell("TOP");
        compactTrapezoids(o);
        trapezoids(o);
        repetitions(o);
        pointLists(o);
        paths(o);
        o.cell("PLACED");
        placements(o);
        // The names of numbered cells come last.
        o.uint(13, 7).rectangle(590, 0, 5, 6, 7, 8);
        o.cell("LAST").uint(17).raw(0xf0).uint(7).sint(1000, 2000);
        o.uint(4).string("NUMBERED").uint(7);
        return o.end();
    }

    /** Layers 100 to 125, one a type; 130 to 133: what the next record takes over from one whose height follows. */
    private static void compactTrapezoids(Oasis o) {
        for (int type = 0; type < 26; type++) {
            boolean tall = type >= 8 && type <= 15;
            long w = tall ? 30 : 100;
            long h = tall ? 100 : 30;
            boolean noWidth = type == 20 || type == 21;
            boolean noHeight =
                    type == 16 || type == 17 || type == 18 || type == 19 || type == 22 || type == 23 || type == 25;
            int info = 0x9b | (noWidth ? 0 : 0x40) | (noHeight ? 0 : 0x20);
            o.uint(26).raw(info).uint(100 + type, 0, type);
            if (!noWidth) {
                o.uint(w);
            }
            if (!noHeight) {
                o.uint(h);
            }
            o.sint(-10 * type, 7 * type);
        }
        // A rectangle that takes over both extents: those of the box where they were given, else what was before.
        o.rectangle(130, 0, 11, 13, 0, 0);
        o.uint(26)
                .raw(0xdb)
                .uint(131, 0, 16, 17)
                .sint(20, 0)
                .uint(20)
                .raw(0x1b)
                .uint(131, 1)
                .sint(20, 0);
        o.uint(26)
                .raw(0xbb)
                .uint(132, 0, 20, 19)
                .sint(40, 0)
                .uint(20)
                .raw(0x1b)
                .uint(132, 1)
                .sint(40, 0);
        o.uint(26)
                .raw(0xdb)
                .uint(133, 0, 22, 23)
                .sint(60, 0)
                .uint(20)
                .raw(0x1b)
                .uint(133, 1)
                .sint(60, 0);
        o.uint(20)
                .raw(0xdb)
                .uint(134, 0, 29)
                .sint(80, 0)
                .uint(20)
                .raw(0x1b)
                .uint(134, 1)
                .sint(80, 0);
    }

    /** Layers 200 to 217: both orientations, all signs, and the records with one slant. */
    private static void trapezoids(Oasis o) {
        int layer = 200;
        for (int upright = 0; upright <= 0x80; upright += 0x80) {
            for (int a = -7; a <= 7; a += 14) {
                for (int b = -11; b <= 11; b += 22) {
                    o.uint(23).raw(0x7b | upright).uint(layer++, 0, 60, 40).sint(a, b, 5, -5);
                }
                o.uint(24).raw(0x7b | upright).uint(layer++, 0, 60, 40).sint(a, 5, -5);
                o.uint(25).raw(0x7b | upright).uint(layer++, 0, 60, 40).sint(a, 5, -5);
            }
        }
        // Triangles.
        o.uint(24).raw(0x7b).uint(layer++, 0, 60, 40).sint(60, 5, -5);
        o.uint(25).raw(0xfb).uint(layer, 0, 60, 40).sint(-40, 5, -5);
    }

    /** Layers 300 to 314. */
    private static void repetitions(Oasis o) {
        o.repeatedRectangle(300, 4, 3, 0, 0).uint(1, 1, 0, 10, 20);
        o.repeatedRectangle(301, 4, 3, 1, 0).uint(2, 2, 11);
        o.repeatedRectangle(302, 4, 3, 0, 1).uint(3, 0, 12);
        o.repeatedRectangle(303, 4, 3, 0, 0).uint(4, 2, 10, 20, 5);
        o.repeatedRectangle(304, 4, 3, 0, 0).uint(5, 1, 3, 4, 5);
        o.repeatedRectangle(305, 4, 3, 0, 0).uint(6, 1, 13, 7);
        o.repeatedRectangle(306, 4, 3, 0, 0).uint(7, 0, 9, 2);
        o.repeatedRectangle(307, 4, 3, 0, 0).uint(8, 0, 1).delta(10, -3).delta(2, 15);
        o.repeatedRectangle(308, 4, 3, 0, 0).uint(9, 1).delta(-10, 4);
        o.repeatedRectangle(309, 4, 3, 0, 0).uint(10, 1).delta(20, 5).delta(-3, -30);
        o.repeatedRectangle(310, 4, 3, 0, 0).uint(11, 1, 5).delta(2, 1).delta(-7, 3);
        // Type 0 takes the last one over, here of a list; and the short form of offsets, in all eight directions.
        o.repeatedRectangle(311, 5, 5, 100, 100).uint(0);
        for (int direction = 0; direction < 8; direction++) {
            o.repeatedRectangle(312, 2, 2, 1000 * direction, 0).uint(9, 0, 40 + direction << 4 | direction << 1);
        }
        // A repeated triangle, and a placement whose repetition another record left behind.
        o.uint(21)
                .raw(0x3f)
                .uint(313, 0, 4, 2)
                .delta(9, 0)
                .delta(0, 5)
                .sint(3, 4)
                .uint(1, 0, 0, 30, 40);
        o.uint(17).raw(0xb8).string("LEAF").sint(50_000, 60_000).uint(0);
    }

    /** Layers 400 to 405, one a type. */
    private static void pointLists(Oasis o) {
        o.uint(21).raw(0x3b).uint(400, 0, 0, 4).sint(60, 40, -20, -15, 2, 3);
        o.uint(21).raw(0x3b).uint(401, 0, 1, 4).sint(60, 40, -20, -15, 2, 3);
        o.uint(21).raw(0x3b).uint(402, 0, 2, 5).uint(50 << 2, 20 << 2 | 1, 30 << 2 | 2, 5 << 2 | 1, 20 << 2 | 2);
        o.sint(2, 3);
        o.uint(21).raw(0x3b).uint(403, 0, 3, 7);
        o.uint(20 << 3 | 7, 30 << 3, 20 << 3 | 4, 15 << 3 | 1, 10 << 3 | 5, 45 << 3 | 2, 9 << 3 | 6)
                .sint(2, 3);
        o.uint(21)
                .raw(0x3b)
                .uint(404, 0, 4, 3)
                .uint(70 << 4, 30 << 4 | 1 << 1)
                .delta(-35, 12)
                .sint(2, 3);
        o.uint(21)
                .raw(0x3b)
                .uint(405, 0, 5, 4)
                .delta(50, 0)
                .delta(-10, 30)
                .delta(-60, 5)
                .delta(-40, -20)
                .sint(2, 3);
        // The same points once more, on another layer and at another place.
        o.uint(21).raw(0x19).uint(406).sint(202, 203);
    }

    /** Layers 420 to 424: ends flush, half-width, explicit, mixed; then widths and points taken over. */
    private static void paths(Oasis o) {
        o.uint(22).raw(0xfb).uint(420, 0, 10, 0x5).uint(1, 2).sint(500, 200, 0, 0);
        o.uint(22).raw(0xfb).uint(421, 0, 10, 0xa).uint(1, 2).sint(500, 200, 0, 0);
        o.uint(22).raw(0xfb).uint(422, 0, 10, 0xf).sint(33, -44).uint(0, 2).sint(500, 200, 0, 0);
        o.uint(22)
                .raw(0xfb)
                .uint(423, 0, 10, 0xd)
                .sint(25)
                .uint(4, 2)
                .delta(300, 0)
                .delta(200, 100)
                .sint(0, 0);
        o.uint(22).raw(0x1b).uint(424, 0).sint(1000, 1000);
        o.uint(22).raw(0x9b).uint(425, 0, 0x2).sint(-1000, 1000);
    }

    /** Layer 500 eight ways by quarter turns, then by reals of every type; relative positions. */
    private static void placements(Oasis o) {
        for (int turn = 0; turn < 8; turn++) {
            o.uint(17).raw(0xb0 | turn).string("LEAF").sint(3000 * turn, 0);
        }
        int x = 0;
        o.uint(18).raw(0xb6).string("LEAF").uint(0, 2, 0, 30).sint(x += 5000, 9000);
        o.uint(18).raw(0x36).uint(2, 2, 1, 40).sint(x += 5000, 9000);
        o.uint(18).raw(0x36).uint(4, 3, 2, 3, 8).sint(x += 5000, 9000);
        o.uint(18).raw(0x36).float32(1.25).uint(5, 725, 10).sint(x += 5000, 9000);
        o.uint(18).raw(0x37).float64(1.7).float64(-123.456).sint(x += 5000, 9000);
        o.uint(18).raw(0x33).uint(2, 4).sint(x + 5000, 9000);
        o.uint(16).uint(17).raw(0x30).sint(100, 200).uint(17).raw(0x21).sint(7000);
        // Repeated, with the copies counted in this cell's directions.
        o.uint(15).uint(18).raw(0x3e).uint(0, 2, 0, 90).sint(0, 20_000).uint(1, 1, 0, 4000, 5000);
    }
}
