package org.plateaubench.results;

/**
 * One pass. Only those of a thermal measurement have a soak and a dwell.
 *
 * @param pass its name, such as "2.1/1": block, place, attempt
 * @param step its setpoint, as text
 * @param measurement which measurement it belongs to: "characterise", "acoustic" or "thermal"
 * @param reference true if it measured the reference step
 * @param status what became of it
 * @param reason why it was spoiled; empty otherwise
 * @param settled true if the soak ended because the rise had settled
 * @param soakSeconds how long the soak took, s; NaN if it did not end
 * @param fromTick first tick of the dwell; -1 without one
 * @param toTick last tick of the dwell; -1 without one
 * @param dwell means over the dwell; all NaN without one
 */
public record PassResult(
        String pass,
        String step,
        String measurement,
        boolean reference,
        Status status,
        String reason,
        boolean settled,
        double soakSeconds,
        long fromTick,
        long toTick,
        Dwell dwell) {

    /** Name of the thermal measurement. */
    static final String THERMAL = "thermal";

    /** {@return true if it belongs to the thermal measurement} */
    public boolean thermal() {
        return measurement.equals(THERMAL);
    }

    /** What became of a pass. */
    public enum Status {
        /** Its dwell was completed; it enters the result. */
        DONE("done"),
        /** It was spoiled; it stays in the record and out of the result. */
        SPOILED("spoiled"),
        /** The night ended before it was done. */
        CUT("cut");

        private final String text;

        Status(String text) {
            this.text = text;
        }

        /** {@return its recorded text} */
        public String text() {
            return text;
        }
    }

    /**
     * Means over a dwell.
     *
     * @param readings how many ticks had a good rise
     * @param coolantRiseKelvin mean rise of the coolant over the filtered ambient, K
     * @param cpuRiseKelvin mean rise of the processor over the filtered ambient, K; NaN where it is not measured
     * @param ambientCelsius mean ambient, °C
     * @param fanRpm mean fan speed, rpm
     * @param pumpRpm mean pump speed, rpm
     * @param powerWatts mean heat flow, W; NaN where it is not measured
     * @param coolantToAmbientResistance rise of the coolant over the heat flow, K/W; NaN where that is not measured
     * @param meanStandardError standard error of the mean coolant rise from its long-run variance, K
     */
    public record Dwell(
            long readings,
            double coolantRiseKelvin,
            double cpuRiseKelvin,
            double ambientCelsius,
            double fanRpm,
            double pumpRpm,
            double powerWatts,
            double coolantToAmbientResistance,
            double meanStandardError) {

        /** No dwell. */
        public static final Dwell NONE = new Dwell(
                0, Double.NaN, Double.NaN, Double.NaN, Double.NaN, Double.NaN, Double.NaN, Double.NaN, Double.NaN);
    }
}
