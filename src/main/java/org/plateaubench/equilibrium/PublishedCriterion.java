package org.plateaubench.equilibrium;

/**
 * Rules of published standards for thermal equilibrium, as alternatives to the slope rule: readings are taken at
 * intervals, and the latest few must be alike. None of them knows the noise of the readings or how much rise is still to
 * come. Listed are those whose wording could be checked and that need no second channel; the standards decide, not this
 * list.
 */
public enum PublishedCriterion {
    /** Rotating electrical machines: no more than 2 K an hour, in two intervals one after the other. */
    IEC_60034_1("IEC 60034-1:2010, terms and definitions", Kind.SUCCESSIVE, 3, 3600.0, 2.0, 0.0),
    /** Audio, video, information and communication equipment: no more than 3 K in 30 minutes. */
    IEC_62368_1("IEC 62368-1:2014, B.1.6", Kind.SUCCESSIVE, 2, 1800.0, 3.0, 0.0),
    /** Electrical relays: less than 1 K between any two of three readings 5 minutes apart. */
    IEC_61810_7("IEC 61810-7:2006, thermal equilibrium", Kind.ANY_TWO, 3, 300.0, 1.0, 0.0),
    /** Resistance welding equipment: no more than 2 K an hour. */
    IEC_62135_1("IEC 62135-1:2008, thermal equilibrium", Kind.SUCCESSIVE, 2, 3600.0, 2.0, 0.0),
    /** Fuel cell modules: no more than 3 K between readings 15 minutes apart (its other limit, 1 %, is not used). */
    IEC_62282_2("IEC 62282-2:2004, thermal equilibrium conditions", Kind.SUCCESSIVE, 2, 900.0, 3.0, 0.0),
    /** Laboratory equipment: no more than 2 K in an hour. */
    IEC_61010_1("IEC 61010-1, decision sheet CTL 335 (2000)", Kind.SUCCESSIVE, 2, 3600.0, 2.0, 0.0),
    /** Medical electrical equipment: no more than 2 K in an hour. */
    IEC_60601_1("IEC 60601-1:2005, thermal stability", Kind.SUCCESSIVE, 2, 3600.0, 2.0, 0.0),
    /** Electric fans: three readings, a tenth of the elapsed time and at least 5 minutes apart, without an increase. */
    UL_507("UL 507, 46.1.12", Kind.NO_INCREASE, 3, 300.0, 0.0, 0.0),
    /** Self-ballasted lamps: after 3 hours, three readings 15 minutes apart within 1 K and not rising still. */
    UL_1993("UL 1993:2012, 8.5.8", Kind.ANY_TWO_NOT_RISING, 3, 900.0, 1.0, 10_800.0),
    /** Environmental tests: the part with the longest lag changes by no more than 2 K an hour. */
    MIL_STD_810("MIL-STD-810, part one, 5.4", Kind.SUCCESSIVE, 2, 3600.0, 2.0, 0.0),
    /** Switchgear and controlgear: no more than 1 K an hour. */
    IEC_60947_1("IEC 60947-1:2020, 9.3.3.3", Kind.SUCCESSIVE, 2, 3600.0, 1.0, 0.0),
    /** Switchgear assemblies: no more than 1 K an hour at every point, the ambient among them. */
    IEC_61439_1("IEC 61439-1:2020, 10.10.2.3", Kind.SUCCESSIVE, 2, 3600.0, 1.0, 0.0),
    /** Liquid-immersed transformers: less than 1 K an hour for three hours. */
    IEC_60076_2("IEC 60076-2:2011, 7.3", Kind.SUCCESSIVE, 4, 3600.0, StrictMath.nextDown(1.0), 0.0);

    /** How the latest readings are compared. */
    enum Kind {
        /** Each with the one before. */
        SUCCESSIVE,
        /** Each with each. */
        ANY_TWO,
        /** Each with each, and the last is not above the first. */
        ANY_TWO_NOT_RISING,
        /** None is above the one before; the interval is at least a tenth of the elapsed time. */
        NO_INCREASE
    }

    private final String source;
    private final Kind kind;
    private final int readings;
    private final double intervalSeconds;
    private final double limitKelvin;
    private final double atLeastSeconds;

    PublishedCriterion(
            String source, Kind kind, int readings, double intervalSeconds, double limitKelvin, double atLeastSeconds) {
        this.source = source;
        this.kind = kind;
        this.readings = readings;
        this.intervalSeconds = intervalSeconds;
        this.limitKelvin = limitKelvin;
        this.atLeastSeconds = atLeastSeconds;
    }

    /** {@return the standard, its edition and clause} */
    public String source() {
        return source;
    }

    /** How many readings are compared. */
    int readings() {
        return readings;
    }

    /** Time from one reading to the next, when so much has passed since the first, s. */
    double intervalSeconds(double elapsedSeconds) {
        return kind == Kind.NO_INCREASE ? StrictMath.max(intervalSeconds, 0.1 * elapsedSeconds) : intervalSeconds;
    }

    /**
     * Whether so many latest readings are alike.
     *
     * @param latest the readings, the oldest first, as many as are compared
     * @param elapsedSeconds time since the first reading of all, s
     */
    boolean holds(double[] latest, double elapsedSeconds) {
        if (elapsedSeconds < atLeastSeconds) {
            return false;
        }
        double lowest = latest[0];
        double highest = latest[0];
        double largestChange = 0.0;
        double largestIncrease = Double.NEGATIVE_INFINITY;
        for (int i = 1; i < latest.length; i++) {
            lowest = StrictMath.min(lowest, latest[i]);
            highest = StrictMath.max(highest, latest[i]);
            largestChange = StrictMath.max(largestChange, StrictMath.abs(latest[i] - latest[i - 1]));
            largestIncrease = StrictMath.max(largestIncrease, latest[i] - latest[i - 1]);
        }
        return switch (kind) {
            case SUCCESSIVE -> largestChange <= limitKelvin;
            case ANY_TWO -> highest - lowest < limitKelvin;
            case ANY_TWO_NOT_RISING -> highest - lowest <= limitKelvin && latest[latest.length - 1] <= latest[0];
            case NO_INCREASE -> largestIncrease <= 0.0;
        };
    }
}
