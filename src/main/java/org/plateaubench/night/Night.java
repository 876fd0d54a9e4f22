package org.plateaubench.night;

import java.time.Duration;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.locks.LockSupport;
import org.plateaubench.bench.Bench;
import org.plateaubench.bench.LoadEvent;
import org.plateaubench.bench.SetResult;
import org.plateaubench.bench.Sweep;
import org.plateaubench.clock.Clock;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Decision;
import org.plateaubench.engine.Engine;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Recorder;
import org.plateaubench.sample.Sample;

/**
 * One night: ticks on a fixed grid of monotonic time, each read from the bench, recorded, given to the engine, and its
 * commands carried out. One thread calls {@link #run()}; requests may come from any thread.
 */
public final class Night {

    private static final DateTimeFormatter UTC = DateTimeFormatter.ofPattern(
                    "uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
            .withZone(ZoneOffset.UTC);
    /** Wall clock and monotonic clock may drift apart by so much from tick to tick before it is an event. */
    private static final long CLOCK_STEP_MILLIS = 1000;
    /** So long between two ticks of a real night is a standstill of the machine. */
    private static final long STALL_MILLIS = 5000;

    private final NightFiles files;
    private final Optional<Input.LevelsFrom> levelsFrom;
    private final Bench bench;
    private final Clock clock;
    private final OffsetDateTime start;
    private final Recorder recorder;
    private final NightListener listener;
    private final boolean simulated;
    private final Engine engine;
    private final long periodNanos;
    private final Queue<Input> requests = new ConcurrentLinkedQueue<>();
    private final List<Input> results = new ArrayList<>();
    private volatile Thread runner;
    /** True once the night was asked to end: ticks come at once until it has. */
    private volatile boolean hurried;

    private volatile long beats;

    /**
     * A night that has not begun.
     *
     * @param files plan, fans and bench file
     * @param levelsFrom own levels of another night, if its level steps shall be those of that night
     * @param bench the bench, open
     * @param clock the night's time
     * @param zone offset from UTC of the local time that finish-by is stated in
     * @param recorder takes samples and journal
     * @param listener told what happens
     * @param simulated true if anything of the bench is simulated
     */
    public Night(
            NightFiles files,
            Optional<Input.LevelsFrom> levelsFrom,
            Bench bench,
            Clock clock,
            ZoneOffset zone,
            Recorder recorder,
            NightListener listener,
            boolean simulated) {
        this.simulated = simulated;
        this.files = files;
        this.levelsFrom = levelsFrom;
        this.bench = bench;
        this.clock = clock;
        this.start = clock.wall().atOffset(zone);
        this.recorder = recorder;
        this.listener = listener;
        this.engine = new Engine(new Input.Header(files.plan(), files.fans(), files.bench(), start, levelsFrom));
        this.periodNanos = Math.round(files.plan().sampleEverySeconds() * 1e9);
    }

    /**
     * Asks the night to end safely, or tells it of a signal. The input is applied at the next tick, which comes at once.
     *
     * @param request an operator's or the system's wish
     */
    public void request(Input request) {
        requests.add(request);
        if (!(request instanceof Input.Signal signal && signal.name().equals("HUP"))) {
            hurried = true;
            LockSupport.unpark(runner);
        }
    }

    /** {@return a number that grows while the night makes progress, for whoever watches that it does} */
    public long beats() {
        return beats;
    }

    /** {@return how long the night may take from beat to beat, real or simulated milliseconds} */
    public long periodMillis() {
        return periodNanos / 1_000_000;
    }

    /**
     * Runs the night to its end and makes the bench safe.
     *
     * @return how it ended
     */
    public Command.End run() {
        runner = Thread.currentThread();
        journalHeader();
        long origin = clock.nanos();
        long tick = 0;
        long previousTick = -1;
        Instant previousWall = clock.wall();
        long previousMillis = 0;
        while (true) {
            clock.awaitNanos(origin + tick * periodNanos, () -> hurried);
            beats++;
            long offset = clock.nanos() - origin;
            tick = Math.max(tick, offset / periodNanos);
            long millis = offset / 1_000_000;
            Instant wall = clock.wall();
            clockEvents(
                    millis - previousMillis,
                    Duration.between(previousWall, wall).toMillis(),
                    previousTick);
            previousWall = wall;
            previousMillis = millis;
            Sweep sweep = bench.read(tick);
            clock.spend(sweep.busyNanos());
            Sample sample = new Sample(tick, millis, (int) (tick - previousTick - 1), sweep.readings());
            Command.End end = decide(sample, utc(wall), inputs(sweep));
            beats++;
            long now = tick;
            listener.tick(now, sample.seconds(), engine::progress);
            if (end != null) {
                makeSafe(end, tick);
                return end;
            }
            previousTick = tick;
            tick++;
        }
    }

    /** A wall-clock time as records hold it: ISO 8601, UTC, milliseconds. */
    static String utc(Instant wall) {
        return UTC.format(wall);
    }

    private void journalHeader() {
        Map<String, Object> header = new LinkedHashMap<>();
        header.put("type", "header");
        header.put("rules", (long) Engine.RULES_VERSION);
        header.put("start", start.toString());
        header.put("simulated", simulated);
        levelsFrom.ifPresent(levels -> header.put(InputText.LEVELS_FROM, InputText.fields(levels)));
        journal(0, header);
    }

    private void clockEvents(long monotonicMillis, long wallMillis, long previousTick) {
        if (previousTick < 0) {
            return;
        }
        if (Math.abs(wallMillis - monotonicMillis) > CLOCK_STEP_MILLIS) {
            results.add(new Input.ClockEvent("step", (wallMillis - monotonicMillis) / 1000.0));
        }
        if (!clock.simulated() && monotonicMillis > STALL_MILLIS) {
            results.add(new Input.ClockEvent("stall", monotonicMillis / 1000.0));
        }
    }

    /** All inputs that wait for this tick, in their recorded order. */
    private List<Input> inputs(Sweep sweep) {
        List<Input> inputs = new ArrayList<>(results);
        results.clear();
        sweep.events()
                .forEach(e -> inputs.add(new Input.DeviceNews(
                        e.device(), Input.DeviceNews.Kind.valueOf(e.kind().name()), e.detail())));
        for (LoadEvent e : bench.loadEvents()) {
            inputs.add(new Input.LoadNews(Input.LoadNews.Kind.valueOf(e.kind().name()), e.detail()));
        }
        recorder.storageFault().ifPresent(f -> inputs.add(new Input.StorageFault(f)));
        for (Input request = requests.poll(); request != null; request = requests.poll()) {
            inputs.add(request);
        }
        return inputs;
    }

    private Command.End decide(Sample sample, String utc, List<Input> inputs) {
        for (Input input : inputs) {
            journal(sample.seconds(), InputText.fields(sample.tick(), input));
            engine.step(input);
        }
        recorder.sample(sample, utc, engine.stage(), engine.pass());
        Engine.Outcome outcome = engine.step(new Input.Tick(sample));
        for (Decision decision : outcome.decisions()) {
            journal(sample.seconds(), line(sample.tick(), "decision", decision.type(), decision.fields()));
        }
        Command.End end = null;
        for (Command command : outcome.commands()) {
            if (command instanceof Command.End e) {
                end = e;
            } else {
                carryOut(command);
            }
        }
        return end;
    }

    private void carryOut(Command command) {
        SetResult result;
        if (command instanceof Command.SetDuty set) {
            result = bench.set(set.actuator(), set.percent());
        } else if (command instanceof Command.HeatOn on) {
            result = bench.heatOn(on.demand());
        } else {
            result = bench.heatOff();
        }
        results.add(new Input.CommandResult(
                result.target(), result.asked(), result.done(), result.readback(), result.detail()));
    }

    private void makeSafe(Command.End end, long tick) {
        for (SetResult r : bench.makeSafe(end.pumpOff())) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("target", r.target());
            fields.put("asked", r.asked());
            fields.put("done", r.done());
            fields.put("readback", r.readback());
            fields.put("detail", r.detail());
            journal(tick * periodNanos / 1e9, line(tick, "safe", "made-safe", fields));
        }
    }

    static Map<String, Object> line(long tick, String kind, String type, Map<String, Object> fields) {
        Map<String, Object> line = new LinkedHashMap<>();
        line.put("tick", tick);
        line.put(kind, type);
        line.putAll(fields);
        return line;
    }

    private void journal(double seconds, Map<String, Object> fields) {
        recorder.journal(fields);
        listener.journalled(seconds, fields);
    }
}
