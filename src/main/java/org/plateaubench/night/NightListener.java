package org.plateaubench.night;

import java.util.Map;
import org.plateaubench.engine.Progress;

/** Told what a night does, on the night's own thread; must be quick. */
public interface NightListener {

    /** Listens to nothing. */
    NightListener NONE = new NightListener() {};

    /**
     * A tick was done.
     *
     * @param tick number of the tick
     * @param seconds time since the run began, s
     * @param progress gives where the night stands; computed only if called
     */
    default void tick(long tick, double seconds, java.util.function.Supplier<Progress> progress) {}

    /**
     * A line was journalled.
     *
     * @param seconds time since the run began, s
     * @param fields the line
     */
    default void journalled(double seconds, Map<String, Object> fields) {}
}
