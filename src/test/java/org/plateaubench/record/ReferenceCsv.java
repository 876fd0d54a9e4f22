package org.plateaubench.record;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** Reads a reference table (RFC 4180, a header line, no line end inside a field). */
final class ReferenceCsv {

    private ReferenceCsv() {}

    static List<Map<String, String>> rows(String name) throws IOException {
        try (InputStream in = ReferenceCsv.class.getResourceAsStream("/reference/" + name)) {
            List<String> lines = new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .toList();
            List<String> heads = fields(lines.get(0));
            List<Map<String, String>> rows = new ArrayList<>();
            for (String line : lines.subList(1, lines.size())) {
                List<String> fields = fields(line);
                Map<String, String> row = new LinkedHashMap<>();
                for (int i = 0; i < heads.size(); i++) {
                    row.put(heads.get(i), fields.get(i));
                }
                rows.add(row);
            }
            return rows;
        }
    }

    private static List<String> fields(String line) {
        List<String> fields = new ArrayList<>();
        StringBuilder field = new StringBuilder();
        boolean quoted = false;
        for (char c : line.toCharArray()) {
            if (c == '"') {
                quoted = !quoted;
            } else if (c == ',' && !quoted) {
                fields.add(field.toString());
                field.setLength(0);
            } else {
                field.append(c);
            }
        }
        fields.add(field.toString());
        return fields;
    }
}
