package org.plateaubench.bench.sim;

/**
 * A slow random wander about zero: a first-order autoregression at knots, straight lines between them. Asked at times
 * that do not go back.
 */
final class Wander {

    private static final double KNOTS_PER_TIME_CONSTANT = 10.0;

    private final long key;
    private final double spread;
    private final double knotSeconds;
    private final double memory;
    private long knot;
    private double from;
    private double to;

    /**
     * A wander.
     *
     * @param key key of its draws
     * @param spread its standard deviation
     * @param timeConstantSeconds over which it forgets, s; above 0
     */
    Wander(long key, double spread, double timeConstantSeconds) {
        this.key = key;
        this.spread = spread;
        this.knotSeconds = timeConstantSeconds / KNOTS_PER_TIME_CONSTANT;
        this.memory = StrictMath.exp(-1.0 / KNOTS_PER_TIME_CONSTANT);
        this.from = spread * Draw.normal(Draw.key(key, -1));
        this.to = next(from, 0);
    }

    private double next(double value, long index) {
        return memory * value + StrictMath.sqrt(1.0 - memory * memory) * spread * Draw.normal(Draw.key(key, index));
    }

    /**
     * {@return the wander at a time}
     *
     * @param seconds since the night began; not before the last one asked for
     */
    double at(double seconds) {
        if (spread == 0.0) {
            return 0.0;
        }
        double knots = seconds / knotSeconds;
        while (knots >= knot + 1) {
            knot++;
            from = to;
            to = next(from, knot);
        }
        return from + (to - from) * (knots - knot);
    }
}
