package org.plateaubench.engine;

import java.util.OptionalDouble;

/**
 * Brings a speed to its target by setting a duty: set, let it settle, average, compare, set again. The same procedure
 * serves fans and pump. It judges on averages, so that tachometer jitter does not keep it busy.
 */
final class SpeedTrim {

    private static final double SETTLE_SECONDS = 10.0;
    private static final double AVERAGE_SECONDS = 5.0;
    private static final int LEAST_READINGS = 3;
    private static final int MOST_SETTINGS = 12;
    /** Duties closer than this are the same setting: controllers answer with two decimals. */
    private static final double SAME_DUTY_PERCENT = 0.01;

    private final double targetRpm;
    private final double withinPercent;
    private final SpeedMemory memory;
    private double setAtSeconds = Double.NaN;
    private double sumRpm;
    private int readings;
    private int settings;
    private double meanRpm = Double.NaN;
    private State state = State.TRIMMING;

    enum State {
        TRIMMING,
        REACHED,
        OUT_OF_REACH
    }

    SpeedTrim(double targetRpm, double withinPercent, SpeedMemory memory) {
        this.targetRpm = targetRpm;
        this.withinPercent = withinPercent;
        this.memory = memory;
    }

    State state() {
        return state;
    }

    double meanRpm() {
        return meanRpm;
    }

    /**
     * One tick.
     *
     * @param seconds time of the tick
     * @param dutyPercent duty that is set, per cent
     * @param rpm speed at this tick; NaN without a good reading
     * @return a duty to set, per cent, or empty
     */
    OptionalDouble tick(double seconds, double dutyPercent, double rpm) {
        if (Double.isNaN(setAtSeconds)) {
            setAtSeconds = seconds;
            if (memory.knows()) {
                return setTo(memory.dutyFor(targetRpm), dutyPercent, seconds);
            }
        }
        double since = seconds - setAtSeconds;
        if (since < SETTLE_SECONDS) {
            return OptionalDouble.empty();
        }
        if (!Double.isNaN(rpm)) {
            sumRpm += rpm;
            readings++;
        }
        if (readings < LEAST_READINGS || since < SETTLE_SECONDS + AVERAGE_SECONDS) {
            return OptionalDouble.empty();
        }
        meanRpm = sumRpm / readings;
        memory.learn(dutyPercent, meanRpm);
        if (Math.abs(meanRpm - targetRpm) <= targetRpm * withinPercent / 100.0) {
            state = State.REACHED;
            return OptionalDouble.empty();
        }
        double next = memory.knows() ? memory.dutyFor(targetRpm) : 50.0;
        if (Math.abs(next - dutyPercent) < SAME_DUTY_PERCENT || settings >= MOST_SETTINGS) {
            state = State.OUT_OF_REACH;
            return OptionalDouble.empty();
        }
        return setTo(next, dutyPercent, seconds);
    }

    private OptionalDouble setTo(double next, double dutyPercent, double seconds) {
        sumRpm = 0;
        readings = 0;
        setAtSeconds = seconds;
        // A round that comes to the same duty again counts, too, or there might be no end of them.
        settings++;
        double rounded = Math.rint(next * 100.0) / 100.0;
        if (Math.abs(rounded - dutyPercent) < SAME_DUTY_PERCENT) {
            return OptionalDouble.empty();
        }
        return OptionalDouble.of(rounded);
    }
}
