package org.plateaubench.watch;

import java.time.format.DateTimeFormatter;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;
import java.util.function.Supplier;
import org.plateaubench.engine.Progress;
import org.plateaubench.record.Json;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;

/**
 * What is known of a running night, as events for those who follow it and as metrics. The night's thread only leaves
 * things in {@link #tick} and {@link #journalled}, without locks; everything else is done by whoever takes them.
 */
final class Bulletin {

    private static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
    private static final List<String> CHARTED = List.of("at", "coolant", "rise", "slope", "slope-limit", "fans");
    /** Journal lines that the page begins with; more are in the record. */
    private static final int MOST_LINES = 200;

    /** Lines that wait to be taken; more are left out here, and are in the record. */
    static final int MOST_WAITING = 10_000;

    private final LivePage.About about;

    /** Where the night stands, until it is taken. */
    private final AtomicReference<Frame> latest = new AtomicReference<>();

    private final Queue<Line> lines = new ConcurrentLinkedQueue<>();
    private final AtomicInteger waiting = new AtomicInteger();
    private volatile boolean ending;

    private final History history = new History();
    private final Deque<Map<String, Object>> told = new ArrayDeque<>();
    private final Troubles troubles = new Troubles();
    private Map<String, Object> now = new LinkedHashMap<>();
    private Progress progress;
    private volatile double seconds;
    private volatile boolean simulated;

    private record Frame(double seconds, Progress progress) {}

    private record Line(double seconds, Map<String, Object> fields) {}

    Bulletin(LivePage.About about) {
        this.about = about;
    }

    void simulated(boolean ofSimulation) {
        simulated = ofSimulation;
    }

    /** Leaves where the night stands, if the last one has been taken; otherwise it costs nothing. */
    void tick(double atSeconds, Supplier<Progress> standing) {
        if (ending || latest.get() == null) {
            latest.set(new Frame(atSeconds, standing.get()));
        }
    }

    void journalled(double atSeconds, Map<String, Object> fields) {
        ending |= "end".equals(fields.get("decision"));
        if (waiting.incrementAndGet() <= MOST_WAITING) {
            lines.add(new Line(atSeconds, fields));
        } else {
            waiting.decrementAndGet();
        }
    }

    void say(String text) {
        journalled(seconds, Map.of("say", text));
    }

    /** Events since the last call. */
    synchronized List<byte[]> news() {
        List<byte[]> events = new ArrayList<>();
        for (Line line = lines.poll(); line != null; line = lines.poll()) {
            waiting.decrementAndGet();
            troubles.take(line.fields());
            String text = line.fields().get("say") instanceof String said ? said : Happening.text(line.fields());
            if (!text.isEmpty()) {
                Map<String, Object> event = new LinkedHashMap<>();
                event.put("clock", clock(line.seconds()));
                event.put("text", text);
                told.addLast(event);
                if (told.size() > MOST_LINES) {
                    told.removeFirst();
                }
                events.add(Client.event("line", Json.line(event)));
            }
        }
        Frame frame = latest.getAndSet(null);
        if (frame != null) {
            seconds = frame.seconds();
            progress = frame.progress();
            troubles.set("hold", progress.stage().equals("hold"), "holds: " + progress.waitsFor());
            now = standing();
            Map<String, Object> point = new LinkedHashMap<>(now);
            point.keySet().retainAll(CHARTED);
            history.take(seconds, point);
        }
        if (frame != null || !events.isEmpty()) {
            now.put("troubles", new ArrayList<Object>(troubles.texts()));
            events.add(Client.event("now", Json.line(now)));
        }
        return events;
    }

    /** The first event of somebody who begins to follow. */
    synchronized byte[] beginning() {
        Map<String, Object> all = new LinkedHashMap<>();
        all.put("title", about.title());
        all.put("set", about.set());
        all.put("bench", about.bench());
        all.put("simulated", simulated);
        number(all, "limit", about.coolantLimitCelsius().orElse(Double.NaN), 2);
        all.put("history", history.columns(CHARTED));
        all.put("lines", new ArrayList<Object>(told));
        all.put("now", now);
        return Client.event("beginning", Json.line(all));
    }

    private Map<String, Object> standing() {
        Map<String, Object> map = new LinkedHashMap<>();
        // Seconds that a chart's axis shows as the bench's local time, whatever the browser's zone.
        double local = about.start().toEpochSecond() + about.start().getOffset().getTotalSeconds();
        number(map, "at", local + seconds, 1);
        map.put("clock", clock(seconds));
        map.put("simulated", simulated);
        map.put("stage", progress.stage());
        map.put("waits", progress.waitsFor());
        map.put("pass", progress.pass());
        map.put("step", progress.step());
        map.put("done", (long) progress.passesDone());
        map.put("planned", (long) progress.passesPlanned());
        map.put("spoiled", (long) progress.passesSpoiled());
        map.put("heat", progress.heatOn());
        map.put("left", Durations.text(progress.secondsLeft()));
        map.put("ends", clock(seconds + progress.secondsLeft()));
        map.put("ended", progress.stage().equals("ended"));
        number(map, "coolant", progress.coolantCelsius(), 2);
        number(map, "rise", progress.riseKelvin(), 3);
        number(map, "fans", progress.fanRpm(), 0);
        number(map, "slope", progress.slopeKelvinPerHour().orElse(Double.NaN), 2);
        number(map, "slope-limit", progress.slopeLimitKelvinPerHour().orElse(Double.NaN), 2);
        return map;
    }

    private static void number(Map<String, Object> map, String name, double value, int decimals) {
        if (Double.isFinite(value)) {
            map.put(name, Decimals.json(value, decimals));
        }
    }

    private String clock(double atSeconds) {
        return CLOCK.format(about.start().plusSeconds(Math.round(atSeconds)));
    }

    /** Where the night stands as OpenMetrics text (OpenMetrics 1.0, "Text format"); what is not known is left out. */
    synchronized String metrics() {
        StringBuilder text = new StringBuilder();
        gauge(text, "simulated", "1 if nothing is measured.", simulated ? 1 : 0, 0);
        if (progress != null) {
            gauge(text, "run_seconds", "Time since the run began.", seconds, 1);
            gauge(
                    text,
                    "left_seconds",
                    "Time that the run will still take, as far as can be told.",
                    progress.secondsLeft(),
                    0);
            gauge(text, "coolant_celsius", "Coolant.", progress.coolantCelsius(), 2);
            gauge(
                    text,
                    "coolant_limit_celsius",
                    "Limit of the coolant.",
                    about.coolantLimitCelsius().orElse(Double.NaN),
                    2);
            gauge(text, "rise_kelvins", "Rise of the coolant over the filtered ambient.", progress.riseKelvin(), 3);
            gauge(text, "fan_speed_rpm", "Mean speed of the fans.", progress.fanRpm(), 0);
            gauge(
                    text,
                    "slope_kelvins_per_hour",
                    "Slope that is waited for.",
                    progress.slopeKelvinPerHour().orElse(Double.NaN),
                    2);
            gauge(text, "heat_on", "1 while the load is on.", progress.heatOn() ? 1 : 0, 0);
            gauge(text, "passes_done", "Passes that are done.", progress.passesDone(), 0);
            gauge(text, "passes_planned", "Passes of the plan.", progress.passesPlanned(), 0);
            gauge(text, "passes_spoiled", "Attempts that were spoiled.", progress.passesSpoiled(), 0);
            gauge(
                    text,
                    "troubles",
                    "Matters that need a person.",
                    troubles.texts().size(),
                    0);
            gauge(text, "ended", "1 once the run has ended.", progress.stage().equals("ended") ? 1 : 0, 0);
        }
        return text.append("# EOF\n").toString();
    }

    private static void gauge(StringBuilder text, String name, String help, double value, int decimals) {
        if (Double.isFinite(value)) {
            text.append("# TYPE plateau_").append(name).append(" gauge\n");
            text.append("# HELP plateau_").append(name).append(' ').append(help).append('\n');
            text.append("plateau_")
                    .append(name)
                    .append(' ')
                    .append(Decimals.fixed(value, decimals))
                    .append('\n');
        }
    }
}
