package org.plateaubench.report.chart;

import org.plateaubench.units.Decimals;

/** Writes SVG elements. Texts are escaped; coordinates have one decimal at the most. */
final class Svg {

    private final StringBuilder out = new StringBuilder(1 << 14);

    /** An element without content. Attributes are names and values in turn; numbers are coordinates. */
    Svg empty(String name, Object... attributes) {
        open(name, attributes);
        out.insert(out.length() - 1, '/');
        return this;
    }

    Svg open(String name, Object... attributes) {
        out.append('<').append(name);
        for (int i = 0; i < attributes.length; i += 2) {
            Object value = attributes[i + 1];
            out.append(' ').append(attributes[i]).append("=\"");
            out.append(value instanceof Double number ? coordinate(number) : escaped(value.toString()));
            out.append('"');
        }
        out.append('>');
        return this;
    }

    Svg close(String name) {
        out.append("</").append(name).append('>');
        return this;
    }

    Svg text(String text, Object... attributes) {
        return element("text", text, attributes);
    }

    Svg element(String name, String text, Object... attributes) {
        open(name, attributes);
        out.append(escaped(text));
        return close(name);
    }

    static String coordinate(double value) {
        return Decimals.shortest(value, 1);
    }

    static String escaped(String text) {
        StringBuilder safe = new StringBuilder(text.length() + 8);
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            switch (c) {
                case '&' -> safe.append("&amp;");
                case '<' -> safe.append("&lt;");
                case '>' -> safe.append("&gt;");
                case '"' -> safe.append("&quot;");
                default -> safe.append(c < ' ' && c != '\n' && c != '\t' ? '\uFFFD' : c);
            }
        }
        return safe.toString();
    }

    @Override
    public String toString() {
        return out.toString();
    }
}
