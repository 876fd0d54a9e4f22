package org.plateaubench.engine;

import org.plateaubench.plan.Measurement;

/**
 * One execution of one step, planned or under way.
 *
 * @param block number of the block, from 1
 * @param place place within the block, from 1
 * @param attempt how often it was begun, this time included, from 1
 * @param step its setpoint
 * @param reference true if it measures the reference step
 */
record Pass(int block, int place, int attempt, Measurement.Step step, boolean reference) {

    /** How often a pass may be begun before it is given up: once, and repeated at most twice. */
    static final int MOST_ATTEMPTS = 3;

    /** {@return its name in samples and journal, such as "2.1/1": block 2, place 1, first attempt} */
    String name() {
        return block + "." + place + "/" + attempt;
    }

    Pass again() {
        return new Pass(block, place, attempt + 1, step, reference);
    }
}
