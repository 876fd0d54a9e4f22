package org.plateaubench.benchfile;

import java.util.Optional;
import org.plateaubench.units.Unit;

/**
 * The named numbers that a simulated bench file may set. Those of a fan set stand under {@code sets}, the others under
 * {@code settings}.
 */
public enum SimulationKey {
    /** Share of the rise that belongs to the slow mode (chassis). */
    SLOW_MODE_SHARE("slow-mode-share", Unit.PERCENT, false, 3.0),
    /** Time constant of the slow mode. */
    SLOW_MODE_TIME_CONSTANT("slow-mode-time-constant", Unit.SECOND, false, 1500.0),
    /** Fan speed at full duty. */
    MAX_SPEED("max-speed", Unit.RPM, true, 2000.0);

    private final String text;
    private final Unit unit;
    private final boolean ofSet;
    private final double normal;

    SimulationKey(String text, Unit unit, boolean ofSet, double normal) {
        this.text = text;
        this.unit = unit;
        this.ofSet = ofSet;
        this.normal = normal;
    }

    /** {@return its name in the bench file} */
    public String text() {
        return text;
    }

    /** {@return its unit} */
    public Unit unit() {
        return unit;
    }

    /** {@return true if it describes a fan set, false if it describes the bench and the room} */
    public boolean ofSet() {
        return ofSet;
    }

    /** {@return its value where the file does not set it, in its unit} */
    public double normal() {
        return normal;
    }

    /**
     * Finds a key.
     *
     * @param text its name in the bench file
     * @return the key, or empty
     */
    public static Optional<SimulationKey> of(String text) {
        for (SimulationKey key : values()) {
            if (key.text.equals(text)) {
                return Optional.of(key);
            }
        }
        return Optional.empty();
    }
}
