package org.plateaubench.engine;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Deque;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.Supplier;
import java.util.stream.IntStream;
import org.plateaubench.fans.DutySpeedCurve;
import org.plateaubench.fans.DutySweep;
import org.plateaubench.fans.DutyTrials;
import org.plateaubench.fans.FanFigures;
import org.plateaubench.fans.FanFinding;
import org.plateaubench.fans.FanSetFigures;
import org.plateaubench.fans.SweepPoint;
import org.plateaubench.fans.TachometerFault;
import org.plateaubench.fans.TimeConstant;
import org.plateaubench.plan.FansFile;
import org.plateaubench.plan.Measurement;

/**
 * The characterise measurement: sweeps, time constants, then start and stop duties. Its curve and its duties are there
 * for the rest of the night.
 */
final class CharacteriseScript implements Script {

    private static final double STEP_BELOW_PERCENT = 2.5;
    private static final double USUAL_TIME_CONSTANT_SECONDS = 2.5;

    private enum Kind {
        SWEEP("sweep"),
        SPIN("spin"),
        START_STOP("start-stop");

        private final String text;

        Kind(String text) {
            this.text = text;
        }
    }

    private record FanPass(Kind kind, int number, int attempt) {
        Pass pass() {
            return new Pass(kind.text + "." + number, attempt, kind.text.replace('-', ' '));
        }

        FanPass again() {
            return new FanPass(kind, number, attempt + 1);
        }
    }

    private final Measurement.Characterise plan;
    private final FansFile fansFile;
    private final List<String> fans;
    private final Deque<FanPass> passes = new ArrayDeque<>();

    private final List<List<SweepPoint>> points = new ArrayList<>();
    private final List<List<Double>> spinUps = new ArrayList<>();
    private final List<List<Double>> coastDowns = new ArrayList<>();
    private final List<List<Double>> starts = new ArrayList<>();
    private final List<List<Double>> stops = new ArrayList<>();
    private final double[] slowestRpm;
    private final List<Optional<TachometerFault>> coasting = new ArrayList<>();

    private FanPass current;
    private boolean derived;
    private String shortfall = "";
    private long firstTick = -1;
    private int planned;
    private int done;
    private int spoiled;

    /**
     * A measurement that has not begun.
     *
     * @param plan the measurement
     * @param fansFile which fans are mounted
     * @param fans names of their channels, in the order of the bench file's group
     */
    CharacteriseScript(Measurement.Characterise plan, FansFile fansFile, List<String> fans) {
        this.plan = plan;
        this.fansFile = fansFile;
        this.fans = fans;
        slowestRpm = new double[fans.size()];
        Arrays.fill(slowestRpm, Double.NaN);
        for (int fan = 0; fan < fans.size(); fan++) {
            points.add(new ArrayList<>());
            spinUps.add(new ArrayList<>());
            coastDowns.add(new ArrayList<>());
            starts.add(new ArrayList<>());
            stops.add(new ArrayList<>());
            coasting.add(Optional.empty());
        }
        IntStream.rangeClosed(1, plan.sweeps()).forEach(i -> passes.add(new FanPass(Kind.SWEEP, i, 1)));
        IntStream.rangeClosed(1, plan.sweeps()).forEach(i -> passes.add(new FanPass(Kind.SPIN, i, 1)));
        IntStream.rangeClosed(1, plan.starts()).forEach(i -> passes.add(new FanPass(Kind.START_STOP, i, 1)));
        planned = passes.size();
    }

    @Override
    public boolean next(Deque<Supplier<Stage>> agenda, Course course) {
        if (!passes.isEmpty() && passes.peek().kind() == Kind.START_STOP && !anyStops()) {
            planned -= passes.size();
            passes.clear();
        }
        if (passes.isEmpty()) {
            if (!derived) {
                derived = true;
                derive(course);
            }
            return false;
        }
        begin(passes.poll(), agenda, course);
        return true;
    }

    private void begin(FanPass pass, Deque<Supplier<Stage>> agenda, Course course) {
        current = pass;
        course.beginPass(pass.pass());
        course.decide(Decision.of("pass-begun")
                .with("pass", course.pass.name())
                .with("measurement", "characterise")
                .with("attempt", pass.attempt())
                .with("step", course.pass.setpoint()));
        agenda.add(
                switch (pass.kind()) {
                    case SWEEP -> () -> new SweepStage(plan);
                    case SPIN -> () -> new SpinStage(plan);
                    case START_STOP -> () -> new StartStopStage(known());
                });
    }

    private DutySweep sweep(int fan) {
        return new DutySweep(points.get(fan));
    }

    private boolean stops(int fan) {
        return sweep(fan).answered() && sweep(fan).stoppedAt().isPresent();
    }

    private boolean anyStops() {
        return IntStream.range(0, fans.size()).anyMatch(this::stops);
    }

    /** What the sweeps and the spins so far say of where to seek. */
    private StartStopStage.Known known() {
        int[] stopping = IntStream.range(0, fans.size()).filter(this::stops).toArray();
        double rising = IntStream.of(stopping)
                .mapToDouble(fan -> sweep(fan).startedBy().orElse(plan.toPercent()))
                .min()
                .orElseThrow();
        double falling = IntStream.of(stopping)
                .mapToDouble(fan -> sweep(fan).stoppedAt().orElseThrow())
                .max()
                .orElseThrow();
        boolean[] stops = new boolean[fans.size()];
        IntStream.of(stopping).forEach(fan -> stops[fan] = true);
        return new StartStopStage.Known(
                plan.fromPercent(),
                plan.toPercent(),
                rising - plan.byPercent() - STEP_BELOW_PERCENT,
                falling + plan.byPercent() + STEP_BELOW_PERCENT,
                IntStream.range(0, fans.size())
                        .mapToDouble(fan -> sweep(fan).lowestRpm())
                        .toArray(),
                stops,
                largest(spinUps),
                largest(coastDowns));
    }

    private static double largest(List<List<Double>> constants) {
        return constants.stream()
                .flatMap(List::stream)
                .mapToDouble(Double::doubleValue)
                .max()
                .orElse(USUAL_TIME_CONSTANT_SECONDS);
    }

    @Override
    public void finished(Stage stage, Course course) {
        if (!(stage instanceof SweepStage || stage instanceof SpinStage || stage instanceof StartStopStage)
                || course.tooManyTicksMissed()) {
            return;
        }
        if (stage instanceof SweepStage sweep) {
            sweep.points().forEach(p -> swept(p, course));
        } else if (stage instanceof SpinStage spin) {
            spun(spin, course);
        } else if (stage instanceof StartStopStage search) {
            sought(search, course);
        }
        course.decide(Decision.of("pass-done").with("pass", course.pass.name()).with("step", course.pass.setpoint()));
        course.pass = null;
        done++;
    }

    private void swept(SweepStage.Point point, Course course) {
        if (firstTick < 0) {
            firstTick = point.fromTick();
        }
        for (int fan = 0; fan < fans.size(); fan++) {
            points.get(fan).add(new SweepPoint(point.dutyPercent(), point.rising(), point.rpm()[fan]));
        }
        course.decide(Decision.of("sweep-point")
                .with("pass", course.pass.name())
                .with("duty", point.dutyPercent(), 2)
                .with("rising", point.rising())
                .with("rpm", point.rpm(), 1)
                .with("from-tick", point.fromTick())
                .with("to-tick", point.toTick()));
    }

    private void spun(SpinStage spin, Course course) {
        double[] up = new double[fans.size()];
        double[] down = new double[fans.size()];
        for (int fan = 0; fan < fans.size(); fan++) {
            up[fan] = constant(spin.up(), fan, spinUps.get(fan));
            down[fan] = constant(spin.down(), fan, coastDowns.get(fan));
            if (coasting.get(fan).isEmpty()) {
                coasting.set(fan, TachometerFault.whileCoasting(spin.down().of(fan)));
            }
        }
        course.decide(Decision.of("time-constants")
                .with("pass", course.pass.name())
                .with("spin-up", up, 3)
                .with("coast-down", down, 3)
                .with("from-tick", spin.firstTick())
                .with("to-tick", course.tick()));
    }

    private static double constant(SpinStage.Run run, int fan, List<Double> found) {
        OptionalDouble seconds = TimeConstant.seconds(run.times(), run.of(fan), run.settledRpm()[fan]);
        seconds.ifPresent(found::add);
        return seconds.orElse(Double.NaN);
    }

    private void sought(StartStopStage search, Course course) {
        for (int fan = 0; fan < fans.size(); fan++) {
            starts.get(fan).add(search.startPercent()[fan]);
            stops.get(fan).add(search.stopPercent()[fan]);
            double slowest = search.slowestRpm()[fan];
            if (!Double.isNaN(slowest) && !(slowest >= slowestRpm[fan])) {
                slowestRpm[fan] = slowest;
            }
        }
        course.decide(Decision.of("start-stop")
                .with("pass", course.pass.name())
                .with("start", search.startPercent(), 2)
                .with("stop", search.stopPercent(), 2)
                .with("rpm", search.slowestRpm(), 1)
                .with("from-tick", search.firstTick())
                .with("to-tick", course.tick()));
    }

    // ---- what it all says

    private FanFigures figures(int fan) {
        DutySweep sweep = sweep(fan);
        double lowest = sweep.lowestRpm();
        return new FanFigures(
                fans.get(fan),
                sweep,
                trials(starts.get(fan)),
                trials(stops.get(fan)),
                slowestRpm[fan] <= lowest ? slowestRpm[fan] : lowest,
                mean(spinUps.get(fan)),
                mean(coastDowns.get(fan)),
                coasting.get(fan));
    }

    private static Optional<DutyTrials> trials(List<Double> found) {
        return found.stream().allMatch(d -> d.isNaN()) ? Optional.empty() : Optional.of(DutyTrials.of(found));
    }

    private static OptionalDouble mean(List<Double> values) {
        return values.stream().mapToDouble(Double::doubleValue).average();
    }

    private void derive(Course course) {
        FanSetFigures set = new FanSetFigures(
                IntStream.range(0, fans.size()).mapToObj(this::figures).toList(),
                fansFile.ratedRpm(),
                fansFile.sharedTachometerOf());
        set.fans().forEach(fan -> course.decide(decision(fan, course)));
        OptionalDouble start = set.startPercent();
        OptionalDouble stop = set.stopPercent();
        course.decide(Decision.of("fan-set")
                .with("characterised", set.characterised())
                .with("start", start.orElse(Double.NaN), 2)
                .with("stop", stop.orElse(Double.NaN), 2)
                .with("spread", set.spreadPercent(), 2)
                .with("from-tick", firstTick)
                .with("to-tick", course.tick()));
        for (FanFinding finding : set.findings()) {
            course.decide(Decision.finding(finding.kind().text(), finding.fan(), finding.text()));
        }
        if (set.characterised()) {
            curve(course);
            // Fans that still turn at the lowest duty of the sweep may yet stop below it.
            if (stop.isPresent() || plan.fromPercent() == 0.0) {
                course.fansCharacterised(start, stop);
            }
        } else {
            shortfall = "the fans are not characterised";
        }
    }

    private Decision decision(FanFigures fan, Course course) {
        DutySweep sweep = fan.sweep();
        Decision decision = Decision.of("fan")
                .with("fan", fan.fan())
                .with("characterised", fan.characterised())
                .with("minimum", fan.minimumRpm(), 1)
                .with("maximum", sweep.topRpm(), 1)
                .with("linearity", sweep.linearityPercent(), 2)
                .with("hysteresis", sweep.hysteresisPercent(), 2)
                .with("hysteresis-rpm", sweep.hysteresisRpm(), 1)
                .with("largest-fall", sweep.largestFallPercent(), 2);
        fan.start().ifPresent(t -> trials("start", t, decision));
        fan.stop().ifPresent(t -> trials("stop", t, decision));
        sweep.cap().ifPresent(cap -> decision.with("cap", cap.speedRpm(), 1).with("cap-from", cap.fromPercent(), 2));
        return decision.with("spin-up", fan.spinUpSeconds().orElse(Double.NaN), 3)
                .with("coast-down", fan.coastDownSeconds().orElse(Double.NaN), 3)
                .with("from-tick", firstTick)
                .with("to-tick", course.tick());
    }

    private static void trials(String name, DutyTrials trials, Decision decision) {
        decision.with(name, trials.meanPercent(), 2)
                .with(name + "-lowest", trials.lowestPercent(), 2)
                .with(name + "-highest", trials.highestPercent(), 2)
                .with(name + "-trials", trials.duties().size());
    }

    /** The curve of the set's mean speed, over the duties at which all its fans turn. */
    private void curve(Course course) {
        List<SweepPoint> ofSet = new ArrayList<>();
        for (int i = 0; i < points.get(0).size(); i++) {
            int at = i;
            double[] speeds =
                    points.stream().mapToDouble(of -> of.get(at).speedRpm()).toArray();
            if (Arrays.stream(speeds).allMatch(rpm -> rpm > 0.0)) {
                SweepPoint point = points.get(0).get(at);
                ofSet.add(new SweepPoint(
                        point.dutyPercent(),
                        point.rising(),
                        Arrays.stream(speeds).average().orElseThrow()));
            }
        }
        List<DutySpeedCurve.Point> curve =
                DutySpeedCurve.through(new DutySweep(ofSet).means()).points();
        course.decide(Decision.of("curve")
                .with(
                        "duty",
                        curve.stream()
                                .mapToDouble(DutySpeedCurve.Point::dutyPercent)
                                .toArray(),
                        2)
                .with(
                        "rpm",
                        curve.stream()
                                .mapToDouble(DutySpeedCurve.Point::speedRpm)
                                .toArray(),
                        1)
                .with("from-tick", firstTick)
                .with("to-tick", course.tick()));
        curve.forEach(p -> course.fanSpeeds.learn(p.dutyPercent(), p.speedRpm()));
    }

    @Override
    public void spoiled(String reason, Course course) {
        spoiled++;
        if (course.pass.spoiled(reason, course)) {
            passes.addFirst(current.again());
        }
        course.pass = null;
    }

    @Override
    public String shortfall() {
        return shortfall;
    }

    @Override
    public double secondsLeft() {
        return passes.stream()
                .mapToDouble(pass -> switch (pass.kind()) {
                    case SWEEP -> SweepStage.expectedSeconds(plan);
                    case SPIN -> SpinStage.expectedSeconds(plan);
                    case START_STOP -> StartStopStage.EXPECTED_SECONDS;
                })
                .sum();
    }

    @Override
    public int planned() {
        return planned;
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
