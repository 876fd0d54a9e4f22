package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.Supplier;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Cooldown.Each;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.units.Decimals;

/**
 * The thermal measurement: baseline, blocks of passes, baseline again. A spoiled pass is repeated at the end of its
 * block; a block that would not end before finish-by is not begun.
 */
final class ThermalScript implements Script {

    /** No setpoint is so much better than another: a rise below this share of the largest one was made without heat. */
    private static final double COLD_SHARE = 0.1;
    /** Heat that does not show by so much beyond the rise without load was not there either. */
    private static final double FELT_KELVIN = 0.2;

    /** What became of a pass that is done: when it was over, s, and its rise, K. */
    private record Outcome(double overSeconds, double riseKelvin) {}

    private final Measurement.Thermal thermal;
    private final Expectations expectations;
    private final List<List<ThermalPass>> blocks;
    private final OptionalDouble finishSeconds;

    private final Deque<ThermalPass> passesOfBlock = new ArrayDeque<>();
    private final List<ThermalPass> sinceReference = new ArrayList<>();
    private final Map<ThermalPass, Outcome> outcomes = new LinkedHashMap<>();
    /** The pass under way, or the last one. */
    private ThermalPass current;

    private boolean opened;
    private boolean closed;
    private int nextBlock;
    private int done;
    private int spoiled;
    private OptionalDouble referenceKelvin = OptionalDouble.empty();

    /**
     * A measurement that has not begun.
     *
     * @param thermal the measurement
     * @param expectations how long stages take
     * @param finishSeconds time by which the night must end, s since it began, if stated
     */
    ThermalScript(Measurement.Thermal thermal, Expectations expectations, OptionalDouble finishSeconds) {
        this.thermal = thermal;
        this.expectations = expectations;
        this.finishSeconds = finishSeconds;
        this.blocks = RunOrder.passes(thermal);
    }

    @Override
    public boolean next(Deque<Supplier<Stage>> agenda, Course course) {
        if (!opened) {
            opened = true;
            agenda.add(() -> IdleStage.baseline(thermal.cooldown()));
        } else if (!passesOfBlock.isEmpty()) {
            beginPass(passesOfBlock.poll(), agenda, course);
        } else if (nextBlock < blocks.size() && blockFits(course)) {
            beginBlock(agenda);
        } else if (!closed) {
            closed = true;
            agenda.add(() -> IdleStage.baseline(thermal.cooldown()));
        } else {
            return false;
        }
        return true;
    }

    private boolean blockFits(Course course) {
        double needed =
                blockSeconds(blocks.get(nextBlock).size()) + expectations.idleSeconds(thermal.cooldown(), false);
        if (finishSeconds.isEmpty() || course.seconds() + needed <= finishSeconds.getAsDouble()) {
            return true;
        }
        course.decide(Decision.of("block-not-begun")
                .with("block", nextBlock + 1)
                .with("needs-seconds", needed, 0)
                .with("left-seconds", finishSeconds.getAsDouble() - course.seconds(), 0));
        nextBlock = blocks.size();
        return false;
    }

    private void beginBlock(Deque<Supplier<Stage>> agenda) {
        passesOfBlock.addAll(blocks.get(nextBlock));
        nextBlock++;
        if (thermal.cooldown().each() == Each.BLOCK) {
            agenda.add(() -> IdleStage.cooldown(thermal.cooldown()));
        }
    }

    private void beginPass(ThermalPass pass, Deque<Supplier<Stage>> agenda, Course course) {
        Optional<Step> setpoint = setpoint(pass.step(), course);
        if (setpoint.isEmpty()) {
            course.decide(Decision.of("pass-given-up")
                    .with("pass", pass.pass().name())
                    .with("step", pass.step().text())
                    .with("reason", "no speed was found for this level"));
            return;
        }
        current = pass;
        course.beginPass(pass.pass());
        Decision begun = Decision.of("pass-begun")
                .with("pass", course.pass.name())
                .with("block", pass.block())
                .with("place", pass.place())
                .with("attempt", pass.attempt())
                .with("step", pass.step().text())
                .with("reference", pass.reference());
        if (setpoint.get() instanceof Step.Speed speed && !setpoint.get().equals(pass.step())) {
            begun.with("speed", speed.rpm(), 1);
        }
        course.decide(begun);
        if (thermal.cooldown().each() == Each.PASS) {
            agenda.add(() -> IdleStage.cooldown(thermal.cooldown()));
        }
        agenda.add(() -> new ApproachStage(setpoint.get()));
        agenda.add(() -> new SoakStage(thermal.soak()));
        agenda.add(() -> new DwellStage(thermal.dwellSeconds()));
    }

    /** What the fans are brought to: for a level step the speed that was matched to it; empty if there is none. */
    private static Optional<Step> setpoint(Step step, Course course) {
        return step instanceof Step.Speed || step instanceof Step.Duty
                ? Optional.of(step)
                : Optional.ofNullable(course.matchedRpm.get(step.text())).map(Step.Speed::new);
    }

    @Override
    public void finished(Stage finished, Course course) {
        double elapsed = finished.elapsedSeconds(course);
        if (finished instanceof SoakStage) {
            expectations.sawSoak(elapsed);
        } else if (finished.name().equals(IdleStage.COOLDOWN) && done > 0) {
            expectations.sawCooldown(elapsed);
        } else if (finished instanceof DwellStage dwell) {
            passDone(dwell, course);
        }
    }

    private void passDone(DwellStage dwell, Course course) {
        if (course.tooManyTicksMissed() || cold(dwell.meanRiseKelvin(), course)) {
            return;
        }
        course.decide(Decision.of("pass-done")
                .with("pass", course.pass.name())
                .with("step", course.pass.setpoint())
                .with("from-tick", dwell.firstTick())
                .with("to-tick", dwell.lastTick())
                .with("rise", dwell.meanRiseKelvin(), 4)
                .with("runs", course.completedRuns));
        course.pass = null;
        done++;
        outcomes.put(current, new Outcome(course.seconds(), dwell.meanRiseKelvin()));
        if (current.reference()) {
            reference(current, dwell.meanRiseKelvin(), course);
        } else {
            sinceReference.add(current);
        }
    }

    /** Whether a pass rose hardly more than the loop does without load: where no heat flow is measured, only that tells. */
    private boolean cold(double riseKelvin, Course course) {
        double unloadedKelvin = course.baselineKelvin.orElse(0.0);
        double warmestKelvin = outcomes.values().stream()
                .mapToDouble(Outcome::riseKelvin)
                .max()
                .orElse(riseKelvin);
        double leastKelvin = Math.max(
                course.baselineKelvin.isPresent() ? FELT_KELVIN : 0.0, COLD_SHARE * (warmestKelvin - unloadedKelvin));
        boolean cold = riseKelvin - unloadedKelvin < leastKelvin;
        if (cold) {
            course.spoil("the coolant rose by " + Decimals.fixed(riseKelvin, 2) + " K, without load by "
                    + Decimals.fixed(unloadedKelvin, 2) + " K, in the warmest pass by "
                    + Decimals.fixed(warmestKelvin, 2)
                    + " K: the heat was not there");
        }
        return cold;
    }

    private void reference(ThermalPass pass, double riseKelvin, Course course) {
        double limit = thermal.reference().orElseThrow().driftKelvin();
        if (referenceKelvin.isPresent() && Math.abs(riseKelvin - referenceKelvin.getAsDouble()) > limit) {
            String reason = "reference drifted by " + Decimals.fixed(riseKelvin - referenceKelvin.getAsDouble(), 3)
                    + " K, limit " + Decimals.shortest(limit, 3) + " K";
            sinceReference.forEach(earlier -> undo(earlier, reason, course));
        }
        referenceKelvin = OptionalDouble.of(riseKelvin);
        sinceReference.clear();
        course.decide(Decision.of("reference").with("pass", pass.pass().name()).with("rise", riseKelvin, 4));
    }

    @Override
    public void spoiled(String reason, Course course) {
        course.pass = null;
        putBack(current, reason, course);
    }

    @Override
    public void distrusted(double sinceSeconds, String reason, Course course) {
        List<ThermalPass> distrusted = outcomes.entrySet().stream()
                .filter(e -> e.getValue().overSeconds() > sinceSeconds)
                .map(Map.Entry::getKey)
                .toList();
        for (ThermalPass pass : distrusted) {
            sinceReference.remove(pass);
            referenceKelvin = pass.reference() ? OptionalDouble.empty() : referenceKelvin;
            undo(pass, reason, course);
        }
        closed &= distrusted.isEmpty();
    }

    /** A pass that was done counts no longer. */
    private void undo(ThermalPass pass, String reason, Course course) {
        done--;
        outcomes.remove(pass);
        putBack(pass, reason, course);
    }

    private void putBack(ThermalPass pass, String reason, Course course) {
        spoiled++;
        if (pass.pass().spoiled(reason, course)) {
            passesOfBlock.addLast(pass.again());
        }
    }

    private double blockSeconds(int passes) {
        double pass =
                ApproachStage.EXPECTED_SECONDS + expectations.soakSeconds(thermal.soak()) + thermal.dwellSeconds();
        double cooldown = expectations.idleSeconds(thermal.cooldown(), false);
        return switch (thermal.cooldown().each()) {
            case PASS -> passes * (pass + cooldown);
            case BLOCK -> cooldown + passes * pass;
            case NONE -> passes * pass;
        };
    }

    @Override
    public double secondsLeft() {
        double left = opened ? 0 : expectations.idleSeconds(thermal.cooldown(), true);
        if (!passesOfBlock.isEmpty()) {
            left += blockSeconds(passesOfBlock.size());
        }
        for (int b = nextBlock; b < blocks.size(); b++) {
            left += blockSeconds(blocks.get(b).size());
        }
        return closed ? left : left + expectations.idleSeconds(thermal.cooldown(), false);
    }

    @Override
    public int planned() {
        return blocks.stream().mapToInt(List::size).sum();
    }

    @Override
    public int done() {
        return done;
    }

    @Override
    public int spoiledAttempts() {
        return spoiled;
    }
}
