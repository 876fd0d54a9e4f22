package org.plateaubench.benchfile;

import java.time.LocalDate;
import java.util.OptionalDouble;
import org.plateaubench.units.Decimals;

/**
 * What a long commissioning soak measured of the bench.
 *
 * @param slowTimeConstantSeconds of the slow mode, s
 * @param fastTimeConstantSeconds of the loop, s
 * @param probeLagSeconds by how much the ambient probes lag behind those of the coolant, s, if the soak could tell
 * @param measured when
 */
public record Commissioning(
        double slowTimeConstantSeconds,
        double fastTimeConstantSeconds,
        OptionalDouble probeLagSeconds,
        LocalDate measured) {

    /** {@return how it is written in a bench file, such as "{ slow-time-constant: 1500 s, ... }"} */
    public String yaml() {
        return "{ slow-time-constant: " + seconds(slowTimeConstantSeconds)
                + ", fast-time-constant: " + seconds(fastTimeConstantSeconds)
                + (probeLagSeconds.isPresent() ? ", probe-lag: " + seconds(probeLagSeconds.getAsDouble()) : "")
                + ", measured: " + measured + " }";
    }

    private static String seconds(double value) {
        return Decimals.shortest(value, 1) + " s";
    }
}
