package org.plateaubench.report;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;

/** Writes the parts of a page. Whatever comes from a record is escaped on its way in. */
final class Html {

    private static final Pattern HASH = Pattern.compile("[0-9a-f]{64}");

    private final StringBuilder out = new StringBuilder(1 << 16);

    /** A page up to its body's first line, which needs nothing else and says where nothing was measured. */
    static Html page(String title, boolean simulated) {
        Html html = new Html();
        html.markup("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">");
        html.markup(
                "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline';"
                        + " img-src data:\">");
        html.markup("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">");
        html.markup("<meta name=\"color-scheme\" content=\"light dark\">");
        html.element("title", (simulated ? "SIMULATED " : "") + title);
        html.markup("<style>" + resource("/look/colours.css") + resource("/look/report.css") + "</style>");
        html.markup("</head>\n<body>");
        if (simulated) {
            html.element("p", "simulated", "SIMULATED: the bench is a simulation, and nothing here was measured");
        }
        return html;
    }

    private static String resource(String path) {
        try (InputStream in = Html.class.getResourceAsStream(path)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    static String escaped(String text) {
        StringBuilder safe = new StringBuilder(text.length() + 16);
        text.codePoints().forEach(c -> {
            switch (c) {
                case '&' -> safe.append("&amp;");
                case '<' -> safe.append("&lt;");
                case '>' -> safe.append("&gt;");
                case '"' -> safe.append("&quot;");
                // Controls would be no HTML, and marks of direction could turn a sentence around.
                default ->
                    safe.appendCodePoint(
                            c != '\n' && Character.isISOControl(c) || Character.getType(c) == Character.FORMAT
                                    ? 0xFFFD
                                    : c);
            }
        });
        return safe.toString();
    }

    /** Markup of our own, as it is. */
    Html markup(String markup) {
        out.append(markup).append('\n');
        return this;
    }

    Html element(String name, String text) {
        return element(name, "", text);
    }

    Html element(String name, String style, String text) {
        String attribute = style.isEmpty() ? "" : " class=\"" + style + "\"";
        return markup("<" + name + attribute + ">" + escaped(text) + "</" + name + ">");
    }

    Html heading(String id, String text) {
        return markup("<h2 id=\"" + id + "\">" + escaped(text) + "</h2>");
    }

    Html figure(String chart, String caption) {
        return markup("<figure><div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"chart\">" + chart
                + "</div><figcaption>" + escaped(caption) + "</figcaption></figure>");
    }

    Html facts(List<String[]> facts) {
        markup("<dl>");
        for (String[] fact : facts) {
            String style = HASH.matcher(fact[1]).matches() ? "<dd class=\"hash\">" : "<dd>";
            markup("<dt>" + escaped(fact[0]) + "</dt>" + style + escaped(fact[1]) + "</dd>");
        }
        return markup("</dl>");
    }

    Html table(Table table) {
        return markup(table.html());
    }

    @Override
    public String toString() {
        return out.toString();
    }

    /** A table: columns of text and of numbers, the first one naming the row. */
    static final class Table {
        private final String caption;
        private final List<String> heads = new ArrayList<>();
        private final List<Boolean> numbers = new ArrayList<>();
        private final List<String> rows = new ArrayList<>();

        Table(String caption) {
            this.caption = caption;
        }

        Table column(String head) {
            heads.add(head);
            numbers.add(false);
            return this;
        }

        Table numbers(String head) {
            heads.add(head);
            numbers.add(true);
            return this;
        }

        Table row(String style, List<String> cells) {
            StringBuilder row = new StringBuilder(style.isEmpty() ? "<tr>" : "<tr class=\"" + style + "\">");
            for (int i = 0; i < cells.size(); i++) {
                String cell = escaped(cells.get(i));
                String attribute =
                        numbers.get(i) ? " class=\"n\"" : HASH.matcher(cell).matches() ? " class=\"hash\"" : "";
                row.append(i == 0 ? "<th scope=\"row\">" + cell + "</th>" : "<td" + attribute + ">" + cell + "</td>");
            }
            rows.add(row.append("</tr>").toString());
            return this;
        }

        String html() {
            StringBuilder html = new StringBuilder("<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"")
                    .append(escaped(caption))
                    .append("\"><table><caption>")
                    .append(escaped(caption))
                    .append("</caption><thead><tr>");
            for (int i = 0; i < heads.size(); i++) {
                html.append(numbers.get(i) ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">")
                        .append(escaped(heads.get(i)))
                        .append("</th>");
            }
            html.append("</tr></thead><tbody>");
            rows.forEach(html::append);
            return html.append("</tbody></table></div>").toString();
        }
    }
}
