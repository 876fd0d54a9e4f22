package org.plateaubench.acoustics;

/**
 * Fans at one speed between two listens to the background.
 *
 * @param rpm mean speed of the fans, rpm; above 0
 * @param before background before, usable
 * @param fans the fans, usable
 * @param after background after, usable
 */
public record Bracket(double rpm, Listen before, Listen fans, Listen after) {

    /**
     * Checks the bracket.
     *
     * @throws IllegalArgumentException if a listen is not usable, the listens are not in order of time, or the speed is not
     *     above 0
     */
    public Bracket {
        if (!before.usable() || !fans.usable() || !after.usable()) {
            throw new IllegalArgumentException("a bracket at " + rpm + " rpm needs three usable listens");
        }
        if (!(before.middleSeconds() < fans.middleSeconds() && fans.middleSeconds() < after.middleSeconds())) {
            throw new IllegalArgumentException("the fans must be listened to between the backgrounds, found "
                    + before.middleSeconds() + " s, " + fans.middleSeconds() + " s, " + after.middleSeconds() + " s");
        }
        if (!(rpm > 0.0) || Double.isInfinite(rpm)) {
            throw new IllegalArgumentException("fans in a bracket must turn, found " + rpm + " rpm");
        }
    }

    /** {@return by how much the background rose within the bracket, dB} */
    public double driftDb() {
        return after.levelDb() - before.levelDb();
    }

    /** {@return background while the fans were listened to, straight in energy between the two listens, dB} */
    public double backgroundDb() {
        double w = afterShare();
        return Levels.levelDb((1.0 - w) * before.energy() + w * after.energy());
    }

    /** {@return the direct reading of this bracket} */
    public Reading reading() {
        return Reading.of(fans.levelDb(), backgroundDb());
    }

    /** Weight of the later background at the time of the fans. */
    double afterShare() {
        return (fans.middleSeconds() - before.middleSeconds()) / (after.middleSeconds() - before.middleSeconds());
    }
}
