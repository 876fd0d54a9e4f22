package org.plateaubench.night;

import java.io.IOException;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.BiConsumer;
import org.plateaubench.engine.Command;
import org.plateaubench.engine.Decision;
import org.plateaubench.engine.Engine;
import org.plateaubench.engine.Input;
import org.plateaubench.plan.NightFiles;
import org.plateaubench.record.Json;
import org.plateaubench.record.RecordFault;
import org.plateaubench.record.RecordedNight;

/** Decides everything again from the recorded inputs, and finds the first difference to what was decided then. */
public final class Retrace {

    /**
     * The first place where a record and its retrace part.
     *
     * @param tick number of the tick
     * @param recorded the journalled decision, as JSON; empty if none was left
     * @param decided the decision that came out now, as JSON; empty if none did
     */
    public record Difference(long tick, String recorded, String decided) {}

    /** The record was made by other rules, so that other decisions prove nothing. */
    public static final class OtherRules extends Exception {
        private static final long serialVersionUID = 1L;

        OtherRules(long found) {
            super("the record was made by rules version " + found + ", this program decides by version "
                    + Engine.RULES_VERSION + ": retrace it with the program that its provenance names");
        }
    }

    private final Engine engine;
    private final Deque<Line> lines = new ArrayDeque<>();
    private final BiConsumer<RecordedNight.Row, List<Command>> each;
    private Optional<RecordedNight.Row> last = Optional.empty();
    private Difference difference;

    /** A line of the journal that is an input or a decision. */
    private record Line(long tick, Optional<Input> input, Map<String, Object> fields) {}

    private Retrace(Engine engine, BiConsumer<RecordedNight.Row, List<Command>> each) {
        this.engine = engine;
        this.each = each;
    }

    /**
     * Retraces a record.
     *
     * @param files plan, fans and bench file of the record
     * @param night the record
     * @return the first difference, or empty if every decision is the same
     * @throws IOException if the record cannot be read
     * @throws OtherRules if it was made by other rules
     */
    public static Optional<Difference> of(NightFiles files, RecordedNight night) throws IOException, OtherRules {
        return follow(files, night, (row, commands) -> {}).difference();
    }

    /** The same; tells each row with what the engine commanded at it, up to a difference. */
    static Retrace follow(NightFiles files, RecordedNight night, BiConsumer<RecordedNight.Row, List<Command>> each)
            throws IOException, OtherRules {
        List<Map<String, Object>> journal = night.journal();
        if (journal.isEmpty()) {
            throw new RecordFault("data/journal.jsonl", "the header is missing");
        }
        Map<String, Object> header = journal.get(0);
        long rules = InputText.rules(header);
        if (rules != Engine.RULES_VERSION) {
            throw new OtherRules(rules);
        }
        Retrace retrace = new Retrace(new Engine(InputText.header(files, header)), each);
        for (Map<String, Object> line : journal) {
            if (line.containsKey("input") || line.containsKey("decision")) {
                retrace.lines.add(new Line(InputText.tick(line), InputText.read(line), line));
            }
        }
        night.samples(retrace::take);
        retrace.nothingLeft();
        return retrace;
    }

    Optional<Difference> difference() {
        return Optional.ofNullable(difference);
    }

    /** The engine, after all inputs. */
    Engine engine() {
        return engine;
    }

    /** The last row. */
    Optional<RecordedNight.Row> last() {
        return last;
    }

    private void take(RecordedNight.Row row) {
        if (difference != null) {
            return;
        }
        long tick = row.sample().tick();
        while (!lines.isEmpty()
                && lines.peek().input().isPresent()
                && lines.peek().tick() == tick) {
            engine.step(lines.poll().input().orElseThrow());
        }
        if (!row.stage().equals(engine.stage()) || !row.pass().equals(engine.pass())) {
            difference = new Difference(tick, row.stage() + " " + row.pass(), engine.stage() + " " + engine.pass());
            return;
        }
        Engine.Outcome outcome = engine.step(new Input.Tick(row.sample()));
        for (Decision decision : outcome.decisions()) {
            compare(tick, Json.line(Night.line(tick, "decision", decision.type(), decision.fields())));
        }
        last = Optional.of(row);
        each.accept(row, outcome.commands());
    }

    private void compare(long tick, String decided) {
        if (difference != null) {
            return;
        }
        Line line = lines.poll();
        String recorded = "";
        if (line != null) {
            Map<String, Object> fields = new LinkedHashMap<>(line.fields());
            fields.remove("seq");
            recorded = Json.line(fields);
        }
        if (!recorded.equals(decided)) {
            difference = new Difference(tick, recorded, decided);
        }
    }

    private void nothingLeft() {
        if (difference == null && !lines.isEmpty()) {
            Line line = lines.peek();
            difference = new Difference(line.tick(), Json.line(line.fields()), "");
        }
    }
}
