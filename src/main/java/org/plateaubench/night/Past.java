package org.plateaubench.night;

import java.io.IOException;
import java.util.List;
import java.util.Optional;
import java.util.function.BiConsumer;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Engine;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordedNight;

/**
 * What a night was, as far as it is recorded, when it goes on: the engine that was fed the recorded inputs again.
 *
 * @param engine the engine, after the last recorded tick
 * @param last the last recorded row; empty if the night was cut off before the first was on the disk
 * @param gapSeconds time from that row, or from the start, to the moment when the night goes on, s
 */
record Past(Engine engine, Optional<RecordedNight.Row> last, double gapSeconds) {

    /**
     * Feeds a new engine what is recorded.
     *
     * @param files plan, fans and bench file of the record
     * @param night the record, up to a tick's end
     * @param each told each row with what the engine commanded at it
     * @return the past, without a gap
     * @throws IOException if it cannot be read, or the engine does not decide as it did then
     * @throws Retrace.OtherRules if it was made by other rules
     */
    static Past of(NightFiles files, RecordedNight night, BiConsumer<RecordedNight.Row, List<Command>> each)
            throws IOException, Retrace.OtherRules {
        Retrace retrace = Retrace.follow(files, night, each);
        if (retrace.difference().isPresent()) {
            Retrace.Difference difference = retrace.difference().get();
            throw new RecordFault(
                    "data/journal.jsonl",
                    "this program does not decide as the one that made the record: at tick " + difference.tick()
                            + " recorded " + difference.recorded() + ", decided " + difference.decided());
        }
        return new Past(retrace.engine(), retrace.last(), 0);
    }

    Past afterGap(double seconds) {
        return new Past(engine, last, seconds);
    }

    /** Number of the last recorded tick; -1 if there is none. */
    long lastTick() {
        return last.map(row -> row.sample().tick()).orElse(-1L);
    }

    /** Offset of the last recorded tick, or of the start, ms. */
    long lastMillis() {
        return last.map(row -> row.sample().offsetMillis()).orElse(0L);
    }

    /** Offset of the moment when the night goes on, ns. */
    long nowNanos() {
        return lastMillis() * 1_000_000 + Math.round(gapSeconds * 1e9);
    }
}
