package org.plateaubench.problem;

import java.time.DateTimeException;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.function.Function;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.units.Quantity;

/**
 * Reads the keys of one mapping. Whatever is wrong becomes a problem, and reading goes on with a stand-in: NaN for a
 * number, empty text, empty for an optional value. A key that nobody asked for is a problem too, see {@link #done()}.
 */
public final class Keys {

    private static final Pattern CLOCK_TIME = Pattern.compile("([01][0-9]|2[0-3]):[0-5][0-9]");
    private static final Pattern WHOLE = Pattern.compile("[-+]?[0-9]{1,18}");

    private final Yaml node;
    private final Problems problems;
    private final List<Yaml.Entry> entries;
    private final List<String> known = new ArrayList<>();
    private final List<Missing> missing = new ArrayList<>();
    private boolean undecided;

    /** One of these keys should be there; told only if no unknown key looks like one of them. */
    private record Missing(List<String> keys, String message, String needed) {}

    private Keys(Yaml node, Problems problems, List<Yaml.Entry> entries) {
        this.node = node;
        this.problems = problems;
        this.entries = entries;
    }

    /**
     * Begins to read a mapping. If the node is something else, that is a problem, and every key counts as absent
     * without further problems.
     *
     * @param node the node
     * @param problems where problems go
     * @param example how it may look, such as "{ average: 10 min }"
     * @return its keys
     */
    public static Keys of(Yaml node, Problems problems, String example) {
        if (node instanceof Yaml.Mapping mapping) {
            return new Keys(node, problems, mapping.entries());
        }
        problems.add(
                node, ProblemCode.WRONG_KIND, "this needs keys with values", node.kind(), "keys, such as " + example);
        return new Keys(node, problems, List.of());
    }

    /** {@return the mapping itself, for problems of its own} */
    public Yaml node() {
        return node;
    }

    /**
     * Tells whether a key is there, and marks it as known.
     *
     * @param key the key
     * @return true if it is there
     */
    public boolean has(String key) {
        return find(key).isPresent();
    }

    /**
     * A value that must be there.
     *
     * @param key its key
     * @param example how it may look, for the message
     * @return the value, or empty after a problem
     */
    public Optional<Yaml> required(String key, String example) {
        Optional<Yaml> value = find(key);
        if (value.isEmpty() && node instanceof Yaml.Mapping) {
            missing.add(
                    new Missing(List.of(key), "the key " + key + " is missing", "it, such as " + key + ": " + example));
        }
        return value;
    }

    /**
     * A value that may be there.
     *
     * @param key its key
     * @return the value, or empty
     */
    public Optional<Yaml> find(String key) {
        if (!known.contains(key)) {
            known.add(key);
        }
        return entries.stream().filter(e -> e.key().equals(key)).findFirst().map(Yaml.Entry::value);
    }

    // ---- text

    /**
     * A text of one line that must be there.
     *
     * @param key its key
     * @param example how it may look
     * @return the text, or empty text after a problem
     */
    public String text(String key, String example) {
        return required(key, example).map(this::textOf).orElse("");
    }

    /**
     * A text of one line that may be there.
     *
     * @param key its key
     * @return the text, or empty
     */
    public Optional<String> optionalText(String key) {
        return find(key).map(this::textOf);
    }

    /**
     * A text that one of the patterns of the program must fit, such as a number with a word.
     *
     * @param key its key
     * @param pattern what it must match as a whole
     * @param example how it may look
     * @return the match, or empty after a problem or where the key is absent
     */
    public Optional<Matcher> matched(String key, Pattern pattern, String example) {
        return find(key).flatMap(value -> {
            String text = textOf(value);
            Matcher matcher = pattern.matcher(text);
            if (matcher.matches()) {
                return Optional.of(matcher);
            }
            if (!text.isEmpty()) {
                problems.add(
                        value,
                        ProblemCode.WRONG_VALUE,
                        key + " cannot be understood",
                        text,
                        "it written like " + example);
            }
            return Optional.empty();
        });
    }

    /**
     * The text of a value.
     *
     * @param value any node
     * @return its text on one line, or empty text after a problem
     */
    public String textOf(Yaml value) {
        if (!(value instanceof Yaml.Scalar scalar) || scalar.isNull()) {
            problems.add(value, ProblemCode.WRONG_KIND, "this needs a text", value.kind(), "a text");
            return "";
        }
        String text = scalar.text().strip();
        if (text.isEmpty()) {
            problems.add(value, ProblemCode.WRONG_VALUE, "this text is empty", "", "a text");
        } else if (text.codePoints().anyMatch(Character::isISOControl)) {
            problems.add(
                    value,
                    ProblemCode.WRONG_VALUE,
                    "this text has line ends or control characters in it",
                    "",
                    "text on one line (a long one may be folded with >)");
            return "";
        }
        return text;
    }

    /**
     * One of a few words.
     *
     * @param key its key
     * @param choices all that may stand there
     * @param wordOf the word of each
     * @param <E> what is chosen
     * @return the choice, or empty after a problem
     */
    public <E> Optional<E> choice(String key, List<E> choices, Function<E, String> wordOf) {
        return required(key, wordOf.apply(choices.get(0))).flatMap(v -> choiceOf(v, choices, wordOf));
    }

    /**
     * One of a few words, where the key is there.
     *
     * @param key its key
     * @param choices all that may stand there
     * @param wordOf the word of each
     * @param <E> what is chosen
     * @return the choice, or empty
     */
    public <E> Optional<E> optionalChoice(String key, List<E> choices, Function<E, String> wordOf) {
        return find(key).flatMap(v -> choiceOf(v, choices, wordOf));
    }

    private <E> Optional<E> choiceOf(Yaml value, List<E> choices, Function<E, String> wordOf) {
        String text = textOf(value);
        Optional<E> chosen =
                choices.stream().filter(c -> wordOf.apply(c).equals(text)).findFirst();
        if (chosen.isEmpty() && !text.isEmpty()) {
            List<String> words = choices.stream().map(wordOf).toList();
            problems.add(
                    value,
                    ProblemCode.WRONG_VALUE,
                    NearMiss.hint("the word " + text + " is not known here", NearMiss.nearest(text, words)),
                    "",
                    words.size() == 1 ? words.get(0) : "one of " + String.join(", ", words));
        }
        return chosen;
    }

    /**
     * How a choice between constants is spelt in files.
     *
     * @param constant a constant
     * @return its name in small letters, its words joined by hyphens
     */
    public static String word(Enum<?> constant) {
        return constant.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    // ---- numbers

    /**
     * A quantity that must be there.
     *
     * @param key its key
     * @param need what it must be
     * @return its value in the base unit, or NaN after a problem
     */
    public double quantity(String key, Need need) {
        return required(key, need.example())
                .flatMap(v -> quantityOf(v, need))
                .map(Quantity::inBase)
                .orElse(Double.NaN);
    }

    /**
     * A quantity that may be there.
     *
     * @param key its key
     * @param need what it must be
     * @return its value in the base unit; NaN after a problem; empty if the key is absent
     */
    public OptionalDouble optionalQuantity(String key, Need need) {
        Optional<Yaml> value = find(key);
        return value.isEmpty()
                ? OptionalDouble.empty()
                : OptionalDouble.of(
                        quantityOf(value.get(), need).map(Quantity::inBase).orElse(Double.NaN));
    }

    /**
     * The quantity of a value.
     *
     * @param value any node
     * @param need what it must be
     * @return the quantity, or empty after a problem
     */
    public Optional<Quantity> quantityOf(Yaml value, Need need) {
        if (!(value instanceof Yaml.Scalar scalar) || scalar.isNull()) {
            problems.add(
                    value,
                    ProblemCode.WRONG_KIND,
                    "this needs " + need.dimension().noun(),
                    value.kind(),
                    need.toString());
            return Optional.empty();
        }
        String text = scalar.text();
        Optional<Quantity> quantity = Quantity.parse(text);
        if (quantity.isEmpty() || quantity.get().unit().dimension() != need.dimension()) {
            QuantityHints.explain(value, text, quantity, need, problems);
            return Optional.empty();
        }
        if (!need.allows(quantity.get())) {
            problems.add(value, ProblemCode.OUT_OF_RANGE, "this is out of range", text, need.toString());
            return Optional.empty();
        }
        return quantity;
    }

    /**
     * A quantity of any dimension that must be there.
     *
     * @param key its key
     * @param example how it may look
     * @return the quantity, or empty after a problem
     */
    public Optional<Quantity> anyQuantity(String key, String example) {
        return required(key, example).flatMap(value -> {
            String text = textOf(value);
            Optional<Quantity> quantity = Quantity.parse(text);
            if (quantity.isEmpty() && !text.isEmpty()) {
                QuantityHints.explainText(
                        value, text, "a number with a unit, such as " + example, Optional.empty(), problems);
            }
            return quantity;
        });
    }

    /**
     * A whole number that must be there.
     *
     * @param key its key
     * @param low least value
     * @param high greatest value
     * @return the number; the least value after a problem
     */
    public int count(String key, int low, int high) {
        return required(key, Integer.toString(low))
                .map(v -> (int) wholeOf(v, low, high))
                .orElse(low);
    }

    /**
     * A whole number that may be there.
     *
     * @param key its key
     * @param low least value
     * @param high greatest value
     * @return the number; empty if the key is absent
     */
    public OptionalInt optionalCount(String key, int low, int high) {
        Optional<Yaml> value = find(key);
        return value.isEmpty() ? OptionalInt.empty() : OptionalInt.of((int) wholeOf(value.get(), low, high));
    }

    /**
     * A seed that must be there: a whole number that fits 32 bits.
     *
     * @param key its key
     * @return the seed; 0 after a problem
     */
    public long seed(String key) {
        return count(key, 0, Integer.MAX_VALUE);
    }

    private long wholeOf(Yaml value, long low, long high) {
        String range = "a whole number from " + low + " to " + high;
        String text = value instanceof Yaml.Scalar scalar && !scalar.isNull() ? scalar.text() : "";
        if (text.isEmpty() || !WHOLE.matcher(text).matches()) {
            String found = text.isEmpty() ? value.kind() : text;
            problems.add(value, ProblemCode.WRONG_VALUE, "this needs a whole number", found, range);
            return low;
        }
        long number = Long.parseLong(text);
        if (number < low || number > high) {
            problems.add(value, ProblemCode.OUT_OF_RANGE, "this is out of range", text, range);
            return low;
        }
        return number;
    }

    /**
     * A bare number that must be there.
     *
     * @param key its key
     * @param need what it must be
     * @param example how it may look
     * @return the number, or NaN after a problem
     */
    public double number(String key, Need need, String example) {
        return required(key, example)
                .flatMap(v -> quantityOf(v, need))
                .map(Quantity::inBase)
                .orElse(Double.NaN);
    }

    // ---- dates and times

    /**
     * A local time of day that may be there.
     *
     * @param key its key
     * @return the time; empty if the key is absent or after a problem
     */
    public Optional<LocalTime> optionalClockTime(String key) {
        return find(key).flatMap(value -> {
            String text = textOf(value);
            if (CLOCK_TIME.matcher(text).matches()) {
                return Optional.of(LocalTime.parse(text));
            }
            if (!text.isEmpty()) {
                problems.add(
                        value,
                        ProblemCode.NOT_A_TIME,
                        key + " is no local time of day",
                        text,
                        "hours and minutes from 00:00 to 23:59, such as 07:30");
            }
            return Optional.empty();
        });
    }

    /**
     * A date that must be there.
     *
     * @param key its key
     * @return the date, or empty after a problem
     */
    public Optional<LocalDate> date(String key) {
        String example = "2026-11-20";
        return required(key, example).flatMap(v -> timeOf(v, LocalDate::parse, "a date, such as " + example));
    }

    /**
     * A date and time with its offset from UTC that must be there.
     *
     * @param key its key
     * @return the time, or empty after a problem
     */
    public Optional<OffsetDateTime> dateAndTime(String key) {
        String example = "2026-11-24T22:10:00+01:00";
        return required(key, example)
                .flatMap(v -> timeOf(
                        v, OffsetDateTime::parse, "a date and time with its offset from UTC, such as " + example));
    }

    private <T> Optional<T> timeOf(Yaml value, Function<CharSequence, T> parse, String needed) {
        String text = textOf(value);
        if (text.isEmpty()) {
            return Optional.empty();
        }
        try {
            return Optional.of(parse.apply(text));
        } catch (DateTimeException e) {
            problems.add(value, ProblemCode.NOT_A_TIME, "this is no date or time", text, needed);
            return Optional.empty();
        }
    }

    // ---- parts

    /**
     * Begins to read an item of a list in this mapping.
     *
     * @param item the item
     * @param example how it may look
     * @return its keys
     */
    public Keys part(Yaml item, String example) {
        return of(item, problems, example);
    }

    /**
     * A mapping that must be there.
     *
     * @param key its key
     * @param example how it may look
     * @return its keys, or empty after a problem
     */
    public Optional<Keys> keys(String key, String example) {
        return required(key, example).map(v -> of(v, problems, example));
    }

    /**
     * A mapping that may be there.
     *
     * @param key its key
     * @param example how it may look
     * @return its keys, or empty
     */
    public Optional<Keys> optionalKeys(String key, String example) {
        return find(key).map(v -> of(v, problems, example));
    }

    /**
     * A list that must be there and hold something.
     *
     * @param key its key
     * @param example how it may look
     * @return its items; empty after a problem
     */
    public List<Yaml> list(String key, String example) {
        return required(key, example).map(v -> itemsOf(v, example)).orElse(List.of());
    }

    /**
     * A list that may be there.
     *
     * @param key its key
     * @param example how it may look
     * @return its items; empty if the key is absent or after a problem
     */
    public List<Yaml> optionalList(String key, String example) {
        return find(key).map(v -> itemsOf(v, example)).orElse(List.of());
    }

    private List<Yaml> itemsOf(Yaml value, String example) {
        if (value instanceof Yaml.Sequence sequence && !sequence.items().isEmpty()) {
            return sequence.items();
        }
        String found = value instanceof Yaml.Sequence ? "an empty list" : value.kind();
        problems.add(value, ProblemCode.WRONG_KIND, "this needs a list", found, "a list, such as " + example);
        return List.of();
    }

    /**
     * The entries of a mapping whose keys are names that the user chooses.
     *
     * @param key its key
     * @param example how one entry may look
     * @return the entries; empty after a problem
     */
    public List<Yaml.Entry> named(String key, String example) {
        return required(key, "{ " + example + " }")
                .map(v -> entriesOf(v, example))
                .orElse(List.of());
    }

    /**
     * The entries of a mapping that may be there and whose keys are names that the user chooses.
     *
     * @param key its key
     * @param example how one entry may look
     * @return the entries; empty if the key is absent or after a problem
     */
    public List<Yaml.Entry> optionalNamed(String key, String example) {
        return find(key).map(v -> entriesOf(v, example)).orElse(List.of());
    }

    private List<Yaml.Entry> entriesOf(Yaml value, String example) {
        return of(value, problems, "{ " + example + " }").entries;
    }

    /**
     * Chooses between keys of which exactly one must be there.
     *
     * @param names the keys
     * @return the one that is there, or empty after a problem
     */
    public Optional<String> exactlyOne(List<String> names) {
        List<String> present = names.stream().filter(this::has).toList();
        if (present.size() == 1) {
            known.removeIf(k -> names.contains(k) && !present.contains(k));
            return Optional.of(present.get(0));
        }
        undecided = true;
        String needed = "exactly one of " + String.join(", ", names);
        if (!present.isEmpty()) {
            problems.addIn(
                    node.head(),
                    node,
                    ProblemCode.KEYS_EXCLUDE,
                    "these keys exclude each other",
                    String.join(", ", present),
                    needed);
        } else if (node instanceof Yaml.Mapping) {
            missing.add(new Missing(names, "a key is missing", needed));
        }
        return Optional.empty();
    }

    /**
     * Ends the reading of this mapping: keys that are missing and keys that nobody asked for become problems. A key that
     * looks like a missing one is told once, as what was meant. While it is undecided which of several keys it was to
     * be, other unknown keys are not told, since they may belong to it.
     */
    public void done() {
        for (Yaml.Entry entry : entries) {
            if (!known.contains(entry.key())) {
                unknown(entry);
            }
        }
        for (Missing one : missing) {
            problems.addIn(node.head(), node, ProblemCode.KEY_MISSING, one.message(), "", one.needed());
        }
    }

    private void unknown(Yaml.Entry entry) {
        List<String> absent = known.stream()
                .filter(k -> entries.stream().noneMatch(e -> e.key().equals(k)))
                .toList();
        Optional<String> noSpace = SyntaxHints.keyWithoutSpace(entry.key(), absent);
        Optional<String> meant = noSpace.or(() -> NearMiss.nearest(entry.key(), absent));
        boolean onlyKey = entries.size() == 1 && missing.size() == 1;
        boolean wasMissing = missing.removeIf(m -> onlyKey
                || m.keys().stream().anyMatch(k -> meant.filter(k::equals).isPresent()));
        if (undecided && !wasMissing) {
            return;
        }
        String message = "the key " + entry.key() + " is not known here";
        problems.addIn(
                entry.keyPlace(),
                node,
                ProblemCode.UNKNOWN_KEY,
                noSpace.isPresent() ? "a space is missing behind the colon" : NearMiss.hint(message, meant),
                "",
                noSpace.map(k -> k + ": and a space before the value")
                        .orElse(known.size() == 1 ? "only " + known.get(0) : "one of " + String.join(", ", known)));
    }
}
