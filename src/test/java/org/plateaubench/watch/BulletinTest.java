package org.plateaubench.watch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.OffsetDateTime;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import org.junit.jupiter.api.Test;

class BulletinTest {

    private static final LivePage.About ABOUT = new LivePage.About(
            "Test night", "A", "a bench", OffsetDateTime.parse("2026-11-24T22:10:00+01:00"), OptionalDouble.empty());

    private static void journal(Bulletin bulletin, int lines) {
        for (int i = 0; i < lines; i++) {
            bulletin.journalled(i, Map.of("decision", "reset", "reason", "line " + i));
        }
    }

    @Test
    void linesThatAreLeftOutTakeNoRoomFromLaterOnes() {
        Bulletin bulletin = new Bulletin(ABOUT);
        journal(bulletin, 3 * Bulletin.MOST_WAITING);
        // One event a line, and where the night stands.
        assertEquals(Bulletin.MOST_WAITING + 1, bulletin.news().size());

        journal(bulletin, 1);
        List<byte[]> news = bulletin.news();
        assertEquals(2, news.size());
        assertTrue(new String(news.get(0), StandardCharsets.UTF_8).contains("line 0"));
    }
}
