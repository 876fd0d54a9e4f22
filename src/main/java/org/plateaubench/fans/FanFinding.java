package org.plateaubench.fans;

import java.util.Locale;

/**
 * Something about fans that whoever reads their figures must know.
 *
 * @param kind what
 * @param fan name of the fan's channel; empty where it is about the set
 * @param text one line for people
 */
public record FanFinding(Kind kind, String fan, String text) {

    /** What can be found. */
    public enum Kind {
        /** The fan did not turn at any duty: it is not characterised. */
        NO_ANSWER,
        /** It turned at every duty. */
        NEVER_STOPS,
        /** Electronics stop it below a threshold. */
        STOPS_BELOW_THRESHOLD,
        /** Its speed no longer rises above some duty. */
        SPEED_CAPPED,
        /** At one duty it turns faster reached from above than from below. */
        HYSTERESIS,
        /** Its start duty differs from start to start. */
        STICKY_START,
        /** It slows down somewhere while the duty rises. */
        NOT_MONOTONIC,
        /** It differs from the other fans of the set. */
        UNLIKE_THE_OTHERS,
        /** Its tachometer's readings are implausible. */
        TACHOMETER,
        /** Nothing says what speed the fans should have, so that doubling of all tachometers would not be seen. */
        NO_RATED_SPEED,
        /** One tachometer is seen for several fans. */
        SHARED_TACHOMETER,
        /** It reaches its speed faster than can be told from readings so far apart. */
        TOO_FAST_TO_TELL;

        /** {@return its recorded text} */
        public String text() {
            return name().toLowerCase(Locale.ROOT).replace('_', '-');
        }
    }
}
