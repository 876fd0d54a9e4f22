package org.plateaubench.engine;

import org.plateaubench.plan.Measurement;

/**
 * One pass of a thermal measurement.
 *
 * @param block number of the block, from 1
 * @param place place within the block, from 1
 * @param attempt how often it was begun, this time included, from 1
 * @param step its setpoint
 * @param reference true if it measures the reference step
 */
record ThermalPass(int block, int place, int attempt, Measurement.Step step, boolean reference) {

    Pass pass() {
        return new Pass(block + "." + place, attempt, step.text());
    }

    ThermalPass again() {
        return new ThermalPass(block, place, attempt + 1, step, reference);
    }
}
