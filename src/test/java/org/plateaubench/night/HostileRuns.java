package org.plateaubench.night;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Optional;
import java.util.function.Predicate;
import org.plateaubench.bench.Bench;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.HostileStorage;
import org.plateaubench.record.RecordHead;
import org.plateaubench.record.RecordWriter;
import org.plateaubench.record.SealingKey;
import org.plateaubench.record.SignerKey;

/** Nights whose records lie on storage that fails. */
public final class HostileRuns {

    private HostileRuns() {}

    /** {@return a night that has not begun, whose record lies on this storage} */
    public static NightRun of(NightFiles files, Bench bench, VirtualClock clock, HostileStorage storage) {
        return new NightRun(
                files,
                Optional.empty(),
                bench,
                clock,
                Double.POSITIVE_INFINITY,
                hook -> {},
                line -> {},
                new NightRun.Recordings() {
                    @Override
                    public RecordWriter open(Path folder, RecordHead head, SealingKey key) throws IOException {
                        return storage.open(folder, head, key);
                    }

                    @Override
                    public RecordWriter reopen(Path record, SealingKey key, String utc, Predicate<SignerKey> believed)
                            throws IOException {
                        return storage.reopen(record, key, utc, believed);
                    }
                });
    }
}
