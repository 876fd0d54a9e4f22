package org.plateaubench.uncertainty;

/** What is known of an input quantity, as JCGM 101 assigns it (clause 6.4, table 1). */
public sealed interface Distribution {

    /**
     * Draws a value.
     *
     * @param random where the randomness comes from
     * @return one value
     */
    double draw(SplitMix64 random);

    /**
     * A best estimate with a standard uncertainty (6.4.7).
     *
     * @param mean best estimate
     * @param deviation standard uncertainty; finite, 0 or more
     */
    record Normal(double mean, double deviation) implements Distribution {
        /** Checks the numbers. */
        public Normal {
            check(mean, deviation);
        }

        @Override
        public double draw(SplitMix64 random) {
            return mean + deviation * random.nextGaussian();
        }
    }

    /**
     * Limits only (6.4.2).
     *
     * @param middle middle of the limits
     * @param halfWidth half their distance; finite, 0 or more
     */
    record Rectangular(double middle, double halfWidth) implements Distribution {
        /** Checks the numbers. */
        public Rectangular {
            check(middle, halfWidth);
        }

        @Override
        public double draw(SplitMix64 random) {
            return middle + halfWidth * (2.0 * random.nextDouble() - 1.0);
        }
    }

    /**
     * A cycle of known amplitude, seen at an unknown moment (6.4.6).
     *
     * @param middle mean of the cycle
     * @param amplitude half of peak to peak; finite, 0 or more
     */
    record Arcsine(double middle, double amplitude) implements Distribution {
        /** Checks the numbers. */
        public Arcsine {
            check(middle, amplitude);
        }

        @Override
        public double draw(SplitMix64 random) {
            return middle + amplitude * StrictMath.sin(2.0 * StrictMath.PI * random.nextDouble());
        }
    }

    /**
     * The mean of a few indications, scaled and shifted t (6.4.9).
     *
     * @param mean mean of the indications
     * @param standardError its standard uncertainty; finite, 0 or more
     * @param degreesOfFreedom of that; above 0
     */
    record StudentT(double mean, double standardError, double degreesOfFreedom) implements Distribution {
        /** Checks the numbers. */
        public StudentT {
            check(mean, standardError);
            if (!(degreesOfFreedom > 0.0)) {
                throw new IllegalArgumentException("degrees of freedom must be above 0, found " + degreesOfFreedom);
            }
        }

        /** Polar method of Bailey (1994). */
        @Override
        public double draw(SplitMix64 random) {
            while (true) {
                double x = 2.0 * random.nextDouble() - 1.0;
                double y = 2.0 * random.nextDouble() - 1.0;
                double w = x * x + y * y;
                if (w < 1.0 && w > 0.0) {
                    double spread = StrictMath.expm1(-2.0 / degreesOfFreedom * StrictMath.log(w)) * degreesOfFreedom;
                    return mean + standardError * x * StrictMath.sqrt(spread / w);
                }
            }
        }
    }

    private static void check(double middle, double width) {
        if (!Double.isFinite(middle) || !Double.isFinite(width) || width < 0.0) {
            throw new IllegalArgumentException(
                    "a distribution needs a finite middle and a width of 0 or more, found " + middle + " and " + width);
        }
    }
}
