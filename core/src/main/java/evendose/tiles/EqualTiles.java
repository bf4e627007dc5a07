package evendose.tiles;

import java.util.ArrayList;
import java.util.List;
import java.util.function.BiPredicate;
import java.util.stream.IntStream;

/**
 * Which tiles have one correction together: that of the first of them. Tiles part when they turn out to differ, and never meet again; all follows
 * from the order of their numbers.
 */
final class EqualTiles {
    private final int[] first;

    /** As a grid takes them for equal. */
    EqualTiles(TileGrid grid) {
        first = IntStream.range(0, grid.tiles()).map(grid::alike).toArray();
    }

    /** The first of the tiles that equal a tile. */
    int first(int tile) {
        return first[tile];
    }

    boolean isFirst(int tile) {
        return first[tile] == tile;
    }

    /** The first tiles, by rising number. */
    List<Integer> firsts() {
        return IntStream.range(0, first.length).filter(this::isFirst).boxed().toList();
    }

    /** The first tiles of more than themselves. */
    List<Integer> leading() {
        return IntStream.range(0, first.length)
                .filter(t -> !isFirst(t))
                .map(t -> first[t])
                .distinct()
                .sorted()
                .boxed()
                .toList();
    }

    /**
     * Parts tiles that differ from the first of theirs: each joins the first that parted before and is the same, or leads those to come.
     *
     * @param areSame whether two tiles are the same in some respect
     * @return the tiles that lead others now or are alone, and the former first of each, in pairs
     */
    List<int[]> part(BiPredicate<Integer, Integer> areSame) {
        List<int[]> parted = new ArrayList<>();
        for (int t = 0; t < first.length; t++) {
            int former = first[t];
            if (former == t || areSame.test(t, former)) {
                continue;
            }
            int tile = t;
            first[t] = parted.stream()
                    .filter(p -> p[1] == former && areSame.test(tile, p[0]))
                    .mapToInt(p -> p[0])
                    .findFirst()
                    .orElse(t);
            if (first[t] == t) {
                parted.add(new int[] {t, former});
            }
        }
        return parted;
    }
}
