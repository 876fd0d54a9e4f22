package org.plateaubench.hostile;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;

/** What the drawn mishaps mean for a channel or a device, at a time: what nobody could have known, and what one could. */
final class Facts {

    private static final Set<Kind> DEVICE_TELLS_NOTHING = EnumSet.of(
            Kind.SILENT,
            Kind.GARBAGE,
            Kind.TRUNCATED,
            Kind.HANG_UP,
            Kind.RENAMED,
            Kind.WRONG_IDENTITY,
            Kind.STALE,
            Kind.LOST_CHARACTER);
    private static final Set<Kind> CHANNEL_TELLS_NOTHING = EnumSet.of(
            Kind.NO_NUMBER, Kind.LOST_PROBE, Kind.DECIMAL_COMMA, Kind.NUL_BYTE, Kind.POWER_ON_VALUE, Kind.NO_POINT);
    private static final Set<Kind> CHANNEL_LIES =
            EnumSet.of(Kind.FROZEN, Kind.OFFSET, Kind.DRIFT, Kind.FACTOR, Kind.POWER_ON_VALUE, Kind.NO_POINT);
    /** What a device says late is old, and what it says in part is another number; both may look right. */
    private static final Set<Kind> DEVICE_LIES = EnumSet.of(Kind.STALE, Kind.TRUNCATED, Kind.LOST_CHARACTER);

    private final BenchFile bench;
    private final List<Mishap> mishaps;

    Facts(Scenario scenario) {
        bench = scenario.files().bench();
        mishaps = scenario.mishaps();
    }

    private Stream<Mishap> of(Set<Kind> kinds, String target, long fromMillis, long toMillis) {
        return mishaps.stream()
                .filter(m -> m.fault().isPresent() && m.target().equals(target))
                .filter(m -> kinds.contains(m.fault().get().kind()) && m.overlaps(fromMillis, toMillis));
    }

    boolean any(Kind kind, long fromMillis, long toMillis) {
        return mishaps.stream().anyMatch(m -> m.is(kind) && m.overlaps(fromMillis, toMillis));
    }

    boolean any(Kind kind, String target, long fromMillis, long toMillis) {
        return of(EnumSet.of(kind), target, fromMillis, toMillis).findAny().isPresent();
    }

    boolean anyOfTheHost(String what, long fromMillis, long toMillis) {
        return mishaps.stream().anyMatch(m -> m.what().equals(what) && m.overlaps(fromMillis, toMillis));
    }

    String deviceOf(String channel) {
        return bench.channel(channel).map(ChannelSpec::device).orElseThrow();
    }

    /** True if the channel may have given a number that is not so, and that looks right. */
    boolean mayLie(String channel, long fromMillis, long toMillis) {
        return of(CHANNEL_LIES, channel, fromMillis, toMillis).findAny().isPresent()
                || of(DEVICE_LIES, deviceOf(channel), fromMillis, toMillis)
                        .findAny()
                        .isPresent();
    }

    /** True if the channel may have given no number, or its device may have been out of reach. */
    boolean mayBeUnread(String channel, long fromMillis, long toMillis) {
        return of(CHANNEL_TELLS_NOTHING, channel, fromMillis, toMillis)
                        .findAny()
                        .isPresent()
                || mayBeOutOfReach(deviceOf(channel), fromMillis, toMillis);
    }

    boolean mayBeOutOfReach(String device, long fromMillis, long toMillis) {
        return of(DEVICE_TELLS_NOTHING, device, fromMillis, toMillis).findAny().isPresent();
    }

    /** The program had no time to run, or the machine slept. */
    boolean paused(long fromMillis, long toMillis) {
        return anyOfTheHost(Mishap.STALL, fromMillis, toMillis) || anyOfTheHost(Mishap.SLEEP, fromMillis, toMillis);
    }

    /** By how much a channel was off at most, in its own unit. */
    double offBy(String channel, long fromMillis, long toMillis) {
        double off = 0;
        for (Mishap m : mishaps) {
            if (!m.target().equals(channel) || !m.overlaps(fromMillis, toMillis)) {
                continue;
            }
            if (m.is(Kind.OFFSET)) {
                off += Math.abs(m.value());
            } else if (m.is(Kind.DRIFT)) {
                off += Math.abs(m.value()) * (Math.min(toMillis, m.toMillis()) - m.fromMillis()) / 3_600_000.0;
            }
        }
        return off;
    }

    List<Mishap> all(Kind kind) {
        return mishaps.stream().filter(m -> m.is(kind)).toList();
    }

    List<Mishap> host(String what) {
        return mishaps.stream().filter(m -> m.what().equals(what)).toList();
    }

    List<Mishap> mishaps() {
        return mishaps;
    }
}
