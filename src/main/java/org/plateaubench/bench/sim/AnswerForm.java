package org.plateaubench.bench.sim;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.units.Decimals;

/**
 * How an instrument writes a value so that the bench file's pattern finds it again: the shortest text that the pattern
 * matches, with the number in place of its first group. It understands literals, escapes, classes, groups, alternatives
 * and quantifiers; not look-around, back references or flags.
 */
final class AnswerForm {

    private static final String STANDS_FOR_ANY = "x";

    private final String before;
    private final String after;
    private final int decimals;
    private final char decimalMark;

    private AnswerForm(String before, String after, int decimals, char decimalMark) {
        this.before = before;
        this.after = after;
        this.decimals = decimals;
        this.decimalMark = decimalMark;
    }

    /**
     * The form of one channel's answers.
     *
     * @param pattern what the answer must match; empty: the answer is the number
     * @param decimals how many decimals the instrument writes if the pattern lets it
     * @param decimalComma true if it writes a comma for a decimal point
     * @return the form
     * @throws IllegalArgumentException if no such answer could be made
     */
    static AnswerForm of(Optional<Pattern> pattern, int decimals, boolean decimalComma) {
        char mark = decimalComma ? ',' : '.';
        if (pattern.isEmpty()) {
            return new AnswerForm("", "", decimals, mark);
        }
        Skeleton skeleton = new Skeleton(pattern.get().pattern());
        for (int d = decimals; d >= 0; d--) {
            AnswerForm form = new AnswerForm(skeleton.before(), skeleton.after(), d, mark);
            Matcher matcher = pattern.get().matcher(form.write(1.0));
            if (matcher.find() && form.number(1.0).equals(matcher.group(1))) {
                return form;
            }
        }
        throw new IllegalArgumentException(
                "no answer can be made that matches \"" + pattern.get().pattern()
                        + "\"; the simulated instrument understands simpler patterns only, such as \"^([0-9.]+) dBA$\"");
    }

    /**
     * Writes a value.
     *
     * @param value the number; NaN where the instrument has none
     * @return the answer; 9.91E37 stands for no number (SCPI-99, volume 1, 7.2.1.5)
     */
    String write(double value) {
        return before + number(value) + after;
    }

    private String number(double value) {
        String number = Double.isFinite(value) ? Decimals.fixed(value, decimals) : "9.91E37";
        return number.replace('.', decimalMark);
    }

    /** A shortest match of a pattern, split at its first capturing group. */
    private static final class Skeleton {

        private final String pattern;
        private final StringBuilder text = new StringBuilder();
        private int at;
        private int numberAt = -1;

        Skeleton(String pattern) {
            this.pattern = pattern;
            alternatives();
        }

        String before() {
            return numberAt < 0 ? text.toString() : text.substring(0, numberAt);
        }

        String after() {
            return numberAt < 0 ? "" : text.substring(numberAt);
        }

        /** Writes the first alternative and passes over the others, up to a closing bracket or the end. */
        private void alternatives() {
            sequence();
            while (at < pattern.length() && pattern.charAt(at) == '|') {
                at++;
                int length = text.length();
                int number = numberAt;
                sequence();
                text.setLength(length);
                numberAt = number;
            }
        }

        private void sequence() {
            while (at < pattern.length() && pattern.charAt(at) != '|' && pattern.charAt(at) != ')') {
                int length = text.length();
                int number = numberAt;
                atom();
                if (quantifier() == 0 && numberAt == number) {
                    text.setLength(length);
                }
            }
        }

        private void atom() {
            char c = pattern.charAt(at++);
            switch (c) {
                case '^', '$' -> {}
                case '.' -> text.append(STANDS_FOR_ANY);
                case '\\' -> escape();
                case '[' -> characterClass();
                case '(' -> group();
                default -> text.append(c);
            }
        }

        private void group() {
            boolean capturing = !pattern.startsWith("?", at) || pattern.startsWith("?<", at);
            if (pattern.startsWith("?:", at)) {
                at += 2;
            } else if (pattern.startsWith("?<", at)) {
                at = behind('>');
            }
            int length = text.length();
            boolean number = capturing && numberAt < 0;
            if (number) {
                numberAt = length;
            }
            alternatives();
            at++;
            if (number) {
                text.setLength(length);
            }
        }

        private void escape() {
            char c = pattern.charAt(at++);
            switch (c) {
                case 'd' -> text.append('0');
                case 's' -> text.append(' ');
                case 't' -> text.append('\t');
                case 'w', 'S', 'D' -> text.append(STANDS_FOR_ANY);
                case 'b', 'B', 'A', 'z', 'Z' -> {}
                default -> text.append(c);
            }
        }

        /** The first character of a class stands for it. */
        private void characterClass() {
            boolean negated = pattern.charAt(at) == '^';
            int begin = negated ? at + 1 : at;
            if (!negated && pattern.charAt(begin) == '\\') {
                at = begin + 1;
                escape();
            } else {
                text.append(negated ? STANDS_FOR_ANY : pattern.substring(begin, begin + 1));
            }
            at = begin + 1;
            while (pattern.charAt(at) != ']') {
                at += pattern.charAt(at) == '\\' ? 2 : 1;
            }
            at++;
        }

        /** Behind the next such character; at the end where there is none, as in a look-behind. */
        private int behind(char character) {
            int place = pattern.indexOf(character, at);
            return place < 0 ? pattern.length() : place + 1;
        }

        /** Passes over a quantifier: 0 if what it belongs to may be left out, else 1. */
        private int quantifier() {
            if (at >= pattern.length()) {
                return 1;
            }
            int least = 1;
            switch (pattern.charAt(at)) {
                case '?', '*' -> {
                    least = 0;
                    at++;
                }
                case '+' -> at++;
                case '{' -> {
                    least = pattern.charAt(at + 1) == '0' ? 0 : 1;
                    at = behind('}');
                }
                default -> {
                    return 1;
                }
            }
            if (at < pattern.length() && (pattern.charAt(at) == '?' || pattern.charAt(at) == '+')) {
                at++;
            }
            return least;
        }
    }
}
