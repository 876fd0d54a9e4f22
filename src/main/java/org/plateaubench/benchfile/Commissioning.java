package org.plateaubench.benchfile;

import java.time.LocalDate;

/**
 * What a long commissioning soak measured of the bench.
 *
 * @param slowTimeConstantSeconds of the slow mode, s
 * @param fastTimeConstantSeconds of the loop, s
 * @param measured when
 */
public record Commissioning(double slowTimeConstantSeconds, double fastTimeConstantSeconds, LocalDate measured) {}
