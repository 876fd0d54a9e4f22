package org.plateaubench.units;

/** What a quantity measures. Temperature and temperature difference are two dimensions on purpose. */
public enum Dimension {
    /** A temperature on the Celsius scale. */
    TEMPERATURE("a temperature", "24 °C"),
    /** A difference of two temperatures. */
    TEMPERATURE_DIFFERENCE("a temperature difference", "0.5 K"),
    /** A rate of change of temperature. */
    TEMPERATURE_RATE("a rate of temperature change", "1 K/h"),
    /** A speed of rotation. */
    ROTATIONAL_SPEED("a speed", "900 rpm"),
    /** A share of a whole, such as a duty cycle or a tolerance. */
    RATIO("a share", "60 %"),
    /** A length of time. */
    TIME("a time", "10 min"),
    /** A sound level or a level difference. */
    LEVEL("a level", "24 dB"),
    /** A frequency. */
    FREQUENCY("a frequency", "4300 MHz"),
    /** A heat flow or an electrical power. */
    POWER("a power", "200 W"),
    /** A voltage. */
    VOLTAGE("a voltage", "1 V"),
    /** A pressure. */
    PRESSURE("a pressure", "1013 hPa"),
    /** A volume flow. */
    FLOW("a flow", "4 L/min"),
    /** A thermal resistance. */
    THERMAL_RESISTANCE("a thermal resistance", "0.05 K/W"),
    /** A bare number. */
    NUMBER("a number without a unit", "3");

    private final String noun;
    private final String example;

    Dimension(String noun, String example) {
        this.noun = noun;
        this.example = example;
    }

    /** {@return how a message names it, with its article, such as "a temperature difference"} */
    public String noun() {
        return noun;
    }

    /** {@return a well-formed example of it, such as "0.5 K"} */
    public String example() {
        return example;
    }
}
