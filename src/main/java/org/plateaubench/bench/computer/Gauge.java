package org.plateaubench.bench.computer;

import org.plateaubench.sample.Quality;

/** One thing of the computer that is read at each tick. */
interface Gauge {

    /** {@return what it says now; never throws for what the computer does} */
    Indication read();

    /**
     * What a gauge says.
     *
     * @param value in the base unit of its dimension; NaN if there is none
     * @param quality good, or why there is no value
     */
    record Indication(double value, Quality quality) {

        /** {@return a value} */
        static Indication of(double value) {
            return new Indication(value, Quality.GOOD);
        }

        /** {@return no value, and why} */
        static Indication none(Quality why) {
            return new Indication(Double.NaN, why);
        }
    }
}
