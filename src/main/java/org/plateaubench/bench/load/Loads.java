package org.plateaubench.bench.load;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.DoubleFunction;
import java.util.function.Function;
import java.util.function.Supplier;
import java.util.stream.Collectors;
import org.plateaubench.bench.Load;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.HeatDemand;

/**
 * All heat that a real bench can make, one load at a time, chosen by what is demanded. An {@link #off} that comes while
 * {@link #on} is under way wins.
 */
public final class Loads implements Load {

    private final Load workload;
    private final Load processor;
    private final List<Load> supply;
    private final List<Load> all;
    private final AtomicLong offs = new AtomicLong();
    private Load present;

    /**
     * Loads that are off.
     *
     * @param file the bench, with its workloads and its supply
     * @param logs gives the folder for output of local loads, the record's data folder; asked when a load starts
     * @param setWatts sets the supply's power in W and reads it back, bounded in time, one thread at a time; never
     *     called if the bench has no supply
     */
    public Loads(BenchFile file, Supplier<Path> logs, DoubleFunction<SetResult> setWatts) {
        this.workload = new WorkloadLoad(file, logs);
        this.processor = new ProcessorLoad(logs);
        this.supply = file.supply().isPresent() ? List.of(new SupplyLoad(setWatts)) : List.of();
        this.all = new ArrayList<>(List.of(workload, processor));
        this.all.addAll(supply);
    }

    /**
     * {@return what holds the processes of a local load on this computer and what it does not catch, one line for the
     * record}
     */
    public static String containment() {
        return Containment.here().text();
    }

    /**
     * Finds a workload's program as the system would.
     *
     * @param program its name, or a path
     * @return why it cannot be started; empty if it is there
     */
    public static Optional<String> missing(String program) {
        return Containment.missing(program);
    }

    @Override
    public SetResult on(HeatDemand demand) {
        long offsBefore = offs.get();
        Load wanted = processor;
        if (demand instanceof HeatDemand.Workload) {
            wanted = workload;
        } else if (demand instanceof HeatDemand.Power) {
            if (supply.isEmpty()) {
                return GuardedCommand.refused(
                        demand.text(), "the bench file declares no supply; give it one, or ask for a workload");
            }
            wanted = supply.get(0);
        }
        if (present != null && present != wanted) {
            SetResult off = present.off();
            if (!off.done()) {
                return GuardedCommand.refused(
                        demand.text(), "the load before it could not be switched off: " + off.detail());
            }
        }
        present = wanted;
        SetResult result = wanted.on(demand);
        if (offs.get() == offsBefore) {
            return result;
        }
        SetResult off = wanted.off();
        return GuardedCommand.refused(
                demand.text(),
                "it was switched off meanwhile" + (off.done() ? "" : ", and that failed: " + off.detail()));
    }

    @Override
    public void renew() {
        all.forEach(Load::renew);
    }

    /** Switches everything off that this bench can heat with, each tried whatever the others did. */
    @Override
    public SetResult off() {
        offs.incrementAndGet();
        List<SetResult> results = all.stream().map(Load::off).toList();
        return new SetResult(
                "heat",
                "off",
                results.stream().allMatch(SetResult::done),
                joined(results, SetResult::readback),
                joined(results, SetResult::detail));
    }

    private static String joined(List<SetResult> results, Function<SetResult, String> part) {
        return results.stream()
                .map(part)
                .filter(text -> !text.isEmpty())
                .distinct()
                .collect(Collectors.joining("; "));
    }

    @Override
    public List<LoadEvent> events() {
        List<LoadEvent> events = new ArrayList<>();
        all.forEach(load -> events.addAll(load.events()));
        return events;
    }

    @Override
    public void close() {
        off();
    }
}
