package org.plateaubench.problem;

import java.text.Normalizer;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** Explains why a text is not the quantity that is needed, and where possible how it is written. */
final class QuantityHints {

    private static final Pattern COMMA = Pattern.compile("[-+]?[0-9]+,[0-9]+.*");
    private static final Pattern NUMBER_FIRST =
            Pattern.compile("([-+]?[0-9]{1,12}(?:\\.[0-9]{1,9})?) ?([^0-9 ].*|1/.*)");
    private static final Pattern OTHER_MINUS = Pattern.compile("[\u2212\u2010-\u2015](?=[0-9])");
    private static final Pattern OTHER_SPACE = Pattern.compile("[\\p{Zs}\\t]+");
    private static final Pattern NOT_FINITE = Pattern.compile("[-+]?\\.?(?:nan|inf|infinity|infinite|∞)\\b.*");
    private static final Pattern OTHER_NUMBER =
            Pattern.compile("[-+]?(?:\\.[0-9]|[0-9]+\\.(?![0-9])|[0-9.]+[eE][-+]?[0-9]|[0-9]+[_'’][0-9]|[0-9]{13}).*");

    /** Other spellings of units, reduced by {@link #reduced}; never iterated. */
    private static final Map<String, Unit> OTHER_SPELLINGS = Map.ofEntries(
            Map.entry("c", Unit.CELSIUS),
            Map.entry("°c", Unit.CELSIUS),
            Map.entry("degc", Unit.CELSIUS),
            Map.entry("celsius", Unit.CELSIUS),
            Map.entry("degreescelsius", Unit.CELSIUS),
            Map.entry("k", Unit.KELVIN),
            Map.entry("°k", Unit.KELVIN),
            Map.entry("degk", Unit.KELVIN),
            Map.entry("kelvin", Unit.KELVIN),
            Map.entry("kelvins", Unit.KELVIN),
            Map.entry("k/h", Unit.KELVIN_PER_HOUR),
            Map.entry("k/hr", Unit.KELVIN_PER_HOUR),
            Map.entry("k/hour", Unit.KELVIN_PER_HOUR),
            Map.entry("kperhour", Unit.KELVIN_PER_HOUR),
            Map.entry("kelvin/hour", Unit.KELVIN_PER_HOUR),
            Map.entry("kelvinperhour", Unit.KELVIN_PER_HOUR),
            Map.entry("°c/h", Unit.KELVIN_PER_HOUR),
            Map.entry("k/min", Unit.KELVIN_PER_MINUTE),
            Map.entry("k/minute", Unit.KELVIN_PER_MINUTE),
            Map.entry("°c/min", Unit.KELVIN_PER_MINUTE),
            Map.entry("rpm", Unit.RPM),
            Map.entry("1/min", Unit.RPM),
            Map.entry("/min", Unit.RPM),
            Map.entry("min-1", Unit.RPM),
            Map.entry("min^-1", Unit.RPM),
            Map.entry("r/min", Unit.RPM),
            Map.entry("rev/min", Unit.RPM),
            Map.entry("u/min", Unit.RPM),
            Map.entry("revolutionsperminute", Unit.RPM),
            Map.entry("%", Unit.PERCENT),
            Map.entry("pct", Unit.PERCENT),
            Map.entry("percent", Unit.PERCENT),
            Map.entry("s", Unit.SECOND),
            Map.entry("sec", Unit.SECOND),
            Map.entry("secs", Unit.SECOND),
            Map.entry("second", Unit.SECOND),
            Map.entry("seconds", Unit.SECOND),
            Map.entry("ms", Unit.MILLISECOND),
            Map.entry("msec", Unit.MILLISECOND),
            Map.entry("milliseconds", Unit.MILLISECOND),
            Map.entry("m", Unit.MINUTE),
            Map.entry("min", Unit.MINUTE),
            Map.entry("mins", Unit.MINUTE),
            Map.entry("minute", Unit.MINUTE),
            Map.entry("minutes", Unit.MINUTE),
            Map.entry("h", Unit.HOUR),
            Map.entry("hr", Unit.HOUR),
            Map.entry("hrs", Unit.HOUR),
            Map.entry("hour", Unit.HOUR),
            Map.entry("hours", Unit.HOUR),
            Map.entry("db", Unit.DECIBEL),
            Map.entry("dba", Unit.DECIBEL),
            Map.entry("decibel", Unit.DECIBEL),
            Map.entry("decibels", Unit.DECIBEL),
            Map.entry("hz", Unit.HERTZ),
            Map.entry("mhz", Unit.MEGAHERTZ),
            Map.entry("ghz", Unit.GIGAHERTZ),
            Map.entry("w", Unit.WATT),
            Map.entry("watt", Unit.WATT),
            Map.entry("watts", Unit.WATT),
            Map.entry("v", Unit.VOLT),
            Map.entry("volt", Unit.VOLT),
            Map.entry("volts", Unit.VOLT),
            Map.entry("hpa", Unit.HECTOPASCAL),
            Map.entry("mbar", Unit.HECTOPASCAL),
            Map.entry("l/min", Unit.LITRE_PER_MINUTE),
            Map.entry("lpm", Unit.LITRE_PER_MINUTE),
            Map.entry("k/w", Unit.KELVIN_PER_WATT));

    private QuantityHints() {}

    /**
     * Adds the problem of a text that is not the quantity needed.
     *
     * @param node where it stands
     * @param text the text
     * @param quantity the quantity of another dimension that it is, or empty
     * @param need what it should be
     * @param problems where the problem goes
     */
    static void explain(Yaml node, String text, Optional<Quantity> quantity, Need need, Problems problems) {
        String example =
                need.dimension().noun() + (need.dimension() == Dimension.NUMBER ? "" : ", such as " + need.example());
        if (quantity.isEmpty()) {
            explainText(node, text, example, Optional.of(need.dimension()), problems);
            return;
        }
        Dimension dimension = quantity.get().unit().dimension();
        if (dimension == Dimension.NUMBER) {
            problems.add(
                    node, ProblemCode.UNIT_MISSING, "the unit is missing", text, example + units(need.dimension()));
            return;
        }
        boolean temperatures = temperature(dimension) && temperature(need.dimension());
        problems.add(
                node,
                ProblemCode.WRONG_DIMENSION,
                temperatures ? "°C is for temperatures, K for differences" : "this is " + dimension.noun(),
                text,
                example);
    }

    private static boolean temperature(Dimension dimension) {
        return dimension == Dimension.TEMPERATURE || dimension == Dimension.TEMPERATURE_DIFFERENCE;
    }

    /**
     * Adds the problem of a text that is no quantity at all.
     *
     * @param node where it stands
     * @param text the text
     * @param example what is needed, in general
     * @param dimension what it should measure, if that is known
     * @param problems where the problem goes
     */
    static void explainText(Yaml node, String text, String example, Optional<Dimension> dimension, Problems problems) {
        if (COMMA.matcher(text).matches()) {
            problems.add(
                    node,
                    ProblemCode.DECIMAL_COMMA,
                    "a comma in a number",
                    text,
                    "a point before the decimals, such as " + text.replaceFirst(",", ".")
                            + ", and nothing between the thousands");
        } else if (NOT_FINITE.matcher(text.toLowerCase(Locale.ROOT)).matches()) {
            problems.add(node, ProblemCode.NOT_A_QUANTITY, "this is no finite number", text, example);
        } else if (OTHER_NUMBER.matcher(text).matches()) {
            problems.add(
                    node,
                    ProblemCode.NOT_A_QUANTITY,
                    "this number is written in another way",
                    text,
                    example + ", in plain digits with a point");
        } else {
            explainSigns(node, text, example, dimension, problems);
        }
    }

    /** The units to choose from, in brackets; nothing where there is only one. */
    private static String units(Dimension dimension) {
        List<String> symbols = symbols(dimension);
        return symbols.size() < 2 ? "" : " (" + String.join(", ", symbols) + ")";
    }

    private static void explainSigns(
            Yaml node, String text, String example, Optional<Dimension> dimension, Problems problems) {
        String plainSpaces = OTHER_SPACE.matcher(text).replaceAll(" ");
        String plain = OTHER_MINUS.matcher(plainSpaces).replaceAll("-");
        if (!plain.equals(text) && Quantity.parse(plain).isPresent()) {
            problems.add(
                    node,
                    ProblemCode.NOT_A_QUANTITY,
                    plainSpaces.equals(text)
                            ? "the minus is a typographic one"
                            : "between number and unit stands something else than one ordinary space",
                    shown(text),
                    plain + (plainSpaces.equals(text) ? " with the keyboard's minus" : " with one ordinary space"));
            return;
        }
        Matcher number = NUMBER_FIRST.matcher(plain);
        if (!number.matches()) {
            problems.add(node, ProblemCode.NOT_A_QUANTITY, "this is no number with a unit", text, example);
            return;
        }
        Optional<Unit> meant =
                meant(number.group(2), dimension).filter(u -> dimension.isEmpty() || dimension.get() == u.dimension());
        problems.add(
                node,
                ProblemCode.UNKNOWN_UNIT,
                meant.isPresent() ? "this unit is written in another way here" : "this unit is not known here",
                shown(text),
                meant.map(u -> number.group(1) + " " + u.symbol())
                        .orElse(example + dimension.map(QuantityHints::unitsOf).orElse("")));
    }

    private static Optional<Unit> meant(String symbol, Optional<Dimension> dimension) {
        Optional<Unit> spelt = Optional.ofNullable(OTHER_SPELLINGS.get(reduced(symbol)));
        if (spelt.isPresent() || dimension.isEmpty()) {
            return spelt;
        }
        return symbols(dimension.get()).stream()
                .filter(s -> sorted(s).equals(sorted(symbol)))
                .findFirst()
                .flatMap(Unit::of);
    }

    /** The letters in order: swapped letters are a slip, another letter may be another unit. */
    private static String sorted(String symbol) {
        return symbol.codePoints()
                .sorted()
                .collect(StringBuilder::new, StringBuilder::appendCodePoint, StringBuilder::append)
                .toString();
    }

    /** The text, with the number of a character that looks like an ordinary one. */
    private static String shown(String text) {
        return text.codePoints()
                .filter(c -> c > '~' && c != '°')
                .mapToObj(c -> String.format(Locale.ROOT, "%s (with U+%04X)", text, c))
                .findFirst()
                .orElse(text);
    }

    /** Compatibility characters made plain (such as the kelvin sign), small letters, no spaces, dots or brackets. */
    private static String reduced(String symbol) {
        String degrees = symbol.replace('º', '°').replace('˚', '°');
        return Normalizer.normalize(degrees, Normalizer.Form.NFKC)
                .toLowerCase(Locale.ROOT)
                .replace('\u2212', '-')
                .replaceAll("[\\s.()]", "");
    }

    private static String unitsOf(Dimension dimension) {
        List<String> symbols = symbols(dimension);
        return symbols.size() == 1 ? "" : " (units: " + String.join(", ", symbols) + ")";
    }

    private static List<String> symbols(Dimension dimension) {
        return Arrays.stream(Unit.values())
                .filter(u -> u.dimension() == dimension)
                .map(Unit::symbol)
                .toList();
    }
}
