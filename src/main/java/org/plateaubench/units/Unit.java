package org.plateaubench.units;

import java.util.List;
import java.util.Optional;

/**
 * A unit as it is written in plans, bench files and records. Each has one spelling; conversion to the unit that the
 * program calculates with ({@link #base()}) is a factor, and happens once, where the text is read.
 */
public enum Unit {
    /** Degree Celsius, for temperatures only. */
    CELSIUS("°C", Dimension.TEMPERATURE, 1.0, 3),
    /** Kelvin, for temperature differences only. */
    KELVIN("K", Dimension.TEMPERATURE_DIFFERENCE, 1.0, 3),
    /** Kelvin an hour; calculated with in K/h. */
    KELVIN_PER_HOUR("K/h", Dimension.TEMPERATURE_RATE, 1.0, 3),
    /** Kelvin a minute. */
    KELVIN_PER_MINUTE("K/min", Dimension.TEMPERATURE_RATE, 60.0, 3),
    /** Revolutions a minute. */
    RPM("rpm", Dimension.ROTATIONAL_SPEED, 1.0, 1),
    /** Per cent. */
    PERCENT("%", Dimension.RATIO, 1.0, 2),
    /** Second. */
    SECOND("s", Dimension.TIME, 1.0, 3),
    /** Millisecond. */
    MILLISECOND("ms", Dimension.TIME, 0.001, 0),
    /** Minute. */
    MINUTE("min", Dimension.TIME, 60.0, 3),
    /** Hour. */
    HOUR("h", Dimension.TIME, 3600.0, 4),
    /** Decibel; the weighting is the channel's. */
    DECIBEL("dB", Dimension.LEVEL, 1.0, 2),
    /** Megahertz. */
    MEGAHERTZ("MHz", Dimension.FREQUENCY, 1.0, 1),
    /** Gigahertz. */
    GIGAHERTZ("GHz", Dimension.FREQUENCY, 1000.0, 4),
    /** Hertz. */
    HERTZ("Hz", Dimension.FREQUENCY, 1e-6, 3),
    /** Watt. */
    WATT("W", Dimension.POWER, 1.0, 2),
    /** Volt. */
    VOLT("V", Dimension.VOLTAGE, 1.0, 3),
    /** Hectopascal. */
    HECTOPASCAL("hPa", Dimension.PRESSURE, 1.0, 2),
    /** Litre a minute. */
    LITRE_PER_MINUTE("L/min", Dimension.FLOW, 1.0, 3),
    /** Kelvin a watt. */
    KELVIN_PER_WATT("K/W", Dimension.THERMAL_RESISTANCE, 1.0, 5),
    /** No unit: a count. */
    ONE("", Dimension.NUMBER, 1.0, 3);

    private static final List<Unit> ALL = List.of(values());

    private final String symbol;
    private final Dimension dimension;
    private final double toBase;
    private final int recordedDecimals;

    Unit(String symbol, Dimension dimension, double toBase, int recordedDecimals) {
        this.symbol = symbol;
        this.dimension = dimension;
        this.toBase = toBase;
        this.recordedDecimals = recordedDecimals;
    }

    /** {@return the one spelling of the unit; empty for a bare number} */
    public String symbol() {
        return symbol;
    }

    /** {@return what the unit measures} */
    public Dimension dimension() {
        return dimension;
    }

    /** {@return the factor from this unit to the base unit of its dimension} */
    public double toBase() {
        return toBase;
    }

    /** {@return how many decimals a reading in this unit keeps in the record} */
    public int recordedDecimals() {
        return recordedDecimals;
    }

    /**
     * {@return the unit of the same dimension that the program calculates with: °C, K, K/h, rpm, %, s, dB, MHz, W, V,
     * hPa, L/min, K/W or a bare number}
     */
    public Unit base() {
        return ALL.stream()
                .filter(u -> u.dimension == dimension && u.toBase == 1.0)
                .findFirst()
                .orElseThrow();
    }

    /**
     * Finds a unit by its exact spelling.
     *
     * @param symbol the spelling, for example "K/h"
     * @return the unit, or empty if no unit is spelt so
     */
    public static Optional<Unit> of(String symbol) {
        return ALL.stream().filter(u -> u.symbol.equals(symbol)).findFirst();
    }
}
