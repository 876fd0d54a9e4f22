package org.plateaubench.problem;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** Explains why a text is not the quantity that is needed. */
final class QuantityHints {

    private static final Pattern DECIMAL_COMMA = Pattern.compile("[-+]?[0-9]+,[0-9]+.*");
    private static final Pattern NUMBER_FIRST = Pattern.compile("[-+]?[0-9]+(?:\\.[0-9]+)?\\s*(.*)");

    private QuantityHints() {}

    static String example(Need need) {
        return need.dimension().noun() + ", such as " + need.dimension().example();
    }

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
        if (quantity.isEmpty()) {
            explain(node, text, example(need) + unitsOf(need), problems);
            return;
        }
        Dimension dimension = quantity.get().unit().dimension();
        boolean bare = dimension == Dimension.NUMBER;
        problems.add(
                node,
                bare ? ProblemCode.UNIT_MISSING : ProblemCode.WRONG_DIMENSION,
                bare ? "the unit is missing" : "this is " + dimension.noun(),
                text,
                example(need));
    }

    /**
     * Adds the problem of a text that is no quantity at all.
     *
     * @param node where it stands
     * @param text the text
     * @param needed what is needed
     * @param problems where the problem goes
     */
    static void explain(Yaml node, String text, String needed, Problems problems) {
        if (DECIMAL_COMMA.matcher(text).matches()) {
            problems.add(node, ProblemCode.DECIMAL_COMMA, "a decimal comma", text, "a decimal point");
        } else if (NUMBER_FIRST.matcher(text).matches()) {
            problems.add(node, ProblemCode.UNKNOWN_UNIT, "this unit is not known", text, needed);
        } else {
            problems.add(node, ProblemCode.NOT_A_QUANTITY, "this is no number with a unit", text, needed);
        }
    }

    private static String unitsOf(Need need) {
        List<String> symbols = Arrays.stream(Unit.values())
                .filter(u -> u.dimension() == need.dimension())
                .map(Unit::symbol)
                .toList();
        return symbols.size() == 1 ? "" : " (units: " + String.join(", ", symbols) + ")";
    }
}
