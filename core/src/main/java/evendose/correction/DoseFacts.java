package evendose.correction;

import java.util.Arrays;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;

/**
 * What is told of all doses of a correction together, of the whole or in tiles.
 *
 * @param options how it was corrected
 * @param roles the layers and what each does
 * @param convergence how the iteration went, with the residuals of the doses that are written
 * @param outlineError how far energies along the outline are off
 * @param shapes number of merged shapes; empty in tiles, whose borders part them
 * @param units number of dose units, those on both sides of a tile's border counted twice
 * @param cut number of pieces before neighbours of equal dose were joined
 * @param pieces number of pieces
 * @param piecesOf number of pieces of each status
 * @param areaUm2 exposed area, um^2
 * @param dosedAreaUm2 area times dose factor, um^2
 * @param minFactor smallest dose factor
 * @param maxFactor largest dose factor
 * @param levels number of dose levels that any unit has
 */
public record DoseFacts(
        CorrectionOptions options,
        List<LayerRole> roles,
        Convergence convergence,
        OutlineError outlineError,
        OptionalLong shapes,
        long units,
        long cut,
        long pieces,
        Map<DoseStatus, Long> piecesOf,
        double areaUm2,
        double dosedAreaUm2,
        double minFactor,
        double maxFactor,
        long levels) {
    /** Copies lists. {@inheritDoc} */
    public DoseFacts {
        roles = List.copyOf(roles);
        piecesOf = Map.copyOf(piecesOf);
    }

    /**
     * {@return what is told of a table}
     *
     * @param table the doses as they are written
     */
    public static DoseFacts of(DoseTable table) {
        Map<DoseStatus, Long> piecesOf = new EnumMap<>(DoseStatus.class);
        for (DoseStatus status : DoseStatus.values()) {
            piecesOf.put(status, table.pieces(status));
        }
        return new DoseFacts(
                table.options(),
                table.roles(),
                table.convergence(),
                table.outlineError(),
                OptionalLong.of(table.pieces().shapes()),
                table.counts().units(),
                table.counts().pieces(),
                table.pieces().size(),
                piecesOf,
                table.areaUm2(),
                table.dosedAreaUm2(),
                table.minFactor(),
                table.maxFactor(),
                table.levelsUsed());
    }

    /**
     * {@return number of pieces of a status}
     *
     * @param status the status
     */
    public long pieces(DoseStatus status) {
        return piecesOf.getOrDefault(status, 0L);
    }

    /** {@return number of pieces held at a bound, whatever the cause} */
    public long heldPieces() {
        return Arrays.stream(DoseStatus.values())
                .filter(DoseStatus::isHeld)
                .mapToLong(this::pieces)
                .sum();
    }
}
