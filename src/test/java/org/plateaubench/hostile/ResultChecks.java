package org.plateaubench.hostile;

import java.io.IOException;
import java.util.ArrayList;
import java.util.DoubleSummaryStatistics;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.TreeMap;
import java.util.function.Consumer;
import java.util.function.Predicate;
import org.apache.commons.math3.stat.regression.SimpleRegression;
import org.plateaubench.bench.sim.Fault.Kind;
import org.plateaubench.benchfile.BenchFile;
import org.plateaubench.benchfile.ChannelSpec;
import org.plateaubench.benchfile.HeatDemand;
import org.plateaubench.engine.Exit;
import org.plateaubench.equilibrium.LagFilter;
import org.plateaubench.plan.Measurement;
import org.plateaubench.plan.Plan;
import org.plateaubench.record.RecordedNight;
import org.plateaubench.results.NightResults;
import org.plateaubench.results.PassResult;
import org.plateaubench.results.StepResult;

/** What must hold of the results. */
final class ResultChecks {

    private static final int MOST_ATTEMPTS = 3;
    private static final double MISSING_SECONDS = 5;
    private static final double LONG_MISSING_SECONDS = 30;
    private static final double BROKEN_SECONDS = 3;
    private static final double STEP_KELVIN = 1.0;
    private static final double STEP_SECONDS = 300;
    private static final double RIGHT_KELVIN = 0.2;
    /** After the machine slept, the ambient's filter does not know what happened meanwhile. */
    private static final double AFTER_SLEEP_KELVIN = 0.5;
    /** Heat flow may be gone for so long before it is told. */
    private static final double GONE_HEAT_SECONDS = 10;
    /** A limit of the slope by which a rise that falls again is told for certain, K/h. */
    private static final double TELLING_SLOPE = 10;

    /** Less heat need not be felt within minutes, W. */
    private static final double WEAK_WATTS = 50;
    /** Coolant that has felt the heat has moved by more, K. */
    private static final double FELT_KELVIN = 0.19;
    /** A reading that stands still for less says nothing, s. */
    private static final double STILL_SECONDS = 60;

    /** Steps of a thermometer up to these say nothing of themselves. */
    private static final double LEAP_KELVIN = 1.0;

    private static final double THAW_KELVIN = 0.25;

    private static final double RIGHT_SPEED = 0.02;

    private ResultChecks() {}

    private static double ticks(Story story, int count) {
        return count * story.periodSeconds() + 1;
    }

    private static List<PassStory> counting(Story story) throws IOException {
        return story.passes().stream().filter(p -> p.thermal && p.counts()).toList();
    }

    // ---- passes and ends

    static void counted(Story story, Consumer<String> breach) throws IOException {
        NightResults results = story.results();
        List<PassStory> passes = story.passes();
        for (StepResult step : results.steps()) {
            long counting = passes.stream()
                    .filter(p -> p.thermal && !p.reference && p.counts() && p.step.equals(step.step()))
                    .count();
            boolean number = !Double.isNaN(step.coolantRiseKelvin());
            if (step.passes() != counting || number != counting > 0) {
                breach.accept(step + " of " + counting + " passes");
            }
        }
        Map<String, PassStory> last = new TreeMap<>();
        for (PassStory pass : passes) {
            PassStory before = last.put(pass.place(), pass);
            if (pass.attempt() > MOST_ATTEMPTS
                    || before != null && (pass.attempt() <= before.attempt() || before.counts())) {
                breach.accept("the pass " + pass.name + " was begun again");
            }
        }
        for (PassResult result : results.passes()) {
            PassStory pass = passes.stream()
                    .filter(p -> p.name.equals(result.pass()))
                    .findFirst()
                    .orElseThrow();
            if ((result.status() == PassResult.Status.DONE) != pass.counts()) {
                breach.accept(result + " of a pass that " + (pass.counts() ? "counts" : "does not count"));
            }
        }
    }

    static void exit(Story story, Consumer<String> breach) throws IOException {
        if (story.end().isEmpty()) {
            return;
        }
        Exit exit = story.end().get().exit();
        String reason = story.end().get().reason();
        Map<String, Object> end = story.journal().stream()
                .filter(l -> "end".equals(l.get("decision")))
                .findFirst()
                .orElseThrow();
        long done = story.passes().stream().filter(PassStory::counts).count();
        long planned = ((Number) end.get("passes-planned")).longValue();
        if (((Number) end.get("passes-done")).longValue() != done) {
            breach.accept(done + " passes count, but the end says " + end);
        }
        if (exit == Exit.DONE && done != planned || reason.isBlank()) {
            breach.accept("exit " + exit + ", " + done + " of " + planned + " passes: " + reason);
        }
        if (story.scenario().mishaps().isEmpty() && exit == Exit.BENCH_FAULT) {
            breach.accept("nothing went wrong, but: " + reason);
        }
    }

    // ---- what a pass that counts must have had

    private interface PerPass {
        void check(PassStory pass, NavigableMap<Long, TruthRow> loaded) throws IOException;
    }

    /** Each pass that counts, with the truth from the second tick of its soak to the last of its dwell. */
    private static void each(Story story, PerPass check) throws IOException {
        NavigableMap<Long, TruthRow> rows = story.byTick();
        for (PassStory pass : counting(story)) {
            check.check(pass, rows.subMap(pass.soakTick + 2, true, pass.toTick, true));
        }
    }

    private static void stretches(
            PassStory pass,
            NavigableMap<Long, TruthRow> loaded,
            Predicate<TruthRow> wrong,
            double allowedSeconds,
            Facts facts,
            String what,
            Consumer<String> breach) {
        for (Stretch s : Stretch.of(new ArrayList<>(loaded.values()), wrong)) {
            if (s.seconds(facts) > allowedSeconds) {
                breach.accept("pass " + pass.name + " counts, " + what + " from tick "
                        + s.first().tick() + " to " + s.last().tick());
            }
        }
    }

    static void heated(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        boolean measured = story.files().bench().channel(BenchFile.POWER).isPresent();
        double limit =
                story.files().plan().thermal().orElseThrow().soak().until().slopeKelvinPerHour();
        each(story, (pass, loaded) -> {
            // Heat that is gone without a word is seen by the heat flow, or by a rise that does not stay settled.
            boolean seen = pass.settled && limit <= TELLING_SLOPE;
            if (seen && loaded.values().stream().noneMatch(TruthRow::heated)) {
                breach.accept("pass " + pass.name + " counts and settled, but was never heated");
            }
            long settled = story.byTick().get(pass.fromTick).millis();
            long over = loaded.lastEntry().getValue().millis();
            stretches(
                    pass,
                    loaded,
                    row -> !row.heated() && !tripped(facts, row),
                    ticks(story, 1),
                    facts,
                    "but heat was off",
                    breach);
            Predicate<TruthRow> told = row -> !row.heated()
                    && tripped(facts, row)
                    && (measured || seen && trippedInDwell(facts, row, settled, over));
            stretches(pass, loaded, told, GONE_HEAT_SECONDS + ticks(story, 2), facts, "but the heat tripped", breach);
        });
    }

    private static boolean tripped(Facts facts, TruthRow row) {
        return facts.any(Kind.HEAT_TRIPPED, row.millis(), row.millis() + 1)
                || facts.anyOfTheHost(Mishap.SLEEP, row.millis(), row.millis() + 1);
    }

    /** A trip that begins in the dwell, and leaves enough of it to show. */
    private static boolean trippedInDwell(Facts facts, TruthRow row, long fromMillis, long toMillis) {
        return facts.all(Kind.HEAT_TRIPPED).stream()
                .anyMatch(m -> m.overlaps(row.millis(), row.millis() + 1)
                        && m.fromMillis() > fromMillis
                        && m.fromMillis() < toMillis - 60_000
                        && m.toMillis() > toMillis);
    }

    // ---- thermometers

    private static List<String> thermometers(Story story, String... roles) {
        return story.files().bench().channels().stream()
                .map(ChannelSpec::name)
                .filter(name -> List.of(roles).contains(name.substring(0, (name + "-").indexOf('-'))))
                .toList();
    }

    /** Good readings of a channel, by the bench's own time, ms. */
    private static TreeMap<Long, Double> goodReadings(Story story, String channel) throws IOException {
        int column = story.files().bench().indexOf(channel);
        TreeMap<Long, Double> readings = new TreeMap<>();
        for (RecordedNight.Row row : story.samples()) {
            TruthRow truth = story.byTick().get(row.sample().tick());
            if (truth != null && row.sample().readings().get(column).good()) {
                readings.put(truth.millis(), row.sample().readings().get(column).value());
            }
        }
        return readings;
    }

    private static boolean alone(Facts facts, Mishap m, long fromMillis, long toMillis) {
        return facts.mishaps().stream().noneMatch(o -> o != m && o.overlaps(fromMillis, toMillis));
    }

    /** Nothing has settled under heat by coolant that stood still since the heat came on. */
    static void felt(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        NavigableMap<Long, TruthRow> rows = story.byTick();
        if (story.files()
                .plan()
                .heat()
                .filter(h -> !(h instanceof HeatDemand.Power p && p.watts() < WEAK_WATTS))
                .isEmpty()) {
            return;
        }
        for (PassStory pass : counting(story)) {
            long on = story.journal().stream()
                    .filter(l -> "heat".equals(l.get("target")) && "command-result".equals(l.get("input")))
                    .filter(l -> !"off".equals(l.get("asked")))
                    .mapToLong(l -> ((Number) l.get("tick")).longValue())
                    .filter(tick -> tick <= pass.settledTick)
                    .max()
                    .orElse(Long.MAX_VALUE);
            if (!pass.settled || !rows.containsKey(on)) {
                continue;
            }
            long from = rows.get(on).millis();
            long to = rows.get(pass.settledTick).millis();
            boolean others =
                    facts.mishaps().stream().anyMatch(m -> !m.is(Kind.HEAT_TRIPPED) && m.overlaps(from - 60_000, to));
            for (String channel : thermometers(story, BenchFile.COOLANT)) {
                DoubleSummaryStatistics read = goodReadings(story, channel).subMap(from, to).values().stream()
                        .mapToDouble(Double::doubleValue)
                        .summaryStatistics();
                if (!others && read.getCount() > 0 && read.getMax() - read.getMin() < FELT_KELVIN) {
                    breach.accept("pass " + pass.name + " settled at tick " + pass.settledTick + ", and since tick "
                            + on + " " + channel + " had read " + read.getMin() + " to " + read.getMax() + " °C");
                }
            }
        }
    }

    static void measured(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        for (String channel : thermometers(story, BenchFile.COOLANT, BenchFile.AMBIENT)) {
            for (Mishap m : facts.mishaps()) {
                if (m.target().equals(channel) && m.is(Kind.OFFSET)) {
                    leapt(story, facts, m, m.fromMillis(), breach);
                    leapt(story, facts, m, m.toMillis(), breach);
                } else if (m.target().equals(channel) && m.is(Kind.FROZEN)) {
                    thawed(story, facts, m, breach);
                }
            }
        }
    }

    /** A thermometer that leaps, and stays there, spoils the pass. */
    private static void leapt(Story story, Facts facts, Mishap m, long at, Consumer<String> breach) throws IOException {
        double period = story.periodSeconds();
        long believed = StrictMath.round((10 * period + 10) * 1000);
        if (Math.abs(m.value()) < LEAP_KELVIN + 0.6 * (1 + period)
                || m.seconds() < 5 * period + 8
                || !alone(facts, m, m.fromMillis() - 60_000, at + believed)) {
            return;
        }
        NavigableMap<Long, TruthRow> rows = story.byTick();
        for (PassStory pass : counting(story)) {
            if (rows.get(pass.begunTick).millis() + believed < at
                    && rows.get(pass.toTick).millis() - believed > at) {
                breach.accept("pass " + pass.name + " counts, but at " + at + " ms: " + m);
            }
        }
    }

    /** A thermometer that stood still for long and then leaps did not measure meanwhile. */
    private static void thawed(Story story, Facts facts, Mishap m, Consumer<String> breach) throws IOException {
        double period = story.periodSeconds();
        TreeMap<Long, Double> readings = goodReadings(story, m.target());
        Map.Entry<Long, Double> frozen = readings.lowerEntry(m.toMillis() - 1);
        Map.Entry<Long, Double> thawed = readings.higherEntry(m.toMillis());
        long around = StrictMath.round((70 + 2 * period) * 1000);
        if (frozen == null
                || thawed == null
                || m.seconds() < STILL_SECONDS + 3 * period
                || !alone(facts, m, m.fromMillis() - around, thawed.getKey() + around)) {
            return;
        }
        double least = Double.POSITIVE_INFINITY;
        double before = Double.NaN;
        for (double reading : readings.headMap(m.fromMillis()).values()) {
            least = reading == before || Double.isNaN(before) ? least : Math.min(least, Math.abs(reading - before));
            before = reading;
        }
        NavigableMap<Long, TruthRow> rows = story.byTick();
        boolean steady = story.journal().stream()
                .filter(l -> "heat".equals(l.get("target")) && rows.containsKey(l.get("tick")))
                .mapToLong(l -> rows.get((Long) l.get("tick")).millis())
                .noneMatch(at -> at > thawed.getKey() - around && at <= thawed.getKey() + around / 10);
        double leap = Math.abs(thawed.getValue() - frozen.getValue());
        if (!steady || leap < THAW_KELVIN + 0.02 * period || leap < 3.1 * least) {
            return;
        }
        for (PassStory pass : counting(story)) {
            if (rows.get(pass.begunTick).millis() < m.toMillis()
                    && rows.get(pass.toTick).millis() > m.fromMillis() + around) {
                breach.accept("pass " + pass.name + " counts, but then " + m.target() + " leapt by " + leap
                        + " K after " + m);
            }
        }
    }

    static void pumped(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        Plan.PumpLock lock = story.files().plan().pumpLock();
        double most = lock.rpm() * (lock.withinPercent() + 1.5) / 100;
        each(story, (pass, loaded) -> {
            long from = loaded.firstEntry().getValue().millis();
            long to = loaded.lastEntry().getValue().millis();
            if (!facts.mayLie(BenchFile.PUMP, 0, to)) {
                double allowed = facts.mayBeUnread(BenchFile.PUMP, from, to) ? LONG_MISSING_SECONDS : BROKEN_SECONDS;
                stretches(
                        pass,
                        loaded,
                        row -> Math.abs(row.pumpRpm() - lock.rpm()) > most,
                        allowed + ticks(story, 2),
                        facts,
                        "but the pump was not at its speed",
                        breach);
            }
        });
    }

    static void driven(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        each(story, (pass, loaded) -> {
            boolean excused = facts.any(
                    Kind.IGNORES_DUTY,
                    BenchFile.FAN_DUTY,
                    0,
                    loaded.lastEntry().getValue().millis());
            if (!excused) {
                stretches(
                        pass,
                        loaded,
                        row -> Math.abs(row.fanDutyPercent() - pass.frozenPercent) > 0.5,
                        BROKEN_SECONDS + ticks(story, 2),
                        facts,
                        "but its fans were not at " + pass.frozenPercent + " %",
                        breach);
            }
        });
    }

    static void seen(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        each(story, (pass, loaded) -> {
            long from = loaded.firstEntry().getValue().millis();
            long to = loaded.lastEntry().getValue().millis();
            for (ChannelSpec channel : bench.channels()) {
                boolean soon = channel.name().startsWith(BenchFile.COOLANT)
                        || channel.name().startsWith(BenchFile.AMBIENT);
                boolean late = channel.name().equals(BenchFile.CPU)
                        || channel.name().equals(BenchFile.PUMP)
                        || bench.group(BenchFile.FANS).contains(channel.name());
                for (Mishap m : facts.mishaps()) {
                    if (!SafetyChecks.silences(m, channel) || !(soon || late)) {
                        continue;
                    }
                    stretches(
                            pass,
                            loaded,
                            row -> row.millis() >= m.fromMillis() && row.millis() < m.toMillis(),
                            (soon ? MISSING_SECONDS : LONG_MISSING_SECONDS) + ticks(story, 3),
                            facts,
                            "but " + m + " kept " + channel.name() + " from being read",
                            breach);
                }
            }
        });
    }

    static void calm(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        each(story, (pass, loaded) -> {
            if (facts.mayLie(BenchFile.AMBIENT, 0, loaded.lastEntry().getValue().millis())) {
                return;
            }
            TreeMap<Long, Double> minutes = new TreeMap<>();
            TreeMap<Long, Integer> counts = new TreeMap<>();
            loaded.values().forEach(row -> {
                minutes.merge(row.millis() / 60_000, row.ambientCelsius(), Double::sum);
                counts.merge(row.millis() / 60_000, 1, Integer::sum);
            });
            // A step is told from what the readings do anyway by the means of whole minutes, whenever these begin.
            long told = loaded.lastEntry().getValue().millis() / 60_000 - 1;
            minutes.keySet().removeIf(minute -> minute >= told || counts.get(minute) * story.periodSeconds() < 54);
            minutes.replaceAll((minute, sum) -> sum / counts.get(minute));
            minutes.forEach((minute, mean) -> minutes.subMap(minute, minute + 4).forEach((later, other) -> {
                if (Math.abs(other - mean) > STEP_KELVIN + 0.5) {
                    breach.accept("pass " + pass.name + " counts, but the room went from " + mean + " to " + other
                            + " °C in " + (later - minute) + " min");
                }
            }));
        });
    }

    static void time(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        List<RecordedNight.Row> samples = story.samples();
        NavigableMap<Long, TruthRow> rows = story.byTick();
        for (PassStory pass : counting(story)) {
            long missed = 0;
            long seen = 0;
            for (RecordedNight.Row row : samples) {
                if (row.sample().tick() > pass.begunTick && row.sample().tick() <= pass.toTick) {
                    missed += row.sample().missed();
                    seen++;
                }
            }
            if (missed > 0.011 * (missed + seen) + 1) {
                breach.accept("pass " + pass.name + " counts, but " + missed + " of its ticks were missed");
            }
            long from = rows.get(pass.fromTick).millis() + 1000;
            long to = rows.get(pass.toTick).millis() - StrictMath.round(ticks(story, 2) * 1000);
            for (Mishap m : facts.mishaps()) {
                boolean step = m.what().equals(Mishap.CLOCK_STEP) && Math.abs(m.value()) > 1.1;
                boolean sleep = m.what().equals(Mishap.SLEEP);
                boolean stall = m.what().equals(Mishap.STALL) && m.seconds() > 5.1 + story.periodSeconds();
                if ((step || sleep || stall) && m.fromMillis() > from && m.fromMillis() < to) {
                    breach.accept("pass " + pass.name + " counts, but in its dwell: " + m);
                }
            }
        }
    }

    static void conditions(Story story, Consumer<String> breach) throws IOException {
        Facts facts = new Facts(story.scenario());
        for (Plan.Condition condition : story.files().plan().conditions()) {
            each(story, (pass, loaded) -> {
                long from = loaded.firstEntry().getValue().millis();
                long to = loaded.lastEntry().getValue().millis();
                if (facts.mayLie(condition.channel(), 0, to) || facts.mayBeUnread(condition.channel(), from, to)) {
                    return;
                }
                if (condition instanceof Plan.Condition.Near near) {
                    stretches(
                            pass,
                            loaded,
                            row -> Math.abs(row.clockMegahertz() - near.at())
                                    > near.at() * (near.withinPercent() + 0.5) / 100,
                            BROKEN_SECONDS + ticks(story, 2),
                            facts,
                            "but the processor's clock was not at " + near.at() + " MHz",
                            breach);
                } else {
                    long throttled = loaded.lastEntry().getValue().throttles()
                            - loaded.firstEntry().getValue().throttles();
                    if (throttled > 0) {
                        breach.accept(
                                "pass " + pass.name + " counts, but the processor throttled " + throttled + " times");
                    }
                }
            });
        }
    }

    // ---- numbers

    /** The rise that a perfect sensor would have had at each tick, over the ambient filtered as the program does. */
    private static TreeMap<Long, Double> rises(Story story) {
        BenchFile bench = story.files().bench();
        LagFilter filter = new LagFilter(bench.loopTimeConstantSeconds(), bench.probeLagSeconds());
        TreeMap<Long, Double> rises = new TreeMap<>();
        story.byTick()
                .forEach((tick, row) -> rises.put(
                        tick, row.coolantCelsius() - filter.add(row.millis() / 1000.0, row.ambientCelsius())));
        return rises;
    }

    static void settled(Story story, Consumer<String> breach) throws IOException {
        NavigableMap<Long, TruthRow> rows = story.byTick();
        TreeMap<Long, Double> rises = rises(story);
        Facts facts = new Facts(story.scenario());
        Measurement.Settle settle =
                story.files().plan().thermal().orElseThrow().soak().until();
        for (PassStory pass : counting(story)) {
            if (!pass.settled || pass.cycle) {
                continue;
            }
            long end = rows.get(pass.settledTick).millis();
            long begin = end - StrictMath.round(settle.windowSeconds() * 1000);
            SimpleRegression line = new SimpleRegression();
            rows.values().stream()
                    .filter(r -> r.millis() >= begin && r.millis() <= end)
                    .forEach(r -> line.addData(r.millis() / 3_600_000.0, rises.get(r.tick())));
            double drift = facts.mishaps().stream()
                    .filter(m -> m.is(Kind.DRIFT) && m.overlaps(begin, end))
                    .mapToDouble(m -> Math.abs(m.value()))
                    .sum();
            double most = settle.slopeKelvinPerHour() * 1.1 + 4 + drift + lies(story, facts, begin, end);
            if (Math.abs(line.getSlope()) > most && !facts.anyOfTheHost(Mishap.SLEEP, begin, end)) {
                breach.accept("pass " + pass.name + " is marked settled at tick " + pass.settledTick
                        + ", but the rise moved by " + Dice.text(line.getSlope()) + " K/h, limit "
                        + settle.slopeKelvinPerHour());
            }
        }
    }

    /** By how much a slope may look other than it is, K/h, by sensors that lie in ways that nobody can see. */
    private static double lies(Story story, Facts facts, long begin, long end) {
        BenchFile bench = story.files().bench();
        double tau = bench.loopTimeConstantSeconds();
        double window = (end - begin) / 1000.0;
        double lies = 0;
        for (Mishap m : facts.mishaps()) {
            boolean ambient = m.target().startsWith(BenchFile.AMBIENT);
            boolean coolant = m.target().startsWith(BenchFile.COOLANT);
            if (m.is(Kind.OFFSET) && ambient) {
                // A sensor that leapt, or leaps back, is followed by the filter for some of its time constants.
                for (long at : List.of(m.fromMillis(), m.toMillis())) {
                    if (at < end) {
                        lies += Math.abs(m.value())
                                * 3600
                                / tau
                                * StrictMath.exp(-Math.max(0, begin - at) / 1000.0 / tau);
                    }
                }
            } else if (m.is(Kind.OFFSET) && coolant && Math.abs(m.value()) <= LEAP_KELVIN && m.overlaps(begin, end)) {
                lies += 1.5 * Math.abs(m.value()) * 3600 / window;
            } else if (m.is(Kind.FROZEN) && coolant && m.overlaps(begin, end)) {
                // It stood still, and went on by less than a step that tells.
                lies += 1.5 * THAW_KELVIN * 3600 / window;
            }
        }
        return lies;
    }

    static void numbers(Story story, Consumer<String> breach) throws IOException {
        NavigableMap<Long, TruthRow> rows = story.byTick();
        TreeMap<Long, Double> rises = rises(story);
        Facts facts = new Facts(story.scenario());
        BenchFile bench = story.files().bench();
        NightResults results = story.results();
        for (PassStory pass : counting(story)) {
            long from = rows.get(pass.fromTick).millis();
            long to = rows.get(pass.toTick).millis();
            double off = 0;
            for (ChannelSpec channel : bench.channels()) {
                if (channel.name().startsWith(BenchFile.COOLANT)
                        || channel.name().startsWith(BenchFile.AMBIENT)) {
                    off += facts.offBy(channel.name(), from - 1_500_000, to);
                }
                if (channel.name().startsWith(BenchFile.AMBIENT)
                        && channel.frozenAfterSeconds().isEmpty()) {
                    off += frozenBy(rows, facts, channel.name(), from - 1_500_000, to);
                }
            }
            double truth = rises.subMap(pass.fromTick, true, pass.toTick, true).values().stream()
                    .mapToDouble(Double::doubleValue)
                    .average()
                    .orElseThrow();
            boolean slept = facts.anyOfTheHost(Mishap.SLEEP, from - 1_500_000, to);
            if (Math.abs(pass.riseKelvin - truth) > RIGHT_KELVIN + off + (slept ? AFTER_SLEEP_KELVIN : 0)) {
                breach.accept("pass " + pass.name + " says a rise of " + pass.riseKelvin + " K, but it was "
                        + Dice.text(truth) + " K");
            }
            double rpm = rows.subMap(pass.fromTick, true, pass.toTick, true).values().stream()
                    .mapToDouble(TruthRow::meanFanRpm)
                    .average()
                    .orElseThrow();
            PassResult result = results.passes().stream()
                    .filter(p -> p.pass().equals(pass.name))
                    .findFirst()
                    .orElseThrow();
            boolean lies = bench.group(BenchFile.FANS).stream().anyMatch(f -> facts.mayLie(f, 0, to));
            if (!lies && Math.abs(result.dwell().fanRpm() - rpm) > RIGHT_SPEED * rpm + 2) {
                breach.accept("pass " + pass.name + " says " + result.dwell().fanRpm() + " rpm, but it was "
                        + Dice.text(rpm) + " rpm");
            }
        }
    }

    /** By how much the room's air went away from where its thermometer stopped, K. */
    private static double frozenBy(
            NavigableMap<Long, TruthRow> rows, Facts facts, String channel, long fromMillis, long toMillis) {
        double most = 0;
        for (Mishap m : facts.all(Kind.FROZEN)) {
            if (m.target().equals(channel) && m.overlaps(fromMillis, toMillis)) {
                double stopped = Double.NaN;
                for (TruthRow row : rows.values()) {
                    if (row.millis() <= m.fromMillis() || Double.isNaN(stopped)) {
                        stopped = row.ambientCelsius();
                    } else if (row.millis() >= fromMillis && row.millis() <= Math.min(toMillis, m.toMillis())) {
                        most = Math.max(most, Math.abs(row.ambientCelsius() - stopped));
                    }
                }
            }
        }
        return most;
    }
}
