package evendose.files;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * A table of numbers and texts that is written as CSV and as JSON, the values behind a picture for instance. Columns come in the
 * order in which the first row names them; every row has the same ones. What is not a finite number is left empty in CSV and null
 * in JSON.
 */
public final class ColumnTable {
    private static final JsonMapper MAPPER = new JsonMapper();

    private final List<String> names = new ArrayList<>();
    private final List<List<Object>> rows = new ArrayList<>();
    private int next;

    /**
     * Begins a row.
     *
     * @return this table
     */
    public ColumnTable row() {
        requireWhole();
        rows.add(new ArrayList<>());
        next = 0;
        return this;
    }

    private void requireWhole() {
        if (!rows.isEmpty() && next != names.size()) {
            throw new IllegalStateException("the row ends before the column " + names.get(next));
        }
    }

    /**
     * {@return the next number of the row, to seven digits}
     *
     * @param column name of the column
     * @param value what the column holds in this row
     */
    public ColumnTable put(String column, double value) {
        return cell(column, Double.isFinite(value) ? (Object) value : null);
    }

    /**
     * {@return the next whole number of the row}
     *
     * @param column name of the column
     * @param value what the column holds in this row
     */
    public ColumnTable put(String column, long value) {
        return cell(column, value);
    }

    /**
     * {@return the next text of the row}
     *
     * @param column name of the column
     * @param value what the column holds in this row
     */
    public ColumnTable put(String column, String value) {
        return cell(column, value);
    }

    /**
     * {@return the next yes or no of the row}
     *
     * @param column name of the column
     * @param value what the column holds in this row
     */
    public ColumnTable put(String column, boolean value) {
        return cell(column, value);
    }

    private ColumnTable cell(String column, Object value) {
        if (rows.size() == 1) {
            names.add(column);
        } else if (next >= names.size() || !names.get(next).equals(column)) {
            throw new IllegalStateException("the column " + column + " is out of its order");
        }
        rows.get(rows.size() - 1).add(value);
        next++;
        return this;
    }

    /** {@return the table as CSV with a header} */
    public String toCsv() {
        requireWhole();
        StringBuilder text = new StringBuilder(String.join(",", names)).append('\n');
        for (List<Object> row : rows) {
            for (int i = 0; i < row.size(); i++) {
                text.append(i == 0 ? "" : ",").append(csv(row.get(i)));
            }
            text.append('\n');
        }
        return text.toString();
    }

    private static String csv(Object value) {
        if (value == null) {
            return "";
        }
        if (value instanceof Double number) {
            return short7(number);
        }
        return value instanceof String text ? CsvText.quoted(text) : value.toString();
    }

    private static String short7(double value) {
        return String.format(Locale.ROOT, "%.7g", value);
    }

    /** {@return the table as JSON: {@code rows}, a list with an object a row} */
    public String toJson() {
        requireWhole();
        ObjectNode root = MAPPER.createObjectNode();
        ArrayNode list = root.putArray("rows");
        for (List<Object> row : rows) {
            ObjectNode node = list.addObject();
            for (int i = 0; i < row.size(); i++) {
                Object value = row.get(i);
                node.set(
                        names.get(i),
                        MAPPER.valueToTree(
                                value instanceof Double number ? (Object) Double.valueOf(short7(number)) : value));
            }
        }
        try {
            return MAPPER.writeValueAsString(root).replace("},{", "},\n{") + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of plain values is always writable", e);
        }
    }
}
