package org.plateaubench.hostile;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.plateaubench.bench.BenchException;
import org.plateaubench.bench.sim.Fault;
import org.plateaubench.bench.sim.SimulatedBench;
import org.plateaubench.bench.sim.Transport;
import org.plateaubench.clock.VirtualClock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Input;
import org.plateaubench.night.Night;
import org.plateaubench.night.NightListener;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.MemoryRecord;
import org.plateaubench.record.Recorder;
import org.plateaubench.sample.Sample;

/** Lives through a drawn night, in this process and in virtual time. */
final class HostileNight {

    /** A local load's lease: without the engine it dies after so long. */
    private static final double LEASE_SECONDS = 5;
    /** Long enough for every cut-off of the bench's hardware. */
    private static final int AFTER_SECONDS = 45;

    /** So long a signal waits for a command to come into the middle of. */
    private static final long MID_TICK_MILLIS = 30_000;

    private HostileNight() {}

    static Story live(Scenario scenario) {
        return live(scenario, Transport.IN_PROCESS);
    }

    static Story live(Scenario scenario, Transport transport) {
        NightFiles files = scenario.files();
        VirtualClock time = VirtualClock.unpaced(
                files.bench().simulation().orElseThrow().start().toInstant());
        SimulatedBench bench = SimulatedBench.create(
                files.bench(), files.fans().set(), scenario.ticket().seed(), time, transport);
        scenario.mishaps().forEach(m -> befall(m, bench));
        Eyes eyes = new Eyes(bench, time, scenario.mostSeconds());
        KeptInMemory record = new KeptInMemory(files);
        List<Map.Entry<Long, String>> asked = new ArrayList<>();
        Optional<Command.End> end = Optional.empty();
        Optional<Throwable> thrown = Optional.empty();
        try (eyes) {
            eyes.open();
            Night night = new Night(
                    files,
                    Optional.empty(),
                    eyes,
                    new HostileClock(time, scenario.mishaps()),
                    files.bench().simulation().orElseThrow().start().getOffset(),
                    record,
                    NightListener.NONE,
                    true);
            ask(scenario, night, eyes, record, asked);
            try {
                end = Optional.of(night.run());
            } catch (RuntimeException | Error e) {
                thrown = Optional.of(e);
                eyes.makeSafe(false);
            }
        } catch (BenchException e) {
            // Refused before anything was set: a whole night, and there is no record of it.
        }
        eyes.watchOn(AFTER_SECONDS);
        return new Story(scenario, eyes.rows(), asked, record.memory, end, thrown);
    }

    private static void befall(Mishap mishap, SimulatedBench bench) {
        mishap.fault().ifPresent(bench.faults()::add);
        double leaseOver = mishap.fromSeconds() + LEASE_SECONDS;
        if (mishap.what().equals(Mishap.STALL) && mishap.seconds() > LEASE_SECONDS) {
            bench.faults()
                    .add(new Fault(
                            Fault.Kind.WORKLOAD_FAILS,
                            "",
                            StrictMath.round(leaseOver * 1000),
                            StrictMath.round(leaseOver * 1000) + 1));
        }
        if (mishap.what().equals(Mishap.SLEEP)) {
            bench.faults().add(new Fault(Fault.Kind.HEAT_TRIPPED, "", mishap.fromMillis(), mishap.toMillis()));
        }
    }

    /** What people and the system ask for, at its time. */
    private static void ask(
            Scenario scenario, Night night, Eyes eyes, KeptInMemory record, List<Map.Entry<Long, String>> asked) {
        List<Mishap> waiting = new ArrayList<>(scenario.mishaps().stream()
                .filter(m ->
                        List.of(Mishap.OPERATOR, Mishap.SIGNAL, Mishap.STORAGE).contains(m.what()))
                .toList());
        eyes.beforeTick(millis -> waiting.removeIf(m -> {
            boolean now = m.fromMillis() + (inMidTick(m) ? MID_TICK_MILLIS : 0) <= millis;
            if (now) {
                asked.add(Map.entry(millis, m.what() + m.target()));
                ask(m, night, eyes, record);
            }
            return now;
        }));
        eyes.beforeCommand(millis -> waiting.removeIf(m -> {
            boolean now = inMidTick(m) && m.fromMillis() <= millis;
            if (now) {
                asked.add(Map.entry(millis, m.what() + m.target()));
                ask(m, night, eyes, record);
            }
            return now;
        }));
    }

    /** Half of the signals come while a command is carried out, if one is within some time. */
    private static boolean inMidTick(Mishap m) {
        return m.what().equals(Mishap.SIGNAL) && m.fromMillis() / 100 % 2 == 0;
    }

    /** A signal also makes the bench safe at once, as in a program. */
    private static void ask(Mishap m, Night night, Eyes eyes, KeptInMemory record) {
        switch (m.what()) {
            case Mishap.OPERATOR -> night.request(new Input.Operator("operator"));
            case Mishap.STORAGE -> record.fault = Optional.of("the disk is full");
            default -> {
                night.request(new Input.Signal(m.target()));
                if (!m.target().equals("HUP")) {
                    eyes.makeSafe(false);
                }
            }
        }
    }

    /** A record in memory whose storage can fail. */
    private static final class KeptInMemory implements Recorder {
        private final MemoryRecord memory;
        private Optional<String> fault = Optional.empty();

        KeptInMemory(NightFiles files) {
            memory = new MemoryRecord(files.toRecord());
        }

        @Override
        public void sample(Sample sample, String utc, String stage, String pass) {
            memory.sample(sample, utc, stage, pass);
        }

        @Override
        public void journal(Map<String, Object> fields) {
            memory.journal(fields);
        }

        @Override
        public Optional<String> storageFault() {
            Optional<String> told = fault;
            fault = Optional.empty();
            return told;
        }
    }
}
