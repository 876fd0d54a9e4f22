package org.plateaubench.bench.sim;

import java.util.function.DoubleSupplier;

/**
 * One sensor: what it makes of the truth. Its noise is an autoregression from tick to tick whose draws are keyed by the
 * tick, so that it does not matter when or in what order sensors are read.
 */
final class Gauge {

    /** A second reading of one tick differs from the first by this share of the noise. */
    private static final double SHARE_OF_ANOTHER_ATTEMPT = 0.3;

    private final DoubleSupplier truth;
    private final double offset;
    private final double noise;
    private final double relativeNoise;
    private final double memory;
    private final double innovation;
    private final double resolution;
    private final long key;

    private long tick = -1;
    private int attempt;
    private double state;

    private Gauge(
            DoubleSupplier truth,
            double offset,
            double noise,
            double relativeNoise,
            double memory,
            double resolution,
            long key) {
        this.truth = truth;
        this.offset = offset;
        this.noise = noise;
        this.relativeNoise = relativeNoise;
        this.memory = memory;
        this.innovation = StrictMath.sqrt(1.0 - memory * memory);
        this.resolution = resolution;
        this.key = key;
        this.state = Draw.normal(Draw.key(key, -1));
    }

    /**
     * A sensor without faults of its own.
     *
     * @param truth what it measures
     * @return the sensor
     */
    static Gauge exact(DoubleSupplier truth) {
        return new Gauge(truth, 0.0, 0.0, 0.0, 0.0, 0.0, 0L);
    }

    /**
     * A sensor with an offset and noise.
     *
     * @param truth what it measures
     * @param offset what it adds
     * @param noise standard deviation of its noise
     * @param memory correlation of its noise from one tick to the next, 0 to below 1
     * @param resolution step of its readings; 0 for none
     * @param key key of its draws
     * @return the sensor
     */
    static Gauge noisy(DoubleSupplier truth, double offset, double noise, double memory, double resolution, long key) {
        return new Gauge(truth, offset, noise, 0.0, memory, resolution, key);
    }

    /**
     * A sensor whose noise goes with what it measures.
     *
     * @param truth what it measures
     * @param relativeNoise standard deviation of its noise, as a share
     * @param resolution step of its readings; 0 for none
     * @param key key of its draws
     * @return the sensor
     */
    static Gauge relative(DoubleSupplier truth, double relativeNoise, double resolution, long key) {
        return new Gauge(truth, 0.0, 0.0, relativeNoise, 0.0, resolution, key);
    }

    /**
     * Reads the sensor.
     *
     * @param now number of the tick; not before the last one
     * @return the reading
     */
    double read(long now) {
        double value = truth.getAsDouble();
        if (noise > 0.0 || relativeNoise > 0.0) {
            double wave = wave(now);
            value += offset + noise * wave + relativeNoise * value * wave;
        } else {
            value += offset;
        }
        return resolution > 0.0 ? StrictMath.rint(value / resolution) * resolution : value;
    }

    private double wave(long now) {
        if (now == tick) {
            attempt++;
            return state + SHARE_OF_ANOTHER_ATTEMPT * Draw.normal(Draw.key(Draw.key(key, now), attempt));
        }
        if (memory == 0.0) {
            state = Draw.normal(Draw.key(key, now));
        } else {
            for (long t = tick + 1; t <= now; t++) {
                state = memory * state + innovation * Draw.normal(Draw.key(key, t));
            }
        }
        tick = now;
        attempt = 0;
        return state;
    }
}
