package org.plateaubench.clock;

import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

/** Wall-clock times as records hold them: ISO 8601, UTC, milliseconds, such as 2026-11-24T22:10:03.000Z. */
public final class Utc {

    private static final DateTimeFormatter TEXT = DateTimeFormatter.ofPattern(
                    "uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
            .withZone(ZoneOffset.UTC);

    private Utc() {}

    /**
     * Writes a time.
     *
     * @param wall the time
     * @return its text
     */
    public static String text(Instant wall) {
        return TEXT.format(wall);
    }
}
