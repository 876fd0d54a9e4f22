package org.plateaubench.benchfile;

import org.plateaubench.units.Quantity;

/**
 * A limit that ends a run when it is passed for a stated time.
 *
 * @param channel name of the channel
 * @param side which side of the threshold is the wrong one
 * @param threshold the threshold
 * @param forSeconds for how long it must be passed, s
 * @param pumpOff true if the pump must stop too, as with a leak
 */
public record Limit(String channel, Side side, Quantity threshold, double forSeconds, boolean pumpOff) {

    /** Which side of a threshold is the wrong one. */
    public enum Side {
        /** Above it. */
        ABOVE,
        /** Below it. */
        BELOW
    }

    /**
     * Tells whether a value is on the wrong side.
     *
     * @param value corrected value, in the base unit of the threshold's dimension
     * @return true if it is beyond the threshold
     */
    public boolean passedBy(double value) {
        return side == Side.ABOVE ? value > threshold.inBase() : value < threshold.inBase();
    }

    /**
     * Tells whether this limit lets more happen than another of the same channel and side.
     *
     * @param other the other limit, with a threshold of the same dimension
     * @return true if its threshold is farther out, or the same and held for longer
     */
    public boolean looserThan(Limit other) {
        double beyond = threshold.inBase() - other.threshold.inBase();
        double farther = side == Side.ABOVE ? beyond : -beyond;
        return farther > 0 || (farther == 0 && forSeconds > other.forSeconds);
    }

    /** {@return for example "coolant above 55 °C for 3 s"} */
    @Override
    public String toString() {
        return channel + (side == Side.ABOVE ? " above " : " below ") + threshold + " for "
                + org.plateaubench.units.Decimals.shortest(forSeconds, 3) + " s";
    }
}
