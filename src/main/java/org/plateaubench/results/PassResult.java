package org.plateaubench.results;

import org.plateaubench.equilibrium.Settling;

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
 * @param nominalRiseKelvin rise of the coolant at equilibrium, nominal speed and nominal heat flow, K; NaN for a pass that
 *     does not count
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
        Dwell dwell,
        double nominalRiseKelvin) {

    /** Name of the thermal measurement. */
    static final String THERMAL = "thermal";

    /** {@return true if it belongs to the thermal measurement} */
    public boolean thermal() {
        return measurement.equals(THERMAL);
    }

    PassResult withNominalRise(double kelvin) {
        return new PassResult(
                pass,
                step,
                measurement,
                reference,
                status,
                reason,
                settled,
                soakSeconds,
                fromTick,
                toTick,
                dwell,
                kelvin);
    }

    /** {@return true if it enters the result of its step: done, and no reference} */
    public boolean counts() {
        return thermal() && status == Status.DONE && !reference;
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
     * @param powerWatts mean heat flow as the loop feels it, W; NaN where it is not measured
     * @param coolantToAmbientResistance rise of the coolant over the heat flow, K/W; NaN where that is not measured
     * @param meanStandardError standard error of the mean coolant rise from its long-run variance, K
     * @param settling how far from equilibrium the mean coolant rise was
     * @param loopTimeConstantSeconds time constant by which ambient and heat flow were filtered, s
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
            double meanStandardError,
            Settling settling,
            double loopTimeConstantSeconds) {

        /** {@return mean rise with what the fitted remaining rise adds, K} */
        public double settledRiseKelvin() {
            return coolantRiseKelvin + settling.correctionKelvin();
        }

        /**
         * {@return standard uncertainty of what settling adds, K: half of it; where no equilibrium is in sight what the
         * drift would do in one time constant}
         */
        public double settlingUncertaintyKelvin() {
            return settling instanceof Settling.Drift drift
                    ? StrictMath.abs(drift.driftKelvinPerHour()) / 3600.0 * loopTimeConstantSeconds
                    : settling.standardUncertaintyKelvin();
        }

        /**
         * {@return standard uncertainty of the settled rise from the scatter of the readings, K: that of the mean or that of
         * the fit, whichever is larger, since the same readings are in both}
         */
        public double floorKelvin() {
            double fit = settling instanceof Settling.Approach approach ? approach.fitErrorKelvin() : 0.0;
            return StrictMath.max(Double.isNaN(meanStandardError) ? 0.0 : meanStandardError, fit);
        }

        /** No dwell. */
        public static final Dwell NONE = new Dwell(
                0,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                Double.NaN,
                new Settling.Flat(false),
                Double.NaN);
    }
}
