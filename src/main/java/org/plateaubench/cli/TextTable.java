package org.plateaubench.cli;

import java.util.ArrayList;
import java.util.List;

/** A table in plain text: heads, then rows, numbers aligned to the right. */
final class TextTable {

    private final List<String> heads;
    private final boolean[] right;
    private final List<List<String>> rows = new ArrayList<>();

    /**
     * An empty table.
     *
     * @param heads one a column; a head that begins with ">" aligns its column to the right
     */
    TextTable(String... heads) {
        this.heads = new ArrayList<>();
        this.right = new boolean[heads.length];
        for (int i = 0; i < heads.length; i++) {
            right[i] = heads[i].startsWith(">");
            this.heads.add(right[i] ? heads[i].substring(1) : heads[i]);
        }
    }

    void row(String... cells) {
        if (cells.length != heads.size()) {
            throw new IllegalArgumentException(
                    "a row needs " + heads.size() + " cells, found " + cells.length + ": " + String.join("|", cells));
        }
        rows.add(List.of(cells));
    }

    /** {@return the table, every line indented by two spaces and ended by a line feed} */
    String text() {
        int[] widths = new int[heads.size()];
        widen(widths, heads);
        rows.forEach(row -> widen(widths, row));
        StringBuilder out = new StringBuilder();
        line(out, heads, widths);
        rows.forEach(row -> line(out, row, widths));
        return out.toString();
    }

    private static void widen(int[] widths, List<String> cells) {
        for (int i = 0; i < widths.length; i++) {
            widths[i] = Math.max(
                    widths[i], cells.get(i).codePointCount(0, cells.get(i).length()));
        }
    }

    private void line(StringBuilder out, List<String> cells, int[] widths) {
        StringBuilder line = new StringBuilder(" ");
        for (int i = 0; i < widths.length; i++) {
            String cell = cells.get(i);
            String pad = " ".repeat(widths[i] - cell.codePointCount(0, cell.length()));
            line.append(i == 0 ? " " : "  ").append(right[i] ? pad + cell : cell + pad);
        }
        out.append(line.toString().stripTrailing()).append('\n');
    }
}
