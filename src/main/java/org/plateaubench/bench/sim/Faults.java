package org.plateaubench.bench.sim;

import java.util.List;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import org.plateaubench.bench.sim.Fault.Kind;

/** The faults of one night, each with its virtual time. May be added to by any thread, for times to come. */
public final class Faults {

    private final List<Fault> faults = new CopyOnWriteArrayList<>();

    /** A night without faults, so far. */
    public Faults() {}

    /**
     * Adds a fault.
     *
     * @param fault a fault that begins later than now
     */
    public void add(Fault fault) {
        faults.add(fault);
    }

    Optional<Fault> active(Kind kind, String target, long millis) {
        for (Fault fault : faults) {
            if (fault.kind() == kind && fault.target().equals(target) && fault.active(millis)) {
                return Optional.of(fault);
            }
        }
        return Optional.empty();
    }

    boolean any(Kind kind, String target, long millis) {
        return active(kind, target, millis).isPresent();
    }

    boolean any(Kind kind, long millis) {
        for (Fault fault : faults) {
            if (fault.kind() == kind && fault.active(millis)) {
                return true;
            }
        }
        return false;
    }

    /** When the next fault begins or ends after a time; {@link Long#MAX_VALUE} if none does. */
    long nextChangeAfter(long millis) {
        long next = Long.MAX_VALUE;
        for (Fault fault : faults) {
            if (fault.fromMillis() > millis) {
                next = Math.min(next, fault.fromMillis());
            } else if (fault.toMillis() > millis) {
                next = Math.min(next, fault.toMillis());
            }
        }
        return next;
    }

    List<Fault> beginningAt(long millis) {
        return faults.stream().filter(f -> f.fromMillis() == millis).toList();
    }
}
