package org.plateaubench.benchfile;

import java.util.Arrays;
import java.util.List;
import org.plateaubench.problem.Need;
import org.plateaubench.units.Dimension;
import org.plateaubench.units.Quantity;
import org.plateaubench.units.Unit;

/** What quantities of a channel may be, by its unit. */
final class Needs {

    private static final double WIDEST = 1e9;

    private Needs() {}

    /** {@return what a reading in this unit may be} */
    static Need readings(Unit unit) {
        return switch (unit.dimension()) {
            case TEMPERATURE -> Need.between("-50 °C", "200 °C");
            case TEMPERATURE_DIFFERENCE -> Need.between("-200 K", "200 K");
            case ROTATIONAL_SPEED -> Need.between("0 rpm", "20000 rpm");
            case RATIO -> Need.between("0 %", "100 %");
            case LEVEL -> Need.between("0 dB", "140 dB");
            default -> any(unit.base());
        };
    }

    /** {@return what a difference of readings in this unit may be} */
    static Need differences(Unit unit) {
        return unit.dimension() == Dimension.TEMPERATURE ? Need.between("-20 K", "20 K") : any(unit.base());
    }

    /** {@return what an uncertainty of readings in this unit may be} */
    static Need uncertainty(Unit unit) {
        Unit difference = unit.dimension() == Dimension.TEMPERATURE ? Unit.KELVIN : unit.base();
        double most = difference == Unit.KELVIN ? 20 : WIDEST;
        return new Need(new Quantity(0, difference), new Quantity(most, difference));
    }

    /** {@return what a setting of the simulator may be} */
    static Need setting(SimulationKey key) {
        return new Need(new Quantity(key.least(), key.unit()), new Quantity(key.most(), key.unit()));
    }

    private static Need any(Unit base) {
        return new Need(new Quantity(-WIDEST, base), new Quantity(WIDEST, base));
    }

    /** {@return the symbol of a unit of the dimension} */
    static String unitExample(Dimension dimension) {
        return symbols().stream()
                .filter(s -> Unit.of(s).orElseThrow().dimension() == dimension)
                .findFirst()
                .orElse("");
    }

    /** {@return all units that a channel may have, for messages} */
    static String allUnits() {
        return String.join(", ", symbols());
    }

    private static List<String> symbols() {
        return Arrays.stream(Unit.values())
                .filter(u -> u.dimension() != Dimension.NUMBER)
                .map(Unit::symbol)
                .toList();
    }
}
