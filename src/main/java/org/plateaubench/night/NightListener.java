package org.plateaubench.night;

import java.util.List;
import java.util.Map;
import java.util.function.Supplier;
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
    default void tick(long tick, double seconds, Supplier<Progress> progress) {}

    /**
     * A line was journalled.
     *
     * @param seconds time since the run began, s
     * @param fields the line
     */
    default void journalled(double seconds, Map<String, Object> fields) {}

    /**
     * Several listeners as one, told in their order.
     *
     * @param listeners the listeners
     * @return a listener that tells them all
     */
    static NightListener all(List<NightListener> listeners) {
        List<NightListener> each = List.copyOf(listeners);
        return new NightListener() {
            @Override
            public void tick(long tick, double seconds, Supplier<Progress> progress) {
                each.forEach(listener -> listener.tick(tick, seconds, progress));
            }

            @Override
            public void journalled(double seconds, Map<String, Object> fields) {
                each.forEach(listener -> listener.journalled(seconds, fields));
            }
        };
    }
}
