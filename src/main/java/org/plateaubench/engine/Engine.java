package org.plateaubench.engine;

import java.time.Duration;
import java.time.OffsetDateTime;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.OptionalDouble;
import java.util.function.Supplier;
import org.plateaubench.benchfile.Readout;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Cooldown.Each;
import org.plateaubench.sample.Sample;
import org.plateaubench.units.Decimals;

/**
 * The protocol engine: a fold over inputs. It has no clock and does no input or output, so one sequence of inputs always
 * gives the same decisions. Its state is the object itself; a night is resumed or retraced by feeding a new engine the
 * recorded inputs.
 */
public final class Engine {

    /** Version of the rules by which inputs become decisions; raised whenever one record would give other decisions. */
    public static final int RULES_VERSION = 1;

    /**
     * What came of an input.
     *
     * @param commands what must be done now, in order
     * @param decisions what must be journalled, in order
     */
    public record Outcome(List<Command> commands, List<Decision> decisions) {}

    private static final Outcome NOTHING = new Outcome(List.of(), List.of());
    /** Share of late or missed ticks above which a pass does not count. */
    private static final double MOST_MISSED = 0.01;
    /** Share of the sampling period by which a tick may come after its grid time without being late. */
    private static final double LATE_SHARE = 0.1;

    private final OffsetDateTime start;
    private final Measurement.Thermal thermal;
    private final Course course;
    private final Guard guard;
    private final Expectations expectations;
    private final Readout.Columns columns;
    private final List<List<Pass>> blocks;
    private final OptionalDouble finishSeconds;

    private final List<Input> pending = new ArrayList<>();
    private final Deque<Supplier<Stage>> agenda = new ArrayDeque<>();
    private final Deque<Pass> passesOfBlock = new ArrayDeque<>();
    private final List<Pass> sinceReference = new ArrayList<>();
    private Supplier<Stage> stageMaker;
    private Stage stage;
    private boolean stageBegun;
    private int nextBlock;
    private boolean closing;
    private boolean ended;
    private int done;
    private int spoiled;
    private int missing;
    private long ticksOfPass;
    private long missedOfPass;
    private OptionalDouble referenceKelvin = OptionalDouble.empty();

    /**
     * An engine at the beginning of a night.
     *
     * @param header the first input
     * @throws IllegalArgumentException if the plan has no thermal measurement; nothing was sent to the bench
     */
    public Engine(Input.Header header) {
        this.start = header.start();
        this.thermal = header.plan()
                .thermal()
                .orElseThrow(() -> new IllegalArgumentException("the plan has no thermal measurement"));
        this.course = new Course(header.plan(), header.bench());
        this.guard = new Guard(header.plan(), header.bench());
        this.expectations = new Expectations(header.bench().loopTimeConstantSeconds());
        this.columns = new Readout.Columns(header.bench());
        this.blocks = RunOrder.passes(thermal);
        this.finishSeconds = header.plan()
                .finishBy()
                .map(time -> {
                    OffsetDateTime finish = start.with(time);
                    return OptionalDouble.of(
                            Duration.between(start, finish.isAfter(start) ? finish : finish.plusDays(1))
                                    .toSeconds());
                })
                .orElse(OptionalDouble.empty());
        agenda.add(() -> new PumpLockStage(header.plan().pumpLock()));
        agenda.add(() -> IdleStage.baseline(thermal.cooldown()));
        nextStage();
    }

    /** {@return name of the stage under way} */
    public String stage() {
        return ended ? "ended" : stage == null ? "hold" : stage.name();
    }

    /** {@return name of the pass under way, or empty} */
    public String pass() {
        return course.pass == null ? "" : course.pass.name();
    }

    /** {@return true once the run has ended; later inputs change nothing} */
    public boolean ended() {
        return ended;
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
        if (course.pass != null) {
            ticksOfPass++;
            missedOfPass += tick.sample().missed() + (late(tick.sample()) ? 1 : 0);
        }
        pending.forEach(i -> guard.take(i, course, stage instanceof DwellStage));
        pending.clear();
        guard.tick(course, stage != null && stage.loaded());
        advance();
        return new Outcome(course.takeCommands(), course.takeDecisions());
    }

    private boolean late(Sample sample) {
        double period = course.plan.sampleEverySeconds();
        return sample.seconds() - sample.tick() * period > LATE_SHARE * period;
    }

    private void advance() {
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
            finished(stage);
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

    private void end(Command.End end) {
        course.decide(Decision.of("end")
                .with("exit", end.exit().code())
                .with("how", end.exit().text())
                .with("reason", end.reason())
                .with("passes-done", done)
                .with("passes-planned", planned()));
        course.command(end);
        course.heatOn = false;
        ended = true;
    }

    private int planned() {
        return blocks.stream().mapToInt(List::size).sum();
    }

    private void beginStage() {
        if (course.endRequested() != null) {
            return;
        }
        stageBegun = true;
        course.decide(Decision.of("stage").with("stage", stage.name()).with("pass", pass()));
        stage.begin(course);
    }

    /** Takes the next stage of the agenda, planning the next pass, block or the end of the night when it is empty. */
    private void nextStage() {
        while (agenda.isEmpty() && course.endRequested() == null) {
            if (!passesOfBlock.isEmpty()) {
                beginPass(passesOfBlock.poll());
            } else if (nextBlock < blocks.size() && !closing) {
                beginBlock();
            } else if (!closing) {
                closing = true;
                agenda.add(() -> IdleStage.baseline(thermal.cooldown()));
            } else {
                boolean complete = missing == 0 && done == planned();
                course.end(
                        complete ? Exit.DONE : Exit.PASSES_MISSING,
                        complete ? "all passes done" : done + " of " + planned() + " passes done",
                        false);
            }
        }
        if (course.endRequested() == null) {
            stageMaker = agenda.poll();
            stage = stageMaker.get();
            stageBegun = false;
        }
    }

    private void beginBlock() {
        List<Pass> block = blocks.get(nextBlock);
        double needed = blockSeconds(block.size()) + expectations.idleSeconds(thermal.cooldown(), false);
        if (finishSeconds.isPresent() && course.seconds() + needed > finishSeconds.getAsDouble()) {
            course.decide(Decision.of("block-not-begun")
                    .with("block", nextBlock + 1)
                    .with("needs-seconds", needed, 0)
                    .with("left-seconds", finishSeconds.getAsDouble() - course.seconds(), 0));
            missing += blocks.stream().skip(nextBlock).mapToInt(List::size).sum();
            nextBlock = blocks.size();
            return;
        }
        nextBlock++;
        passesOfBlock.addAll(block);
        if (thermal.cooldown().each() == Each.BLOCK) {
            agenda.add(() -> IdleStage.cooldown(thermal.cooldown()));
        }
    }

    private void beginPass(Pass pass) {
        course.pass = pass;
        course.completedRuns = 0;
        ticksOfPass = 0;
        missedOfPass = 0;
        guard.passBegins();
        course.decide(Decision.of("pass-begun")
                .with("pass", pass.name())
                .with("block", pass.block())
                .with("place", pass.place())
                .with("attempt", pass.attempt())
                .with("step", pass.step().text())
                .with("reference", pass.reference()));
        if (thermal.cooldown().each() == Each.PASS) {
            agenda.add(() -> IdleStage.cooldown(thermal.cooldown()));
        }
        agenda.add(() -> new ApproachStage(pass.step()));
        agenda.add(() -> new SoakStage(thermal.soak()));
        agenda.add(() -> new DwellStage(thermal.dwellSeconds()));
    }

    private void finished(Stage finished) {
        double elapsed = finished.elapsedSeconds(course);
        if (finished instanceof SoakStage) {
            expectations.sawSoak(elapsed);
        } else if (finished.name().equals("cooldown") && done > 0) {
            expectations.sawCooldown(elapsed);
        } else if (finished instanceof DwellStage dwell) {
            passDone(dwell);
        }
    }

    private void passDone(DwellStage dwell) {
        double missedShare = (double) missedOfPass / (ticksOfPass + missedOfPass);
        if (missedShare > MOST_MISSED) {
            course.spoil("late or missed ticks: " + Decimals.fixed(missedShare * 100, 1) + " %");
            return;
        }
        Pass pass = course.pass;
        course.decide(Decision.of("pass-done")
                .with("pass", pass.name())
                .with("step", pass.step().text())
                .with("from-tick", dwell.firstTick())
                .with("to-tick", dwell.lastTick())
                .with("rise", dwell.meanRiseKelvin(), 4)
                .with("runs", course.completedRuns));
        course.pass = null;
        done++;
        if (pass.reference()) {
            reference(pass, dwell.meanRiseKelvin());
        } else {
            sinceReference.add(pass);
        }
    }

    private void reference(Pass pass, double riseKelvin) {
        double limit = thermal.reference().orElseThrow().driftKelvin();
        if (referenceKelvin.isPresent() && Math.abs(riseKelvin - referenceKelvin.getAsDouble()) > limit) {
            String reason = "reference drifted by " + Decimals.fixed(riseKelvin - referenceKelvin.getAsDouble(), 3)
                    + " K, limit " + Decimals.shortest(limit, 3) + " K";
            for (Pass earlier : sinceReference) {
                done--;
                putBack(earlier, reason);
            }
        }
        referenceKelvin = OptionalDouble.of(riseKelvin);
        sinceReference.clear();
        course.decide(Decision.of("reference").with("pass", pass.name()).with("rise", riseKelvin, 4));
    }

    /** Spoils the pass under way if anybody asked for it. */
    private boolean spoilIfAsked() {
        String reason = course.takeSpoiling();
        if (reason == null || course.pass == null) {
            return false;
        }
        Pass pass = course.pass;
        course.pass = null;
        agenda.clear();
        stage = null;
        putBack(pass, reason);
        return true;
    }

    private void putBack(Pass pass, String reason) {
        spoiled++;
        course.decide(Decision.of("pass-spoiled")
                .with("pass", pass.name())
                .with("step", pass.step().text())
                .with("reason", reason)
                .with("tick", course.tick()));
        if (pass.attempt() < Pass.MOST_ATTEMPTS) {
            passesOfBlock.addLast(pass.again());
        } else {
            missing++;
            course.decide(Decision.of("pass-given-up")
                    .with("pass", pass.name())
                    .with("step", pass.step().text()));
        }
    }

    private double blockSeconds(int passes) {
        double pass = new ApproachStage(thermal.steps().get(0)).expectedSeconds(expectations)
                + expectations.soakSeconds(thermal.soak())
                + thermal.dwellSeconds();
        double cooldown = expectations.idleSeconds(thermal.cooldown(), false);
        return switch (thermal.cooldown().each()) {
            case PASS -> passes * (pass + cooldown);
            case BLOCK -> cooldown + passes * pass;
            case NONE -> passes * pass;
        };
    }

    private double secondsLeft() {
        double left = 0;
        if (stage != null && stageBegun) {
            left += Math.max(0, stage.expectedSeconds(expectations) - stage.elapsedSeconds(course));
        }
        for (Supplier<Stage> later : agenda) {
            left += later.get().expectedSeconds(expectations);
        }
        if (!passesOfBlock.isEmpty()) {
            left += blockSeconds(passesOfBlock.size());
        }
        for (int b = nextBlock; b < blocks.size() && !closing; b++) {
            left += blockSeconds(blocks.get(b).size());
        }
        return closing ? left : left + expectations.idleSeconds(thermal.cooldown(), false);
    }

    /** {@return where the night stands; call it only after the first tick} */
    public Progress progress() {
        boolean idle = ended || stage == null || !stageBegun;
        return new Progress(
                idle ? stage() : stage.name(),
                idle ? "" : guard.holding() ? guard.holdsFor() : stage.waitsFor(course),
                pass(),
                course.pass == null ? "" : course.pass.step().text(),
                done,
                planned(),
                spoiled,
                course.heatOn,
                course.now().coolantCelsius(),
                course.riseKelvin(),
                course.now().fanRpm(),
                idle ? OptionalDouble.empty() : stage.slopeKelvinPerHour(),
                idle ? OptionalDouble.empty() : stage.slopeLimitKelvinPerHour(),
                ended ? 0 : secondsLeft());
    }
}
