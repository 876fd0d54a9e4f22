package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.function.Supplier;
import org.plateaubench.acoustics.Bracket;
import org.plateaubench.acoustics.LevelLine;
import org.plateaubench.acoustics.Listen;
import org.plateaubench.acoustics.MatchedSpeed;
import org.plateaubench.acoustics.Reading;
import org.plateaubench.acoustics.Verification;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Measurement.Step;
import org.plateaubench.units.Decimals;

/**
 * The acoustic measurement: at each speed background, fans, background; then the level line, the speeds of the thermal
 * measurement's level steps, and a listen at each of these. The matched speeds are there for the rest of the night.
 */
final class AcousticScript implements Script {

    /** The fewest speeds that a level line can be fitted to. */
    private static final int FEWEST_SPEEDS = 3;
    /** A background so near to the meter's own floor is partly the floor. */
    private static final double FLOOR_DB = 3.0;

    /** A level step and the speed that was found for it. */
    private record Match(Step step, MatchedSpeed speed) {}

    /** One bracket; a match where it is listened to a matched speed. */
    private record BracketPass(int number, int attempt, double rpm, Optional<Match> match) {
        Pass pass() {
            String place = match.isPresent() ? "check." : "level.";
            return new Pass(
                    place + number, attempt, match.map(m -> m.step().text()).orElse(new Step.Speed(rpm).text()));
        }

        BracketPass again() {
            return new BracketPass(number, attempt + 1, rpm, match);
        }
    }

    private final Measurement.Acoustic plan;
    private final Set<Step> levelSteps;
    private final Set<Step.Speed> speedSteps;
    private final OptionalDouble notBeforeSeconds;
    private final Optional<Input.LevelsFrom> levelsFrom;
    private final Deque<BracketPass> passes = new ArrayDeque<>();
    private final List<Bracket> brackets = new ArrayList<>();

    private BracketPass current;
    private Listen before;
    private Listen fans;
    private double fansRpm;
    private long bracketFromTick;
    private boolean waited;
    private boolean fitted;
    private LevelLine line;
    private long firstTick = -1;
    private String refusal = "";
    private int done;
    private int spoiled;

    /**
     * A measurement that has not begun.
     *
     * @param plan the measurement
     * @param thermal the thermal measurement of the same night, if there is one
     * @param notBeforeSeconds time before which it may not begin, s since the night began, if stated
     * @param levelsFrom own levels of another night, if the level steps are those of that night
     */
    AcousticScript(
            Measurement.Acoustic plan,
            Optional<Measurement.Thermal> thermal,
            OptionalDouble notBeforeSeconds,
            Optional<Input.LevelsFrom> levelsFrom) {
        this.plan = plan;
        this.levelSteps = thermal.map(AcousticScript::levelSteps).orElse(Set.of());
        this.speedSteps = thermal.map(AcousticScript::speedSteps).orElse(Set.of());
        this.notBeforeSeconds = notBeforeSeconds;
        this.levelsFrom = levelsFrom;
        for (double rpm : plan.speedsRpm()) {
            passes.add(new BracketPass(passes.size() + 1, 1, rpm, Optional.empty()));
        }
    }

    private static Set<Step> levelSteps(Measurement.Thermal thermal) {
        Set<Step> steps = new LinkedHashSet<>(thermal.steps());
        thermal.reference().ifPresent(r -> steps.add(r.step()));
        steps.removeIf(step -> step instanceof Step.Speed || step instanceof Step.Duty);
        return steps;
    }

    private static Set<Step.Speed> speedSteps(Measurement.Thermal thermal) {
        Set<Step.Speed> steps = new LinkedHashSet<>();
        for (Step step : thermal.steps()) {
            if (step instanceof Step.Speed speed) {
                steps.add(speed);
            }
        }
        return steps;
    }

    @Override
    public boolean next(Deque<Supplier<Stage>> agenda, Course course) {
        if (!waited) {
            waited = true;
            notBeforeSeconds.ifPresent(seconds -> agenda.add(() -> new WaitStage(seconds)));
            if (course.fansNeverStop()) {
                refuse("the fans stop at no duty, and the bench has no " + BenchFile.FAN_SWITCH, course);
            }
        } else if (!passes.isEmpty()) {
            begin(passes.poll(), agenda, course);
        } else if (!fitted) {
            fitted = true;
            fit(course);
        } else {
            return false;
        }
        return true;
    }

    private void begin(BracketPass pass, Deque<Supplier<Stage>> agenda, Course course) {
        current = pass;
        before = null;
        fans = null;
        course.beginPass(pass.pass());
        course.decide(Decision.of("pass-begun")
                .with("pass", course.pass.name())
                .with("measurement", "acoustic")
                .with("attempt", pass.attempt())
                .with("step", course.pass.setpoint())
                .with("speed", pass.rpm(), 1));
        agenda.add(() -> ListenStage.background(plan));
        agenda.add(() -> new ApproachStage(new Step.Speed(pass.rpm())));
        agenda.add(() -> ListenStage.fans(plan));
        agenda.add(() -> ListenStage.background(plan));
    }

    private void refuse(String reason, Course course) {
        refusal = reason;
        passes.clear();
        fitted = true;
        course.decide(Decision.of("measurement-refused")
                .with("measurement", "acoustic")
                .with("reason", reason));
        course.decide(Decision.finding("measurement-refused", "acoustic", "no sound was measured: " + reason));
    }

    @Override
    public void finished(Stage stage, Course course) {
        if (!(stage instanceof ListenStage listen)) {
            return;
        }
        if (listen.fansKeepTurning()) {
            refusal = "the fans keep turning at 0 % duty, and the bench has no " + BenchFile.FAN_SWITCH;
            course.spoil(refusal);
            return;
        }
        Listen heard = listen.heard();
        course.decide(Decision.of("listened")
                .with("pass", course.pass.name())
                .with("to", listen.name().equals(ListenStage.BACKGROUND) ? "background" : "fans")
                .with("level", heard.levelDb(), 3)
                .with("l10", heard.exceeded10Db(), 2)
                .with("l50", heard.exceeded50Db(), 2)
                .with("l90", heard.exceeded90Db(), 2)
                .with("counted-seconds", heard.countedSeconds(), 1)
                .with("rejected-percent", heard.rejectedPercent(), 1)
                .with("rpm", listen.meanRpm(), 1)
                .with("from-tick", listen.firstTick())
                .with("to-tick", listen.lastTick()));
        if (!heard.usable()) {
            course.spoil(
                    "gusts: " + Decimals.fixed(heard.rejectedPercent(), 0) + " % of the listen does not count, limit "
                            + Decimals.shortest(plan.gusts().atMostPercent(), 1) + " %");
        } else if (before == null) {
            before = heard;
            bracketFromTick = listen.firstTick();
        } else if (fans == null) {
            fans = heard;
            fansRpm = listen.meanRpm();
        } else {
            bracketDone(new Bracket(fansRpm, before, fans, heard), listen.lastTick(), course);
        }
    }

    private void bracketDone(Bracket bracket, long toTick, Course course) {
        if (Math.abs(bracket.driftDb()) > plan.backgroundDriftDb()) {
            course.spoil("background drifted by " + Decimals.fixed(bracket.driftDb(), 2)
                    + " dB within the bracket, limit " + Decimals.shortest(plan.backgroundDriftDb(), 2) + " dB");
            return;
        }
        if (course.tooManyTicksMissed()) {
            return;
        }
        Reading reading = bracket.reading();
        course.decide(Decision.of("bracket")
                .with("pass", course.pass.name())
                .with("rpm", bracket.rpm(), 1)
                .with("total", reading.totalDb(), 3)
                .with("background", reading.backgroundDb(), 3)
                .with("drift", bracket.driftDb(), 3)
                .with("gap", reading.gapDb(), 3)
                .with(
                        "class",
                        reading.gapClass().name().toLowerCase(Locale.ROOT).replace('_', '-'))
                .with("own-level", reading.ownLevelDb(), 3)
                .with("error-multiplier", reading.errorMultiplier(), 2)
                .with("rejected-percent", bracket.fans().rejectedPercent(), 1)
                .with("from-tick", bracketFromTick)
                .with("to-tick", toTick));
        course.decide(Decision.of("pass-done").with("pass", course.pass.name()).with("step", course.pass.setpoint()));
        if (firstTick < 0) {
            firstTick = bracketFromTick;
        }
        if (current.match().isPresent()) {
            verify(current.match().get(), bracket, course);
        } else {
            brackets.add(bracket);
        }
        course.pass = null;
        done++;
    }

    // ---- the line and the speeds

    private void fit(Course course) {
        if (brackets.stream().mapToDouble(Bracket::rpm).distinct().count() < FEWEST_SPEEDS) {
            if (!levelSteps.isEmpty()) {
                course.decide(Decision.finding(
                        "no-level-line", "", "fewer than three speeds were listened to, so no level has a speed"));
            }
            return;
        }
        Optional<LevelLine> found = LevelLine.fit(brackets);
        if (found.isEmpty()) {
            course.decide(Decision.finding("no-level-line", "", "the fans were not heard above the background"));
            return;
        }
        line = found.get();
        course.decide(Decision.of("level-line")
                .with("reference-rpm", line.referenceRpm(), 1)
                .with("own-level", line.ownLevelDb(line.referenceRpm()), 3)
                .with("slope", line.slopeDbPerDecade(), 2)
                .with("slope-expanded", line.slopeExpandedDbPerDecade(), 2)
                .with("curvature", line.curvatureDbPerDecadeSquared(), 2)
                .with("background", line.backgroundDb(), 3)
                .with("good", line.good())
                .with("from-tick", firstTick)
                .with("to-tick", course.tick()));
        lineFindings(course);
        speedSteps.forEach(step -> course.decide(Decision.of("step-level")
                .with("step", step.text())
                .with("speed", step.rpm(), 1)
                .with("own-level", line.ownLevelDb(step.rpm()), 3)
                .with("own-level-expanded", line.ownLevelExpandedDb(step.rpm()), 3)
                .with("extrapolated", line.extrapolates(step.rpm()))
                .with("from-tick", firstTick)
                .with("to-tick", course.tick())));
        levelSteps.forEach(step -> match(step, course));
    }

    private void lineFindings(Course course) {
        line.resonances()
                .forEach(r -> course.decide(Decision.finding(
                        "resonance",
                        Decimals.fixed(r.rpm(), 0) + " rpm",
                        Decimals.fixed(Math.abs(r.aboveLineDb()), 1) + " dB "
                                + (r.aboveLineDb() > 0 ? "louder" : "quieter")
                                + " than the line through the other speeds; left out of it")));
        if (!line.good()) {
            course.decide(Decision.finding(
                    "level-line-poor",
                    "",
                    "the levels lie farther from the line than the noise explains; the intervals are wider for it"));
        }
        course.bench
                .levelChannel()
                .flatMap(ChannelSpec::level)
                .filter(level -> level.floorDb().isPresent()
                        && line.backgroundDb() < level.floorDb().getAsDouble() + FLOOR_DB)
                .ifPresent(level -> course.decide(Decision.finding(
                        "meter-floor",
                        "",
                        "the background of " + Decimals.fixed(line.backgroundDb(), 1)
                                + " dB is partly the meter's own floor of "
                                + Decimals.fixed(level.floorDb().getAsDouble(), 1) + " dB")));
    }

    private void match(Step step, Course course) {
        OptionalDouble ownLevel = wantedOwnLevel(step);
        Optional<MatchedSpeed> found = ownLevel.isPresent()
                ? line.forOwnLevel(ownLevel.getAsDouble())
                : line.forGap(((Step.AboveBackground) step).db());
        if (found.isEmpty()) {
            course.decide(Decision.finding("no-match", step.text(), "the level line reaches this level at no speed"));
            return;
        }
        MatchedSpeed speed = found.get();
        Decision decision = Decision.of("matched")
                .with("step", step.text())
                .with("speed", speed.rpm(), 1)
                .with("low", speed.lowRpm(), 1)
                .with("high", speed.highRpm(), 1)
                .with("half-width", speed.halfWidthPercent(), 2)
                .with("own-level", speed.ownLevelDb(), 3)
                .with("own-level-expanded", line.ownLevelExpandedDb(speed.rpm()), 3)
                .with("too-wide", speed.tooWide())
                .with("extrapolated", speed.extrapolated())
                .with("near-resonance", speed.nearResonance());
        if (step instanceof Step.AboveBackground && ownLevel.isPresent()) {
            decision.with("levels-from", levelsFrom.orElseThrow().record());
        }
        course.decide(decision.with("from-tick", firstTick).with("to-tick", course.tick()));
        matchFindings(step, speed, course);
        course.matchedRpm.put(step.text(), Math.rint(speed.rpm() * 10.0) / 10.0);
        passes.add(new BracketPass(
                passes.size() + 1, 1, course.matchedRpm.get(step.text()), Optional.of(new Match(step, speed))));
    }

    private OptionalDouble wantedOwnLevel(Step step) {
        if (step instanceof Step.OwnLevel own) {
            return OptionalDouble.of(own.db());
        }
        return levelsFrom.map(l -> l.ownLevelDb(step.text())).orElse(OptionalDouble.empty());
    }

    private static void matchFindings(Step step, MatchedSpeed speed, Course course) {
        if (speed.tooWide()) {
            String width = Double.isInfinite(speed.halfWidthPercent())
                    ? "its interval has no end"
                    : "±" + Decimals.fixed(speed.halfWidthPercent(), 1) + " % of speed";
            course.decide(Decision.finding(
                    "match-too-wide",
                    step.text(),
                    width + ", limit ±" + Decimals.shortest(MatchedSpeed.WIDEST_PERCENT, 1)
                            + " %: too wide to compare sets at this level; listen longer"));
        }
        if (speed.extrapolated()) {
            course.decide(Decision.finding(
                    "match-extrapolated",
                    step.text(),
                    Decimals.fixed(speed.rpm(), 0) + " rpm lies outside the speeds that were listened to"));
        }
        if (speed.nearResonance()) {
            course.decide(Decision.finding(
                    "match-near-resonance",
                    step.text(),
                    "next to " + Decimals.fixed(speed.rpm(), 0)
                            + " rpm a resonance was found; the line leaves it out"));
        }
    }

    private void verify(Match match, Bracket bracket, Course course) {
        Verification verification = line.verify(bracket);
        course.decide(Decision.of("verified")
                .with("step", match.step().text())
                .with("rpm", bracket.rpm(), 1)
                .with("above-expected", verification.aboveExpectedDb(), 3)
                .with("expanded", verification.expandedDb(), 3)
                .with("agrees", verification.agrees())
                .with("from-tick", bracketFromTick)
                .with("to-tick", course.tick()));
        if (!verification.agrees()) {
            course.decide(Decision.finding(
                    "verification-differs",
                    match.step().text(),
                    "the listen at the matched speed is " + Decimals.fixed(verification.aboveExpectedDb(), 2)
                            + " dB above what the line expects, ±" + Decimals.fixed(verification.expandedDb(), 2)
                            + " dB"));
        }
    }

    @Override
    public void spoiled(String reason, Course course) {
        spoiled++;
        boolean again = course.pass.spoiled(reason, course);
        course.pass = null;
        if (!refusal.isEmpty()) {
            refuse(refusal, course);
        } else if (again) {
            passes.addLast(current.again());
        }
    }

    @Override
    public String shortfall() {
        return refusal.isEmpty() ? "" : "no sound was measured: " + refusal;
    }

    @Override
    public double secondsLeft() {
        double bracket = 2 * ListenStage.expectedSeconds(plan.backgroundListenSeconds())
                + ApproachStage.EXPECTED_SECONDS
                + ListenStage.expectedSeconds(plan.listenSeconds());
        int checks = fitted ? 0 : levelSteps.size();
        return (passes.size() + checks) * bracket;
    }

    @Override
    public int planned() {
        return plan.speedsRpm().size() + levelSteps.size();
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
