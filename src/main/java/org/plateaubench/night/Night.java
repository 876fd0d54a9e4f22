package org.plateaubench.night;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.zone.ZoneRules;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
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
import org.plateaubench.clock.Utc;
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

    /** Wall clock and monotonic clock may drift apart by so much from tick to tick before it is an event. */
    private static final long CLOCK_STEP_MILLIS = 500;
    /** So long between two ticks of a real night is a standstill of the machine. */
    private static final long STALL_MILLIS = 5000;

    /** How often it is tried to make the bench safe, and how long it is waited in between. */
    private static final int MOST_SAFE_ATTEMPTS = 5;

    private static final long SAFE_AGAIN_NANOS = 1_000_000_000L;

    private final Bench bench;
    private final Clock clock;
    private final ZoneId zone;
    private final Recorder recorder;
    private final NightListener listener;
    private final Engine engine;
    private final Optional<Past> past;
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
     * @param zone where the local time is that the plan states times of day in
     * @param recorder takes samples and journal
     * @param listener told what happens
     * @param simulated true if anything of the bench is simulated
     */
    public Night(
            NightFiles files,
            Optional<Input.LevelsFrom> levelsFrom,
            Bench bench,
            Clock clock,
            ZoneId zone,
            Recorder recorder,
            NightListener listener,
            boolean simulated) {
        this(files, header(files, levelsFrom, clock, zone), simulated, bench, clock, zone, recorder, listener);
    }

    private Night(
            NightFiles files,
            Input.Header header,
            boolean simulated,
            Bench bench,
            Clock clock,
            ZoneId zone,
            Recorder recorder,
            NightListener listener) {
        this(files, header, bench, clock, zone, recorder, listener);
        recorder.journal(InputText.fields(header, simulated));
    }

    /** A night whose header is recorded already. */
    Night(
            NightFiles files,
            Input.Header header,
            Bench bench,
            Clock clock,
            ZoneId zone,
            Recorder recorder,
            NightListener listener) {
        this(files, new Engine(header), Optional.empty(), bench, clock, zone, recorder, listener);
    }

    /** A night that goes on. */
    Night(
            NightFiles files,
            Past past,
            Bench bench,
            Clock clock,
            ZoneId zone,
            Recorder recorder,
            NightListener listener) {
        this(files, past.engine(), Optional.of(past), bench, clock, zone, recorder, listener);
    }

    private Night(
            NightFiles files,
            Engine engine,
            Optional<Past> past,
            Bench bench,
            Clock clock,
            ZoneId zone,
            Recorder recorder,
            NightListener listener) {
        this.engine = engine;
        this.past = past;
        this.bench = bench;
        this.clock = clock;
        this.zone = zone;
        this.recorder = recorder;
        this.listener = listener;
        this.periodNanos = Math.round(files.plan().sampleEverySeconds() * 1e9);
    }

    /** The first input of a night that begins now. */
    static Input.Header header(NightFiles files, Optional<Input.LevelsFrom> levelsFrom, Clock clock, ZoneId zone) {
        Instant now = clock.wall();
        Optional<Input.ZoneChange> change = Optional.ofNullable(zone.getRules().nextTransition(now))
                .filter(next -> Duration.between(now, next.getInstant()).toHours() < 24)
                .map(next -> new Input.ZoneChange(
                        Duration.between(now, next.getInstant()).toMillis() / 1000.0,
                        (int) next.getDuration().toSeconds()));
        return new Input.Header(
                files.plan(), files.fans(), files.bench(), now.atZone(zone).toOffsetDateTime(), levelsFrom, change);
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

    /**
     * Runs the night to its end and makes the bench safe.
     *
     * @return how it ended
     */
    public Command.End run() {
        runner = Thread.currentThread();
        past.ifPresent(p -> results.add(new Input.Resume(p.gapSeconds())));
        long begun = past.map(Past::nowNanos).orElse(0L);
        long origin = clock.nanos() - begun;
        long previousTick = past.map(Past::lastTick).orElse(-1L);
        long tick = past.isEmpty() ? 0 : begun / periodNanos + 1;
        Instant previousWall = clock.wall();
        long previousMillis = begun / 1_000_000;
        while (true) {
            clock.awaitNanos(origin + tick * periodNanos, () -> hurried);
            beats++;
            long offset = clock.nanos() - origin;
            tick = Math.max(tick, offset / periodNanos);
            long millis = offset / 1_000_000;
            Instant wall = clock.wall();
            clockEvents(millis - previousMillis, previousWall, wall);
            previousWall = wall;
            previousMillis = millis;
            Sweep sweep = bench.read(tick);
            clock.spend(sweep.busyNanos());
            Sample sample = new Sample(tick, millis, (int) (tick - previousTick - 1), sweep.readings());
            Command.End end = decide(sample, Utc.text(wall), inputs(sweep));
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

    private void clockEvents(long monotonicMillis, Instant previousWall, Instant wall) {
        long ahead = Duration.between(previousWall, wall).toMillis() - monotonicMillis;
        if (Math.abs(ahead) > CLOCK_STEP_MILLIS) {
            results.add(new Input.ClockEvent("step", ahead / 1000.0));
        }
        if (!clock.simulated() && monotonicMillis > STALL_MILLIS) {
            results.add(new Input.ClockEvent("stall", monotonicMillis / 1000.0));
        }
        ZoneRules rules = zone.getRules();
        int shift = rules.getOffset(wall).getTotalSeconds()
                - rules.getOffset(previousWall).getTotalSeconds();
        if (shift != 0) {
            results.add(new Input.ClockEvent("zone", shift));
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

    /** Makes the bench safe, again and again for a while if a device does not do as it is told. */
    private void makeSafe(Command.End end, long tick) {
        boolean safe = false;
        for (int attempt = 1; !safe && attempt <= MOST_SAFE_ATTEMPTS; attempt++) {
            if (attempt > 1) {
                clock.awaitNanos(clock.nanos() + SAFE_AGAIN_NANOS, () -> false);
            }
            List<SetResult> results = bench.makeSafe(end.pumpOff());
            results.forEach(r -> journal(tick * periodNanos / 1e9, madeSafe(tick, r)));
            safe = results.stream().allMatch(SetResult::done);
            beats++;
        }
    }

    /** A journal line of what was done to make the bench safe. */
    static Map<String, Object> madeSafe(long tick, SetResult r) {
        Map<String, Object> fields = new LinkedHashMap<>();
        fields.put("target", r.target());
        fields.put("asked", r.asked());
        fields.put("done", r.done());
        fields.put("readback", r.readback());
        fields.put("detail", r.detail());
        return line(tick, "safe", "made-safe", fields);
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
