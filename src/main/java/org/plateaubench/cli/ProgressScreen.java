package org.plateaubench.cli;

import java.io.PrintWriter;
import java.time.OffsetDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.function.Supplier;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.NightListener;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;

/**
 * What an operator sees of a running night: on a terminal one block that is drawn again, in a pipe one line for each
 * thing that happens.
 */
final class ProgressScreen implements NightListener {

    static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
    /** A block is drawn at most so often, in real time. */
    private static final long REDRAW_MILLIS = 100;

    private static final int MOST_COLUMNS = 100;

    private final PrintWriter out;
    private final boolean terminal;
    private String mark = "";
    private final OffsetDateTime start;
    private org.plateaubench.clock.Deadline nextDraw = org.plateaubench.clock.Deadline.afterMillis(0);
    private int drawnLines;

    /**
     * A screen for one night.
     *
     * @param out where to write
     * @param terminal true if lines can be drawn again
     * @param start wall-clock time at offset zero
     */
    ProgressScreen(PrintWriter out, boolean terminal, OffsetDateTime start) {
        this.out = out;
        this.terminal = terminal;
        this.start = start;
    }

    /**
     * Tells what kind of bench it is, before the first tick.
     *
     * @param simulated true if every line must say so
     */
    void simulated(boolean simulated) {
        mark = simulated ? "SIMULATED  " : "";
    }

    @Override
    public void tick(long tick, double seconds, Supplier<Progress> progress) {
        if (terminal && nextDraw.passed()) {
            nextDraw = org.plateaubench.clock.Deadline.afterMillis(REDRAW_MILLIS);
            draw(block(seconds, progress.get()));
        }
    }

    private List<String> block(double seconds, Progress p) {
        List<String> lines = new ArrayList<>();
        String pass = p.pass().isEmpty() ? "" : "  pass " + p.pass() + " at " + p.step();
        lines.add(mark + clock(seconds) + "  " + p.stage() + pass + (p.heatOn() ? "  heat on" : "  heat off"));
        lines.add("  passes " + p.passesDone() + " of " + p.passesPlanned() + " done"
                + (p.passesSpoiled() > 0 ? ", " + p.passesSpoiled() + " spoiled" : "")
                + "   about " + Durations.text(p.secondsLeft()) + " left, ends about "
                + clock(seconds + p.secondsLeft()));
        lines.add("  coolant " + number(p.coolantCelsius(), 2, "°C") + "   rise " + number(p.riseKelvin(), 2, "K")
                + "   fans " + number(p.fanRpm(), 0, "rpm")
                + (p.slopeKelvinPerHour().isPresent()
                        ? "   slope " + number(p.slopeKelvinPerHour().getAsDouble(), 2, "K/h") + " of "
                                + number(p.slopeLimitKelvinPerHour().getAsDouble(), 2, "K/h")
                        : ""));
        lines.add("  waits: " + p.waitsFor());
        return lines;
    }

    private void draw(List<String> lines) {
        StringBuilder text = new StringBuilder();
        erase(text);
        for (String line : lines) {
            text.append(line, 0, Math.min(line.length(), MOST_COLUMNS)).append('\n');
        }
        drawnLines = lines.size();
        out.print(text);
        out.flush();
    }

    /** Goes back over the block that stands on the terminal. */
    private void erase(StringBuilder text) {
        if (drawnLines > 0) {
            text.append("\u001b[").append(drawnLines).append("A\u001b[0J");
            drawnLines = 0;
        }
    }

    @Override
    public void journalled(double seconds, Map<String, Object> fields) {
        String line = happening(fields);
        if (line.isEmpty()) {
            return;
        }
        StringBuilder text = new StringBuilder();
        if (terminal) {
            erase(text);
        }
        out.print(text.append(mark)
                .append(clock(seconds))
                .append("  ")
                .append(line)
                .append('\n'));
        out.flush();
    }

    /** Takes the block away, so that what follows stands below what happened. */
    void close() {
        StringBuilder text = new StringBuilder();
        erase(text);
        out.print(text);
        out.flush();
    }

    /** One line for what an operator wants to know of; empty for the rest. */
    private String happening(Map<String, Object> f) {
        if (f.containsKey("input")) {
            return switch (f.get("input").toString()) {
                case "device" -> "device " + f.get("device") + ": " + f.get("event") + " " + f.get("detail");
                case "signal" -> "signal " + f.get("name");
                case "clock" -> "clock " + f.get("event") + " of " + f.get("seconds") + " s";
                case "storage" -> "the record cannot be written: " + f.get("detail");
                case "load" -> f.get("event").equals("failed") ? "workload failed: " + f.get("detail") : "";
                case "command-result" ->
                    f.get("done").equals(Boolean.TRUE)
                            ? ""
                            : f.get("target") + " not set to " + f.get("asked") + ": " + f.get("detail");
                default -> "";
            };
        }
        Object decision = f.get("decision");
        if (decision == null) {
            return f.containsKey("safe") ? safe(f) : "";
        }
        return switch (decision.toString()) {
            case "stage" -> terminal ? "" : "stage " + f.get("stage") + suffix(f, "pass", ", pass ");
            case "pump-locked" -> "pump locked at " + f.get("rpm") + " rpm, " + f.get("duty") + " % duty";
            case "baseline" -> "rise without load " + f.get("rise") + " K (" + f.get("at") + ")";
            case "settled" ->
                f.get("stage") + " settled after " + minutes(f) + ", slope " + f.get("slope") + " ± " + f.get("margin")
                        + " K/h";
            case "not-settled" -> f.get("stage") + " not settled after " + minutes(f) + "; goes on, marked";
            case "pass-done" ->
                "pass " + f.get("pass") + " done: " + f.get("step")
                        + (f.containsKey("rise") ? ", rise " + f.get("rise") + " K" : "");
            case "fan-set" ->
                f.get("characterised").equals(Boolean.TRUE) ? "fans characterised" : "fans NOT characterised";
            case "bracket" ->
                f.get("rpm") + " rpm: total " + f.get("total") + " dB over background " + f.get("background")
                        + " dB, own level " + f.get("own-level") + " dB (" + f.get("class") + ")";
            case "matched" -> f.get("step") + " is " + f.get("speed") + " rpm, ±" + f.get("half-width") + " %";
            case "finding" -> "finding: " + (f.get("about").equals("") ? "" : f.get("about") + " ") + f.get("text");
            case "pass-spoiled" -> "pass " + f.get("pass") + " spoiled: " + f.get("reason");
            case "pass-given-up" -> "pass " + f.get("pass") + " given up after the third attempt";
            case "block-not-begun" -> "block " + f.get("block") + " not begun: it would not end before finish-by";
            case "reset" -> "outputs set again: " + f.get("reason");
            case "end" -> f.get("how") + ": " + f.get("reason");
            default -> "";
        };
    }

    private static String safe(Map<String, Object> f) {
        return "made safe: " + f.get("target") + " " + f.get("asked")
                + (f.get("done").equals(Boolean.TRUE) ? "" : " FAILED, " + f.get("detail"));
    }

    private static String minutes(Map<String, Object> f) {
        return Durations.text(((Number) f.get("after-seconds")).doubleValue());
    }

    private static String suffix(Map<String, Object> f, String name, String before) {
        return String.valueOf(f.get(name)).isEmpty() ? "" : before + f.get(name);
    }

    private String clock(double seconds) {
        return CLOCK.format(start.plusSeconds(Math.round(seconds)));
    }

    private static String number(double value, int decimals, String unit) {
        return Double.isFinite(value) ? Decimals.fixed(value, decimals) + " " + unit : "? " + unit;
    }
}
