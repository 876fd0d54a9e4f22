package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.Supplier;
import java.util.function.ToIntFunction;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.plan.Measurement;

/**
 * The protocol engine: a fold over inputs. It has no clock and does no input or output, so one sequence of inputs always
 * gives the same decisions. Its state is the object itself; a night is resumed or retraced by feeding a new engine the
 * recorded inputs.
 *
 * <p>It runs the scripts of the plan's measurements one after the other, stage by stage, under the guard.
 */
public final class Engine {

    /** Version of the rules by which inputs become decisions; raised whenever one record would give other decisions. */
    public static final int RULES_VERSION = 1;

    /** Every stage that a sample can be taken in. */
    public static final List<String> STAGES = List.of(
            "pump-lock",
            "sweep",
            "spin",
            "start-stop",
            "wait",
            "background",
            "listen",
            "baseline",
            "cooldown",
            "approach",
            "soak",
            "dwell",
            "hold");

    /**
     * What came of an input.
     *
     * @param commands what must be done now, in order
     * @param decisions what must be journalled, in order
     */
    public record Outcome(List<Command> commands, List<Decision> decisions) {}

    private static final double HALF_A_DAY_SECONDS = 12 * 3600;

    private static final Outcome NOTHING = new Outcome(List.of(), List.of());

    private final Course course;
    private Guard guard;
    private final Expectations expectations;
    private final Readout.Columns columns;
    private final List<Script> scripts;

    private final List<Input> pending = new ArrayList<>();
    private final Deque<Supplier<Stage>> agenda = new ArrayDeque<>();
    private int script;
    private Supplier<Stage> stageMaker;
    /** The stage under way; null while the night holds after a spoiled pass. */
    private Stage stage;

    private boolean stageBegun;
    private boolean ended;

    /**
     * An engine at the beginning of a night.
     *
     * @param header the first input
     */
    public Engine(Input.Header header) {
        course = new Course(header.plan(), header.bench());
        guard = new Guard(header.plan(), header.bench());
        expectations = new Expectations(header.bench().loopTimeConstantSeconds());
        columns = new Readout.Columns(header.bench());
        scripts = header.plan().measurements().stream()
                .map(measurement -> script(measurement, header))
                .toList();
        agenda.add(() -> new PumpLockStage(header.plan().pumpLock()));
        nextStage();
    }

    private Script script(Measurement measurement, Input.Header header) {
        if (measurement instanceof Measurement.Characterise characterise) {
            return new CharacteriseScript(
                    characterise, header.fans(), header.bench().group(BenchFile.FANS));
        }
        if (measurement instanceof Measurement.Acoustic acoustic) {
            return new AcousticScript(
                    acoustic,
                    header.plan().thermal(),
                    acoustic.notBefore()
                            .map(time -> notBefore(header.secondsUntil(time)))
                            .orElse(OptionalDouble.empty()),
                    header.levelsFrom());
        }
        return new ThermalScript(
                (Measurement.Thermal) measurement,
                expectations,
                header.plan()
                        .finishBy()
                        .map(time -> OptionalDouble.of(header.secondsUntil(time)))
                        .orElse(OptionalDouble.empty()));
    }

    /** The next such time of day; one more than half a day ahead has been already, before this night began. */
    private static OptionalDouble notBefore(double seconds) {
        return seconds > HALF_A_DAY_SECONDS ? OptionalDouble.empty() : OptionalDouble.of(seconds);
    }

    /** {@return name of the stage under way} */
    public String stage() {
        return ended ? "ended" : stage == null ? "hold" : stage.name();
    }

    /** {@return name of the pass under way, or empty} */
    public String pass() {
        return course.pass == null ? "" : course.pass.name();
    }

    /**
     * Takes one input. Anything but a tick waits for the next tick.
     *
     * @param input the input
     * @return what must be done and journalled
     */
    public Outcome step(Input input) {
        if (ended) {
            return NOTHING;
        }
        if (!(input instanceof Input.Tick tick)) {
            pending.add(input);
            return NOTHING;
        }
        course.take(new Readout(tick.sample(), columns));
        if (!stageBegun) {
            beginStage();
        }
        for (Input each : pending) {
            if (each instanceof Input.Resume) {
                // What was watched before the gap says nothing about what is watched after it.
                guard = new Guard(course.plan, course.bench);
            }
            guard.take(each, course, stage != null && stage.measures());
        }
        pending.clear();
        guard.tick(course, stage);
        advance();
        return new Outcome(course.takeCommands(), course.takeDecisions());
    }

    private void advance() {
        Course.Distrust distrust = course.takeDistrust();
        if (distrust != null) {
            scripts.forEach(s -> s.distrusted(distrust.sinceSeconds(), distrust.reason(), course));
        }
        if (course.endRequested() != null) {
            end(course.endRequested());
            return;
        }
        if (guard.holding()) {
            spoilIfAsked();
            return;
        }
        boolean stageOver = spoilIfAsked() || stage == null;
        if (guard.takeRelock()) {
            if (!stageOver && !(stage instanceof PumpLockStage)) {
                agenda.addFirst(stageMaker);
            }
            agenda.addFirst(() -> new PumpLockStage(course.plan.pumpLock()));
            if (!Double.isNaN(course.fanDutyPercent)) {
                course.setFans(course.fanDutyPercent);
            }
            stageOver = true;
        }
        if (!stageOver && stage.tick(course)) {
            scripts.get(script).finished(stage, course);
            stageOver = true;
        }
        if (spoilIfAsked() || stageOver) {
            nextStage();
            beginStage();
        }
        if (course.endRequested() != null) {
            end(course.endRequested());
        }
    }

    /** Spoils the pass under way if anybody asked for it. */
    private boolean spoilIfAsked() {
        String reason = course.takeSpoiling();
        if (reason == null || course.pass == null) {
            return false;
        }
        agenda.clear();
        stage = null;
        scripts.get(script).spoiled(reason, course);
        return true;
    }

    /** Takes the next stage of the agenda; when that is empty the script plans on, or the next script begins. */
    private void nextStage() {
        while (agenda.isEmpty() && course.endRequested() == null) {
            if (!scripts.get(script).next(agenda, course) && ++script == scripts.size()) {
                script--;
                endOfPlan();
            }
        }
        if (course.endRequested() == null) {
            stageMaker = agenda.poll();
            stage = stageMaker.get();
            stageBegun = false;
        }
    }

    private void endOfPlan() {
        boolean allDone = sum(Script::done) == sum(Script::planned);
        String reason = Stream.concat(
                        Stream.of(
                                allDone
                                        ? "all passes done"
                                        : sum(Script::done) + " of " + sum(Script::planned) + " passes done"),
                        scripts.stream().map(Script::shortfall).filter(s -> !s.isEmpty()))
                .collect(Collectors.joining("; "));
        boolean complete =
                allDone && scripts.stream().allMatch(s -> s.shortfall().isEmpty());
        course.end(complete ? Exit.DONE : Exit.PASSES_MISSING, reason, false);
    }

    private void beginStage() {
        if (course.endRequested() != null) {
            return;
        }
        stageBegun = true;
        if (course.takePassBegun()) {
            guard.passBegins();
        }
        course.decide(Decision.of("stage").with("stage", stage.name()).with("pass", pass()));
        stage.begin(course);
    }

    private void end(Command.End end) {
        course.decide(Decision.of("end")
                .with("exit", end.exit().code())
                .with("how", end.exit().text())
                .with("reason", end.reason())
                .with("passes-done", sum(Script::done))
                .with("passes-planned", sum(Script::planned)));
        course.command(end);
        course.heatOn = false;
        ended = true;
    }

    private int sum(ToIntFunction<Script> count) {
        return scripts.stream().mapToInt(count).sum();
    }

    private double secondsLeft() {
        double left = 0;
        if (stage != null && stageBegun) {
            left += Math.max(0, stage.expectedSeconds(expectations) - stage.elapsedSeconds(course));
        }
        for (Supplier<Stage> later : agenda) {
            left += later.get().expectedSeconds(expectations);
        }
        return left
                + scripts.stream().skip(script).mapToDouble(Script::secondsLeft).sum();
    }

    /** {@return where the night stands; call it only after the first tick} */
    public Progress progress() {
        boolean idle = ended || stage == null || !stageBegun;
        return new Progress(
                stage(),
                guard.holding() ? guard.holdsFor() : idle ? "" : stage.waitsFor(course),
                pass(),
                course.pass == null ? "" : course.pass.setpoint(),
                sum(Script::done),
                sum(Script::planned),
                sum(Script::spoiledAttempts),
                course.heatOn,
                course.now().coolantCelsius(),
                course.riseKelvin(),
                course.now().fanRpm(),
                idle ? OptionalDouble.empty() : stage.slopeKelvinPerHour(),
                idle ? OptionalDouble.empty() : stage.slopeLimitKelvinPerHour(),
                ended ? 0 : secondsLeft());
    }
}
