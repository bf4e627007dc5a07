package evendose.correction;

import evendose.layout.Layer;
import evendose.pieces.Pieces;
import evendose.pieces.Trapezoid;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;

/** Collects pieces row by row, in any order, and arranges them by shape and unit. */
final class PieceRows {
    private final double[][] six = new double[6][1024];
    private boolean[] standing = new boolean[1024];
    private double[] factor = new double[1024];
    private int[] layer = new int[1024];
    private long[] shape = new long[1024];
    private long[] unit = new long[1024];
    private int[] place = new int[1024];
    private DoseStatus[] status = new DoseStatus[1024];
    private int size;
    private final Map<Layer, Integer> layers = new LinkedHashMap<>();

    /** Adds a piece. */
    void add(Trapezoid t, Layer on, long ofShape, long ofUnit, double withFactor, DoseStatus withStatus, int atPlace) {
        if (size == factor.length) {
            int length = 2 * size;
            for (int k = 0; k < 6; k++) {
                six[k] = Arrays.copyOf(six[k], length);
            }
            standing = Arrays.copyOf(standing, length);
            factor = Arrays.copyOf(factor, length);
            layer = Arrays.copyOf(layer, length);
            shape = Arrays.copyOf(shape, length);
            unit = Arrays.copyOf(unit, length);
            place = Arrays.copyOf(place, length);
            status = Arrays.copyOf(status, length);
        }
        six[0][size] = t.low();
        six[1][size] = t.high();
        six[2][size] = t.fromLow();
        six[3][size] = t.toLow();
        six[4][size] = t.fromHigh();
        six[5][size] = t.toHigh();
        standing[size] = t.standing();
        factor[size] = withFactor;
        layer[size] = layers.computeIfAbsent(on, l -> layers.size());
        shape[size] = ofShape;
        unit[size] = ofUnit;
        status[size] = withStatus;
        place[size++] = atPlace;
    }

    /** Everything added, arranged; places are numbers after the word {@code placeWord}. */
    StoredDoses build(
            String placeWord,
            OptionalDouble baseDose,
            double levelRatio,
            boolean rounded,
            List<String> contradictions) {
        int[] order = order();
        double[][] sorted = new double[6][size];
        boolean[] stands = new boolean[size];
        for (int i = 0; i < size; i++) {
            for (int k = 0; k < 6; k++) {
                sorted[k][i] = six[k][order[i]];
            }
            stands[i] = standing[order[i]];
        }
        int[] unitFirst = new int[size + 1];
        int[] shapeFirst = new int[size + 1];
        int[] layerOfShape = new int[size];
        double[] unitFactor = new double[size];
        DoseStatus[] unitStatus = new DoseStatus[size];
        List<Integer> splitAt = new ArrayList<>();
        int units = 0;
        int shapes = 0;
        for (int i = 0; i < size; i++) {
            int now = order[i];
            int before = i == 0 ? -1 : order[i - 1];
            boolean newShape = i == 0 || layer[now] != layer[before] || shape[now] != shape[before];
            boolean newUnit = newShape || unit[now] != unit[before];
            boolean newDose = newUnit || factor[now] != factor[before];
            if (newDose && !newUnit) {
                splitAt.add(i);
            }
            if (newShape) {
                layerOfShape[shapes] = layer[now];
                shapeFirst[shapes++] = units;
            }
            if (newDose) {
                unitFactor[units] = factor[now];
                unitStatus[units] = status[now];
                unitFirst[units++] = i;
            }
        }
        unitFirst[units] = size;
        shapeFirst[shapes] = units;
        Pieces pieces = new Pieces(
                sorted,
                stands,
                Arrays.copyOf(unitFirst, units + 1),
                Arrays.copyOf(shapeFirst, shapes + 1),
                Arrays.copyOf(layerOfShape, shapes));
        List<StoredDoses.SplitUnit> split = splitAt.stream()
                .map(i -> new StoredDoses.SplitUnit(
                        placeWord + " " + place[order[i]],
                        pieces.middleXUm(i),
                        pieces.middleYUm(i),
                        factor[order[i]] / factor[order[i - 1]]))
                .toList();
        return new StoredDoses(
                pieces,
                new ArrayList<>(layers.keySet()),
                Arrays.copyOf(unitFactor, units),
                Arrays.copyOf(unitStatus, units),
                baseDose,
                levelRatio,
                rounded,
                split,
                contradictions);
    }

    /** Row numbers by layer, shape, unit; rows of one unit keep their order. */
    private int[] order() {
        boolean arranged = true;
        for (int i = 1; i < size && arranged; i++) {
            arranged = compare(i - 1, i) <= 0;
        }
        int[] order = new int[size];
        if (arranged) {
            Arrays.setAll(order, i -> i);
            return order;
        }
        Integer[] boxed = new Integer[size];
        Arrays.setAll(boxed, i -> i);
        Arrays.sort(boxed, this::compare);
        Arrays.setAll(order, i -> boxed[i]);
        return order;
    }

    private int compare(int a, int b) {
        if (layer[a] != layer[b]) {
            return Integer.compare(layer[a], layer[b]);
        }
        return shape[a] != shape[b] ? Long.compare(shape[a], shape[b]) : Long.compare(unit[a], unit[b]);
    }
}
