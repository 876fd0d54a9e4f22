package org.plateaubench.cli;

import java.io.PrintWriter;
import java.time.OffsetDateTime;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.function.Supplier;
import org.plateaubench.clock.Deadline;
import org.plateaubench.engine.Progress;
import org.plateaubench.night.NightListener;
import org.plateaubench.units.Decimals;
import org.plateaubench.units.Durations;
import org.plateaubench.watch.Happening;

/**
 * What an operator sees of a running night: on a terminal one block that is drawn again, in a pipe one line for each
 * thing that happens.
 */
final class ProgressScreen implements NightListener {

    static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm", Locale.ROOT);
    /** A block is drawn at most so often, in real time. */
    private static final long REDRAW_MILLIS = 100;

    private static final String GAP = "   ";

    /** Lines stay as they are cut, even if the terminal has become narrower since. */
    private static final String NO_WRAP = "\u001b[?7l";

    private static final String WRAP = "\u001b[?7h";

    private final PrintWriter out;
    private final boolean terminal;
    private final Terminal on;
    private String mark = "";
    private final OffsetDateTime start;
    private Deadline nextDraw = Deadline.afterMillis(0);
    private int drawnLines;

    /**
     * A screen for one night.
     *
     * @param out where to write
     * @param on what is known of the terminal
     * @param start wall-clock time at offset zero
     */
    ProgressScreen(PrintWriter out, Terminal on, OffsetDateTime start) {
        this.out = out;
        this.on = on;
        this.terminal = on.drawsOn();
        this.start = start;
    }

    /**
     * Tells what kind of bench it is, before the first tick.
     *
     * @param simulated true if every line must say so
     */
    void simulated(boolean simulated) {
        mark = ResultsText.mark(simulated);
    }

    @Override
    public void tick(long tick, double seconds, Supplier<Progress> progress) {
        if (terminal && nextDraw.passed()) {
            nextDraw = Deadline.afterMillis(REDRAW_MILLIS);
            draw(block(seconds, progress.get()));
        }
    }

    private List<String> block(double seconds, Progress p) {
        List<String> lines = new ArrayList<>();
        put(
                lines,
                GAP,
                mark + clock(seconds) + "  " + p.stage(),
                p.pass().isEmpty() ? "" : "pass " + p.pass() + " at " + p.step(),
                p.heatOn() ? "heat on" : "heat off");
        put(
                lines,
                GAP,
                "  passes " + p.passesDone() + " of " + p.passesPlanned() + " done",
                p.passesSpoiled() > 0 ? p.passesSpoiled() + " spoiled" : "",
                "about " + Durations.text(p.secondsLeft()) + " left",
                "ends about " + clock(seconds + p.secondsLeft()));
        put(
                lines,
                GAP,
                "  coolant " + number(p.coolantCelsius(), 2, "°C"),
                "rise " + number(p.riseKelvin(), 2, "K"),
                "fans " + number(p.fanRpm(), 0, "rpm"),
                p.slopeKelvinPerHour().isPresent()
                        ? "slope " + number(p.slopeKelvinPerHour().getAsDouble(), 2, "K/h") + " of "
                                + number(p.slopeLimitKelvinPerHour().getAsDouble(), 2, "K/h")
                        : "");
        // A slope goes to the next line before its limit does not fit.
        put(lines, " ", ("  waits: " + p.waitsFor()).split("(?<=,) "));
        return lines;
    }

    /** Puts parts on as few lines as the terminal is wide enough for; a part that is wider than a line is cut. */
    private void put(List<String> lines, String gap, String... parts) {
        int room = on.columns() - 1;
        StringBuilder line = new StringBuilder();
        for (String part : parts) {
            if (line.length() > 0 && line.length() + gap.length() + part.length() > room) {
                lines.add(line.toString());
                line.setLength(0);
                line.append("   ");
            }
            if (!part.isEmpty()) {
                line.append(line.toString().isBlank() ? "" : gap).append(part);
                line.setLength(Math.min(line.length(), room));
            }
        }
        lines.add(line.toString());
    }

    private void draw(List<String> lines) {
        StringBuilder text = new StringBuilder();
        erase(text);
        text.append(NO_WRAP);
        for (int i = 0; i < lines.size(); i++) {
            text.append(i == 0 ? on.strong(lines.get(i)) : lines.get(i)).append('\n');
        }
        text.append(WRAP);
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
        String line = Happening.text(fields);
        if (line.isEmpty() || terminal && "stage".equals(fields.get("decision"))) {
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

    private String clock(double seconds) {
        return CLOCK.format(start.plusSeconds(Math.round(seconds)));
    }

    private static String number(double value, int decimals, String unit) {
        return Double.isFinite(value) ? Decimals.fixed(value, decimals) + " " + unit : "? " + unit;
    }
}
