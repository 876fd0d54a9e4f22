package org.plateaubench.engine;

import java.util.OptionalDouble;

/**
 * Where a night stands, for people who watch it.
 *
 * @param stage name of the stage
 * @param waitsFor why it waits, one line
 * @param pass name of the pass under way, or empty
 * @param step its setpoint, or empty
 * @param passesDone passes done
 * @param passesPlanned passes of the plan
 * @param passesSpoiled attempts that were spoiled
 * @param heatOn whether the load is on
 * @param coolantCelsius coolant, °C; NaN without a good reading
 * @param riseKelvin rise over the filtered ambient, K; NaN without good readings
 * @param fanRpm mean fan speed, rpm; NaN without good readings
 * @param slopeKelvinPerHour the slope that it waits for, K/h, if any
 * @param slopeLimitKelvinPerHour its limit, K/h, if any
 * @param secondsLeft how long the night will still take, as far as can be told, s
 */
public record Progress(
        String stage,
        String waitsFor,
        String pass,
        String step,
        int passesDone,
        int passesPlanned,
        int passesSpoiled,
        boolean heatOn,
        double coolantCelsius,
        double riseKelvin,
        double fanRpm,
        OptionalDouble slopeKelvinPerHour,
        OptionalDouble slopeLimitKelvinPerHour,
        double secondsLeft) {}
