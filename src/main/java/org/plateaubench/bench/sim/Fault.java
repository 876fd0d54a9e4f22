package org.plateaubench.bench.sim;

import java.util.Objects;

/**
 * Something that goes wrong on a simulated bench for a while.
 *
 * @param kind what
 * @param target the device, channel or actuator that it befalls, by its name in the bench file; empty where there is
 *     only one of the kind
 * @param fromMillis since when, virtual ms since the night began
 * @param toMillis until when, itself excluded
 * @param value how much, where the kind has a measure; else 0
 */
public record Fault(Kind kind, String target, long fromMillis, long toMillis, double value) {

    /**
     * Checks the times.
     *
     * @throws IllegalArgumentException if the fault ends before it begins
     */
    public Fault {
        Objects.requireNonNull(kind);
        Objects.requireNonNull(target);
        if (toMillis <= fromMillis) {
            throw new IllegalArgumentException(
                    "a fault must end after it begins, found " + fromMillis + " ms to " + toMillis + " ms");
        }
    }

    /**
     * A fault without a measure.
     *
     * @param kind what
     * @param target what it befalls
     * @param fromMillis since when, virtual ms
     * @param toMillis until when, itself excluded
     */
    public Fault(Kind kind, String target, long fromMillis, long toMillis) {
        this(kind, target, fromMillis, toMillis, 0.0);
    }

    boolean active(long millis) {
        return millis >= fromMillis && millis < toMillis;
    }

    /** What can go wrong. Those of lines and sensors change what is reported, never what is so. */
    public enum Kind {
        // Of a device's line.
        /** It does not answer. */
        SILENT,
        /** It answers with characters that mean nothing. */
        GARBAGE,
        /** Its answers lack their second half. */
        TRUNCATED,
        /** It answers each request with the answer to the request before. */
        STALE,
        /** Its answers lack one character each, as where another program reads from the same port. */
        LOST_CHARACTER,
        /** The port is gone; it can be opened again afterwards. */
        HANG_UP,
        /** The port is gone at the beginning and there again at once, under another name. */
        RENAMED,
        /** It gives another identity, as when two adapters were swapped. */
        WRONG_IDENTITY,
        /** It restarts at the beginning: its outputs fall back to those of power-on. */
        RESET_OUTPUTS,
        /** It says that it has set a duty, and has not. */
        IGNORES_DUTY,
        /** The supply does not take the power that it is set to, and stays at what it was. */
        IGNORES_POWER,

        // Of a channel's sensor.
        /** The device itself says that there is no value. */
        NO_NUMBER,
        /** A thermometer that gives its power-on value. */
        POWER_ON_VALUE,
        /** A thermometer that is not found. */
        LOST_PROBE,
        /** A number written with a comma. */
        DECIMAL_COMMA,
        /** A number whose decimal point was lost. */
        NO_POINT,
        /** A NUL byte in the number. */
        NUL_BYTE,
        /** The last value again and again. */
        FROZEN,
        /** The value is off by the measure, in the channel's unit. */
        OFFSET,
        /** The value moves away by the measure in an hour, in the channel's unit. */
        DRIFT,
        /** The value is multiplied by the measure, as by a tachometer that counts the duty's edges too. */
        FACTOR,

        // Of the bench itself: these change what is so.
        /** The pump stands still. */
        PUMP_STOP,
        /** A fan's rotor is held; the target is its tachometer's channel. */
        FAN_STALL,
        /** Coolant leaks. */
        LEAK,
        /** A run of the workload that is under way at the beginning fails. */
        WORKLOAD_FAILS,
        /** The heat stays on although it was switched off. */
        HEAT_STAYS,
        /** The heat stays away although it is switched on, and nothing says so. */
        HEAT_TRIPPED,
        /** The processor runs at the measure, in per cent, of the clock and the power that it should have. */
        THROTTLED,
        /** The room's air moves away by the measure, in K, within a few minutes: a door, or the heating. */
        ROOM_STEP
    }
}
