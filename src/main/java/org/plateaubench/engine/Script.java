package org.plateaubench.engine;

import java.util.Deque;
import java.util.function.Supplier;

/**
 * How one measurement of a plan is carried out: it plans stages, is told what came of them, and knows what is missing in
 * the end. The engine runs the scripts of a plan one after the other.
 */
interface Script {

    /**
     * Plans what comes next, as stages or as a request to end the run.
     *
     * @param agenda empty; takes the next stages in order
     * @param course the night
     * @return false if nothing is left to do
     */
    boolean next(Deque<Supplier<Stage>> agenda, Course course);

    /** A stage of this script is done. It may still ask for the pass to be spoiled. */
    void finished(Stage stage, Course course);

    /** The pass under way is spoiled: it will be repeated, or is given up. */
    void spoiled(String reason, Course course);

    /** What was measured since a time cannot be believed: passes done since then are repeated, or are given up. */
    default void distrusted(double sinceSeconds, String reason, Course course) {}

    /** What the measurement could not give besides passes that are missing; empty if there is nothing. */
    default String shortfall() {
        return "";
    }

    /** How long the rest of this script will take, without the stages already on the agenda, s. */
    double secondsLeft();

    /** How many passes it plans. */
    int planned();

    /** How many passes are done. */
    int done();

    /** How many attempts were spoiled. */
    int spoiledAttempts();
}
