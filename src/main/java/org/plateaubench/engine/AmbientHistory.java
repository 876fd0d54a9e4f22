package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.Optional;
import org.plateaubench.equilibrium.BlockMeans;
import org.plateaubench.equilibrium.HeatingCycle;

/** The ambient of the last two hours as means over a minute, in which a heating cycle is looked for. */
final class AmbientHistory {

    private static final double MINUTE_SECONDS = 60.0;
    private static final int MOST_MINUTES = 120;

    private final Deque<Minute> minutes = new ArrayDeque<>();

    private static final class Minute {
        private final long firstTick;
        private final double beginSeconds;
        private long lastTick;
        private double sumSeconds;
        private double sumCelsius;
        private int readings;

        Minute(long firstTick, double beginSeconds) {
            this.firstTick = firstTick;
            this.beginSeconds = beginSeconds;
        }
    }

    void add(long tick, double seconds, double celsius) {
        if (minutes.isEmpty() || seconds - minutes.getLast().beginSeconds >= MINUTE_SECONDS) {
            minutes.addLast(new Minute(tick, seconds));
            if (minutes.size() > MOST_MINUTES) {
                minutes.removeFirst();
            }
        }
        Minute minute = minutes.getLast();
        minute.lastTick = tick;
        minute.sumSeconds += seconds;
        minute.sumCelsius += celsius;
        minute.readings++;
    }

    /** The heating cycle of these hours, if one shows. Costs milliseconds: not to be asked at every tick. */
    Optional<HeatingCycle> cycle() {
        BlockMeans means = new BlockMeans(1);
        for (Minute minute : minutes) {
            means.add(minute.sumSeconds / minute.readings, minute.sumCelsius / minute.readings);
        }
        return HeatingCycle.find(means);
    }

    /** First tick of what is kept; there is something kept. */
    long firstTick() {
        return minutes.getFirst().firstTick;
    }

    /** Last tick of what is kept; there is something kept. */
    long lastTick() {
        return minutes.getLast().lastTick;
    }
}
